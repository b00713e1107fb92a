"""An archive: acknowledged is on disk, and nothing stored is overwritten or removed."""

import hashlib
import sqlite3
from dataclasses import fields as dataclass_fields
from dataclasses import replace
from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from seatproof.core.archive import attachments
from seatproof.core.archive.errors import (
    ArchiveConflictError,
    ArchiveEventError,
    AttachmentError,
)
from seatproof.core.archive.file import Archive
from seatproof.core.archive.rows import event_of, row_hash, row_of
from seatproof.core.archive.schema import APPLICATION_ID, STEPS
from seatproof.core.record.events import check_chain, event_hash, next_event
from seatproof.core.record.state import fold


def test_file_is_set_so_that_a_commit_is_on_disk(path, pragma):
    with Archive.open(path) as archive:
        assert pragma(archive, "synchronous") == 2  # FULL
        assert pragma(archive, "journal_mode") == "wal"
        assert pragma(archive, "foreign_keys") == 1
        assert pragma(archive, "application_id") == APPLICATION_ID
        assert pragma(archive, "user_version") == len(STEPS)
    # SQLite's file format keeps the application's number big-endian at byte 68.
    assert path.read_bytes()[68:72] == b"SEAT"


def test_sixty_events_survive_reopening(path, bench_of, stored):
    with Archive.open(path) as archive:
        bench = bench_of(archive, stations=19, orientations=3)
        bench.fill(lambda point: "99.99")
        state = bench.state
    events = stored(inspection=state.inspection)
    assert check_chain(events) == 60
    assert fold(events) == state
    assert [file.name for file in path.parent.iterdir()] == [path.name]  # no log left beside it


def test_events_come_back_as_they_went_in(archive, chain):
    payload = {"text": "⌀ 100 µm – \u0001", "numbers": [1, -2.5, 1e-7], "none": None, "deep": [{}]}
    (event,) = chain(1, payload=payload)
    archive.append(event)
    assert archive.events("i") == (event,)
    assert archive.events("another") == ()


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE event SET actor = 'b'",
        "UPDATE event SET payload = payload",
        "DELETE FROM event",
        "INSERT OR REPLACE INTO event SELECT * FROM event WHERE seq = 2",
        "INSERT INTO event SELECT 99, inspection, 4, utc, offset_min, actor, kind, payload, "
        "previous, substr(hash, 2) || 'x' FROM event WHERE seq = 2",
    ],
)
def test_stored_events_are_neither_changed_nor_removed(archive, chain, statement):
    events = chain(3)
    for event in events:
        archive.append(event)
    with pytest.raises(sqlite3.IntegrityError):
        archive._db.execute(statement)
    assert list(archive.events("i")) == events


def test_event_that_does_not_follow_is_refused(archive, chain, following):
    first, second, third = chain(3)
    other = following(first, payload={"other": "branch"})
    archive.append(first)
    archive.append(second)
    for wrong in (
        first,  # there already
        second,
        other,  # a second window's event on the same predecessor
        rehashed(third, previous=first.hash),
        rehashed(third, seq=2),
        rehashed(first, payload={"a second": "beginning"}),
        rehashed(third, inspection="new"),  # an inspection that begins in the middle
        rehashed(third, inspection="new", previous=first.previous),  # and says that it does not
    ):
        with pytest.raises(ArchiveConflictError, match="carried on elsewhere"):
            archive.append(wrong)
        assert list(archive.events("i")) == [first, second]
    archive.append(third)


@pytest.mark.parametrize(
    "changes", [{"payload": {"ø": "1.51"}}, {"actor": "b"}, {"hash": "f" * 64}, {"utc": "earlier"}]
)
def test_event_that_is_wrong_in_itself_is_refused(archive, chain, changes):
    first, second = chain(2)
    archive.append(first)
    with pytest.raises(ArchiveEventError, match=r"Event 2 of inspection i does not hold: its hash"):
        archive.append(replace(second, **changes))
    assert list(archive.events("i")) == [first]


def rehashed(event, **changes):
    """Return an event with other fields and the hash that goes with them."""
    fields = {field.name: getattr(event, field.name) for field in dataclass_fields(event)} | changes
    del fields["hash"]
    return replace(event, **changes, hash=event_hash(**fields))


def test_events_are_stored_all_or_none(archive, chain):
    first, second, third = chain(3)
    (other,) = chain(1, inspection="other")
    archive.append_all((first, other, second))
    with pytest.raises(ArchiveConflictError):
        archive.append_all((third, third))
    assert list(archive.events("i")) == [first, second]
    assert list(archive.events("other")) == [other]
    assert archive.inspections() == ("i", "other")
    assert archive.heads() == (("i", 2, second.hash), ("other", 1, other.hash))


def test_inspection_that_was_carried_on_elsewhere_says_so(archive, bench_of):
    bench = bench_of(archive)
    bench_of(archive)  # another inspection does not matter
    bench.press("99.99")
    window = bench.resume()
    bench.press("99.98")
    before = window.state
    with pytest.raises(ArchiveConflictError, match="open the inspection again"):
        window.take_back("wrong point")
    assert window.state is before


def test_list_of_inspections_is_newest_first(path, bench_of):
    with Archive.open(path) as archive:
        older, newer = bench_of(archive), bench_of(archive, stations=1)
        older.press("99.99")
        newer.fill(lambda point: "99.99")
        newer.inspection.seal({}, "s")
        entries = archive.entries()
    assert [entry.inspection for entry in entries] == [
        newer.state.inspection,
        older.state.inspection,
    ]
    assert [(entry.events, entry.sealed) for entry in entries] == [(6, True), (4, False)]
    assert (entries[0].title, entries[0].sheet_number) == ("Trial shaft", "T-1")
    assert entries[0].opened_utc == newer.state.opened.utc


def test_registers_are_chains_of_their_own(archive, path, chain, following):
    people, gauges = chain(2, inspection="people"), chain(1, inspection="equipment")
    for event in (*people, *gauges):
        archive.append_register(event)
    with pytest.raises(ArchiveConflictError):
        archive.append_register(following(people[0], inspection="people", payload={"other": ""}))
    with pytest.raises(ArchiveEventError):
        archive.append_register(replace(following(people[1], inspection="people"), actor="b"))
    assert list(archive.register_events("people")) == people
    assert list(archive.register_events("equipment")) == gauges
    assert archive.register_events("plans") == ()
    assert archive.inspections() == ()  # a register is no inspection
    for statement in ("UPDATE register_event SET actor = 'b'", "DELETE FROM register_event"):
        with pytest.raises(sqlite3.IntegrityError):
            archive._db.execute(statement)


def test_attachments_are_kept_once_by_their_hash_and_never_changed(archive):
    content = b"\xff\xd8 a photo"
    name = archive.put_attachment(content)
    # RFC 6234's SHA-256, by the standard library and not by the archive.
    assert name == hashlib.sha256(content).hexdigest()
    assert archive.put_attachment(content) == name
    assert archive._db.execute("SELECT count(*) FROM attachment").fetchone() == (1,)
    assert archive.attachment(name) == content
    assert archive.has_attachment(name)
    assert not archive.has_attachment("0" * 64)
    for statement in ("UPDATE attachment SET content = x'00'", "DELETE FROM attachment"):
        with pytest.raises(sqlite3.IntegrityError):
            archive._db.execute(statement)
    with pytest.raises(AttachmentError, match="holds no attachment"):
        archive.attachment("0" * 64)


def test_attachment_that_was_altered_is_not_given_out(archive):
    name = archive.put_attachment(b"a photo")
    archive._db.execute("DROP TRIGGER attachment_is_never_changed")
    archive._db.execute("UPDATE attachment SET content = x'00'")
    with pytest.raises(AttachmentError, match="was altered; take it from a backup"):
        archive.attachment(name)


def test_attachment_without_or_with_too_many_bytes_is_refused(archive, monkeypatch):
    monkeypatch.setattr(attachments, "MAX_ATTACHMENT_BYTES", 1_500_000)
    with pytest.raises(AttachmentError, match=r"has 1\.6 MB, and at most 2 MB are kept"):
        archive.put_attachment(bytes(1_600_000))
    with pytest.raises(AttachmentError, match="is empty"):
        archive.put_attachment(b"")
    assert archive._db.execute("SELECT count(*) FROM attachment").fetchone() == (0,)


PAYLOADS = st.dictionaries(
    st.text(max_size=6),
    st.recursive(
        st.none()
        | st.booleans()
        | st.integers(-(2**53) + 1, 2**53 - 1)
        | st.text(max_size=9)
        | st.floats(-1e15, 1e15),  # whole numbers from 2**53 on have no canonical JSON
        lambda inner: st.lists(inner, max_size=3),
        max_leaves=6,
    ),
    max_size=4,
)


@given(text=st.text(max_size=40), payload=PAYLOADS)
def test_hash_of_a_row_is_that_of_its_event(text, payload):
    event = next_event(
        inspection=text or "i",
        last=None,
        moment=datetime(2024, 5, 17, tzinfo=UTC),
        actor=text,
        kind=text[::-1],
        payload=payload,
    )
    assert row_hash(row_of(event)) == event.hash
    assert event_of(row_of(event)) == event

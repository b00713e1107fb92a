"""Moving inspections: the same events at the other end, once, or a sentence that says why not."""

import hashlib
import json
from decimal import Decimal

import pytest

from seatproof.core.archive.errors import (
    ArchiveFullError,
    ArchiveReadOnlyError,
    AttachmentError,
    TransferError,
)
from seatproof.core.archive.file import Archive
from seatproof.core.archive.progress import StoppedError
from seatproof.core.archive.transfer import export, import_from
from seatproof.core.record.errors import ChainBrokenError
from seatproof.core.record.events import Event, canonical, event_hash, next_event
from seatproof.core.record.inspection import Press
from seatproof.core.record.kinds import PhotoAdded
from tests.core.conftest import PLAN, PLAN_DEFAULTS
from tests.core.verification.conftest import MORE, PHOTO, everything


@pytest.fixture
def office(tmp_path):
    with Archive.open(tmp_path / "office.seatproof") as office:
        yield office


@pytest.fixture
def file(tmp_path):
    return tmp_path / "shafts.transfer"


@pytest.fixture
def measured(archive, bench_of):
    """Measure two shafts, one with a photo, and return their ids."""
    first, second = bench_of(archive, stations=1), bench_of(archive)
    first.fill(lambda point: "99.99")
    photo = archive.put_attachment(b"\xff\xd8 a photo")
    first.inspection._log(
        PhotoAdded(sha256=photo, media_type="image/jpeg", n_bytes=9, caption="the keyway")
    )
    first.inspection.seal({}, "Measured as recorded.")
    second.press("99.98")
    return first, second


def ids(benches):
    return [bench.state.inspection for bench in benches]


def test_what_is_moved_is_the_same_to_the_byte(archive, office, file, measured):
    told = []
    names = ids(measured)
    assert export(archive, names, file, lambda *of: told.append(of)) == file
    assert told == [(0, 2), (1, 2), (2, 2)]
    told.clear()
    done = import_from(office, file, lambda *of: told.append(of))
    assert (done.added, done.continued, done.already, done.refused) == (tuple(names), (), (), ())
    size = file.stat().st_size
    assert told[-1] == (2 * size, 2 * size)
    assert told == sorted(told)
    for name in names:
        assert office.events(name) == archive.events(name)
    assert sorted(office.heads()) == sorted(archive.heads())
    assert {entry.inspection: entry.sealed for entry in office.entries()} == dict(
        zip(names, (True, False), strict=True)
    )


def test_only_a_transfer_file_is_replaced(archive, file, measured):
    export(archive, ids(measured)[:1], file)
    first = file.read_bytes()
    export(archive, ids(measured), file)
    assert len(file.read_bytes()) > len(first)
    file.write_bytes(b"Dear Sir")
    for other in (file, archive.path):
        with pytest.raises(TransferError, match="is no transfer file; name a new file"):
            export(archive, ids(measured), other)
    assert file.read_bytes() == b"Dear Sir"


def test_what_would_not_be_verified_is_refused(archive, office, file, tmp_path):
    """A chain can be made anew around a signature that was taken from elsewhere."""
    plan = 'conditions = ["clean"]\n' + PLAN.format(**PLAN_DEFAULTS) + MORE
    case = everything(plan, {"version": 1}, archive)
    archive.put_attachment(PHOTO)
    forged: list[Event] = []
    for event in case.events:
        payload = dict(event.payload)
        if event.kind == "signature":
            payload |= {"name": "Somebody Else", "of_hash": forged[payload["of_seq"] - 1].hash}
        forged.append(
            next_event(
                inspection=event.inspection,
                last=forged[-1] if forged else None,
                moment=event.moment,
                actor=event.actor,
                kind=event.kind,
                payload=payload,
            )
        )
    with Archive.open(tmp_path / "forged.seatproof") as other:
        other.take_in(forged, [PHOTO])
        export(other, other.inspections(), file)
    (refused,) = import_from(office, file).refused
    assert "does not fit its words and its key" in refused.sentence
    assert office.inspections() == ()


def test_photos_travel_along(archive, office, file, measured):
    export(archive, ids(measured), file)
    import_from(office, file)
    (event,) = [e for e in office.events(ids(measured)[0]) if e.kind == "photo"]
    assert office.attachment(event.payload["sha256"]) == b"\xff\xd8 a photo"


def test_importing_twice_changes_nothing(archive, office, file, measured):
    export(archive, ids(measured), file)
    import_from(office, file)
    before = office._db.total_changes
    again = import_from(office, file)
    assert again.already == tuple(ids(measured))
    assert (again.added, again.continued, again.refused) == ((), (), ())
    assert office._db.total_changes == before


def test_chain_that_went_on_is_brought_forward_and_never_back(archive, office, file, measured):
    second = measured[1]
    name = second.state.inspection
    export(archive, [name], file)
    older = file.with_name("older.transfer")
    file.rename(older)
    import_from(office, older)
    second.press("99.97")
    export(archive, [name], file)
    assert import_from(office, file).continued == (name,)
    assert office.events(name) == archive.events(name)
    assert import_from(office, older).already == (name,)
    assert office.events(name) == archive.events(name)


def test_chain_that_went_on_differently_is_refused_and_the_rest_taken(
    archive, office, file, measured
):
    first, second = measured
    name = second.state.inspection
    office.append_all(archive.events(name)[:-1])
    there = type(second.inspection).resume(office, name, actor="Ann", clock=second.clock)
    there.take(Press(Decimal("99.90"), None, "99.90", b"99.90", "number", 99))
    ours = office.events(name)
    export(archive, ids(measured), file)
    done = import_from(office, file)
    assert done.added == (first.state.inspection,)
    (refused,) = done.refused
    assert refused.inspection == name
    assert refused.sentence == (
        f"Inspection {name} went on differently here and there: the two part at event 4. Neither "
        "is changed; find out which is right, and make a revision of it where the other holds "
        "more."
    )
    assert office.events(name) == ours


# --- files that do not hold -----------------------------------------------------------------------


def lines_of(file):
    return file.read_bytes().splitlines(keepends=True)


def test_every_cut_and_every_changed_byte_is_refused(archive, office, file, measured):
    export(archive, ids(measured)[:1], file)
    whole = file.read_bytes()
    step = max(1, len(whole) // 50)
    for at in (*range(0, len(whole), step), len(whole) - 1):
        for content in (whole[:at], whole[:at] + bytes([whole[at] ^ 1]) + whole[at + 1 :]):
            file.write_bytes(content)
            with pytest.raises(TransferError):
                import_from(office, file)
    assert office.inspections() == ()
    file.write_bytes(whole + b"\n")
    with pytest.raises(TransferError):
        import_from(office, file)
    file.write_bytes(whole)
    assert len(import_from(office, file).added) == 1


def rewrite(file, change):
    """Change the lines of a transfer file, and its last line with them."""
    lines = [json.loads(line) for line in lines_of(file)]
    changed = change(lines[:-1])
    heads: dict[str, dict] = {}
    for line in changed:
        if "event" in line:
            event = line["event"]
            heads[event["inspection"]] = {
                "events": event["seq"],
                "hash": event["hash"],
                "inspection": event["inspection"],
            }
    content = b"".join(canonical(line) + b"\n" for line in changed)
    end = {
        "attachments": sum("attachment" in line for line in changed),
        "events": sum("event" in line for line in changed),
        "inspections": list(heads.values()),
        "sha256": hashlib.sha256(content).hexdigest(),
    }
    file.write_bytes(content + canonical({"end": end}) + b"\n")


def forged(line, **changes):
    event = line["event"] | changes
    del event["hash"]
    return {"event": event | {"hash": event_hash(**event)}}


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda lines: [lines[0], *lines[2:]], "event 1 should stand in its place"),
        (lambda lines: [*lines[:4], *lines[5:]], "event 4 should stand in its place"),
        (lambda lines: [*lines[:4], forged(lines[4], actor="b"), *lines[5:]], "does not follow on"),
        (
            lambda lines: [*lines[:4], {"event": lines[4]["event"] | {"actor": "b"}}, *lines[5:]],
            "its content was altered",
        ),
        (lambda lines: [*lines[:4], forged(lines[4], kind="new kind")], "cannot be read: this"),
        (lambda lines: [line for line in lines if "attachment" not in line], "did not come along"),
    ],
)
def test_inspection_that_does_not_verify_is_refused(archive, office, file, measured, change, words):
    """Whoever forged it may have made the file's own sum right."""
    name = ids(measured)[0]
    export(archive, [name], file)
    rewrite(file, change)
    done = import_from(office, file)
    assert [refused.inspection for refused in done.refused] == [name]
    assert words in done.refused[0].sentence
    assert (done.added, office.inspections()) == ((), ())


def test_attachment_that_is_another_is_refused(archive, office, file, measured):
    export(archive, ids(measured), file)

    def exchanged(lines):
        for line in lines:
            if "attachment" in line:
                line["attachment"]["content"] = "AAAA"
        return lines

    rewrite(file, exchanged)
    with pytest.raises(TransferError, match=r"Line \d+ of .* the attachment was altered"):
        import_from(office, file)


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "is not a Seatproof transfer file"),
        (b"\x00\xff\x00", "is not a Seatproof transfer file"),
        (b"[]\n", "is not a Seatproof transfer file"),
        (b'{"format":"another"}\n', "is not a Seatproof transfer file"),
        (b'{"format":"seatproof transfer","version":2}\n', "with a newer Seatproof"),
        (b'{"format":"seatproof transfer","version":1}\n', "was cut off after line 1"),
        (b'{"format":"seatproof transfer","version":1}\n{"x":1}\n', "Line 2 .* is neither"),
        (b'{"format":"seatproof transfer","version":1}\n{"event":{}}\n', "lacks a field"),
        (b'{"format":"seatproof transfer","version":1}\n{"event" :1}\n', "as Seatproof wrote"),
        (b'{"format":"seatproof transfer","version":1}\n{"attachment":{}}\n', "lacks a field"),
        (
            b'{"format":"seatproof transfer","version":1}\n'
            b'{"attachment":{"content":"?","sha256":""}}\n',
            "is not base64",
        ),
        (b'{"format":"seatproof transfer","version":1}\n' + b"[" * 9999 + b"\n", "no JSON"),
    ],
)
def test_other_files_are_refused(office, file, content, words):
    file.write_bytes(content)
    with pytest.raises(TransferError, match=words):
        import_from(office, file)


def test_missing_file_is_refused(office, file):
    with pytest.raises(TransferError, match="cannot be read"):
        import_from(office, file)


# --- what stands in the way -----------------------------------------------------------------------


def test_stopped_import_keeps_what_it_took_and_goes_on_later(archive, office, file, measured):
    export(archive, ids(measured), file)
    asked = []

    def after_the_first():
        asked.append(len(office.inspections()))
        return bool(asked[-1])

    with pytest.raises(StoppedError):
        import_from(office, file, cancelled=after_the_first)
    assert len(office.inspections()) == 1
    done = import_from(office, file)
    assert (len(done.added), len(done.already)) == (1, 1)


def test_stopped_export_leaves_nothing(archive, file, measured):
    with pytest.raises(StoppedError):
        export(archive, ids(measured), file, cancelled=lambda: True)
    assert list(file.parent.glob(".*.part")) == []
    assert not file.exists()


def test_full_disk_stops_the_import_and_is_not_taken_for_a_bad_inspection(
    archive, office, file, measured, pragma
):
    export(archive, ids(measured), file)
    office._db.execute(f"PRAGMA max_page_count = {pragma(office, 'page_count')}")
    with pytest.raises(ArchiveFullError):
        import_from(office, file)


def test_archive_open_for_reading_takes_nothing(archive, office, file, measured):
    export(archive, ids(measured), file)
    with Archive.read(office.path) as reader, pytest.raises(ArchiveReadOnlyError):
        import_from(reader, file)


def test_nothing_that_does_not_hold_is_sent_on(archive, file, measured):
    name = ids(measured)[0]
    with pytest.raises(TransferError, match="holds no inspection nobody"):
        export(archive, ["nobody"], file)
    archive._db.execute("DROP TRIGGER attachment_is_never_removed")
    archive._db.execute("DELETE FROM attachment")
    with pytest.raises(AttachmentError, match="holds no attachment"):
        export(archive, [name], file)
    archive._db.execute("DROP TRIGGER event_is_never_changed")
    archive._db.execute("UPDATE event SET actor = 'b' WHERE seq = 2")
    with pytest.raises(ChainBrokenError):
        export(archive, [name], file)
    with pytest.raises(TransferError, match="does not exist; make it"):
        export(archive, [name], file / "nowhere" / "x")
    assert not file.exists()

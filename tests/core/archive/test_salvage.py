"""Saving from damaged files: every event that is left vouches for itself, chain by chain."""

import random
import sqlite3

import pytest

from seatproof.core.archive.errors import ArchiveUnusableError, CopyError
from seatproof.core.archive.file import Archive
from seatproof.core.archive.pages import Pages
from seatproof.core.archive.progress import StoppedError
from seatproof.core.archive.rows import EVENT_COLUMNS, row_of
from seatproof.core.archive.salvage import salvage
from seatproof.core.record.events import check_chain
from seatproof.core.record.file import record_bytes

PAGE = 4096


@pytest.fixture
def target(tmp_path):
    return tmp_path / "saved.seatproof"


@pytest.fixture
def filled(path, chain, bench_of):
    """Make an archive of two inspections, a register, a photo and events too long for a page."""
    with Archive.open(path) as archive:
        bench = bench_of(archive, stations=9, orientations=3)
        bench.fill(lambda point: "99.99")
        photo = archive.put_attachment(random.Random(1).randbytes(30_000))
        archive.append_all(
            chain(30, inspection="j", kind="photo", payload={"sha256": photo, "x": "ø" * 4000})
        )
        for event in chain(3, inspection="people"):
            archive.append_register(event)
        return {
            "inspections": {name: archive.events(name) for name in archive.inspections()},
            "people": archive.register_events("people"),
            "photo": photo,
        }


def destroy(path, pages, *, seed=0):
    """Overwrite pages, numbered from 1, with noise."""
    content = bytearray(path.read_bytes())
    draw = random.Random(seed)
    for page in pages:
        content[(page - 1) * PAGE : page * PAGE] = draw.randbytes(PAGE)
    path.write_bytes(content)


def test_whole_archive_is_saved_whole(path, filled, target):
    before = path.read_bytes()
    told = []
    saved = salvage(path, target, lambda done, total: told.append((done, total)))
    assert path.read_bytes() == before
    assert told[-1] == (len(before) // PAGE, len(before) // PAGE)
    with Archive.open(target) as archive:
        assert {n: archive.events(n) for n in archive.inspections()} == filled["inspections"]
        assert archive.register_events("people") == filled["people"]
        assert len(archive.attachment(filled["photo"])) == 30_000
    assert saved.loose_events is None
    assert saved.missing_attachments == ()
    assert [chain.loose for chain in saved.inspections] == [0, 0]
    assert saved.registers[0].sentence == "people: 3 events, none missing between them"


def test_pages_give_what_sqlite_gives(path, filled):
    """Every row of every table, long ones too, read by two programs."""
    with sqlite3.connect(path) as db:
        expected = set(db.execute(f"SELECT {EVENT_COLUMNS} FROM event"))
    db.close()
    with Pages(path) as pages:
        found = {
            tuple(row[1:])
            for _, rows in pages.rows()
            for row in rows
            if len(row) == 10 and isinstance(row[1], str)
        }
    assert found == expected


def test_events_of_a_program_that_was_killed_are_saved_from_the_log(path, chain, target, tmp_path):
    with Archive.open(path) as archive:
        events = chain(40, payload={"padding": "x" * 3000})
        for event in events:
            archive.append(event)
        log = path.with_name(f"{path.name}-wal").read_bytes()
        content = path.read_bytes()
    damaged = tmp_path / "killed.seatproof"
    damaged.write_bytes(content)
    damaged.with_name(f"{damaged.name}-wal").write_bytes(log)
    destroy(damaged, range(1, len(content) // PAGE + 1))
    salvage(damaged, target)
    with Archive.open(target) as archive:
        assert list(archive.events("i")) == events


def test_file_without_its_beginning_is_saved(path, filled, target):
    destroy(path, [1])
    with pytest.raises(ArchiveUnusableError, match="save what can be saved with"):
        Archive.open(path)
    salvage(path, target)
    with Archive.open(target) as archive:
        assert archive.inspections() == tuple(filled["inspections"])


@pytest.mark.parametrize("seed", range(12))
def test_whatever_is_saved_was_written_and_hangs_together(path, filled, target, seed):
    """Noise in the file's place of some pages: what is saved is a beginning of what there was."""
    count = path.stat().st_size // PAGE
    draw = random.Random(seed)
    destroy(path, draw.sample(range(1, count + 1), k=max(1, count // 8)), seed=seed)
    saved = salvage(path, target)
    with Archive.open(target) as archive:
        names = archive.inspections()
        for name in names:
            events = archive.events(name)
            assert check_chain(events) == len(events)
            assert events == filled["inspections"][name][: len(events)]
    # Events on one page each: those on pages that are left are all found, saved or laid aside.
    left = path.read_bytes()
    (small,) = [chain for chain in saved.inspections if chain.name != "j"]
    every = filled["inspections"][small.name]
    kept = [event for event in every[1:] if row_of(event)[6].encode() in left]
    assert small.saved + small.loose >= len(kept)


def test_what_follows_a_gap_is_laid_aside(path, target, chain):
    events = chain(60, payload={"padding": "x" * 900})
    with Archive.open(path) as archive:
        archive.append_all(events)
    content = bytearray(path.read_bytes())
    at = content.index(events[29].hash.encode())  # some page in the middle
    destroy(path, [at // PAGE + 1])
    saved = salvage(path, target)
    (found,) = saved.inspections
    assert 0 < found.saved < 30
    assert found.loose >= 60 - found.saved - 5
    assert found.sentence == (
        f"i: events 1 to {found.saved}; event {found.saved + 1} is lost, and {found.loose} after "
        "it were laid aside"
    )
    assert saved.loose_events == target.with_name("saved.loose-events.json")
    text = saved.loose_events.read_bytes()
    for event in events[-found.loose :]:
        assert record_bytes([event])[len(b'{"events":[') :].split(b'],"format"')[0] in text
    with Archive.open(target) as archive:
        assert list(archive.events("i")) == events[: found.saved]


def test_photo_that_is_lost_is_named(path, filled, target):
    content = path.read_bytes()
    photo = random.Random(1).randbytes(30_000)
    at = content.index(photo[10_000:10_100])
    destroy(path, [at // PAGE + 1])
    saved = salvage(path, target)
    assert saved.missing_attachments == (filled["photo"],)
    assert saved.attachments == 0
    with Archive.open(target) as archive:
        assert len(archive.events("j")) == 30


def test_file_in_which_nothing_is_left_says_so(path, target):
    path.write_bytes(random.Random(1).randbytes(50_000))
    with pytest.raises(ArchiveUnusableError, match="No event was found"):
        salvage(path, target)
    assert not target.exists()
    path.write_bytes(b"")
    with pytest.raises(ArchiveUnusableError, match="No event was found"):
        salvage(path, target)


def test_what_is_saved_goes_over_no_other_file(path, filled, target):
    target.write_text("mine", encoding="utf-8")
    with pytest.raises(CopyError, match="is there already; name a new file"):
        salvage(path, target)
    assert target.read_text(encoding="utf-8") == "mine"


def test_salvage_can_be_stopped(path, target, chain):
    with Archive.open(path) as archive:
        archive.append_all(chain(300, payload={"padding": "x" * 3000}))
    with pytest.raises(StoppedError):
        salvage(path, target, cancelled=lambda: True)
    assert not target.exists()

"""Copies: of one moment while presses arrive, verified, and never in the place of a better one."""

import shutil
import sqlite3
import threading
from datetime import date

import pytest

from seatproof.core.archive import backup, health
from seatproof.core.archive.backup import back_up, back_up_after_seal
from seatproof.core.archive.errors import ArchiveError, ArchiveUnusableError, CopyError
from seatproof.core.archive.file import Archive
from seatproof.core.archive.progress import StoppedError
from seatproof.core.archive.transfer import import_from
from seatproof.core.record.events import check_chain

DAY = date(2024, 5, 17)


@pytest.fixture
def copy(tmp_path):
    folder = tmp_path / "copies"
    folder.mkdir()
    return folder / "copy.seatproof"


def test_copy_holds_everything_and_is_one_file(archive, path, copy, chain, bench_of):
    bench = bench_of(archive)
    bench.fill(lambda point: "99.99")
    archive.append_register(chain(1, inspection="people")[0])
    photo = archive.put_attachment(b"a photo")
    told = []
    done = back_up(path, copy, lambda done, total: told.append((done, total)))
    assert (done.path, done.n_bytes) == (copy, copy.stat().st_size)
    assert (done.health.inspections, done.health.events, done.health.attachments) == (1, 10, 1)
    assert told[-1] == (10, 10)
    assert [file.name for file in copy.parent.iterdir()] == [copy.name]
    with Archive.open(copy) as other:
        assert other.events(bench.state.inspection) == archive.events(bench.state.inspection)
        assert other.register_events("people") == archive.register_events("people")
        assert other.attachment(photo) == b"a photo"
        assert other.entries() == archive.entries()


def test_copy_is_made_while_presses_arrive(archive, path, copy, bench_of, monkeypatch):
    """The bench stores an event between any two pieces of the copy; neither waits for the other."""
    monkeypatch.setattr(backup, "_PAGES_AT_ONCE", 1)
    bench = bench_of(archive, stations=19, orientations=9)
    piece, press = threading.Semaphore(0), threading.Semaphore(0)
    outcome = []

    def told(done, total):
        piece.release()
        assert press.acquire(timeout=10)

    def make():
        outcome.append(back_up(path, copy, told))

    thread = threading.Thread(target=make)
    thread.start()
    logged = 0
    while thread.is_alive():
        if piece.acquire(timeout=0.05):
            if bench.state.cursor is not None:
                bench.press("99.99")
                logged += 1
            press.release()
    thread.join()
    assert logged > 20
    (done,) = outcome
    with Archive.read(copy) as other:
        copied = other.events(bench.state.inspection)
    now = archive.events(bench.state.inspection)
    assert check_chain(copied) == done.health.events < len(now)
    assert copied == now[: len(copied)]


def test_copy_that_does_not_hold_is_thrown_away_and_the_old_one_stays(
    archive, path, copy, chain, monkeypatch
):
    for event in chain(3):
        archive.append(event)
    back_up(path, copy)
    before = copy.read_bytes()
    fsync = backup.os.fsync

    def damaged(number):
        fsync(number)
        content = bytearray(unfinished.read_bytes())
        at = content.index(b'"1.50"')
        content[at : at + 6] = b'"1.51"'
        unfinished.write_bytes(content)

    unfinished = copy.with_name(f"{copy.name}.part")
    monkeypatch.setattr(backup.os, "fsync", damaged)
    with pytest.raises(CopyError, match=r"does not hold, so it was thrown away: Event \d of insp"):
        back_up(path, copy)
    assert copy.read_bytes() == before
    assert [file.name for file in copy.parent.iterdir()] == [copy.name]


def test_stopped_copy_leaves_nothing(archive, path, copy):
    with pytest.raises(StoppedError, match="Stopped, as asked"):
        back_up(path, copy, cancelled=lambda: True)
    assert list(copy.parent.iterdir()) == []


def test_copy_into_a_place_that_will_not_do_is_refused(archive, path, copy, tmp_path):
    for target, words in (
        (path, "is the archive itself"),
        (tmp_path, "is a folder; name a file"),
        (tmp_path / "nowhere" / "copy", "does not exist; make it"),
    ):
        with pytest.raises(CopyError, match=words):
            back_up(path, target)
    with pytest.raises(ArchiveError, match="There is no archive"):
        back_up(tmp_path / "none", copy)


def test_copy_replaces_an_older_one_and_nothing_else(archive, path, copy, chain, tmp_path):
    archive.append_all(chain(3))
    back_up(path, copy)
    archive.append_all(chain(2, inspection="later"))
    back_up(path, copy)
    with Archive.open(copy) as went_on:
        assert len(went_on.inspections()) == 2
        went_on.append_all(chain(1, inspection="only there"))
    for taken, content in ((copy, None), (tmp_path / "letter.txt", b"Dear Sir"), (path, None)):
        if content is not None:
            taken.write_bytes(content)
        before = taken.read_bytes()
        with pytest.raises(CopyError, match=r"name a new file|another file"):
            back_up(path, taken)
        assert taken.read_bytes() == before


def test_copy_onto_a_full_disk_says_so(archive, path, copy, chain, monkeypatch):
    small = copy.parent / "archive"
    monkeypatch.setattr(sqlite3, "connect", _limited(sqlite3.connect, small.name))
    for event in chain(200, payload={"padding": "x" * 500}):
        archive.append(event)
    with pytest.raises(CopyError, match=r"cannot be written in .*full; choose another folder"):
        back_up(path, small)
    assert list(copy.parent.iterdir()) == []


def _limited(connect, name):
    """Return what opens files of that name so that they take no more than two pages."""

    def connected(path, **options):
        db = connect(path, **options)
        if name in str(path):
            db.execute("PRAGMA max_page_count = 2")
        return db

    return connected


def test_seal_is_kept_in_a_second_folder(archive, path, copy, bench_of, tmp_path):
    folder = copy.parent
    for number in (1, 2):
        bench = bench_of(archive, stations=1)
        bench.fill(lambda point: "99.99")
        bench.inspection.seal({}, "s")
        kept = back_up_after_seal(path, folder, bench.state.inspection, DAY)
        assert (kept.copy is not None) is (number == 1)  # one whole copy a day
    with Archive.open(tmp_path / "again.seatproof") as again:
        for transfer in folder.glob("*.transfer"):
            assert import_from(again, transfer).refused == ()
        assert sorted(again.heads()) == sorted(archive.heads())


def test_oldest_copies_go_but_none_that_holds_more(archive, path, copy, bench_of, chain):
    folder = copy.parent
    bench = bench_of(archive, stations=1)
    inspection = bench.state.inspection
    for day in range(1, 10):
        back_up_after_seal(path, folder, inspection, date(2024, 5, day))
    days = [file.stem[-2:] for file in sorted(folder.glob("*-copy-*"))]
    assert days == ["03", "04", "05", "06", "07", "08", "09"]
    # An archive that lost something must not push out the copies that have it.
    richer = folder / "archive-copy-2024-05-01.seatproof"
    shutil.copy(folder / "archive-copy-2024-05-03.seatproof", richer)
    with Archive.open(richer) as other:
        other.append_all(chain(5))
    foreign = folder / "archive-copy-2024-05-02.seatproof"
    foreign.write_bytes(b"not an archive")
    back_up_after_seal(path, folder, inspection, date(2024, 5, 10))
    days = [file.stem[-2:] for file in sorted(folder.glob("*-copy-*"))]
    assert days == ["01", "02", "04", "05", "06", "07", "08", "09", "10"]


# --- checking -------------------------------------------------------------------------------------


def test_whole_archive_holds(archive, path, chain):
    archive.append_all((*chain(3), *chain(2, inspection="j")))
    archive.append_register(chain(1, inspection="people")[0])
    archive.put_attachment(b"a photo")
    found = health.check(path)
    assert found.holds
    assert (found.inspections, found.events, found.attachments) == (2, 6, 1)


@pytest.mark.parametrize(
    ("statements", "sentence"),
    [
        (
            ["UPDATE event SET payload = replace(payload, '1.50', '1.51') WHERE seq = 2"],
            "Event 2 of inspection i does not hold: its content was altered.",
        ),
        (
            ["UPDATE event SET payload = ' ' || payload WHERE seq = 2"],
            "Event 2 of inspection i does not hold: its content was altered.",
        ),
        (
            ["UPDATE event SET utc = replace(utc, '2024', '2023') WHERE seq = 3"],
            "Event 3 of inspection i does not hold: its content was altered.",
        ),
        (
            ["DELETE FROM event WHERE seq = 2"],
            "Event 3 of inspection i does not hold: event 2 should stand in its place.",
        ),
        (
            ["DELETE FROM event WHERE seq = 2", "UPDATE event SET seq = 2 WHERE seq = 3"],
            "Event 2 of inspection i does not hold: it does not follow on the event before it.",
        ),
        (
            ["UPDATE attachment SET content = x'00'"],
            "Attachment {photo} does not hold: its content was altered.",
        ),
        (
            ["UPDATE register_event SET actor = 'b'"],
            "Event 1 of register people does not hold: its content was altered.",
        ),
    ],
)
def test_whatever_was_altered_is_named(archive, path, chain, statements, sentence):
    archive.append_all(chain(4))
    archive.append_register(chain(1, inspection="people")[0])
    photo = archive.put_attachment(b"a photo")
    for table in ("event", "register_event", "attachment"):
        for what in ("changed", "removed"):
            archive._db.execute(f"DROP TRIGGER {table}_is_never_{what}")
    for statement in statements:
        archive._db.execute(statement)
    found = health.check(path)
    assert not found.holds
    assert found.broken[0].sentence == sentence.format(photo=photo)


def test_damaged_pages_are_found(archive, path, chain):
    archive.append_all(chain(200, payload={"padding": "x" * 500}))
    archive.close()
    content = bytearray(path.read_bytes())
    content[40_960:45_056] = bytes(4096)
    path.write_bytes(content)
    found = health.check(path)
    assert not found.holds
    assert found.broken[0].what == "the database"


def test_check_can_be_stopped(archive, path, chain, monkeypatch):
    monkeypatch.setattr(health, "_TOLD_EVERY", 1)
    archive.append_all(chain(3))
    with pytest.raises(StoppedError):
        health.check(path, cancelled=lambda: True)


def test_file_of_the_first_version_is_copied_and_checked_as_it_is(first_version, copy):
    done = back_up(first_version, copy)
    assert (done.health.inspections, done.health.events) == (2, 17)
    assert health.check(first_version).holds


# --- at opening -----------------------------------------------------------------------------------


@pytest.fixture
def large(path, chain, monkeypatch):
    """Make an archive that counts as one too large to be looked over as a whole."""
    with Archive.open(path) as archive:
        archive.append_all(chain(60, payload={"padding": "x" * 900}))
    monkeypatch.setattr(health, "LOOKED_OVER_BYTES", 0)
    return path


def test_large_archive_that_holds_is_opened(large, stored):
    assert len(stored()) == 60


def test_large_archive_whose_end_is_missing_is_refused(large):
    large.write_bytes(large.read_bytes()[:-4096])
    with pytest.raises(ArchiveError, match=r"is damaged \(.*seatproof archive salvage"):
        Archive.open(large)


def test_large_archive_whose_newest_events_were_altered_is_refused(large):
    content = large.read_bytes()
    at = content.rindex(b"x" * 900)
    large.write_bytes(content[:at] + b"y" + content[at + 1 :])
    with pytest.raises(ArchiveError, match=r"is damaged \(event \d+ of inspection i was altered"):
        Archive.open(large)


def test_empty_file_is_no_archive_that_holds(path, copy):
    path.touch()
    for look in (lambda: health.check(path), lambda: back_up(path, copy)):
        with pytest.raises(ArchiveUnusableError, match=f"^{path} holds no events"):
            look()
    assert not copy.exists()

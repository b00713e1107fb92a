"""Archives: acknowledged is on disk, nothing is overwritten, and every fault is a sentence."""

import contextlib
import os
import random
import signal
import sqlite3
import subprocess
import sys
import tempfile
import threading
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from seatproof.core.archive.errors import (
    ArchiveBusyError,
    ArchiveConflictError,
    ArchiveError,
    ArchiveFullError,
    ArchiveReadOnlyError,
    ArchiveTooNewError,
    ArchiveUnusableError,
)
from seatproof.core.archive.file import Archive
from seatproof.core.archive.schema import APPLICATION_ID, STEPS
from seatproof.core.record.events import check_chain, next_event
from seatproof.core.record.state import fold

NOBODY = 65534


def event_after(last, *, inspection="i", payload=None):
    return next_event(
        inspection=inspection,
        last=last,
        moment=datetime(2024, 5, 17, tzinfo=UTC),
        actor="a",
        kind="k",
        payload={"ø": "1.50"} if payload is None else payload,
    )


def chain(count, **options):
    events = []
    for _ in range(count):
        events.append(event_after(events[-1] if events else None, **options))
    return events


def stored(path, inspection="i"):
    with Archive.open(path) as archive:
        return list(archive.events(inspection))


@pytest.fixture
def path(tmp_path):
    return tmp_path / "archive.seatproof"


@pytest.fixture
def archive(path):
    with Archive.open(path, busy_timeout_s=0.05) as archive:
        yield archive


def pragma(archive, name):
    return archive._db.execute(f"PRAGMA {name}").fetchone()[0]


# --- durable and append-only ----------------------------------------------------------------------


def test_file_is_set_so_that_a_commit_is_on_disk(path):
    with Archive.open(path) as archive:
        assert pragma(archive, "synchronous") == 2  # FULL
        assert pragma(archive, "journal_mode") == "wal"
        assert pragma(archive, "foreign_keys") == 1
        assert pragma(archive, "application_id") == APPLICATION_ID
        assert pragma(archive, "user_version") == len(STEPS)
    # SQLite's file format keeps the application's number big-endian at byte 68.
    assert path.read_bytes()[68:72] == b"SEAT"


def test_sixty_events_survive_reopening(path, bench_of):
    with Archive.open(path) as archive:
        bench = bench_of(archive, stations=19, orientations=3)
        bench.fill(lambda point: "99.99")
        state = bench.state
    events = stored(path, state.inspection)
    assert check_chain(events) == 60
    assert fold(events) == state
    assert [file.name for file in path.parent.iterdir()] == [path.name]  # no log left beside it


def test_events_come_back_as_they_went_in(archive):
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
def test_stored_events_are_neither_changed_nor_removed(archive, statement):
    events = chain(3)
    for event in events:
        archive.append(event)
    with pytest.raises(sqlite3.IntegrityError):
        archive._db.execute(statement)
    assert list(archive.events("i")) == events


def test_event_that_does_not_follow_is_refused(archive):
    first, second, third = chain(3)
    other = event_after(first, payload={"other": "branch"})
    archive.append(first)
    archive.append(second)
    for wrong in (
        first,  # there already
        second,
        other,  # a second window's event on the same predecessor
        replace(third, previous=first.hash),
        replace(third, seq=2),
        replace(first, hash="f" * 64),  # a second beginning
        replace(third, hash="short"),
        replace(third, inspection="new"),  # an inspection that begins in the middle
        replace(third, inspection="new", previous=first.previous),  # and says that it does not
    ):
        with pytest.raises(ArchiveConflictError, match="carried on elsewhere"):
            archive.append(wrong)
        assert list(archive.events("i")) == [first, second]
    archive.append(third)


def test_second_window_is_told_to_open_the_inspection_again(path, bench_of):
    with Archive.open(path) as archive, Archive.open(path) as second:
        bench = bench_of(archive)
        other = bench_of(archive)  # another inspection does not matter
        bench.press("99.99")
        window = type(bench.inspection).resume(
            second, bench.state.inspection, actor="b", clock=bench.clock
        )
        bench.press("99.98")
        other.press("99.97")
        before = window.state
        with pytest.raises(ArchiveConflictError):
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


CHILD = """
import os, sys
from pathlib import Path
from seatproof.core.archive.file import Archive
from seatproof.core.record.events import next_event
from datetime import datetime, UTC
with Archive.open(Path(sys.argv[1])) as archive:
    kept = archive.events("i")
    last = kept[-1] if kept else None
    while True:
        last = next_event(inspection="i", last=last, moment=datetime(2024, 5, 17, tzinfo=UTC),
                          actor="a", kind="k", payload={"padding": "x" * (last.seq * 7 % 900)
                                                        if last else ""})
        archive.append(last)
        os.write(1, f"{last.seq}\\n".encode())
"""


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="this system has no SIGKILL")
def test_killed_program_loses_nothing_it_acknowledged(path):
    draw = random.Random(20)
    acknowledged = 0
    for _ in range(20):
        with subprocess.Popen(
            [sys.executable, "-c", CHILD, str(path)], stdout=subprocess.PIPE
        ) as child:
            for _ in range(draw.randint(1, 12)):
                acknowledged = int(child.stdout.readline())
            child.kill()
            # What it had still acknowledged before the kill reached it.
            for line in child.stdout.read().splitlines(keepends=True):
                if line.endswith(b"\n"):
                    acknowledged = int(line)
        assert child.returncode == -signal.SIGKILL
        events = stored(path)
        assert check_chain(events) >= acknowledged
    assert acknowledged > 20


# --- files that will not do -----------------------------------------------------------------------


def test_text_file_is_refused_and_left_as_it_is(path):
    path.write_text("my notes\n" * 500, encoding="utf-8")
    before = path.read_bytes()
    with pytest.raises(ArchiveUnusableError, match="is not a Seatproof archive"):
        Archive.open(path)
    assert path.read_bytes() == before


def test_database_of_another_program_is_refused_and_left_as_it_is(path):
    with contextlib.closing(sqlite3.connect(path)) as db:
        db.execute("CREATE TABLE theirs (x)")
        db.commit()
    before = path.read_bytes()
    with pytest.raises(ArchiveUnusableError, match="is a database of another program"):
        Archive.open(path)
    assert path.read_bytes() == before


def test_damaged_archive_is_refused(path):
    with Archive.open(path) as archive:
        for event in chain(200, payload={"padding": "x" * 500}):
            archive.append(event)
    content = bytearray(path.read_bytes())
    content[4096:-4096] = bytes(len(content) - 8192)
    path.write_bytes(content)
    with pytest.raises(ArchiveUnusableError, match="damaged"), Archive.open(path) as archive:
        archive.events("i")


def test_empty_file_becomes_an_archive(path):
    path.touch()
    assert stored(path) == []


def test_folder_is_refused(tmp_path):
    with pytest.raises(ArchiveUnusableError, match="is a folder; name an archive file"):
        Archive.open(tmp_path)


def test_missing_folder_is_refused(tmp_path):
    with pytest.raises(ArchiveUnusableError, match=r"The folder .*nowhere does not exist; make it"):
        Archive.open(tmp_path / "nowhere" / "a.seatproof")


def test_newer_archive_is_refused(path):
    Archive.open(path, (*STEPS, lambda db: None)).close()
    before = path.read_bytes()
    with pytest.raises(ArchiveTooNewError) as caught:
        Archive.open(path)
    assert (caught.value.found, caught.value.known) == (len(STEPS) + 1, len(STEPS))
    assert "open it with a newer Seatproof" in str(caught.value)
    assert path.read_bytes() == before


# --- steps ----------------------------------------------------------------------------------------


def failing(db):
    db.execute("CREATE TABLE half_done (x)")
    db.execute("INSERT INTO no_such_table VALUES (1)")


def test_step_that_fails_halfway_leaves_the_old_version(path):
    events = chain(3)
    with Archive.open(path) as archive:
        for event in events:
            archive.append(event)
    with pytest.raises(ArchiveError, match="no_such_table"):
        Archive.open(path, (*STEPS, failing))
    with Archive.open(path) as archive:
        assert pragma(archive, "user_version") == len(STEPS)
        tables = archive._db.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
        assert tables.fetchall() == [("event",)]
        assert list(archive.events("i")) == events


def test_archive_whose_making_was_cut_short_is_made_after_all(path):
    """The half-made file was once taken for another program's."""
    with pytest.raises(ArchiveError):
        Archive.open(path, (failing,))
    assert path.stat().st_size > 0
    assert stored(path) == []


def test_older_archive_is_brought_forward_with_all_its_events(path):
    events = chain(3)
    with Archive.open(path) as archive:
        for event in events:
            archive.append(event)
    later = (*STEPS, lambda db: db.execute("CREATE TABLE note (text TEXT) STRICT"))
    with Archive.open(path, later) as archive:
        assert pragma(archive, "user_version") == len(STEPS) + 1
        assert list(archive.events("i")) == events
        archive._db.execute("INSERT INTO note VALUES ('x')")


def test_two_programs_may_make_the_archive_at_once(path):
    barrier = threading.Barrier(4)
    troubles = []

    def open_it():
        barrier.wait()
        try:
            Archive.open(path).close()
        except ArchiveError as error:
            troubles.append(error)

    threads = [threading.Thread(target=open_it) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert troubles == []
    assert stored(path) == []


# --- places and moments in which nothing can be stored -------------------------------------------


@contextlib.contextmanager
def ordinary_user():
    """Give up the rights of root, which no file mode stops, for as long as the block lasts."""
    if not hasattr(os, "setresuid"):
        pytest.skip("file modes do not stop anybody on this system")
    if os.getuid() != 0:
        yield
        return
    os.setresuid(NOBODY, NOBODY, 0)
    try:
        yield
    finally:
        os.setresuid(0, 0, 0)


@pytest.fixture
def shared():
    """Make a folder that an ordinary user can reach, with an archive of one event."""
    folder = Path(tempfile.mkdtemp())
    path = folder / "archive.seatproof"
    with Archive.open(path) as archive:
        archive.append(chain(1)[0])
    folder.chmod(0o777)
    path.chmod(0o666)
    yield path
    folder.chmod(0o700)
    for file in folder.iterdir():
        file.unlink()
    folder.rmdir()


def test_file_that_can_be_written_is_opened_by_an_ordinary_user(shared):
    with ordinary_user():
        assert len(stored(shared)) == 1


def test_read_only_file_is_refused(shared):
    shared.chmod(0o444)
    with ordinary_user(), pytest.raises(ArchiveReadOnlyError) as caught:
        Archive.open(shared)
    assert str(caught.value) == (
        f"{shared} is read-only, so no reading could be stored; choose an archive file in a folder "
        "of your own, or ask for the right to write there."
    )


def test_read_only_folder_is_refused(shared):
    shared.parent.chmod(0o555)
    with ordinary_user():
        for path in (shared, shared.with_name("new.seatproof")):
            with pytest.raises(ArchiveReadOnlyError, match=f"^{shared.parent} is read-only"):
                Archive.open(path)
    assert len(list(shared.parent.iterdir())) == 1


def test_file_that_cannot_be_read_is_refused(shared):
    shared.chmod(0o000)
    with ordinary_user(), pytest.raises(ArchiveUnusableError, match="You have no right to read"):
        Archive.open(shared)


def test_archive_that_becomes_read_only_says_so(archive):
    first, second = chain(2)
    archive.append(first)
    archive._db.execute("PRAGMA query_only = ON")  # SQLite then refuses as on a read-only file
    with pytest.raises(ArchiveReadOnlyError, match="nothing can be stored in it"):
        archive.append(second)
    archive._db.execute("PRAGMA query_only = OFF")
    archive.append(second)
    assert list(archive.events("i")) == [first, second]


def test_archive_in_which_another_program_writes_is_busy(archive, path):
    first, second = chain(2)
    archive.append(first)
    with contextlib.closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(ArchiveBusyError, match="Another program is writing in"):
            archive.append(second)
        assert archive.events("i") == (first,)  # reading goes on
        other.execute("ROLLBACK")
    archive.append(second)


def test_reader_sees_whole_events_while_another_writes(path):
    events = chain(5)
    with Archive.open(path) as writer, Archive.open(path) as reader:
        for count, event in enumerate(events):
            assert list(reader.events("i")) == events[:count]
            writer.append(event)
        reader._db.execute("BEGIN")
        assert len(reader.events("i")) == 5
        writer.append(event_after(events[-1]))  # a reader holds nobody up
        assert len(reader.events("i")) == 5
        reader._db.execute("COMMIT")
        assert len(reader.events("i")) == 6


def test_full_disk_is_said_and_changes_nothing(archive):
    (first,) = chain(1)
    archive.append(first)
    archive._db.execute(f"PRAGMA max_page_count = {pragma(archive, 'page_count')}")
    big = event_after(first, payload={"padding": "x" * 100_000})
    for _ in range(2):  # and the second time too
        with pytest.raises(
            ArchiveFullError, match="is full; make room, then press the gauge again"
        ):
            archive.append(big)
        assert archive.events("i") == (first,)
    archive._db.execute("PRAGMA max_page_count = 1000000")
    archive.append(big)
    assert archive.events("i") == (first, big)


def test_failed_commit_does_not_stop_what_follows(archive):
    """A transaction was once left open, so that nothing could be stored any longer."""
    first, second = chain(2)
    archive.append(first)
    archive._db.execute("CREATE TABLE a (x PRIMARY KEY)")
    archive._db.execute("CREATE TABLE b (x REFERENCES a DEFERRABLE INITIALLY DEFERRED)")
    archive._db.execute(  # what this writes is found wrong at the commit only
        "CREATE TRIGGER t AFTER INSERT ON event BEGIN INSERT INTO b VALUES (1); END"
    )
    with pytest.raises(ArchiveError):
        archive.append(second)
    archive._db.execute("DROP TRIGGER t")
    archive.append(second)
    assert archive.events("i") == (first, second)

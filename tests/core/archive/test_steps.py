"""Older and newer files: brought forward with nothing lost and a copy kept, or refused."""

import contextlib
import sqlite3
import threading

import pytest

from seatproof.core.archive import index
from seatproof.core.archive.errors import ArchiveError, ArchiveTooNewError, ArchiveTooOldError
from seatproof.core.archive.file import Archive
from seatproof.core.archive.query import Query
from seatproof.core.archive.schema import STEPS
from seatproof.core.record.events import check_chain
from seatproof.core.record.state import fold


def test_newer_archive_is_refused(path):
    Archive.open(path, (*STEPS, lambda db: None)).close()
    before = path.read_bytes()
    with pytest.raises(ArchiveTooNewError) as caught:
        Archive.open(path)
    assert (caught.value.found, caught.value.known) == (len(STEPS) + 1, len(STEPS))
    assert "open it with a newer Seatproof" in str(caught.value)
    assert path.read_bytes() == before


def failing(db):
    db.execute("CREATE TABLE half_done (x)")
    db.execute("INSERT INTO no_such_table VALUES (1)")


def test_step_that_fails_halfway_leaves_the_old_version(path, chain, pragma):
    events = chain(3)
    with Archive.open(path) as archive:
        for event in events:
            archive.append(event)
    with pytest.raises(ArchiveError, match="no_such_table"):
        Archive.open(path, (*STEPS, failing))
    with Archive.open(path) as archive:
        assert pragma(archive, "user_version") == len(STEPS)
        tables = archive._db.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
        assert ("half_done",) not in tables.fetchall()
        assert list(archive.events("i")) == events


def test_archive_whose_making_was_cut_short_is_made_after_all(path, stored):
    """The half-made file was once taken for another program's."""
    with pytest.raises(ArchiveError):
        Archive.open(path, (failing,))
    assert path.stat().st_size > 0
    assert stored() == []


def test_older_archive_is_brought_forward_with_all_its_events(path, chain, pragma):
    events = chain(3)
    with Archive.open(path) as archive:
        for event in events:
            archive.append(event)
    later = (*STEPS, lambda db: db.execute("CREATE TABLE note (text TEXT) STRICT"))
    with Archive.open(path, later) as archive:
        assert pragma(archive, "user_version") == len(STEPS) + 1
        assert list(archive.events("i")) == events
        archive._db.execute("INSERT INTO note VALUES ('x')")


def test_two_programs_may_make_the_archive_at_once(path, stored):
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
    assert stored() == []


def test_file_of_the_first_version_is_brought_forward(first_version, pragma):
    with contextlib.closing(sqlite3.connect(first_version)) as db:
        before = db.execute("SELECT * FROM event ORDER BY id").fetchall()
        assert db.execute("PRAGMA user_version").fetchone() == (1,)
    content = first_version.read_bytes()
    with Archive.open(first_version) as archive:
        assert pragma(archive, "user_version") == len(STEPS)
        assert archive._db.execute("SELECT * FROM event ORDER BY id").fetchall() == before
        (first, second) = archive.inspections()
        for inspection, count, sealed in ((first, 11, True), (second, 6, False)):
            events = archive.events(inspection)
            assert check_chain(events) == count
            assert (fold(events).sealed is not None) is sealed
        assert [entry.sheet_number for entry in archive.entries()] == ["F-2", "F-1"]
        assert [entry.sheet_number for entry in archive.find(Query("keyway")).entries] == ["F-2"]
        ((entry, result),) = archive.seat_trend("A", shaft="KF-0417-03")
        assert entry.sheet_number == "F-1"
        # The readings were 99.985 mm + station µm + 3 · orientation µm, at three and two of them.
        warm_um = 100_000 * (11.5e-6 * 2.5 - 11.5e-6 * 1)  # the shaft at 22.5 °C, the gauge at 21
        assert result.smallest_mm == pytest.approx(99.989 - warm_um / 1000, abs=1e-6)
        assert result.largest_mm == pytest.approx(99.994 - warm_um / 1000, abs=1e-6)
    # The old file is kept as it was, and another start makes no second copy.
    copy = first_version.with_name("archive-version-1.seatproof")
    with contextlib.closing(sqlite3.connect(copy)) as db:
        assert db.execute("SELECT * FROM event ORDER BY id").fetchall() == before
        assert db.execute("PRAGMA user_version").fetchone() == (1,)
    assert len(copy.read_bytes()) == len(content)
    Archive.open(first_version).close()
    assert sorted(file.name for file in first_version.parent.iterdir()) == [
        "archive-version-1.seatproof",
        "archive.seatproof",
    ]


def test_copy_of_the_old_file_holds_what_its_log_held(first_version, chain):
    """Events of a program that was killed are in the log beside the file, not in the file."""
    db = sqlite3.connect(first_version, isolation_level=None)
    db.execute("PRAGMA journal_mode = WAL")
    (event,) = chain(1)
    from seatproof.core.archive.rows import EVENT_COLUMNS, insert_row, row_of

    insert_row(db, "event", EVENT_COLUMNS, row_of(event))
    with Archive.open(first_version) as archive:
        assert archive.events("i") == (event,)
    db.close()
    copy = first_version.with_name("archive-version-1.seatproof")
    with contextlib.closing(sqlite3.connect(copy)) as db:
        assert db.execute("SELECT hash FROM event WHERE inspection = 'i'").fetchone() == (
            event.hash,
        )


def test_older_file_is_not_read_before_it_was_brought_forward(first_version):
    with pytest.raises(ArchiveTooOldError, match="open it once in the window"):
        Archive.read(first_version)
    Archive.open(first_version).close()
    with Archive.read(first_version) as archive:
        assert len(archive.entries()) == 2


def test_what_is_derived_is_made_anew_for_another_way_of_deriving(path, bench_of, monkeypatch):
    with Archive.open(path) as archive:
        bench_of(archive)
        before = archive.entries()
        archive._db.execute("DELETE FROM inspection")
        archive._db.execute("UPDATE derivation SET version = 0")
    with pytest.raises(ArchiveTooOldError):
        Archive.read(path)
    with Archive.open(path) as archive:
        assert archive.entries() == before
        assert index.derivation_of(archive._db) == index.DERIVATION

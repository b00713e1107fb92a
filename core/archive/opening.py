"""Opening an archive: its place, its lock, its health, and its version."""

import sqlite3
from dataclasses import dataclass
from pathlib import Path

from seatproof.core.archive.connection import connect_to_read, connect_to_write, errors_in_words
from seatproof.core.archive.errors import ArchiveTooNewError, ArchiveTooOldError
from seatproof.core.archive.health import check_at_opening
from seatproof.core.archive.index import DERIVATION, derivation_of
from seatproof.core.archive.lock import HeldElsewhereError, Lock
from seatproof.core.archive.migration import derive, migrate, version_of
from seatproof.core.archive.place import check_place_to_read, check_place_to_write
from seatproof.core.archive.progress import Progress
from seatproof.core.archive.schema import STEPS, Step


@dataclass(frozen=True, slots=True)
class Opened:
    """A connection, and the lock that goes with it, or why nothing can be stored through it."""

    db: sqlite3.Connection
    lock: Lock | None
    read_only: str


def open_to_write(
    path: Path, steps: tuple[Step, ...], busy_timeout_s: float, progress: Progress
) -> Opened:
    """Open a file for writing, or for reading where another program writes in it."""
    check_place_to_write(path)
    try:
        lock = Lock.take(path, busy_timeout_s)
    except HeldElsewhereError as error:
        return open_to_read(
            path,
            busy_timeout_s,
            f"{path} is open in another Seatproof ({error.holder}), so here it can be read only; "
            "close it there, then open it again.",
        )
    try:
        db = connect_to_write(path, busy_timeout_s)
        try:
            with errors_in_words(path):
                check_at_opening(path, db)
                migrate(path, db, steps)
                if version_of(db) >= len(STEPS):
                    derive(db, progress)
            return Opened(db, lock, "")
        except BaseException:
            db.close()
            raise
    except BaseException:
        lock.release()
        raise


def open_to_read(path: Path, busy_timeout_s: float, why: str) -> Opened:
    """Open a file for reading; `why` it can be read only."""
    check_place_to_read(path)
    db = connect_to_read(path, busy_timeout_s)
    try:
        with errors_in_words(path):
            found = version_of(db)
            if found > len(STEPS):
                raise ArchiveTooNewError(path, found, len(STEPS))
            if found < len(STEPS) or derivation_of(db) != DERIVATION:
                raise ArchiveTooOldError(path, found, len(STEPS))
        return Opened(db, None, why)
    except BaseException:
        db.close()
        raise

"""Bringing an older file forward, with a copy of it kept beside."""

import contextlib
import os
import sqlite3
from pathlib import Path

from seatproof.core.archive.connection import transaction
from seatproof.core.archive.errors import ArchiveTooNewError
from seatproof.core.archive.index import DERIVATION, derivation_of, rebuild
from seatproof.core.archive.progress import Progress
from seatproof.core.archive.schema import APPLICATION_ID, Step


def migrate(path: Path, db: sqlite3.Connection, steps: tuple[Step, ...]) -> None:
    """Bring a file to the newest version, one step a transaction; then make what is derived.

    A file that holds something already is copied first, under a name that tells its version.
    """
    version = version_of(db)
    if version > len(steps):
        raise ArchiveTooNewError(path, found=version, known=len(steps))
    if 0 < version < len(steps):
        keep_copy(path, db, version)
    for number, step in enumerate(steps[version:], start=version + 1):
        with transaction(db):
            if version_of(db) >= number:
                continue  # another program has opened the file at the same time and was faster
            step(db)
            db.execute(f"PRAGMA application_id = {APPLICATION_ID}")
            db.execute(f"PRAGMA user_version = {number}")


def derive(db: sqlite3.Connection, progress: Progress) -> None:
    """Make what is derived anew where it comes from another way of deriving, or was never made."""
    if derivation_of(db) == DERIVATION:
        return
    with transaction(db):
        rebuild(db, progress)


def version_of(db: sqlite3.Connection) -> int:
    """Return how many steps a file has behind it."""
    (version,) = db.execute("PRAGMA user_version").fetchone()
    return int(version)


def keep_copy(path: Path, db: sqlite3.Connection, version: int) -> Path:
    """Copy a file as it is, log included, beside it; return where the copy is."""
    copy = path.with_name(f"{path.stem}-version-{version}{path.suffix}")
    if copy.exists():
        return copy  # a start that was cut short has made it; the file is as it was then
    unfinished = path.with_name(f"{copy.name}.part")
    unfinished.unlink(missing_ok=True)
    try:
        with contextlib.closing(sqlite3.connect(unfinished)) as target:
            db.backup(target)
            target.execute("PRAGMA journal_mode = DELETE")
        with unfinished.open("rb+") as stream:
            os.fsync(stream.fileno())
        unfinished.replace(copy)
    finally:
        unfinished.unlink(missing_ok=True)
    return copy

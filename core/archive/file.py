"""An archive file: SQLite, append-only, and durable before anything is acknowledged.

Write-ahead log with ``synchronous=FULL``: a commit returns after the log was forced to disk, so a
power cut loses nothing that was acknowledged. One thread owns the connection.
"""

import contextlib
import json
import os
import sqlite3
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Final, Self

from seatproof.core.archive.errors import (
    ArchiveBusyError,
    ArchiveConflictError,
    ArchiveError,
    ArchiveFullError,
    ArchiveReadOnlyError,
    ArchiveTooNewError,
    ArchiveUnusableError,
)
from seatproof.core.archive.schema import APPLICATION_ID, STEPS, Step
from seatproof.core.record.events import Event, canonical

BUSY_TIMEOUT_S: Final = 1.0  # the window waits for it
OLDEST_SQLITE: Final = (3, 37)  # the first with STRICT tables

_COLUMNS = "inspection, seq, utc, offset_min, actor, kind, payload, previous, hash"


@dataclass(frozen=True, slots=True)
class Entry:
    """One inspection in an archive, as a list shows it; `thing` is the shaft or machine."""

    inspection: str
    opened_utc: str
    title: str
    thing: str
    sheet_number: str
    events: int
    sealed: bool


class Archive:
    """An open archive file; use it as a context manager, or call `close`."""

    def __init__(self, path: Path, db: sqlite3.Connection) -> None:
        self.path = path
        self._db = db

    @classmethod
    def open(
        cls, path: Path, steps: tuple[Step, ...] = STEPS, busy_timeout_s: float = BUSY_TIMEOUT_S
    ) -> Self:
        """Open an archive for writing, making it where there is none.

        `busy_timeout_s` is how long to wait for another program that is writing.

        Raises
        ------
        ArchiveUnusableError
            The file is not an archive, is damaged, or its folder does not exist.
        ArchiveTooNewError
            It was written by a newer program.
        ArchiveReadOnlyError, ArchiveBusyError, ArchiveFullError
            It cannot be written now.
        """
        if sqlite3.sqlite_version_info < OLDEST_SQLITE:
            raise ArchiveUnusableError(
                path, f"SQLite {sqlite3.sqlite_version} is too old; Seatproof needs 3.37 or newer."
            )
        _check_place(path)
        existed = path.exists() and path.stat().st_size > 0
        try:
            db = sqlite3.connect(path, timeout=busy_timeout_s, isolation_level=None)
        except sqlite3.Error as error:
            raise _sentence(path, error) from error
        try:
            with _errors_in_words(path):
                if existed:
                    _check_identity(path, db)
                db.execute("PRAGMA journal_mode = WAL")
                db.execute("PRAGMA synchronous = FULL")
                db.execute("PRAGMA fullfsync = ON")  # macOS: force the drive's own cache too
                db.execute("PRAGMA foreign_keys = ON")
                migrate(path, db, steps)
        except BaseException:
            db.close()
            raise
        return cls(path, db)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *exc: object) -> None:
        self.close()

    def close(self) -> None:
        """Close the file, once; the write-ahead log is folded in, so that one file is left."""
        with contextlib.suppress(sqlite3.OperationalError, sqlite3.ProgrammingError):
            # Another reader may hold the log open: it is then folded in by whoever closes last.
            self._db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        self._db.close()

    def append(self, event: Event) -> None:
        """Store one event; on return it is on disk.

        Raises
        ------
        ArchiveConflictError
            The inspection has gone on since `event` was made, for instance in a second window.
        ArchiveError
            The event could not be stored; nothing changed.
        """
        with _errors_in_words(self.path), _transaction(self._db):
            self._db.execute(
                f"INSERT INTO event ({_COLUMNS}) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
                (
                    event.inspection,
                    event.seq,
                    event.utc,
                    event.offset_min,
                    event.actor,
                    event.kind,
                    canonical(event.payload).decode(),
                    event.previous,
                    event.hash,
                ),
            )

    def events(self, inspection: str) -> tuple[Event, ...]:
        """Return all events of an inspection, oldest first; none where there is no such one."""
        with _errors_in_words(self.path):
            rows = self._db.execute(
                f"SELECT {_COLUMNS} FROM event WHERE inspection = ? ORDER BY seq", (inspection,)
            ).fetchall()
        return tuple(_event(row) for row in rows)

    def entries(self) -> tuple[Entry, ...]:
        """Return every inspection, newest first."""
        with _errors_in_words(self.path):
            rows = self._db.execute(
                """
                SELECT first.inspection, first.utc, first.payload, tail.events, tail.sealed
                FROM event AS first
                JOIN (
                    SELECT inspection, max(seq) AS events, max(kind = 'sealed') AS sealed
                    FROM event GROUP BY inspection
                ) AS tail USING (inspection)
                WHERE first.seq = 1
                ORDER BY first.id DESC
                """
            ).fetchall()
        return tuple(_entry(row) for row in rows)


def migrate(path: Path, db: sqlite3.Connection, steps: tuple[Step, ...]) -> None:
    """Bring a file to the newest version, one step a transaction."""
    version = _version(db)
    if version > len(steps):
        raise ArchiveTooNewError(path, found=version, known=len(steps))
    for number, step in enumerate(steps[version:], start=version + 1):
        with _transaction(db):
            if _version(db) >= number:
                continue  # another program has opened the file at the same time and was faster
            step(db)
            db.execute(f"PRAGMA application_id = {APPLICATION_ID}")
            db.execute(f"PRAGMA user_version = {number}")


def _version(db: sqlite3.Connection) -> int:
    (version,) = db.execute("PRAGMA user_version").fetchone()
    return int(version)


def _check_place(path: Path) -> None:
    try:
        is_folder, has_parent = path.is_dir(), path.parent.is_dir()
        path.exists()
    except OSError as error:
        raise ArchiveUnusableError(
            path, f"You have no right to look into {path.parent}; choose another folder."
        ) from error
    if is_folder:
        raise ArchiveUnusableError(path, f"{path} is a folder; name an archive file.")
    if not has_parent:
        raise ArchiveUnusableError(
            path, f"The folder {path.parent} does not exist; make it, or name another archive file."
        )
    if path.exists() and not os.access(path, os.R_OK):
        raise ArchiveUnusableError(
            path, f"You have no right to read {path}; ask whoever owns the file for it."
        )
    unwritable = path if path.exists() and not os.access(path, os.W_OK) else None
    if unwritable is None and not os.access(path.parent, os.W_OK):
        unwritable = path.parent
    if unwritable is not None:
        raise ArchiveReadOnlyError(
            path,
            f"{unwritable} is read-only, so no reading could be stored; choose an archive file "
            "in a folder of your own, or ask for the right to write there.",
        )


def _check_identity(path: Path, db: sqlite3.Connection) -> None:
    (application,) = db.execute("PRAGMA application_id").fetchone()
    (tables,) = db.execute("SELECT count(*) FROM sqlite_master").fetchone()
    # A file without tables is an archive whose making was cut short before its first step.
    if application != APPLICATION_ID and (application or tables):
        raise ArchiveUnusableError(
            path,
            f"{path} is a database of another program, not a Seatproof archive; name another file.",
        )


@contextlib.contextmanager
def _transaction(db: sqlite3.Connection) -> Iterator[None]:
    db.execute("BEGIN IMMEDIATE")
    try:
        yield
        db.execute("COMMIT")
    except BaseException:
        # A commit that failed, on a full disk for instance, leaves its transaction open.
        if db.in_transaction:
            db.execute("ROLLBACK")
        raise


@contextlib.contextmanager
def _errors_in_words(path: Path) -> Iterator[None]:
    try:
        yield
    except sqlite3.Error as error:
        raise _sentence(path, error) from error


def _sentence(path: Path, error: sqlite3.Error) -> ArchiveError:
    code = getattr(error, "sqlite_errorcode", 0) & 0xFF
    if code == sqlite3.SQLITE_NOTADB:
        return ArchiveUnusableError(
            path,
            f"{path} is not a Seatproof archive; name another file. Nothing was changed in it.",
        )
    if code == sqlite3.SQLITE_CORRUPT:
        return ArchiveUnusableError(
            path,
            f"The archive {path} is damaged; copy it to another disk before anything else, then "
            "open a backup.",
        )
    if code in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        return ArchiveBusyError(
            path, f"Another program is writing in {path}; close it, then try again."
        )
    if code in (sqlite3.SQLITE_READONLY, sqlite3.SQLITE_PERM):
        return ArchiveReadOnlyError(
            path,
            f"{path} is read-only, so nothing can be stored in it; choose another archive file.",
        )
    if code == sqlite3.SQLITE_FULL:
        return ArchiveFullError(
            path, f"The disk that holds {path} is full; make room, then press the gauge again."
        )
    if code == sqlite3.SQLITE_CONSTRAINT:
        return ArchiveConflictError(
            path,
            "The inspection was carried on elsewhere in the meantime, so this was not stored; "
            "open the inspection again and repeat it.",
        )
    return ArchiveError(path, f"The archive {path} cannot be used now: {error}.")


def _event(row: tuple[str, int, str, int, str, str, str, str, str]) -> Event:
    inspection, seq, utc, offset_min, actor, kind, payload, previous, digest = row
    return Event(
        inspection, seq, utc, offset_min, actor, kind, json.loads(payload), previous, digest
    )


def _entry(row: tuple[str, str, str, int, int]) -> Entry:
    inspection, utc, payload, events, sealed = row
    try:
        created = json.loads(payload)
        identification = created["identification"]
        title = str(tomllib.loads(created["plan_toml"])["plan"]["title"])
        number = str(identification["sheet_number"])
        thing = str(identification.get("shaft_serial") or identification.get("asset") or "")
    except (KeyError, TypeError, ValueError, AttributeError):
        # One altered event must not keep anybody from the others; opening this one says what is
        # wrong with it.
        title, number, thing = "This inspection cannot be read", "altered or of a newer program", ""
    return Entry(
        inspection=inspection,
        opened_utc=utc,
        title=title,
        thing=thing or "not named",
        sheet_number=number,
        events=events,
        sealed=bool(sealed),
    )

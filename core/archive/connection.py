"""Connections to SQLite: how they are set, their transactions, and their errors in words."""

import contextlib
import errno
import os
import sqlite3
from collections.abc import Iterator
from pathlib import Path
from typing import Final
from urllib.parse import quote

from seatproof.core.archive.errors import (
    ArchiveAlteredError,
    ArchiveBusyError,
    ArchiveConflictError,
    ArchiveDamagedError,
    ArchiveError,
    ArchiveFullError,
    ArchiveGoneError,
    ArchiveReadOnlyError,
    ArchiveUnusableError,
)
from seatproof.core.archive.schema import APPLICATION_ID

BUSY_TIMEOUT_S: Final = 1.0  # the window waits for it
OLDEST_SQLITE: Final = (3, 37)  # the first with STRICT tables
_NO_TEXT: Final = "Could not decode to UTF-8"  # Python's own words: SQLite takes any bytes
_PAGES_KEPT_KIB: Final = 16_384  # searches over a large archive come back to the same pages


def connect_to_write(path: Path, busy_timeout_s: float = BUSY_TIMEOUT_S) -> sqlite3.Connection:
    """Open a file so that a commit returns only once it would survive a power cut."""
    check_sqlite(path)
    existed = path.exists() and path.stat().st_size > 0
    with errors_in_words(path):
        db = sqlite3.connect(path, timeout=busy_timeout_s, isolation_level=None)
    with _closed_on_error(db), errors_in_words(path):
        if existed:
            check_identity(path, db)
        db.execute("PRAGMA journal_mode = WAL")
        db.execute("PRAGMA synchronous = FULL")
        db.execute("PRAGMA fullfsync = ON")  # macOS: force the drive's own cache too
        db.execute("PRAGMA foreign_keys = ON")
        db.execute(f"PRAGMA cache_size = -{_PAGES_KEPT_KIB}")
    return db


def connect_to_read(path: Path, busy_timeout_s: float = BUSY_TIMEOUT_S) -> sqlite3.Connection:
    """Open a file for looking only, in a folder that may not be written either."""
    check_sqlite(path)
    log = path.with_name(f"{path.name}-wal")
    if os.access(path, os.W_OK) and os.access(path.parent, os.W_OK):
        # SQLite itself stays able to write: else the index of its log would be left lying about.
        mode = "mode=rw"
    elif path.with_name(f"{path.name}-shm").exists():
        mode = "mode=ro"  # somebody has it open, or had
    elif log.exists():
        raise ArchiveReadOnlyError(
            path,
            f"{path} was not closed and {path.parent} is read-only, so it cannot be read there; "
            f"copy it, and {log.name} beside it, to a folder of your own.",
        )
    else:
        # No log, so nobody is writing, and its index could not be made there.
        mode = "mode=ro&immutable=1"
    uri = f"file:{quote(str(path.resolve()))}?{mode}"
    with errors_in_words(path):
        db = sqlite3.connect(uri, uri=True, timeout=busy_timeout_s, isolation_level=None)
    with _closed_on_error(db), errors_in_words(path):
        check_identity(path, db)
        db.execute("PRAGMA query_only = ON")
        db.execute(f"PRAGMA cache_size = -{_PAGES_KEPT_KIB}")
    return db


def check_sqlite(path: Path) -> None:
    """Refuse an SQLite library that lacks what the archive rests on."""
    if sqlite3.sqlite_version_info < OLDEST_SQLITE:
        raise ArchiveUnusableError(
            path, f"SQLite {sqlite3.sqlite_version} is too old; Seatproof needs 3.37 or newer."
        )


def check_identity(path: Path, db: sqlite3.Connection) -> None:
    """Refuse another program's database."""
    (application,) = db.execute("PRAGMA application_id").fetchone()
    (tables,) = db.execute("SELECT count(*) FROM sqlite_master").fetchone()
    # A file without tables is an archive whose making was cut short before its first step.
    if application != APPLICATION_ID and (application or tables):
        raise ArchiveUnusableError(
            path,
            f"{path} is a database of another program, not a Seatproof archive; name another file.",
        )


@contextlib.contextmanager
def transaction(db: sqlite3.Connection) -> Iterator[None]:
    """Do all that the block does, or nothing."""
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
def snapshot(db: sqlite3.Connection) -> Iterator[None]:
    """Let all that the block reads be of one moment, whatever others write meanwhile."""
    db.execute("BEGIN")
    try:
        yield
    finally:
        db.rollback()


@contextlib.contextmanager
def errors_in_words(path: Path) -> Iterator[None]:
    """Turn what SQLite raises into an `ArchiveError` with a sentence."""
    try:
        yield
    except sqlite3.Error as error:
        raise _sentence(path, error) from error


@contextlib.contextmanager
def _closed_on_error(db: sqlite3.Connection) -> Iterator[None]:
    try:
        yield
    except BaseException:
        db.close()
        raise


def _sentence(path: Path, error: sqlite3.Error) -> ArchiveError:
    match getattr(error, "sqlite_errorcode", 0) & 0xFF:
        case sqlite3.SQLITE_NOTADB:
            return ArchiveUnusableError(
                path,
                f"{path} is not a Seatproof archive; name another file. Nothing was changed in it. "
                "If it once was one, save what can be saved with: seatproof archive salvage.",
            )
        case sqlite3.SQLITE_CORRUPT:
            return ArchiveDamagedError(path, str(error))
        case sqlite3.SQLITE_BUSY | sqlite3.SQLITE_LOCKED:
            return ArchiveBusyError(
                path, f"Another program is writing in {path}; close it, then try again."
            )
        case sqlite3.SQLITE_READONLY | sqlite3.SQLITE_PERM:
            return ArchiveReadOnlyError(
                path,
                f"{path} is read-only, so nothing can be stored in it; choose another archive "
                "file.",
            )
        case sqlite3.SQLITE_FULL:
            return full(path)
        case sqlite3.SQLITE_IOERR | sqlite3.SQLITE_CANTOPEN:
            if _without_room(path):
                return full(path)
            return ArchiveGoneError(
                path,
                f"The disk that holds {path} does not take what is written to it ({error}); see "
                "that it is connected and has room, then open the archive again. The last press "
                "was not stored.",
            )
        case sqlite3.SQLITE_CONSTRAINT:
            return ArchiveConflictError(
                path,
                "The inspection was carried on elsewhere in the meantime, so this was not stored; "
                "open the inspection again and repeat it.",
            )
        case _ if str(error).startswith(_NO_TEXT):
            return ArchiveAlteredError(path, f"text in it is no text ({str(error)[:80]})")
        case _:
            return ArchiveError(path, f"The archive {path} cannot be used now: {error}.")


def full(path: Path) -> ArchiveFullError:
    """Return the error of a disk without room."""
    return ArchiveFullError(
        path, f"The disk that holds {path} is full; make room, then press the gauge again."
    )


def _without_room(path: Path) -> bool:
    """Tell whether a failed write may be for want of room; some systems say only that it failed."""
    probe = path.with_name(f"{path.name}-room")
    try:
        with probe.open("wb") as stream:
            stream.write(bytes(65_536))
            stream.flush()
            os.fsync(stream.fileno())
    except OSError as error:
        return error.errno in (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)
    else:
        return False
    finally:
        with contextlib.suppress(OSError):  # a disk that is gone takes the probe along
            probe.unlink(missing_ok=True)

"""Copies of an archive, made while it is measured in, and verified before they get their name.

The copy is of one moment: the source is read in one transaction, which SQLite's log keeps from
seeing what is written meanwhile, and which holds up nobody who writes.
"""

import contextlib
import os
import sqlite3
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Final

from seatproof.core.archive.connection import connect_to_read, errors_in_words, snapshot
from seatproof.core.archive.errors import ArchiveError, CopyError
from seatproof.core.archive.file import Archive
from seatproof.core.archive.health import Health, check, check_has_events
from seatproof.core.archive.place import check_place_to_read
from seatproof.core.archive.progress import Cancelled, Progress, StoppedError, never, silent
from seatproof.core.archive.rows import chain_tables, count_events, has_table
from seatproof.core.archive.transfer import TRANSFER_SUFFIX, export

_PAGES_AT_ONCE: Final = 2000
COPIES_KEPT: Final = 7
_HEADS: Final = """
    SELECT hash FROM {table} AS event WHERE seq = (
        SELECT max(seq) FROM {table} AS other WHERE other.{whose} = event.{whose}
    )
"""


@dataclass(frozen=True, slots=True)
class Backup:
    """A verified copy and what it holds."""

    path: Path
    n_bytes: int
    health: Health


@dataclass(frozen=True, slots=True)
class Kept:
    """What was put into the second folder after a seal; `copy` is None where the day has one."""

    transfer: Path
    copy: Backup | None


def back_up(
    source: Path, target: Path, progress: Progress = silent, cancelled: Cancelled = never
) -> Backup:
    """Copy an archive to a new file, and verify every page and event of the copy.

    Whoever has the source open may go on measuring. An older copy that lies at `target` is replaced
    once the new one holds, not before; a file that holds anything else is never replaced.
    `progress` is told pages while it copies, then events.

    Raises
    ------
    ArchiveError
        The source cannot be read.
    CopyError
        The copy cannot be written there, does not hold, or would replace what is no copy of it.
    StoppedError
        `cancelled` said so.
    """
    check_place_to_read(source)
    if not target.parent.is_dir():
        raise CopyError(
            target, f"The folder {target.parent} does not exist; make it, or name another."
        )
    if target.is_dir():
        raise CopyError(target, f"{target} is a folder; name a file for the copy.")
    if target.exists() and target.samefile(source):
        raise CopyError(target, f"{target} is the archive itself; name another file for the copy.")
    unfinished = target.with_name(f"{target.name}.part")
    try:
        with contextlib.closing(connect_to_read(source)) as db, snapshot(db):
            check_has_events(source, db)
            if target.exists():
                _check_replaceable(target, db)
            with errors_in_words(source):
                events = count_events(db)
            _copy(source, db, unfinished, progress, cancelled)
        health = check(unfinished, progress, cancelled)
        if not health.holds:
            raise CopyError(
                target,
                f"The copy at {target} does not hold, so it was thrown away: "
                f"{health.broken[0].sentence} Check the archive and the disk of the copy.",
            )
        if health.events != events:
            raise CopyError(
                target,
                f"The copy at {target} holds {health.events} events and the archive {events}, so "
                "it was thrown away; try again, on another disk if need be.",
            )
        try:
            unfinished.replace(target)
        except OSError as error:
            raise CopyError(
                target, f"The copy cannot get the name {target} ({error.strerror}); choose another."
            ) from error
    finally:
        for ending in ("", "-wal", "-shm", "-journal"):
            with contextlib.suppress(OSError):  # the disk may be gone
                unfinished.with_name(unfinished.name + ending).unlink(missing_ok=True)
    return Backup(target, target.stat().st_size, health)


def back_up_after_seal(source: Path, folder: Path, inspection: str, day: date) -> Kept:
    """Keep a sealed inspection in a second folder, and once a day the whole archive.

    The inspection goes there as a transfer file of its own, so that what a seal costs does not grow
    with the archive; the newest copy and the transfer files since are together all there is. `day`
    is the day it is; the copies of the last days on which there was a seal are kept.

    Raises
    ------
    ArchiveError, RecordError
        It could not be kept there; the archive itself has it.
    """
    with Archive.read(source) as archive:
        transfer = folder / f"{source.stem}-{inspection}{TRANSFER_SUFFIX}"
        export(archive, (inspection,), transfer)
    today = folder / f"{source.stem}-copy-{day.isoformat()}{source.suffix}"
    if today.exists():
        return Kept(transfer, None)
    copy = back_up(source, today)
    _thin_out(source, folder, copy)
    return Kept(transfer, copy)


def _thin_out(source: Path, folder: Path, newest: Backup) -> None:
    """Take away the oldest copies, but none that holds more than the newest one."""
    copies = sorted(folder.glob(f"{source.stem}-copy-????-??-??{source.suffix}"))
    for copy in copies[:-COPIES_KEPT]:
        try:
            with contextlib.closing(connect_to_read(copy)) as db, errors_in_words(copy):
                holds_more = count_events(db) > newest.health.events
        except ArchiveError:
            continue  # not one of ours, or it cannot be read: that is for a person to decide
        if not holds_more:
            with contextlib.suppress(OSError):  # it costs room, no more
                copy.unlink()


def _check_replaceable(target: Path, source: sqlite3.Connection) -> None:
    """Refuse to replace a file that holds anything which the source does not hold."""
    try:
        with contextlib.closing(connect_to_read(target)) as old, errors_in_words(target):
            is_older_copy = has_table(old, "event") and all(
                source.execute(f"SELECT 1 FROM {table} WHERE hash = ?", head).fetchone()
                for _, table, whose in chain_tables(old)
                for head in old.execute(_HEADS.format(table=table, whose=whose))
            )
    except ArchiveError:
        is_older_copy = False
    if not is_older_copy:
        raise CopyError(
            target,
            f"{target} is there already and is no older copy of this archive; name a new file for "
            "the copy.",
        )


def _copy(
    source: Path,
    db: sqlite3.Connection,
    target: Path,
    progress: Progress,
    cancelled: Cancelled,
) -> None:
    def told(status: int, remaining: int, total: int) -> None:
        progress(total - remaining, total)
        if cancelled():
            raise StoppedError(source)

    try:
        target.unlink(missing_ok=True)
        with contextlib.closing(sqlite3.connect(target, isolation_level=None)) as copy:
            db.backup(copy, pages=_PAGES_AT_ONCE, progress=told)
            # One file that needs no log beside it to be read, wherever it is taken.
            copy.execute("PRAGMA journal_mode = DELETE")
        with target.open("rb+") as stream:
            os.fsync(stream.fileno())
    except sqlite3.Error as error:
        raise CopyError(
            target,
            f"The copy cannot be written in {target.parent}: {error}; choose another folder.",
        ) from error
    except OSError as error:
        raise CopyError(
            target,
            f"The copy cannot be written in {target.parent} ({error.strerror}); choose another "
            "folder.",
        ) from error

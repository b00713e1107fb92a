"""Whether an archive holds: a quick look at opening, and a whole check of every page and chain."""

import contextlib
import hashlib
import sqlite3
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from seatproof.core.archive.connection import connect_to_read, errors_in_words, snapshot
from seatproof.core.archive.errors import ArchiveDamagedError, ArchiveUnusableError
from seatproof.core.archive.place import check_place_to_read
from seatproof.core.archive.progress import Cancelled, Progress, StoppedError, never, silent
from seatproof.core.archive.rows import (
    EVENT_COLUMNS,
    Row,
    chain_tables,
    count_events,
    has_table,
    row_hash,
)
from seatproof.core.record.events import GENESIS

LOOKED_OVER_BYTES: Final = 64_000_000  # takes about a third of a second
_NEWEST: Final = 1000
_TOLD_EVERY: Final = 200


@dataclass(frozen=True, slots=True)
class Broken:
    """Where something does not hold; `seq` is None where it is no single event."""

    what: str
    seq: int | None
    finding: str

    @property
    def sentence(self) -> str:
        where = self.what if self.seq is None else f"Event {self.seq} of {self.what}"
        sentence = f"{where} does not hold: {self.finding}."
        return sentence[:1].upper() + sentence[1:]


@dataclass(frozen=True, slots=True)
class Health:
    """What a whole check found."""

    inspections: int
    events: int
    attachments: int
    broken: tuple[Broken, ...]

    @property
    def holds(self) -> bool:
        return not self.broken


def check_at_opening(path: Path, db: sqlite3.Connection) -> None:
    """Look an archive over, for as long as opening may take; `ArchiveDamagedError` on a fault.

    Every page of a small archive; of a large one its length and its newest events, which is where a
    crash or a full disk would have hurt it. `check_whole` leaves nothing out.
    """
    if path.stat().st_size <= LOOKED_OVER_BYTES:
        (finding,) = db.execute("PRAGMA quick_check(1)").fetchone()
        if finding != "ok":
            raise ArchiveDamagedError(path, _in_short(finding))
        return
    (pages,) = db.execute("PRAGMA page_count").fetchone()
    (page_bytes,) = db.execute("PRAGMA page_size").fetchone()
    log = path.with_name(f"{path.name}-wal")
    is_folded_in = not log.exists() or not log.stat().st_size
    if is_folded_in and path.stat().st_size < pages * page_bytes:
        raise ArchiveDamagedError(path, "its end is missing")
    newest = db.execute(
        f"SELECT {EVENT_COLUMNS} FROM event ORDER BY id DESC LIMIT {_NEWEST}"
    ).fetchall()
    for row in newest:
        if row_hash(row) != row[8]:
            raise ArchiveDamagedError(path, f"event {row[1]} of inspection {row[0]} was altered")


def check(path: Path, progress: Progress = silent, cancelled: Cancelled = never) -> Health:
    """Open an archive, whoever has it open, and check it; see `check_whole`."""
    check_place_to_read(path)
    with contextlib.closing(connect_to_read(path)) as db:
        check_has_events(path, db)
        return check_whole(path, db, progress, cancelled)


def check_has_events(path: Path, db: sqlite3.Connection) -> None:
    """Refuse a file that is empty: an archive has its tables from its first opening on."""
    with errors_in_words(path):
        if not has_table(db, "event"):
            raise ArchiveUnusableError(
                path, f"{path} holds no events, nor a place for them; open a backup of it."
            )


def check_whole(
    path: Path,
    db: sqlite3.Connection,
    progress: Progress = silent,
    cancelled: Cancelled = never,
) -> Health:
    """Check every page, every event of every chain, and every attachment.

    Raises
    ------
    StoppedError
        `cancelled` said so.
    """
    count = _Count()
    with errors_in_words(path), snapshot(db):
        try:
            _check_pages(db, count)
            if not count.broken:
                _check_chains(path, db, count, progress, cancelled)
                _check_attachments(path, db, count, cancelled)
        except sqlite3.DatabaseError as error:
            code = getattr(error, "sqlite_errorcode", None)  # none where it is no text of ours
            if code is not None and code & 0xFF != sqlite3.SQLITE_CORRUPT:
                raise
            count.broken.append(Broken("the database", None, _in_short(str(error))))
    return Health(count.inspections, count.events, count.attachments, tuple(count.broken))


@dataclass(slots=True)
class _Count:
    inspections: int = 0
    events: int = 0
    attachments: int = 0
    broken: list[Broken] = field(default_factory=list)


def _check_pages(db: sqlite3.Connection, count: _Count) -> None:
    for (finding,) in db.execute("PRAGMA integrity_check(20)").fetchall():
        if finding != "ok":
            count.broken.append(Broken("the database", None, _in_short(finding)))


def _check_chains(
    path: Path, db: sqlite3.Connection, count: _Count, progress: Progress, cancelled: Cancelled
) -> None:
    total = count_events(db)
    for columns, table, what in chain_tables(db):
        rows = db.execute(f"SELECT {columns} FROM {table} ORDER BY {what}, seq")
        chain, last_hash, expected = "", GENESIS, 1
        for row in rows:
            if row[0] != chain:
                chain, last_hash, expected = row[0], GENESIS, 1
                count.inspections += what == "inspection"
            finding = fault_in(row, expected, last_hash)
            if finding:
                count.broken.append(Broken(f"{what} {chain}", row[1], finding))
            last_hash, expected = row[8], row[1] + 1
            count.events += 1
            if count.events % _TOLD_EVERY == 0:
                progress(count.events, total)
                if cancelled():
                    raise StoppedError(path)
    progress(total, total)


def _check_attachments(
    path: Path, db: sqlite3.Connection, count: _Count, cancelled: Cancelled
) -> None:
    if not has_table(db, "attachment"):
        return  # the first version had none
    for digest, content in db.execute("SELECT sha256, content FROM attachment"):
        count.attachments += 1
        if hashlib.sha256(content).hexdigest() != digest:
            count.broken.append(Broken(f"attachment {digest}", None, "its content was altered"))
        if cancelled():
            raise StoppedError(path)


def fault_in(row: Row, expected_seq: int, expected_previous: str) -> str:
    """Say what is wrong with a row at its place in a chain; "" where it holds."""
    if row[1] != expected_seq:
        return f"event {expected_seq} should stand in its place"
    if row[7] != expected_previous:
        return "it does not follow on the event before it"
    if row_hash(row) != row[8]:
        return "its content was altered"
    return ""


def _in_short(finding: str) -> str:
    return " ".join(finding.split())[:200].rstrip(".")

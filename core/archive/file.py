"""An archive file: SQLite, append-only, and durable before anything is acknowledged.

Write-ahead log with ``synchronous=FULL``: a commit returns after the log was forced to disk, so a
power cut loses nothing that was acknowledged. One thread owns an `Archive`; another thread opens
its own with `Archive.read`, which sees whole events only.
"""

import contextlib
import sqlite3
from collections.abc import Iterator, Sequence
from datetime import date
from pathlib import Path
from typing import Final, NamedTuple, Self

from seatproof.core.archive.agreement import Agreement
from seatproof.core.archive.attachments import (
    has_attachment,
    insert_attachment,
    read_attachment,
)
from seatproof.core.archive.connection import BUSY_TIMEOUT_S, errors_in_words, transaction
from seatproof.core.archive.errors import (
    ArchiveAlteredError,
    ArchiveEventError,
    ArchiveReadOnlyError,
    SearchError,
)
from seatproof.core.archive.finding import (
    PAGE,
    all_entries,
    find,
    gauge_uses,
    seat_trend,
    values_of,
)
from seatproof.core.archive.index import index_events
from seatproof.core.archive.opening import Opened, open_to_read, open_to_write
from seatproof.core.archive.place import Footing
from seatproof.core.archive.progress import Progress, silent
from seatproof.core.archive.query import Entry, Page, Query, UsePage
from seatproof.core.archive.results import SeatResult
from seatproof.core.archive.rows import (
    EVENT_COLUMNS,
    REGISTER_COLUMNS,
    Row,
    event_of,
    event_rows,
    insert_row,
    row_hash,
    row_of,
)
from seatproof.core.archive.schema import STEPS, Step
from seatproof.core.record.events import Event

_OFFERED: Final = 20
# One step in an index for each inspection, however many events it has.
_CHAINS: Final = """
    WITH RECURSIVE chain (inspection) AS (
        SELECT min(inspection) FROM event
        UNION ALL
        SELECT (SELECT min(inspection) FROM event WHERE event.inspection > chain.inspection)
        FROM chain WHERE chain.inspection IS NOT NULL
    )
    SELECT chain.inspection
    FROM chain LEFT JOIN inspection ON inspection.inspection = chain.inspection
    WHERE chain.inspection IS NOT NULL
    ORDER BY inspection.number IS NULL, inspection.number, chain.inspection
"""
_LAST: Final = (
    "SELECT inspection, seq, hash FROM event WHERE inspection = ? ORDER BY seq DESC LIMIT 1"
)


class Head(NamedTuple):
    """The last event of an inspection: what shows later that the chain was cut short."""

    inspection: str
    seq: int
    hash: str


class Archive:
    """An open archive file; use it as a context manager, or call `close`.

    `read_only` says why nothing can be stored in it, and is empty where it can.
    """

    def __init__(self, path: Path, opened: Opened) -> None:
        self.path = path
        self.read_only = opened.read_only
        self._db = opened.db
        self._lock = opened.lock
        self._footing = Footing(path)

    @classmethod
    def open(
        cls,
        path: Path,
        steps: tuple[Step, ...] = STEPS,
        busy_timeout_s: float = BUSY_TIMEOUT_S,
        progress: Progress = silent,
    ) -> Self:
        """Open an archive for writing, making it where there is none.

        Where another program has it open, it is opened for reading: see `read_only`.
        `busy_timeout_s` is how long to wait for that program. An older file is brought forward, and
        a copy of it kept beside; `progress` is then told inspections.

        Raises
        ------
        ArchiveUnusableError
            The file is not an archive, is damaged, or its folder does not exist.
        ArchiveTooNewError
            It was written by a newer program.
        ArchivePlaceError
            It lies in a network folder or one that is synchronised.
        ArchiveReadOnlyError, ArchiveBusyError, ArchiveFullError
            It cannot be written now.
        """
        return cls(path, open_to_write(path, steps, busy_timeout_s, progress))

    @classmethod
    def read(cls, path: Path, busy_timeout_s: float = BUSY_TIMEOUT_S) -> Self:
        """Open an archive to be read, whoever has it open and wherever it lies.

        Raises
        ------
        ArchiveUnusableError, ArchiveTooNewError
            As `open`.
        ArchiveTooOldError
            An older Seatproof wrote it, and it was not opened for writing since.
        """
        why = f"{path} was opened to be read only."
        return cls(path, open_to_read(path, busy_timeout_s, why))

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *exc: object) -> None:
        self.close()

    def close(self) -> None:
        """Close the file, once; the write-ahead log is folded in, so that one file is left."""
        if self._lock is not None:
            with contextlib.suppress(sqlite3.OperationalError, sqlite3.ProgrammingError):
                # A reader may hold the log open: it is then folded in by whoever closes last.
                self._db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        self._db.close()
        if self._lock is not None:
            self._lock.release()

    # --- inspections -----------------------------------------------------------------------------

    def append(self, event: Event) -> None:
        """Store one event; on return it is on disk.

        Raises
        ------
        ArchiveConflictError
            The inspection has gone on since `event` was made, for instance in a second window.
        ArchiveError
            The event could not be stored; nothing changed.
        """
        self.append_all((event,))

    def append_all(self, events: Sequence[Event]) -> None:
        """Store events, all of them or none; see `append`."""
        self.take_in(events, ())

    def take_in(self, events: Sequence[Event], attachments: Sequence[bytes]) -> None:
        """Store events and the attachments that they name, all of it or nothing; see `append`."""
        self._check_writable()
        with errors_in_words(self.path), transaction(self._db):
            for content in attachments:
                insert_attachment(self.path, self._db, content)
            for event in events:
                insert_row(self._db, "event", EVENT_COLUMNS, self._whole_row(event))
            index_events(self._db, events)

    def events(self, inspection: str) -> tuple[Event, ...]:
        """Return all events of an inspection, oldest first; none where there is no such one."""
        with errors_in_words(self.path):
            rows = event_rows(self._db, inspection)
        return self._events_of(rows)

    def inspections(self) -> tuple[str, ...]:
        """Return the ids of all inspections that have events, the one opened first at the front.

        They are taken from the events, so that none stays unseen that the index does not list.
        """
        with errors_in_words(self.path):
            return tuple(inspection for (inspection,) in self._db.execute(_CHAINS))

    def heads(self) -> tuple[Head, ...]:
        """Return the last event of every inspection, in the order of `inspections`."""
        with errors_in_words(self.path):
            return tuple(
                Head(*self._db.execute(_LAST, (inspection,)).fetchone())
                for inspection in self.inspections()
            )

    # --- registers -------------------------------------------------------------------------------

    def append_register(self, event: Event) -> None:
        """Store one event of a register, whose name is `event.inspection`; as `append`."""
        self._check_writable()
        with errors_in_words(self.path), transaction(self._db):
            insert_row(self._db, "register_event", REGISTER_COLUMNS, self._whole_row(event))

    def register_events(self, register: str) -> tuple[Event, ...]:
        """Return all events of a register, oldest first."""
        with errors_in_words(self.path):
            rows = self._db.execute(
                f"SELECT {REGISTER_COLUMNS} FROM register_event WHERE register = ? ORDER BY seq",
                (register,),
            ).fetchall()
        return self._events_of(rows)

    # --- attachments -----------------------------------------------------------------------------

    def put_attachment(self, content: bytes) -> str:
        """Keep bytes for an event to name; return their SHA-256, in hexadecimal. On disk on return.

        `AttachmentError` where they are empty or too many.
        """
        self._check_writable()
        with errors_in_words(self.path), transaction(self._db):
            return insert_attachment(self.path, self._db, content)

    def attachment(self, sha256: str) -> bytes:
        """Return the bytes of that name, their hash checked; `AttachmentError` without them."""
        with errors_in_words(self.path):
            return read_attachment(self.path, self._db, sha256)

    def has_attachment(self, sha256: str) -> bool:
        with errors_in_words(self.path):
            return has_attachment(self._db, sha256)

    # --- whether all of it agrees ----------------------------------------------------------------

    @contextlib.contextmanager
    def agreement(self) -> Iterator[Agreement]:
        """Compare what stands beside the events with what they give, for as long as that takes."""
        agreement = Agreement(self.path, self._db)
        try:
            yield agreement
        finally:
            agreement.close()

    # --- finding ---------------------------------------------------------------------------------

    def find(self, query: Query, page: int | None = None, size: int = PAGE) -> Page:
        """Return a page of the inspections that a query wants, newest first.

        `page` is the `next_page` of the one before; None asks for the first. `SearchError` says
        what is wrong with a query that cannot be asked.
        """
        with errors_in_words(self.path):
            try:
                return find(self._db, query, page, size)
            except ValueError as error:
                raise SearchError(self.path, str(error)) from error

    def entries(self) -> tuple[Entry, ...]:
        """Return every inspection, newest first, without inspectors and gauges.

        For short archives: it grows with them. `find` does not.
        """
        with errors_in_words(self.path):
            return all_entries(self._db)

    def gauge_uses(
        self, gauge: str, first: date, last: date, page: int | None = None, size: int = PAGE
    ) -> UsePage:
        """Return a page of the inspections in which a gauge was in service between two days.

        The question after a failed calibration, newest first; `gauge` is the inventory number of a
        gauge, setting standard or tool, to the letter. Pages as in `find`.
        """
        with errors_in_words(self.path):
            return gauge_uses(self._db, gauge, first, last, page, size)

    def seat_trend(
        self, seat: str, *, asset: str = "", shaft: str = ""
    ) -> tuple[tuple[Entry, SeatResult], ...]:
        """Return what every sealed inspection of one seat found, oldest first.

        Superseded inspections are among them: `Entry.superseded_by` tells. `SearchError` where
        neither asset nor shaft is named.
        """
        with errors_in_words(self.path):
            try:
                return seat_trend(self._db, seat, asset, shaft)
            except ValueError as error:
                raise SearchError(self.path, str(error)) from error

    def assets(self, beginning: str = "", count: int = _OFFERED) -> tuple[str, ...]:
        """Return assets that were inspected and begin so, in the order of the alphabet."""
        with errors_in_words(self.path):
            return values_of(self._db, "asset", beginning, count)

    def shafts(self, beginning: str = "", count: int = _OFFERED) -> tuple[str, ...]:
        """Return serial numbers of shafts that were inspected and begin so, in order."""
        with errors_in_words(self.path):
            return values_of(self._db, "shaft", beginning, count)

    def plan_is_used(self, title: str, version: str) -> bool:
        """Tell whether any inspection was opened from that version of that plan."""
        with errors_in_words(self.path):
            found = self._db.execute(
                "SELECT 1 FROM inspection WHERE title = ? AND plan_version = ? LIMIT 1",
                (title, version),
            ).fetchone()
        return found is not None

    # --- whether the next event can be stored ----------------------------------------------------

    def trouble_ahead(self) -> str:
        """Say why the next event might not be stored; "" where nothing speaks against it.

        Cheap enough to ask before every press, so that measuring stops before one is lost.
        """
        return self.read_only or self._footing.trouble_ahead()

    def _check_writable(self) -> None:
        if self.read_only:
            raise ArchiveReadOnlyError(self.path, self.read_only)
        self._footing.check()

    def _events_of(self, rows: Sequence[Row]) -> tuple[Event, ...]:
        try:
            return tuple(event_of(row) for row in rows)
        except ValueError as error:
            raise ArchiveAlteredError(self.path, str(error)) from error

    def _whole_row(self, event: Event) -> Row:
        """Return an event as a row; one whose hash is not its own could never be verified."""
        row = row_of(event)
        if row_hash(row) != event.hash:
            raise ArchiveEventError(
                self.path,
                f"Event {event.seq} of inspection {event.inspection} does not hold: its hash is "
                "not that of its content. It was not stored.",
            )
        return row

"""Saving from a damaged archive what can be saved: every event vouches for itself by its hash.

Events are gathered from all pages that are left. A chain is saved from its first event as far as
none is missing; what is left after a gap holds by itself but follows on nothing, and goes into a
file beside, so that nobody need throw it away.
"""

import contextlib
import hashlib
import sqlite3
import tempfile
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any, Final, Self

from seatproof.core.archive.errors import ArchiveUnusableError, CopyError
from seatproof.core.archive.file import Archive
from seatproof.core.archive.pages import Pages, Value
from seatproof.core.archive.place import check_place_to_read
from seatproof.core.archive.progress import Cancelled, Progress, StoppedError, never, silent
from seatproof.core.archive.rows import EVENT_COLUMNS, Row, event_of, row_hash
from seatproof.core.archive.transfer import attachments_named
from seatproof.core.placing import NotPlacedError, place
from seatproof.core.record.events import GENESIS, Event, canonical

LOOSE_SUFFIX: Final = ".loose-events.json"
_TOLD_EVERY: Final = 50


@dataclass(frozen=True, slots=True)
class Chain:
    """What was found of one chain: `saved` events from its first on, `loose` ones after a gap."""

    name: str
    saved: int
    loose: int

    @property
    def sentence(self) -> str:
        if not self.loose:
            return f"{self.name}: {self.saved} events, none missing between them"
        if not self.saved:
            return f"{self.name}: its beginning is lost; {self.loose} events were laid aside"
        return (
            f"{self.name}: events 1 to {self.saved}; event {self.saved + 1} is lost, and "
            f"{self.loose} after it were laid aside"
        )


@dataclass(frozen=True, slots=True)
class Salvage:
    """What was saved, and where. `missing_attachments` are named by events and were not found."""

    path: Path
    inspections: tuple[Chain, ...]
    registers: tuple[Chain, ...]
    attachments: int
    missing_attachments: tuple[str, ...]
    loose_events: Path | None


def salvage(
    source: Path, target: Path, progress: Progress = silent, cancelled: Cancelled = never
) -> Salvage:
    """Gather the events of a damaged archive from its pages, and store them in a new one.

    `progress` is told pages. The source is only read.

    Raises
    ------
    ArchiveUnusableError
        The source cannot be read, or no event was found in it.
    CopyError
        There is something at `target` already.
    ArchiveError
        The new archive cannot be written.
    StoppedError
        `cancelled` said so.
    """
    check_place_to_read(source)
    if target.exists():
        raise CopyError(target, f"{target} is there already; name a new file for what is saved.")
    with Pages(source) as pages, _Finds() as finds:
        for done, rows in pages.rows():
            for row in rows:
                finds.take(row)
            if done % _TOLD_EVERY == 0:
                progress(done, pages.count)
                if cancelled():
                    raise StoppedError(source)
        progress(pages.count, pages.count)
        if not finds.chains():
            raise ArchiveUnusableError(
                source,
                f"No event was found in {source}; it may be no archive, or wholly destroyed.",
            )
        unfinished = target.with_name(f"{target.name}.part")
        try:
            return _stored(finds, unfinished, target)
        finally:
            for ending in ("", "-wal", "-shm"):  # a full disk keeps the log from being folded in
                with contextlib.suppress(OSError):
                    unfinished.with_name(unfinished.name + ending).unlink(missing_ok=True)


def _stored(finds: "_Finds", unfinished: Path, target: Path) -> Salvage:
    """Store what was found in a new archive: whole beginnings of chains, and what they name."""
    unfinished.unlink(missing_ok=True)
    inspections, registers = [], []
    loose: list[Event] = []
    missing: dict[str, None] = {}
    attachments = 0
    with Archive.open(unfinished) as archive:
        for name, is_register in finds.chains():
            whole, rest = _from_the_first_on(finds.events(name, is_register=is_register))
            loose.extend(rest)
            chain = Chain(name, len(whole), len(rest))
            if is_register:
                registers.append(chain)
                for event in whole:
                    archive.append_register(event)
                continue
            inspections.append(chain)
            photos = []
            for digest in attachments_named(whole):
                photo = finds.attachment(digest)
                if photo is not None:
                    photos.append(photo)
                elif not archive.has_attachment(digest):
                    missing[digest] = None
            attachments += len(photos)
            archive.take_in(whole, photos)
    unfinished.replace(target)
    return Salvage(
        target,
        tuple(inspections),
        tuple(registers),
        attachments,
        tuple(missing),
        _laid_aside(loose, target),
    )


def _from_the_first_on(events: Sequence[Event]) -> tuple[list[Event], list[Event]]:
    """Part a chain's events into those that follow on one another from the first, and the rest."""
    after = {event.previous: event for event in events}
    whole: list[Event] = []
    following = after.get(GENESIS)
    while following is not None and following.seq == len(whole) + 1:
        whole.append(following)
        following = after.get(following.hash)
    saved = {event.hash for event in whole}
    return whole, [event for event in events if event.hash not in saved]


def _laid_aside(loose: Sequence[Event], target: Path) -> Path | None:
    if not loose:
        return None
    path = target.with_name(f"{target.stem}{LOOSE_SUFFIX}")
    try:
        return place(canonical([asdict(event) for event in loose]), path)
    except NotPlacedError as error:
        raise CopyError(path, str(error)) from error


class _Finds:
    """What pages gave: events and attachments whose hash is their own, each once.

    They are kept in a file: a large archive does not fit into memory.
    """

    def __enter__(self) -> Self:
        self._folder = tempfile.TemporaryDirectory()
        self._db = sqlite3.connect(Path(self._folder.name) / "finds", isolation_level=None)
        self._db.execute("PRAGMA journal_mode = OFF")
        self._db.execute("PRAGMA synchronous = OFF")  # a scratch file, thrown away with the program
        self._db.execute(f"CREATE TABLE event (is_register, {EVENT_COLUMNS}, PRIMARY KEY (hash))")
        self._db.execute("CREATE INDEX by_chain ON event (is_register, inspection, seq)")
        self._db.execute("CREATE TABLE attachment (sha256 PRIMARY KEY, content)")
        return self

    def __exit__(self, *exc: object) -> None:
        self._db.close()
        self._folder.cleanup()

    def take(self, values: list[Value]) -> None:
        """Keep a row if it is one of an archive's and holds; it may be anything."""
        # The first column is the row's number, which SQLite keeps elsewhere.
        match values:
            case [None, str(), int(), *_] if _has_shape_of_event(values[1:]):
                self._event(tuple(values[1:]), is_register=False)
            case [None, int(), str(), *rest] if _has_shape_of_event([values[2], values[1], *rest]):
                self._event((values[2], values[1], *rest), is_register=True)
            case [None, str(digest), bytes(content)]:
                if hashlib.sha256(content).hexdigest() == digest:
                    self._db.execute(
                        "INSERT OR IGNORE INTO attachment VALUES (?, ?)", (digest, content)
                    )

    def _event(self, row: Any, *, is_register: bool) -> None:
        if row_hash(row) == row[8] and _is_event(row):
            self._db.execute(
                "INSERT OR IGNORE INTO event VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
                (is_register, *row),
            )

    def chains(self) -> list[tuple[str, bool]]:
        """Return the names of chains, in the order in which they began."""
        rows = self._db.execute(
            "SELECT inspection, is_register FROM event GROUP BY is_register, inspection "
            "ORDER BY is_register DESC, min(utc), inspection"
        )
        return [(name, bool(is_register)) for name, is_register in rows]

    def events(self, name: str, *, is_register: bool) -> list[Event]:
        rows = self._db.execute(
            f"SELECT {EVENT_COLUMNS} FROM event WHERE is_register = ? AND inspection = ? "
            "ORDER BY seq",
            (is_register, name),
        )
        return [event_of(row) for row in rows]

    def attachment(self, digest: str) -> bytes | None:
        row = self._db.execute(
            "SELECT content FROM attachment WHERE sha256 = ?", (digest,)
        ).fetchone()
        return None if row is None else bytes(row[0])


def _is_event(row: Row) -> bool:
    """Tell whether what is hashed is one of ours, and not only hashed as one."""
    try:
        event_of(row)
    except ValueError:
        return False
    return True


def _has_shape_of_event(values: Sequence[Value]) -> bool:
    kinds = (str, int, str, int, str, str, str, str, str)
    return len(values) == len(kinds) and all(
        type(value) is kind for value, kind in zip(values, kinds, strict=True)
    )

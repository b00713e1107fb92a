"""The register of equipment as the place of gauges shows it; without Qt."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path

from seatproof.core import figures
from seatproof.core.archive.file import Archive
from seatproof.core.archive.query import UsePage
from seatproof.core.equipment.book import Entry, EquipmentBook, RepeatabilityTested
from seatproof.core.equipment.due import Due, DueState, due_on
from seatproof.core.equipment.item import Item
from seatproof.core.placing import place
from seatproof.core.record.events import Event
from seatproof.core.units import UM_PER_MM, Unit
from seatproof.gui.shared.saying import again, say

_FIRST_DAY = date(1990, 1, 1)
_WORST = (DueState.EXPIRED, DueState.SOON, DueState.UNKNOWN, DueState.VALID)
_CERTIFICATE_ENDINGS = {b"%PDF": ".pdf", b"\x89PNG": ".png", b"\xff\xd8\xff": ".jpg"}


@dataclass(frozen=True, slots=True)
class Row:
    """A piece of equipment as the list shows it."""

    entry: Entry
    due: Due

    @property
    def number(self) -> str:
        return self.entry.item.inventory_number

    @property
    def title(self) -> str:
        item = self.entry.item
        return f"{item.inventory_number}  {item.description or again(item.kind)}"

    @property
    def state_words(self) -> str:
        item = self.entry.item
        if self.entry.is_retired:
            return say("{kind}, out of use", kind=again(item.kind))
        until = f", {item.certificate.due}" if item.certificate.due else ""
        return f"{again(item.kind)}, {again(self.due.state)}{until}"


class GaugeRegister:
    """The open register of one archive."""

    def __init__(self, archive: Archive, clock: Callable[[], datetime]) -> None:
        self._archive = archive
        self._clock = clock
        self._book: EquipmentBook | None = None

    @property
    def read_only(self) -> str:
        """Why nothing can be entered here; empty where it can."""
        return self._archive.read_only

    @property
    def book(self) -> EquipmentBook:
        if self._book is None:
            self._book = EquipmentBook.open(self._archive, self._clock)
        return self._book

    def read(self) -> None:
        """Read it again; raises `ArchiveError` or `RecordError`."""
        self._book = EquipmentBook.open(self._archive, self._clock)

    def rows(self) -> tuple[Row, ...]:
        """Return all equipment: what is due first, what is out of use last."""
        today = self._clock().date()
        rows = [Row(entry, due_on(entry.item, today)) for entry in self.book.entries.values()]
        rows.sort(key=lambda row: (row.entry.is_retired, _WORST.index(row.due.state), row.number))
        return tuple(rows)

    def row(self, number: str) -> Row | None:
        """Return one piece; None where the register has none of that number."""
        return next((row for row in self.rows() if row.number == number), None)

    def warnings(self) -> tuple[str, ...]:
        """Say what is expired or due soon."""
        return tuple(
            again(row.due.sentence)
            for row in self.rows()
            if not row.entry.is_retired and row.due.state in (DueState.EXPIRED, DueState.SOON)
        )

    def save(self, item: Item, actor: str, reason: str) -> None:
        """Enter a new piece, or change one for a reason.

        Raises
        ------
        EquipmentRefusedError, ArchiveError
            Nothing was entered.
        """
        if item.inventory_number in self.book.entries:
            self.book.change(actor, item, reason)
        else:
            self.book.enter(actor, item)

    def attach(self, content: bytes) -> str:
        """Keep a certificate's file; return its digest. Raises `ArchiveError`."""
        return self._archive.put_attachment(content)

    def write_certificate(self, item: Item, folder: Path) -> Path:
        """Write a certificate's file into a folder; raises `ArchiveError`, `NotPlacedError`."""
        content = self._archive.attachment(item.certificate.sha256)
        ending = next(
            (end for start, end in _CERTIFICATE_ENDINGS.items() if content.startswith(start)), ""
        )
        stem = f"certificate {item.inventory_number}".replace("/", "_")
        return place(content, folder / f"{stem}{ending}")

    def uses(self, number: str, page: int | None = None) -> UsePage:
        """Return a page of the records in which it was used, newest first."""
        return self._archive.gauge_uses(number, _FIRST_DAY, self._clock().date(), page)

    def format_file(self, number: str) -> Path:
        """Return where the worked-out format of a gauge lies; its folder is made."""
        folder = self._archive.path.parent / "formats"
        folder.mkdir(exist_ok=True)
        stem = "".join(letter if letter.isalnum() or letter in "-_" else "_" for letter in number)
        return folder / f"{stem}.toml"


def history_lines(entry: Entry, unit: Unit) -> tuple[str, ...]:
    """Say what was entered of a piece, newest first."""
    return tuple(_line(event, unit) for event in reversed(entry.history))


def _line(event: Event, unit: Unit) -> str:
    when = f"{event.moment:%Y-%m-%d %H:%M}, {event.actor}"
    if event.kind == RepeatabilityTested.kind:
        deviation_um = float(event.payload["deviation_mm"]) * UM_PER_MM
        count = len(event.payload["values_mm"])
        return say(
            "{when}: repeatability test, {count} presses, standard deviation {deviation}",
            when=when,
            count=str(count),
            deviation=figures.small(deviation_um, unit),
        )
    reason = event.payload.get("reason", "")
    return f"{when}: {again(event.kind)}{f' ({again(reason)})' if reason else ''}"

"""What can be asked of an archive, and what it answers with."""

from collections.abc import Iterator
from dataclasses import dataclass, fields
from datetime import date

from seatproof.core.archive.marks import Property, mark


@dataclass(frozen=True, slots=True)
class Query:
    """Which inspections are wanted; everything that is given must hold.

    Attributes
    ----------
    text : str
        Words that stand anywhere in it, each as the beginning of a word, in any order: asset,
        shaft, work order, sheet number, title, seats, people, gauges, notes and reasons. Accents
        and capitals make no difference.
    asset, shaft, work_order, sheet_number, seat, inspector, gauge, verdict, state : str
        The whole of what stands there; capitals make no difference. `seat` is a seat's id, `gauge`
        the inventory number of a gauge, setting standard or tool, `inspector` anybody who measured,
        `state` one of `index.STATES`.
    opened_from, opened_to : date or None
        First and last day on which it was opened, by the calendar on the wall there.
    sealed : bool or None
        Whether its measuring part is sealed.
    """

    text: str = ""
    asset: str = ""
    shaft: str = ""
    work_order: str = ""
    sheet_number: str = ""
    seat: str = ""
    inspector: str = ""
    gauge: str = ""
    verdict: str = ""
    state: str = ""
    opened_from: date | None = None
    opened_to: date | None = None
    sealed: bool | None = None

    @property
    def is_empty(self) -> bool:
        return self == Query()

    def full_text(self) -> str | None:
        """Return the search in the language of FTS5; None where neither word nor mark is asked for.

        Raises
        ------
        ValueError
            There is text, but no letter and no digit in it.
        """
        parts = []
        if self.text.strip():
            words = [word for word in self.text.split() if any(sign.isalnum() for sign in word)]
            if not words:
                raise ValueError("Write a word to search for, with a letter or a digit in it.")
            parts.append("- marks : (" + " AND ".join(_beginning(word) for word in words) + ")")
        marks = list(self._marks())
        if marks:
            parts.append("marks : (" + " AND ".join(marks) + ")")
        return " AND ".join(parts) or None

    def _marks(self) -> Iterator[str]:
        for field in fields(self):
            value = getattr(self, field.name)
            if field.name in _EXACT and value.strip():
                yield mark(_EXACT[field.name], value)
        if self.sealed is not None:
            yield mark(Property.SEALED, "yes" if self.sealed else "no")


_EXACT = {
    "asset": Property.ASSET,
    "shaft": Property.SHAFT,
    "work_order": Property.WORK_ORDER,
    "sheet_number": Property.SHEET_NUMBER,
    "seat": Property.SEAT,
    "inspector": Property.INSPECTOR,
    "gauge": Property.GAUGE,
    "verdict": Property.VERDICT,
    "state": Property.STATE,
}


def _beginning(word: str) -> str:
    plain = "".join(sign for sign in word if sign.isprintable()).replace('"', '""')
    return f'"{plain}" *'


@dataclass(frozen=True, slots=True)
class Entry:
    """One inspection in an archive, as a list shows it.

    `thing` is the shaft or machine; `verdict` is empty until the measuring part is sealed;
    `superseded_by` is the inspection that took the place of this one, or empty. `number` puts
    entries in the order of time, and pages of them are asked for by it.
    """

    inspection: str
    opened_utc: str
    title: str
    thing: str
    sheet_number: str
    events: int
    sealed: bool
    number: int = 0
    opened_day: str = ""
    plan_version: str = ""
    asset: str = ""
    shaft: str = ""
    work_order: str = ""
    revision: int = 1
    sealed_utc: str = ""
    verdict: str = ""
    state: str = ""
    superseded_by: str = ""
    inspectors: tuple[str, ...] = ()
    gauges: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Page:
    """A stretch of the answer, newest first; `next_page` asks for what follows, None at the end."""

    entries: tuple[Entry, ...]
    next_page: int | None


@dataclass(frozen=True, slots=True)
class GaugeUse:
    """An inspection in which a gauge, setting standard or tool was in service, and on which days.

    `readings` counts what came from it, withdrawn ones included.
    """

    entry: Entry
    first_day: str
    last_day: str
    readings: int


@dataclass(frozen=True, slots=True)
class UsePage:
    """A stretch of a gauge's uses, newest first; `next_page` as in `Page`."""

    uses: tuple[GaugeUse, ...]
    next_page: int | None

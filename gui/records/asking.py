"""What is asked of the archive, from what a person typed; without Qt."""

from dataclasses import dataclass, replace
from datetime import date

from seatproof.core.archive.query import Query


class AskingError(ValueError):
    """What was typed cannot be asked; the message says why and what to type instead."""


@dataclass(frozen=True, slots=True)
class Typed:
    """The fields as typed; empty ones ask for nothing."""

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
    opened_from: str = ""
    opened_to: str = ""

    @property
    def filters(self) -> int:
        """How many filters beside the search for words are in use."""
        return sum(bool(getattr(self, name).strip()) for name in self.__slots__ if name != "text")

    def query(self) -> Query:
        """Return the question, of sealed inspections alone.

        Raises
        ------
        AskingError
            A day cannot be read, or the last one lies before the first.
        """
        first, last = _day(self.opened_from, "from"), _day(self.opened_to, "to")
        if first is not None and last is not None and last < first:
            raise AskingError(f"The days go backwards: {first} to {last}. Exchange them.")
        given = {
            name: getattr(self, name).strip()
            for name in self.__slots__
            if not name.startswith("opened")
        }
        return replace(Query(sealed=True, opened_from=first, opened_to=last), **given)


def _day(text: str, word: str) -> date | None:
    text = text.strip()
    if not text:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise AskingError(
            f"“{text}” is no day; write the day {word} which to look as year-month-day, such as "
            "2026-03-31."
        ) from None

"""What is asked of the archive, from what a person typed; without Qt."""

from dataclasses import dataclass, replace
from datetime import date
from typing import Final

from seatproof.core.archive.query import Query
from seatproof.gui.shared.saying import say, wording

_FROM: Final = wording(
    "“{typed}” is no day; write the day from which to look as year-month-day, such as 2026-03-31."
)
_TO: Final = wording(
    "“{typed}” is no day; write the day to which to look as year-month-day, such as 2026-03-31."
)


class AskingError(ValueError):
    """What was typed cannot be asked; the message says why and what to type instead.

    It is in the language of the window, where alone anybody types.
    """


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
        first, last = _day(self.opened_from, _FROM), _day(self.opened_to, _TO)
        if first is not None and last is not None and last < first:
            raise AskingError(
                say(
                    "The days go backwards: {first} to {last}. Exchange them.",
                    first=str(first),
                    last=str(last),
                )
            )
        given = {
            name: getattr(self, name).strip()
            for name in self.__slots__
            if not name.startswith("opened")
        }
        return replace(Query(sealed=True, opened_from=first, opened_to=last), **given)


def _day(text: str, refusal: str) -> date | None:
    text = text.strip()
    if not text:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise AskingError(say(refusal, typed=text)) from None

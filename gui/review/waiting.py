"""The inspections that wait for a decision, and what is wrong with each; without Qt.

What is wrong is said in the language of the window.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final, Protocol

from pydantic import TypeAdapter, ValidationError

from seatproof.core.archive.query import Entry, Page, Query
from seatproof.core.record.events import Event
from seatproof.core.record.kinds import QuestionAnswered, QuestionAsked, Sealed, Signed
from seatproof.core.verdict.rule import Verdict
from seatproof.core.wording.content import RequirementLine
from seatproof.gui.shared.saying import again, say

# In these states the quality lead is asked for something; "sent back" is the inspector's turn.
WAITING: Final = ("sealed", "reviewed")
_PAGE: Final = 500
_LINES: Final = TypeAdapter(tuple[RequirementLine, ...])


class WaitingArchive(Protocol):
    """What is read of an archive."""

    def find(self, query: Query, page: int | None = None, size: int = _PAGE) -> Page: ...

    def events(self, inspection: str) -> tuple[Event, ...]: ...


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that a reviewer looks at first; `verdict` None where it is no verdict."""

    sentence: str
    verdict: Verdict | None = None


def waiting(archive: WaitingArchive) -> tuple[Entry, ...]:
    """Return the inspections that wait, oldest first.

    Raises
    ------
    ArchiveError
        The archive cannot be read.
    """
    found: list[Entry] = []
    for state in WAITING:
        page: int | None = None
        while True:
            answer = archive.find(Query(state=state), page, _PAGE)
            found += answer.entries
            page = answer.next_page
            if page is None:
                break
    return tuple(sorted(found, key=lambda entry: entry.number))


def faults_of(events: Sequence[Event]) -> tuple[Fault, ...]:
    """Say what is wrong with a sealed inspection, most serious first; empty where nothing is.

    Only the seal is read, and what came after it: a card is shown before anything is evaluated.
    """
    seal = next((event for event in events if event.kind == Sealed.kind), None)
    if seal is None:
        return ()
    content = seal.payload.get("content")
    found = list(_requirements(content if isinstance(content, Mapping) else {}))
    found.sort(key=lambda fault: fault.verdict is not Verdict.DOES_NOT_CONFORM)
    closed = Sealed.model_validate(seal.payload).gaps
    found += [
        Fault(
            say(
                "Sealed all the same: {what} ({reason})",
                what=again(gap.what),
                reason=again(gap.reason),
            )
        )
        for gap in closed
    ]
    if isinstance(content, Mapping) and content.get("notice"):
        found.append(Fault(again(str(content["notice"]))))
    signed = any(
        event.kind == Signed.kind and event.payload.get("of_seq") == seal.seq for event in events
    )
    if not signed:
        found.append(Fault(say("The seal is not signed.")))
    found += _questions(events)
    return tuple(found)


def _requirements(content: Mapping[str, Any]) -> Sequence[Fault]:
    faults = []
    try:
        lines = _LINES.validate_python(content.get("requirements", ()))
    except ValidationError:
        return [Fault(say("Its verdicts were sealed by another version; open it to see them."))]
    for line in lines:
        if line.verdict is not Verdict.CONFORMS:
            said = say(
                "Seat {seat}, {characteristic}: {verdict}; found {value}, limits {limits}, "
                "U {uncertainty}",
                seat=line.seat,
                characteristic=again(line.characteristic),
                verdict=again(line.verdict.value),
                value=again(line.value),
                limits=again(line.limits),
                uncertainty=again(line.uncertainty),
            )
            faults.append(Fault(said, line.verdict))
    return faults


def _questions(events: Sequence[Event]) -> Sequence[Fault]:
    answered = {event.payload.get("of") for event in events if event.kind == QuestionAnswered.kind}
    faults = []
    for event in events:
        if event.kind == QuestionAsked.kind:
            question = str(event.payload.get("text", ""))
            faults.append(
                Fault(
                    say("Question, answered: {question}", question=question)
                    if event.seq in answered
                    else say("Question, not answered yet: {question}", question=question)
                )
            )
    return faults

"""Deciding on an inspection, with a signature, and asking its inspector; without Qt.

What it says is English here and goes through `again` where it is shown; what it records stays so.

What belongs to one decision (review, disposition, a signature on each) is stored all together or
not at all.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Final, Protocol

from seatproof.core.people.signer import Signer
from seatproof.core.record.commands.closing import Decision
from seatproof.core.record.errors import CommandRefusedError
from seatproof.core.record.events import Event
from seatproof.core.record.inspection import Inspection
from seatproof.core.record.inspection_state import InspectionState
from seatproof.core.record.signing import ACCEPTED, DECIDED, NOT_ACCEPTED
from seatproof.core.verdict.rule import Verdict
from seatproof.gui.shared.saying import wording


class Choice(StrEnum):
    """What a quality lead can decide; the value is its word."""

    ACCEPT = "accept"
    REWORK = "rework"
    CONCESSION = "concession"
    REJECT = "reject"
    MEASURE_AGAIN = "measure again"


EXPLAINED = {
    Choice.ACCEPT: wording("The measurement is accepted, and the shaft as measured."),
    Choice.REWORK: wording("The measurement is accepted; the shaft is to be reworked."),
    Choice.CONCESSION: wording(
        "The measurement is accepted; an authority lets the shaft be used within stated limits."
    ),
    Choice.REJECT: wording("The measurement is accepted; the shaft is not to be used."),
    Choice.MEASURE_AGAIN: wording(
        "The measurement is not accepted and goes back to the inspector."
    ),
}
NO_QUESTION: Final = wording("Write the question first.")
NO_ANSWER: Final = wording("Write the answer first.")


@dataclass(frozen=True, slots=True)
class Draft:
    """A decision as it is written; `authority`, `number` and `limits` are those of a concession."""

    choice: Choice
    reason: str
    authority: str = ""
    number: str = ""
    limits: str = ""

    def missing(self) -> str:
        """Say what is still to be written, in a sentence; empty where nothing is."""
        if not self.reason.strip():
            return wording("Give the reason; it goes into the record.")
        if self.choice is Choice.CONCESSION:
            if not self.authority.strip():
                return wording("Name the authority that grants the concession.")
            if not self.limits.strip():
                return wording("Write the limits within which the shaft may be used.")
        return ""

    def whole_reason(self) -> str:
        """Return the reason as it is recorded: with the limits of a concession."""
        if self.choice is not Choice.CONCESSION:
            return self.reason.strip()
        return f"{self.reason.strip()} Limits: {self.limits.strip()}"


class DecisionStore(Protocol):
    """Where decisions are stored."""

    def append_all(self, events: Sequence[Event]) -> None: ...

    def events(self, inspection: str) -> tuple[Event, ...]: ...


class _Together:
    """Keeps what is logged until all of it is stored at once."""

    def __init__(self, store: DecisionStore) -> None:
        self._store = store
        self._kept: list[Event] = []

    def append(self, event: Event) -> None:
        self._kept.append(event)

    def append_all(self, events: Sequence[Event]) -> None:
        self._kept.extend(events)

    def events(self, inspection: str) -> tuple[Event, ...]:
        return (*self._store.events(inspection), *self._kept)

    def store(self) -> None:
        self._store.append_all(self._kept)


def obstacle(state: InspectionState, choice: Choice) -> str:
    """Say why a choice is not open for an inspection, in a sentence; empty where it is."""
    sealed = state.sealed
    if sealed is None:
        return wording("The inspection is not sealed yet.")
    if state.superseded is not None:
        return wording("A revision took the place of this inspection; decide on that one.")
    seal = state.seal
    unsigned = seal is not None and not state.signatures_of(seal.seq)
    if state.plan.signing.signatures and unsigned:
        return wording(
            "The plan asks for signatures, and the seal is not signed; have it signed first."
        )
    not_conforming = sealed.content.get("verdict") == Verdict.DOES_NOT_CONFORM.value
    if choice is Choice.ACCEPT and not_conforming:
        return wording(
            "What does not conform is not accepted: decide on rework, rejection, or a concession "
            "with its authority."
        )
    return ""


def decide(
    store: DecisionStore,
    inspection: str,
    draft: Draft,
    signer: Signer,
    clock: Callable[[], datetime],
) -> InspectionState:
    """Record a decision and sign it.

    Raises
    ------
    CommandRefusedError
        Something is missing, the choice is not open, or the signer measured the shaft.
    PersonRefusedError
        The signer has not the role that this takes.
    ArchiveError
        It could not be stored; then none of it was.
    """
    missing = draft.missing()
    if missing:
        raise CommandRefusedError(missing)
    together = _Together(store)
    work = Inspection.resume(together, inspection, actor=signer.name, clock=clock)
    in_the_way = obstacle(work.state, draft.choice)
    if in_the_way:
        raise CommandRefusedError(in_the_way)
    accepted = draft.choice is not Choice.MEASURE_AGAIN
    review = work.review("accepted" if accepted else "not accepted", draft.reason)
    _sign(work, review, ACCEPTED if accepted else NOT_ACCEPTED, signer, clock)
    if accepted:
        decisions: dict[Choice, Decision] = {
            Choice.ACCEPT: "accept",
            Choice.REWORK: "rework",
            Choice.CONCESSION: "concession",
            Choice.REJECT: "reject",
        }
        disposition = work.dispose(
            decisions[draft.choice],
            draft.whole_reason(),
            authority=draft.authority if draft.choice is Choice.CONCESSION else "",
            number=draft.number if draft.choice is Choice.CONCESSION else "",
        )
        _sign(work, disposition, DECIDED, signer, clock)
    together.store()
    return work.state


def ask_inspector(
    store: DecisionStore, inspection: str, text: str, actor: str, clock: Callable[[], datetime]
) -> InspectionState:
    """Put a question to the inspector into the record; raises as `decide`."""
    if not text.strip():
        raise CommandRefusedError(NO_QUESTION)
    if not actor.strip():
        raise CommandRefusedError(wording("Say who asks."))
    together = _Together(store)
    work = Inspection.resume(together, inspection, actor=actor.strip(), clock=clock)
    work.ask(text)
    together.store()
    return work.state


def answer_question(
    store: DecisionStore,
    inspection: str,
    of: int,
    text: str,
    actor: str,
    clock: Callable[[], datetime],
) -> InspectionState:
    """Put the answer to the question of event `of` into the record; raises as `decide`."""
    if not text.strip():
        raise CommandRefusedError(NO_ANSWER)
    together = _Together(store)
    work = Inspection.resume(together, inspection, actor=actor, clock=clock)
    work.answer(of, text)
    together.store()
    return work.state


def _sign(
    work: Inspection,
    event: Event,
    meaning: str,
    signer: Signer,
    clock: Callable[[], datetime],
) -> None:
    work.sign(
        signer.sign(
            inspection=work.state.inspection,
            of_seq=event.seq,
            of_hash=event.hash,
            meaning=meaning,
            moment=clock(),
        )
    )

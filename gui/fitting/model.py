"""The fitting as a view-model: its steps, the one in hand, and what is answered; without Qt.

It speaks the language of the window, and records English or what a person wrote.
"""

import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any, Final, Literal, TypeVar

from seatproof.core.archive.errors import ArchiveError
from seatproof.core.equipment.item import Item, ItemKind
from seatproof.core.evaluation.evaluate import evaluate
from seatproof.core.fitting.cautions import ISOLATION, cautions_at
from seatproof.core.fitting.expected import expected_gap_mm
from seatproof.core.fitting.finding import Finding
from seatproof.core.fitting.standing import (
    NOT_RELEASED,
    answer_finding,
    release_obstacle,
    step_finding,
)
from seatproof.core.people.errors import PeopleError
from seatproof.core.people.signer import Signer
from seatproof.core.plan.fitting import (
    FittingStep,
    QuantityStep,
    TorqueStep,
    ValueStep,
)
from seatproof.core.record.calibration import service_faults
from seatproof.core.record.entries import Entry
from seatproof.core.record.errors import CommandRefusedError, RecordError
from seatproof.core.record.fitting_gaps import fitting_gaps
from seatproof.core.record.gaps import Gap
from seatproof.core.record.inspection import Inspection
from seatproof.core.record.inspection_state import InspectionState
from seatproof.core.record.kinds import (
    MeasuredValue,
    Reviewed,
    Sealed,
    StepAnswered,
    ToolInService,
)
from seatproof.core.record.signing import FITTED
from seatproof.devices.arrival import Arrival
from seatproof.devices.formats import Reading
from seatproof.gui.fitting.bolting import Bolting
from seatproof.gui.fitting.lengths import limits_words, sent_length, typed_length
from seatproof.gui.intake import typed_value
from seatproof.gui.shared.saying import again, say, typed_number, wording

T = TypeVar("T")
Answer = Literal["met", "not met", "not applicable", "free", "not free"]

NOT_ISOLATED: Final = wording("The isolation of the machine was not confirmed before hands went in")


@dataclass(frozen=True, slots=True)
class StepView:
    """A step in the list: its words, how it stands, and whether it is in hand."""

    number: int
    step: FittingStep
    met: bool | None
    is_in_hand: bool

    @property
    def word(self) -> str:
        return {None: say("open"), True: say("done"), False: say("not met")}[self.met]


def _nothing(_: object = None) -> None:
    """Do nothing, until somebody wants to be told."""


class FittingModel:
    """The fitting of one inspection.

    Parameters
    ----------
    inspection : Inspection
        Its measuring part is sealed; its actor is the one who fits.
    equipment : callable
        Gives the register's equipment in use.
    seconds : callable
        A clock that never jumps.
    """

    def __init__(
        self,
        inspection: Inspection,
        *,
        equipment: Callable[[], tuple[Item, ...]] = tuple,
        seconds: Callable[[], float] = time.monotonic,
    ) -> None:
        self.inspection = inspection
        self.on_change: Callable[[], None] = _nothing
        self.on_tool: Callable[[Item], object] = _nothing
        self.bolting = Bolting(self, seconds)
        self.said = ""
        self.problem = ""
        self.line_trouble = ""
        self.reasons: dict[str, str] = {}
        self._equipment = equipment
        self._expected: dict[str | None, Decimal | None] = {}
        self._place: dict[str, str] = {}
        self._in_hand = 0
        for number, view in enumerate(self.steps):
            if view.met is None:
                self._in_hand = number
                break

    # --- what shows ------------------------------------------------------------------------------

    @property
    def state(self) -> InspectionState:
        return self.inspection.state

    @property
    def person(self) -> str:
        return self.inspection.actor

    @property
    def heading(self) -> str:
        said = self.state.identification
        heading = say(
            "Fitting: {plan}, sheet {sheet}",
            plan=self.state.plan.heading.title,
            sheet=said.sheet_number,
        )
        return f"{heading}, {said.asset}" if said.asset else heading

    @property
    def obstacle(self) -> str:
        """Say why the seats are not released for fitting; empty where they are."""
        return release_obstacle(self.state) or ""

    @property
    def banner(self) -> str:
        """Say what no screen may leave out; empty where there is nothing."""
        parts = []
        if self.obstacle:
            parts.append(f"{say(NOT_RELEASED)}: {again(self.obstacle)}")
        begun = self.state.fitting.begun
        if begun is not None and not begun.payload.released:
            reason = again(begun.payload.reason)
            parts.append(say("Begun without release: {reason}", reason=reason))
        if self.is_begun and self._is_waived and not self._is_confirmed:
            parts.append(f"{say(NOT_ISOLATED)}.")
        return "\n".join(parts)

    @property
    def is_begun(self) -> bool:
        return self.state.fitting.begun is not None

    @property
    def is_sealed(self) -> bool:
        return self.seal_entry is not None

    @property
    def seal_entry(self) -> Entry[Sealed] | None:
        """The seal of the fitting."""
        return next((one for one in self.state.seals if one.payload.part == "fitting"), None)

    @property
    def signature_owed(self) -> bool:
        """Whether the plan asks for a signature that the seal has not yet."""
        seal = self.seal_entry
        if seal is None or not self.state.plan.signing.signatures:
            return False
        return not self.state.signatures_of(seal.seq)

    @property
    def fitting_review(self) -> Entry[Reviewed] | None:
        """The newest review since the seal of the fitting."""
        seal = self.seal_entry
        if seal is None:
            return None
        later = [review for review in self.state.reviews if review.seq > seal.seq]
        return later[-1] if later else None

    @property
    def is_isolated(self) -> bool:
        """Whether this person has confirmed the isolation today, or recorded that it was not."""
        return self._is_confirmed or self._is_waived

    @property
    def steps(self) -> tuple[StepView, ...]:
        return tuple(
            StepView(number, step, self.finding(step).met, number == self._in_hand)
            for number, step in enumerate(self.state.plan.fitting)
        )

    @property
    def step(self) -> FittingStep:
        """The step in hand."""
        return self.state.plan.fitting[self._in_hand]

    @property
    def number(self) -> int:
        """The place of the step in hand, counted from 0."""
        return self._in_hand

    def finding(self, step: FittingStep) -> Finding:
        return step_finding(self.state, step, self.expected_mm(step))

    def cautions(self, step: FittingStep) -> tuple[str, ...]:
        return cautions_at(step)

    def expected_mm(self, step: FittingStep) -> Decimal | None:
        """Return the joint gap that the measured seat leads to expect, for a step about gaps."""
        if not isinstance(step, ValueStep) or not step.joint_gaps:
            return None
        seat = step.seat or next(iter(_halves(self.state)), None)
        if seat not in self._expected:
            self._expected[seat] = expected_gap_mm(evaluate(self.state), seat)
        return self._expected[seat]

    def limits(self, step: ValueStep | QuantityStep) -> str:
        """Say the limits of a step; empty where there are none."""
        return limits_words(step, self.state.plan.unit)

    def place(self, step: ValueStep) -> str:
        """Return the place that the next value belongs to."""
        chosen = self._place.get(step.id)
        if chosen is not None:
            return chosen
        answered = self.state.fitting.answer(step.id)
        values = {} if answered is None else answered.values
        return next((place for place in step.places if place not in values), step.places[-1])

    def tools(self) -> tuple[Item, ...]:
        """Return the torque tools of the register."""
        return tuple(item for item in self._equipment() if item.kind is ItemKind.TORQUE_TOOL)

    @property
    def gaps(self) -> tuple[Gap, ...]:
        return () if self.is_sealed else fitting_gaps(self.state)

    @property
    def open_gaps(self) -> tuple[Gap, ...]:
        """What still keeps the fitting from its seal."""
        return tuple(
            gap for gap in self.gaps if not (gap.reason_may_close and self.reasons.get(gap.what))
        )

    # --- beginning, people, isolation ------------------------------------------------------------

    def begin(self, reason: str = "") -> None:
        """Begin; with a reason where the seats are not released."""
        self.act(lambda inspection: inspection.begin_fitting(reason))

    def confirm_isolation(self, permit: str = "") -> None:
        """Confirm for oneself that the machine is isolated."""
        self.act(lambda inspection: inspection.confirm_isolation(ISOLATION, permit))

    def go_without_isolation(self, reason: str) -> None:
        """Record that it was not confirmed; a record must not make anybody say what is not so."""
        self.act(lambda inspection: inspection.note_deviation(NOT_ISOLATED, reason))

    def change_person(self, name: str) -> None:
        """Let another person go on; they confirm the isolation for themselves."""
        self.act(lambda inspection: inspection.change_inspector(name))

    def note(self, text: str) -> None:
        self.act(lambda inspection: inspection.add_note(text))

    # --- the steps -------------------------------------------------------------------------------

    def go_to(self, number: int) -> None:
        """Take a step in hand; any of them, at any time."""
        self._in_hand = number
        self.said = self.problem = ""
        self.on_change()

    def go_on(self) -> None:
        """Take the next step in hand that is open, the next after this one first."""
        views = self.steps
        after = [*views[self._in_hand + 1 :], *views[: self._in_hand]]
        following = next((view.number for view in after if view.met is None), None)
        if following is None:
            following = min(self._in_hand + 1, len(views) - 1)
        self.go_to(following)

    def answer(self, answer: Answer, note: str = "") -> None:
        """Answer a step in words; what is not met needs a note of what was found."""
        if answer in ("not met", "not free") and not note.strip():
            raise CommandRefusedError(say("Say what was found; it goes into the record."))
        self._log(StepAnswered(step=self.step.id, answer=answer, note=note.strip()))

    def read_marks(self, read: dict[str, str]) -> None:
        """Log the marks read from parts that belong together."""
        given = {part: mark.strip() for part, mark in read.items() if mark.strip()}
        if not given:
            raise CommandRefusedError(
                say("Read the marks off the parts and write them here first.")
            )
        self._log(StepAnswered(step=self.step.id, read=given))

    def choose_place(self, place: str) -> None:
        """Let the next value belong to a place, also one that has a value."""
        self._place[self.step.id] = place
        self.on_change()

    def type_value(self, text: str) -> None:
        """Take a length that somebody read off, in the plan's unit."""
        self._log_value(typed_length(text, self.state.plan.unit))

    def type_amount(self, text: str) -> None:
        """Take how much was put in, in the step's unit."""
        value = typed_value(typed_number(text))
        step = self.step
        assert isinstance(step, QuantityStep)
        if value is None or value < 0:
            raise CommandRefusedError(
                say(
                    "“{typed}” is no amount; write it with a decimal point, in {unit}.",
                    typed=text,
                    unit=step.unit,
                )
            )
        self._log(StepAnswered(step=step.id, amount=str(value)))

    # --- lines -----------------------------------------------------------------------------------

    def take(self, arrival: Arrival, number: str) -> None:
        """Take what a gauge or a torque tool sent, for the step in hand; else say so."""
        self.do(lambda: self._take(arrival, number))

    def _take(self, arrival: Arrival, number: str) -> None:
        step, content = self.step, arrival.content
        if not (self.is_begun and self.is_isolated) or self.is_sealed:
            raise CommandRefusedError(
                say("{value} came, and nothing is to be taken now.", value=content.text)
            )
        if isinstance(step, TorqueStep):
            self.bolting.take(step, arrival, number)
            return
        if not isinstance(step, ValueStep):
            raise CommandRefusedError(
                say(
                    "{value} came from {number}, and this step takes no value; it was not taken.",
                    value=content.text,
                    number=number,
                )
            )
        if not isinstance(content, Reading):
            raise CommandRefusedError(content.reason)
        if arrival.doubts:
            raise CommandRefusedError(
                say(
                    "{value} was not taken: {doubts}. Press again.",
                    value=content.text,
                    doubts="; ".join(again(str(doubt)) for doubt in arrival.doubts),
                )
            )
        gauge = self.state.gauge_named(number)
        if gauge is None:
            raise CommandRefusedError(
                say(
                    "{value} came from {number}, which gives no lengths; it was not taken.",
                    value=content.text,
                    number=number,
                )
            )
        self._log_value(sent_length(content, arrival.number, gauge))

    # --- the end ---------------------------------------------------------------------------------

    def give_reason(self, gap: Gap, reason: str) -> None:
        """Set down why it is sealed although something stands open; the seal logs it."""
        self.reasons[gap.what] = reason.strip()
        self.on_change()

    def seal(self, statement: str) -> None:
        """Seal the fitting under a statement, with the words that the sheet will print."""
        from seatproof.core.wording.fitting_part import fitting_content

        content = fitting_content(self.state, self._expectations())
        self.act(
            lambda inspection: inspection.seal(
                content.model_dump(mode="json"), statement, self.reasons, part="fitting"
            )
        )

    def sign(self, signer: Signer) -> None:
        """Sign the seal of the fitting."""
        seal = self.seal_entry
        if seal is None:
            raise CommandRefusedError(say("The fitting is not sealed yet; seal it first."))
        signed = signer.sign(
            inspection=self.state.inspection,
            of_seq=seal.seq,
            of_hash=seal.event.hash,
            meaning=FITTED,
            moment=self._now(),
        )
        self.act(lambda inspection: inspection.sign(signed))

    def review(self, name: str, finding: Literal["accepted", "not accepted"], note: str) -> None:
        """Let another person than those who measured and fitted review the sealed fitting."""
        state = self.state
        other = Inspection.resume(
            self.inspection.store, state.inspection, actor=name, clock=self.inspection.clock
        )
        fitters = {event.actor.casefold() for event in state.events[self._begun_seq :]}
        may_be_same = state.plan.signing.same_person_may_review
        if name.strip().casefold() in fitters and not may_be_same:
            raise CommandRefusedError(
                say(
                    "{name} took part in this fitting; the plan asks for another person's review.",
                    name=name.strip(),
                )
            )
        other.review(finding, note)
        self.inspection.state = other.state
        self.on_change()

    # --- for the parts ---------------------------------------------------------------------------

    def act(self, command: Callable[[Inspection], T]) -> T:
        """Carry out a command and show what came of it."""
        result = command(self.inspection)
        self.problem = ""
        self.on_change()
        return result

    def do(self, deed: Callable[[], object]) -> bool:
        """Do what may be refused; the refusal is shown where troubles are. Tell whether it went."""
        self.problem = self.said = ""
        try:
            deed()
        except (ArchiveError, PeopleError, RecordError) as error:
            self.problem = again(str(error))
            self.on_change()
            return False
        self.on_change()
        return True

    def say(self, sentence: str) -> None:
        self.said = sentence

    def today_faults(self, tool: ToolInService) -> tuple[str, ...]:
        return service_faults(tool, self.state.plan, self._now().date())

    # --- inside ----------------------------------------------------------------------------------

    def _now(self) -> datetime:
        return self.inspection.clock()

    @property
    def _begun_seq(self) -> int:
        begun = self.state.fitting.begun
        return len(self.state.events) if begun is None else begun.seq - 1

    @property
    def _is_confirmed(self) -> bool:
        return any(self._is_mine_today(entry) for entry in self.state.fitting.isolations)

    @property
    def _is_waived(self) -> bool:
        return any(
            entry.payload.what == NOT_ISOLATED and self._is_mine_today(entry)
            for entry in self.state.deviations
        )

    def _is_mine_today(self, entry: Entry[Any]) -> bool:
        event = entry.event
        today = self._now().date()
        same_day = event.moment.astimezone(self._now().tzinfo).date() == today
        return bool(event.actor == self.person and same_day)

    def _expectations(self) -> dict[str, Decimal | None]:
        return {step.id: self.expected_mm(step) for step in self.state.plan.fitting}

    def _log_value(self, value: MeasuredValue) -> None:
        step = self.step
        assert isinstance(step, ValueStep)
        answered = self.state.fitting.answer(step.id)
        before = {} if answered is None else dict(answered.values)
        place = self.place(step)
        self._log(StepAnswered(step=step.id, values={**before, place: value}))
        self._place.pop(step.id, None)

    def _log(self, answered: StepAnswered) -> None:
        """Log an answer; one in figures or marks is met or not by what the plan says."""
        if not (self.is_begun and self.is_isolated):
            raise CommandRefusedError(say("Confirm the isolation of the machine first."))
        if not answered.answer:
            finding = answer_finding(self.state, self.step, answered, self.expected_mm(self.step))
            words: dict[bool | None, Literal["", "met", "not met"]] = {
                None: "",
                True: "met",
                False: "not met",
            }
            answered = answered.model_copy(update={"answer": words[finding.met]})
        self.act(lambda inspection: inspection.answer_step(answered))


def _halves(state: InspectionState) -> tuple[str, ...]:
    return tuple(seat.id for seat in state.seats if seat.ring == "halves")

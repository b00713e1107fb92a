"""The step in hand of a guided inspection, and what is done in the steps beside readings; no Qt."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime
from functools import partial
from typing import Final, Protocol, TypeVar

from seatproof.core.cautions import CAUTIONS
from seatproof.core.record.calibration import service_faults
from seatproof.core.record.checks import Due, due
from seatproof.core.record.commands.preparing import Answer
from seatproof.core.record.entries import LoggedCheck
from seatproof.core.record.inspection import Inspection, Press
from seatproof.core.record.inspection_state import InspectionState
from seatproof.core.record.kinds import (
    GaugeInService,
    Identification,
    Occasion,
    StandardInService,
)
from seatproof.gui.bench.apartness import far_standard
from seatproof.gui.bench.checking import CheckDesk, Phase, outcome_words
from seatproof.gui.bench.ladder import (
    TAKES_PRESSES,
    Rung,
    RungView,
    is_done,
    is_guided,
    rungs_of,
    standards_to_check,
    unchecked,
)
from seatproof.gui.shared.saying import wording
from seatproof.gui.simulation import simulated_standards

T = TypeVar("T")

# What a button at the bench says of a gauge; each asks for a check before the next press.
ATTENTIONS: Final[dict[Occasion, str]] = {
    "knock": wording("Gauge was knocked"),
    "battery": wording("New battery"),
}
_CHECKS: Final[dict[Rung, tuple[Phase, Occasion]]] = {
    Rung.OPENING: ("opening", "start"),
    Rung.CLOSING: ("closing", "end"),
}
# Kept in English, and said when they are shown.
_NOT_READINGS: Final = wording("it came while the step “{said}” was in hand, not the readings")
_PUT_NEXT: Final = wording("Now put gauge {gauge} on standard {standard}.")


class Owner(Protocol):
    """What the steps need of the bench."""

    @property
    def state(self) -> InspectionState: ...

    def act(self, command: Callable[[Inspection], T]) -> T: ...

    def redraw(self) -> None: ...


@dataclass(frozen=True, slots=True)
class ConditionView:
    """One condition of one seat: its words, and its answer so far."""

    seat: str
    check: str
    answer: str
    note: str


class Steps:
    """The ladder of one inspection, where it stands, and the commands of its steps.

    Parameters
    ----------
    owner : Owner
    clock : callable
        Gives the time by which a check may be due.
    """

    def __init__(self, owner: Owner, clock: Callable[[], datetime]) -> None:
        self._owner = owner
        self._clock = clock
        self.desk = CheckDesk()
        self.said = ""  # what came of the last check, in English
        self._is_guided = is_guided(owner.state.plan)
        self._rungs = rungs_of(owner.state.plan)
        self._between = False
        self.in_hand = Rung.READINGS
        self._awaited_since = clock()

    def start(self, *, has_open: bool) -> None:
        """Take up where the inspection stands: at the first step that is not done."""
        if self._is_guided:
            self._take_up(self.first_open(has_open=has_open))

    # --- what shows ------------------------------------------------------------------------------

    @property
    def is_guided(self) -> bool:
        """Whether there is a ladder to be shown."""
        return self._is_guided

    def rungs(self, *, has_open: bool) -> tuple[RungView, ...]:
        """Return the steps as they stand."""
        state = self._owner.state
        return tuple(
            RungView(rung, is_done(state, rung, has_open=has_open), rung is self.in_hand)
            for rung in self._rungs
        )

    def first_open(self, *, has_open: bool) -> Rung:
        """Return the first step that is not done; the last where all are."""
        state = self._owner.state
        return next(
            (rung for rung in self._rungs if not is_done(state, rung, has_open=has_open)),
            Rung.SEAL,
        )

    @property
    def following(self) -> Rung | None:
        """The step after the one in hand."""
        if self._between or self.in_hand not in self._rungs:
            return Rung.READINGS
        index = self._rungs.index(self.in_hand) + 1
        return self._rungs[index] if index < len(self._rungs) else None

    @property
    def is_between(self) -> bool:
        """Whether a check between readings is in hand."""
        return self._between

    @property
    def is_checking(self) -> bool:
        """Whether presses belong to a check now."""
        return self._between or self.in_hand in _CHECKS

    @property
    def awaits_press(self) -> bool:
        """Whether somebody is asked to press a gauge now."""
        state = self._owner.state
        if state.sealed is not None:
            return False
        return self.is_checking or (self.in_hand is Rung.READINGS and state.cursor is not None)

    @property
    def awaited_s(self) -> float:
        """For how many seconds a press has been awaited; 0 where none is."""
        if not self.awaits_press:
            return 0.0
        return (self._clock() - self._awaited_since).total_seconds()

    @property
    def due(self) -> tuple[Due, ...]:
        """The checks that are asked for now, beyond the first one while its step is to come."""
        return due(self._owner.state, self._clock())

    def conditions(self, seat_id: str) -> tuple[ConditionView, ...]:
        """Return the plan's conditions as they stand for a seat."""
        state = self._owner.state
        found = []
        for check in state.plan.conditions:
            entry = state.conditions.get((seat_id, check))
            answer, note = ("", "") if entry is None else (entry.payload.answer, entry.payload.note)
            found.append(ConditionView(seat_id, check, answer, note))
        return tuple(found)

    # --- going from step to step -----------------------------------------------------------------

    def go_to(self, rung: Rung) -> None:
        """Take a step in hand; any of them, at any time."""
        self._take_up(rung)
        self._owner.redraw()

    def go_on(self) -> None:
        """Take the following step in hand."""
        if self.following is not None:
            self.go_to(self.following)

    def check_now(self, gauge: str = "") -> None:
        """Check a gauge between readings, as something asked for it."""
        asked = next((item for item in self.due if gauge in ("", item.gauge)), None)
        if asked is not None and asked.occasion == "start":
            self._take_up(Rung.OPENING)
        else:
            self._wait_from_now()
            self._between = True
            self.said = ""
            self.desk.begin(
                self._owner.state,
                "between",
                asked.occasion if asked is not None else "other",
                asked.gauge if asked is not None else gauge,
            )
        self._owner.redraw()

    def leave_check(self) -> None:
        """Go back to the readings; what was set down for the check is kept until it is taken up."""
        self._between = False
        self._owner.redraw()

    def _wait_from_now(self) -> None:
        if not self.awaits_press:
            self._awaited_since = self._clock()

    def _take_up(self, rung: Rung) -> None:
        self._wait_from_now()
        self._between = False
        self.said = ""
        self.in_hand = rung
        if rung in _CHECKS:
            waiting = unchecked(self._owner.state) if rung is Rung.OPENING else ()
            self.desk.begin(self._owner.state, *_CHECKS[rung], gauge=waiting[0] if waiting else "")

    # --- presses ---------------------------------------------------------------------------------

    def placed(self, press: Press) -> Press | None:
        """Return the press for the readings; None where it belongs to the check in hand.

        A press that comes while neither readings nor a check are in hand is doubtful.
        """
        if self.is_checking and self._owner.state.sealed is None:
            self.desk.take(self._owner.state, press)
            return None
        if self.in_hand in TAKES_PRESSES or self._owner.state.cursor is None:
            return press
        doubt = _NOT_READINGS.format(said=self.in_hand)
        return replace(press, doubts=(*press.doubts, doubt))

    def log_check(self) -> LoggedCheck:
        """Log the check that is set down."""
        payload = self.desk.payload(self._owner.state)
        check = self._owner.act(lambda inspection: inspection.check_reference(payload))
        self.desk.clear()  # not before it is stored
        self.said = outcome_words(self._owner.state, check)
        if check.good and self._between:
            self._between = False
        elif check.good:
            self._next_check(payload.gauge)
        self._owner.redraw()
        return check

    def _next_check(self, gauge: str) -> None:
        """Take the next standard of the same gauge in hand, or the next gauge."""
        state, closing = self._owner.state, self.in_hand is Rung.CLOSING
        standards = standards_to_check(state, gauge, closing=closing)
        others = () if closing else unchecked(state)
        if standards:
            self.desk.choose_standard(standards[0])
        elif others:
            self.desk.choose_gauge(state, others[0])
        else:
            return
        put = _PUT_NEXT.format(gauge=self.desk.gauge, standard=self.desk.standard)
        self.said += f" {put}"

    def note_held(self) -> None:
        """Set down in the record what is held for checks and will not be logged any longer."""
        for sentence in self.desk.held:
            self._owner.act(partial(Inspection.add_note, text=sentence))
        self.desk.clear_all()

    # --- the other steps -------------------------------------------------------------------------

    def identify(self, identification: Identification, reason: str) -> None:
        """Correct what was said of the shaft and the order."""
        self._owner.act(
            lambda inspection: inspection.correct_identification(identification, reason)
        )

    def acknowledge(self, permit: str) -> None:
        """Acknowledge the cautions, under a work permit where there is one."""
        self._owner.act(lambda inspection: inspection.acknowledge_cautions(CAUTIONS, permit))

    def answer(self, seat: str, check: str, answer: Answer, note: str = "") -> None:
        """Answer a condition."""
        self._owner.act(lambda inspection: inspection.answer_condition(seat, check, answer, note))

    def faults(self, thing: GaugeInService | StandardInService) -> tuple[str, ...]:
        """Say why a gauge or standard may be used only with a reason."""
        plan = self._owner.state.plan
        found = service_faults(thing, plan, self._clock().date())
        return (*found, *far_standard(thing, plan))

    def simulated_standards(self) -> tuple[StandardInService, ...]:
        """Return the made-up standards that can be put in service; none for a real gauge."""
        state = self._owner.state
        if state.gauge is None or not state.gauge.simulated or state.sealed is not None:
            return ()
        served = {entry.payload.inventory_number for entry in state.standards}
        offered = simulated_standards(state.plan, self._clock())
        return tuple(one for one in offered if one.inventory_number not in served)

    def put_in_service(self, thing: GaugeInService | StandardInService, reason: str = "") -> None:
        """Put a gauge or standard in service, with the reason for one that has faults."""
        used = thing.model_copy(update={"override_reason": reason.strip()})
        self._owner.act(lambda inspection: inspection.put_in_service(used))

    def call_attention(self, what: Occasion, gauge: str = "", note: str = "") -> None:
        """Note what happened to a gauge."""
        self._owner.act(lambda inspection: inspection.call_attention(what, gauge, note))

    def change_inspector(self, name: str) -> None:
        """Let another person go on."""
        self._owner.act(lambda inspection: inspection.change_inspector(name))

    def note(self, text: str) -> None:
        """Add a note: to the point that is next, if one is."""
        key = self._owner.state.cursor
        self._owner.act(lambda inspection: inspection.add_note(text, key=key))

    def deviate(self, what: str, reason: str) -> None:
        """Record where the work knowingly departs from the plan."""
        self._owner.act(lambda inspection: inspection.note_deviation(what, reason))

    def give_reason(self, of: int, reason: str) -> None:
        """Give a reason that was owed."""
        self._owner.act(lambda inspection: inspection.give_reason(of, reason))

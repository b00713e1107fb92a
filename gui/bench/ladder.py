"""The steps of a guided inspection: which there are, which are done, which is in hand; no Qt.

A step that the plan does not ask for is not there, and a plan that asks for nothing beyond readings
has no ladder at all.
"""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from seatproof.core.plan.judging import Checks
from seatproof.core.plan.model import Plan
from seatproof.core.record.checks import suffices
from seatproof.core.record.inspection_state import InspectionState
from seatproof.gui.shared.saying import wording


class Rung(StrEnum):
    """One step; the value is its word."""

    IDENTIFY = wording("identify")
    CAUTIONS = wording("cautions")
    CONDITION = wording("condition")
    EQUIPMENT = wording("equipment")
    OPENING = wording("first check")
    READINGS = wording("readings")
    CLOSING = wording("last check")
    VERDICT = wording("verdict")
    SEAL = wording("seal")


# Where a press belongs to the step in hand.
TAKES_PRESSES: Final = (Rung.OPENING, Rung.READINGS, Rung.CLOSING)


@dataclass(frozen=True, slots=True)
class RungView:
    """A step as the ladder shows it."""

    rung: Rung
    is_done: bool
    is_in_hand: bool

    @property
    def mark(self) -> str:
        """A sign that goes with the word: done, in hand, still to come."""
        if self.is_done:
            return "✓"
        return "▸" if self.is_in_hand else "○"


def is_guided(plan: Plan) -> bool:
    """Tell whether a plan asks for more than readings."""
    return bool(plan.conditions) or plan.checks != Checks() or plan.signing.signatures


def rungs_of(plan: Plan) -> tuple[Rung, ...]:
    """Return the steps that a plan asks for, in their order."""
    checks = plan.checks
    wanted = {
        Rung.CONDITION: bool(plan.conditions),
        Rung.OPENING: checks.opening or checks.temperatures or checks.every_minutes is not None,
        Rung.CLOSING: checks.closing,
    }
    return tuple(rung for rung in Rung if wanted.get(rung, True))


def is_done(state: InspectionState, rung: Rung, *, has_open: bool) -> bool:
    """Tell whether a step is done; `has_open` whether any point is open."""
    match rung:
        case Rung.IDENTIFY:
            return True  # there is no inspection without it
        case Rung.CAUTIONS:
            return bool(state.cautions)
        case Rung.CONDITION:
            return not unanswered(state)
        case Rung.EQUIPMENT:
            return not unequipped(state)
        case Rung.OPENING:
            return not unchecked(state) and (
                bool(state.temperatures) or not state.plan.checks.temperatures
            )
        case Rung.READINGS:
            return not has_open and not state.waiting_presses()
        case Rung.CLOSING:
            return not has_open and _is_closed(state)
        case Rung.VERDICT | Rung.SEAL:
            return state.sealed is not None


def unanswered(state: InspectionState) -> tuple[tuple[str, str], ...]:
    """Return the conditions without an answer, each with its seat."""
    return tuple(
        (seat.id, check)
        for seat in state.seats
        if seat.same_seat_as is None
        for check in state.plan.conditions
        if (seat.id, check) not in state.conditions
    )


def unequipped(state: InspectionState) -> tuple[str, ...]:
    """Return the seats that lack a gauge, or a setting standard that the plan asks for."""
    return tuple(
        seat.id
        for seat in state.seats
        if state.gauge_for(seat.id) is None
        or (
            state.plan.checks.standard
            and seat.method == "two-point"
            and state.standard_for(seat.id) is None
        )
    )


def unchecked(state: InspectionState) -> tuple[str, ...]:
    """Return the gauges in use that were not checked well before the first reading."""
    if not state.plan.checks.opening:
        return ()
    gauges = {state.gauge_for(seat.id) for seat in state.seats} - {None}
    return tuple(
        gauge.inventory_number
        for gauge in gauges
        if gauge is not None
        and not any(
            check.good and suffices(state, check)
            for check in state.checks_of(gauge.inventory_number)
        )
    )


def standards_to_check(state: InspectionState, gauge: str, *, closing: bool) -> tuple[str, ...]:
    """Return the standards of a gauge's seats on which it was not checked in this phase.

    A check on one standard says little of a seat of another size.
    """
    phase = "closing" if closing else "opening"
    newest = max(
        (seq for seq, reading in state.readings.items() if reading.received.gauge == gauge),
        default=0,
    )
    done = {
        check.check.standard
        for check in state.checks_of(gauge)
        if check.good and check.check.phase == phase and (check.seq > newest or not closing)
    }
    wanted: dict[str, None] = {}
    for seat in state.seats:
        served, standard = state.gauge_for(seat.id), state.standard_for(seat.id)
        if served is None or standard is None or seat.method != "two-point":
            continue
        if served.inventory_number == gauge and standard.inventory_number not in done:
            wanted[standard.inventory_number] = None
    return tuple(wanted)


def _is_closed(state: InspectionState) -> bool:
    """Tell whether every gauge that read was checked after its newest reading."""
    newest: dict[str, int] = {}
    for seq in reversed(tuple(state.readings)):
        newest.setdefault(state.readings[seq].received.gauge, seq)
        if len(newest) == len({gauge.inventory_number for gauge in state.gauges}):
            break
    return all(
        any(check.seq > seq and suffices(state, check) for check in state.checks_of(gauge))
        for gauge, seq in newest.items()
    )

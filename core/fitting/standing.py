"""Where a fitting stands: its steps as found, its release, and what departs from the plan."""

from dataclasses import dataclass
from decimal import Decimal

from seatproof.core.fitting.finding import (
    Finding,
    identity_finding,
    quantity_finding,
    value_finding,
)
from seatproof.core.fitting.torque import Departure, Reordered, TorqueProgress, follow
from seatproof.core.fitting.torque_unit import torque_text
from seatproof.core.plan.fitting import (
    FittingStep,
    IdentityStep,
    QuantityStep,
    TorqueStep,
    ValueStep,
)
from seatproof.core.record.inspection_state import InspectionState
from seatproof.core.record.kinds import BoltTightened, StepAnswered

NOT_RELEASED = "NOT RELEASED FOR FITTING"


def fitting_seats(state: InspectionState) -> tuple[str, ...]:
    """Return the seats that the plan's fitting steps belong to; empty where none is named."""
    return tuple(dict.fromkeys(step.seat for step in state.plan.fitting if step.seat))


def release_obstacle(state: InspectionState) -> str | None:
    """Say why the seats are not released for fitting now; None where they are."""
    return state.fitting_released(fitting_seats(state))


def step_finding(
    state: InspectionState, step: FittingStep, expected_mm: Decimal | None = None
) -> Finding:
    """Return what a step amounts to so far.

    `expected_mm` is the joint gap that the measured seat leads to expect, for steps about gaps.
    """
    if isinstance(step, TorqueStep):
        return _torque_finding(state, step)
    answered = state.fitting.answer(step.id)
    if answered is None:
        return Finding(None)
    return answer_finding(state, step, answered, expected_mm)


def answer_finding(
    state: InspectionState,
    step: FittingStep,
    answered: StepAnswered,
    expected_mm: Decimal | None = None,
) -> Finding:
    """Return what an answer to a step amounts to."""
    match step:
        case IdentityStep():
            return identity_finding(step, answered.read)
        case ValueStep():
            read_mm = {place: Decimal(one.value_mm) for place, one in answered.values.items()}
            return value_finding(step, read_mm, state.plan.unit, expected_mm)
        case QuantityStep():
            amount = None if answered.amount is None else Decimal(answered.amount)
            return quantity_finding(step, amount)
    if not answered.answer:
        return Finding(None)
    return Finding(answered.answer not in ("not met", "not free"))


def progress_of(state: InspectionState, step: TorqueStep) -> TorqueProgress:
    """Return where the tightening of a joint stands."""
    return follow(step, state.fitting.acts(step.id))


@dataclass(frozen=True, slots=True)
class Departed:
    """An act at a joint that departs from the plan, in a sentence."""

    seq: int
    sentence: str


def departures_of(state: InspectionState, step: TorqueStep) -> tuple[Departed, ...]:
    """Say what was done to a joint otherwise than its plan asks, oldest first."""
    progress = progress_of(state, step)
    return tuple(
        Departed(
            entry.seq,
            departure_sentence(step, entry.payload, progress.departures[entry.seq]),
        )
        for entry in state.fitting.work.get(step.id, ())
        if isinstance(entry.payload, BoltTightened) and entry.seq in progress.departures
    )


def departure_sentence(
    step: TorqueStep, act: BoltTightened, departures: tuple[Departure, ...]
) -> str:
    """Say how one act departs from the plan."""
    stage = step.stages[act.stage]
    words = ", and ".join(_in_words(step, act, one) for one in departures)
    return f"Bolt {act.bolt}, stage {stage.name}: {words}."


def _in_words(step: TorqueStep, act: BoltTightened, departure: Departure) -> str:
    stage = step.stages[act.stage]
    if departure in (Departure.BELOW, Departure.ABOVE) and act.torque is not None:
        return (
            f"{torque_text(Decimal(act.torque))} {step.unit} is {departure} "
            f"({stage.target} ± {stage.tolerance} {step.unit})"
        )
    return {
        Departure.OUT_OF_ORDER: "taken out of order",
        Departure.REPEATED: "tightened again, though it was done",
        Departure.AHEAD: "taken before the stage in front of it was finished",
    }.get(departure, departure.value)


def _torque_finding(state: InspectionState, step: TorqueStep) -> Finding:
    progress = progress_of(state, step)
    sentences = [one.sentence for one in departures_of(state, step)]
    for act in state.fitting.acts(step.id):
        if isinstance(act, Reordered):
            name = step.stages[act.stage].name
            sentences.append(f"Stage {name}: order chosen anew: {', '.join(act.order)}.")
    if progress.restarts:
        count = "once" if progress.restarts == 1 else f"{progress.restarts} times"
        sentences.append(f"Loosened and begun again {count}.")
    if not progress.is_complete:
        return Finding(None, tuple(sentences))
    sentences += [
        f"Bolt {turn.bolt} stays above the tolerance in stage {step.stages[turn.stage].name}."
        for turn in progress.too_tight
    ]
    return Finding(not progress.too_tight, tuple(sentences))

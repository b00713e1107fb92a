"""What would follow without some readings: a question asked of a record, never an answer in it."""

from collections.abc import Collection
from dataclasses import dataclass, replace

from seatproof.core.evaluation.evaluate import Evaluation, evaluate
from seatproof.core.evaluation.requirement import Requirement
from seatproof.core.record.state import InspectionState


@dataclass(frozen=True, slots=True)
class Change:
    """One requirement as the record has it, and as it would be without the readings left out."""

    before: Requirement
    after: Requirement


def without_readings(state: InspectionState, left_out: Collection[int]) -> InspectionState:
    """Return a state in which these readings do not count; the record stays as it is.

    Parameters
    ----------
    state : InspectionState
    left_out : collection of int
        Numbers of the readings' events. A point of which nothing is left is as one not measured.
    """
    counting = {
        key: tuple(seq for seq in numbers if seq not in left_out)
        for key, numbers in state.counting.items()
    }
    return replace(state, counting={key: numbers for key, numbers in counting.items() if numbers})


def evaluate_without(state: InspectionState, left_out: Collection[int]) -> Evaluation:
    """Evaluate an inspection as if these readings had not been taken."""
    return evaluate(without_readings(state, left_out))


def changes(before: Evaluation, after: Evaluation) -> tuple[Change, ...]:
    """Put every requirement beside itself, in the order of the seats.

    Raises
    ------
    ValueError
        The two are not of one plan.
    """
    return tuple(
        Change(one, other)
        for seat, changed in zip(before.seats, after.seats, strict=True)
        for one, other in zip(seat.requirements, changed.requirements, strict=True)
    )

"""Advice on the next reading, from an inspection as it stands."""

from seatproof.core.evaluation.budget import seat_budget
from seatproof.core.evaluation.evaluate import Evaluation, SeatEvaluation
from seatproof.core.evaluation.gathering import repeats_of
from seatproof.core.evaluation.uncertain import StatedUncertainties
from seatproof.core.foresight.measured import (
    MeasuredSeat,
    measured_as_stated,
    measured_by_budget,
)
from seatproof.core.foresight.next_reading import NextReading, next_readings, owed_readings
from seatproof.core.plan.uncertainty import BudgetUncertainty
from seatproof.core.record.state import InspectionState


def advise(state: InspectionState, evaluation: Evaluation, seat_id: str) -> tuple[NextReading, ...]:
    """Say which reading on a seat would be worth most.

    What the plan asks for comes first (`owed_readings`), then what settles most (`next_readings`).

    Parameters
    ----------
    state : InspectionState
    evaluation : Evaluation
        Of that state.
    seat_id : str

    Returns
    -------
    tuple of NextReading
        Empty for a seat that is not measured by diameters, or where no single reading helps.

    Raises
    ------
    KeyError
        There is no such seat.
    """
    result = evaluation.seat(seat_id)
    if not result.seat.has_size:
        return ()
    owed = owed_readings(state.plan, result)
    return owed or next_readings(state.plan, result, _measured(state, evaluation, result))


def _measured(
    state: InspectionState, evaluation: Evaluation, result: SeatEvaluation
) -> MeasuredSeat:
    stated = state.plan.uncertainty
    if isinstance(stated, BudgetUncertainty):
        repeats = repeats_of(state, (each.sizes for each in evaluation.seats), stated)
        budget = seat_budget(state, result.seat, result.sizes, result.stations, stated, repeats)
        assert budget is not None  # every point has its readings
        return measured_by_budget(budget)
    return measured_as_stated(
        StatedUncertainties.of(state.plan, result.seat, result.sizes, result.stations)
    )

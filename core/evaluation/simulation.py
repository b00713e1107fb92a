"""The simulated part of a full evaluation: extremes, form and joint conformity of local sizes."""

from dataclasses import replace
from math import sqrt

import numpy as np

from seatproof.core.evaluation.budget import SeatBudget
from seatproof.core.evaluation.requirement import Characteristic, Requirement, rule_of
from seatproof.core.evaluation.size import by_probability
from seatproof.core.plan.model import Plan
from seatproof.core.plan.seat import Seat
from seatproof.core.record.state import InspectionState
from seatproof.core.uncertainty.extremes import SeatSimulation, simulate_seat
from seatproof.core.uncertainty.montecarlo import IsCancelled, OnProgress, Settings
from seatproof.core.uncertainty.stream import seed_of
from seatproof.core.units import UM_PER_MM
from seatproof.core.verdict.rule import Verdict


def simulate_budget(
    state: InspectionState,
    budget: SeatBudget,
    on_progress: OnProgress | None = None,
    is_cancelled: IsCancelled | None = None,
) -> SeatSimulation:
    """Simulate the errors of a seat's local sizes, from a seed that its record settles.

    The seed is that of the inspection's id, the hash of the last event before the seal of the
    measuring part (of the last event of all, while there is none), and the seat's id.

    Raises
    ------
    CancelledError
        It was called off.
    """
    seat = budget.seat
    nominal_mm = float(seat.nominal_mm)
    size_um = np.array([(size.size_mm - nominal_mm) * UM_PER_MM for size in budget.sizes])
    lower_um, upper_um = (float(limit - seat.nominal_mm) * UM_PER_MM for limit in seat.limits_mm)
    stations = tuple(
        np.flatnonzero(budget.propagation.layout.station == number)
        for number in range(len(budget.stations))
    )
    return simulate_seat(
        size_um,
        budget.propagation,
        (lower_um, upper_um),
        (stations, (np.arange(len(budget.sizes)),)),
        Settings(
            seed=seed_of(state.inspection, _head(state), seat.id),
            trials=budget.trials,
            probability=budget.coverage.probability,
        ),
        on_progress=on_progress,
        is_cancelled=is_cancelled,
    )


def _head(state: InspectionState) -> str:
    """Return the hash of the event up to which the measuring part goes."""
    return state.last.hash if state.sealed_by is None else state.sealed_by.previous


def with_simulation(
    plan: Plan, seat: Seat, requirement: Requirement, simulation: SeatSimulation
) -> Requirement:
    """Return a requirement on every local size with the probability that the simulation found.

    A rule of probability is then judged by it, as far as the sizes have not failed already.
    """
    if requirement.characteristic is not Characteristic.SIZE or seat.judged != "local sizes":
        return requirement
    rule = rule_of(plan)
    verdict, reasons = requirement.verdict, requirement.reasons
    if rule.by_distribution and verdict is Verdict.CONFORMS:
        # Two standard errors of the share, so that no verdict hangs on the seed.
        share = simulation.probability
        doubt = 2.0 * sqrt(max(share * (1.0 - share), 1.0 / simulation.trials) / simulation.trials)
        verdict, why = by_probability(rule, share, doubt)
        reasons = (*why, *reasons)
    return replace(
        requirement, probability=simulation.probability, verdict=verdict, reasons=reasons
    )

"""How sure the local sizes of a seat are as an inspection stands, for weighing a next reading."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import inf, sqrt

import numpy as np

from seatproof.core.evaluation.budget import SeatBudget
from seatproof.core.evaluation.sizes import LocalSize
from seatproof.core.evaluation.uncertain import StatedUncertainties
from seatproof.core.form.arrays import FloatArray
from seatproof.core.plan.points import PointKey
from seatproof.core.uncertainty.contribution import Sharing


@dataclass(frozen=True, slots=True, eq=False)
class MeasuredSeat:
    """Local sizes with what makes them uncertain.

    Attributes
    ----------
    sizes : tuple of LocalSize
    place : mapping
        Where each point stands in `sizes`.
    reading_um : float
        Standard deviation of what a single reading has for itself: what more readings thin.
    station_errors_um : tuple of float
        What the mean of each station has for itself, by which a line weights them.
    of : callable
        From the weights of the sizes in a sum to its standard uncertainty (µm) and degrees of
        freedom.
    """

    sizes: tuple[LocalSize, ...]
    place: Mapping[PointKey, int]
    reading_um: float
    station_errors_um: tuple[float, ...]
    of: Callable[[FloatArray], tuple[float, float]]


def measured_as_stated(uncertain: StatedUncertainties) -> MeasuredSeat:
    """Return what a plan that states its uncertainty has one know of the sizes of a seat."""
    sizes = uncertain.sizes
    own = np.array([uncertain.repeatability_um / sqrt(size.worth) for size in sizes])

    def of(weights: FloatArray) -> tuple[float, float]:
        common = uncertain.common_um * float(np.sum(weights))
        return float(np.hypot(common, np.linalg.norm(weights * own))), inf

    errors = tuple(uncertain.station_errors_um())
    return MeasuredSeat(sizes, _places(sizes), uncertain.repeatability_um, errors, of)


def measured_by_budget(budget: SeatBudget) -> MeasuredSeat:
    """Return what a budget has one know of the sizes of a seat."""
    variance = 0.0
    thinning = budget.propagation.layout.thinning
    for effect in budget.propagation.effects:
        if effect.contribution.sharing is Sharing.READING:
            variance += float(np.max((effect.amplitude_um / thinning) ** 2))

    def of(weights: FloatArray) -> tuple[float, float]:
        combined = budget.propagation.of(weights)
        return combined.standard_um, combined.dof

    errors = tuple(budget.station_errors_um())
    return MeasuredSeat(budget.sizes, _places(budget.sizes), sqrt(variance), errors, of)


def _places(sizes: tuple[LocalSize, ...]) -> dict[PointKey, int]:
    return {size.key: index for index, size in enumerate(sizes)}

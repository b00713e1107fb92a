"""Extremes and form of noisy local sizes: intervals that hold for any true shape, and their bias.

The largest of many readings is too large on the average: the one that was read too high is chosen.
With d the sizes as found, e their errors and t = d - e the true sizes, whatever the true shape is:

    max t <= max d - e_j    for j the size that is truly largest, an ordinary error;
    max t >= max d - max e  because the size found largest is too large by no more than that.

So the upper end needs the quantile of one error, the lower that of the largest of all, and half a
grain of the sizes more, because these come in steps and a quantile of a smooth distribution may
fall just short of one; ranges, and with them roundness and cylindricity from diameters, likewise.
The bias stated is that of drawing the errors once more about the sizes found.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from seatproof.core.form.arrays import FloatArray, IndexArray
from seatproof.core.uncertainty.coverage import student_quantile
from seatproof.core.uncertainty.montecarlo import (
    IsCancelled,
    OnProgress,
    Settings,
    Simulation,
    simulate,
)
from seatproof.core.uncertainty.propagation import Propagation

_INSIDE, _HIGH, _LOW, _ONE, _HIGHEST_ERROR, _LOWEST_ERROR = range(6)
_FORM: Final = 6


@dataclass(frozen=True, slots=True)
class Simulated:
    """A figure as found, by how much it is too large on the average, and its interval; µm."""

    value_um: float
    bias_um: float
    low_um: float
    high_um: float


@dataclass(frozen=True, slots=True)
class SeatSimulation:
    """What simulation says of the local sizes of a seat.

    Attributes
    ----------
    probability : float
        That all true local sizes lie within the limits together.
    largest, smallest : Simulated
        Extremes of local size, departures as given.
    ranges : tuple of Simulated
        For each family of groups the largest half-range of a group: *radial*, as form is.
    trials, seed : int
    stable : bool
        Whether the intervals were stable when the simulation ended.
    coverage_probability : float
        Of the intervals.
    """

    probability: float
    largest: Simulated
    smallest: Simulated
    ranges: tuple[Simulated, ...]
    trials: int
    seed: int
    stable: bool
    coverage_probability: float


def simulate_seat(
    size_um: FloatArray,
    propagation: Propagation,
    limits_um: tuple[float, float],
    families: Sequence[Sequence[IndexArray]],
    settings: Settings,
    *,
    on_progress: OnProgress | None = None,
    is_cancelled: IsCancelled | None = None,
) -> SeatSimulation:
    """Simulate the extremes, ranges and joint conformity of the local sizes of a seat.

    Parameters
    ----------
    size_um : array of float, shape (n,)
        Local sizes, departures from any common length, µm.
    propagation : Propagation
        Their errors and correlations.
    limits_um : tuple of two floats
        Lower and upper limit, departures likewise.
    families : sequence of sequences of index arrays
        Each family is a set of groups whose largest half-range is wanted: the stations for
        roundness, all sizes for cylindricity.
    settings : Settings

    Raises
    ------
    CancelledError
        As soon as `is_cancelled` says so.
    """
    lower, upper = limits_um
    widest = int(np.argmax(propagation.standard_um))

    def model(errors: FloatArray) -> FloatArray:
        true = size_um - errors
        outputs = [
            np.all((true >= lower) & (true <= upper), axis=1).astype(np.float64),
            np.max(true, axis=1),
            np.min(true, axis=1),
            errors[:, widest],
            np.max(errors, axis=1),
            np.min(errors, axis=1),
        ]
        for groups in families:
            outputs.append(_half_range(true, groups))
            outputs.append(_half_range(errors, groups))
        return np.column_stack(outputs)

    run = simulate(
        model,
        propagation,
        settings,
        shares=1,
        on_progress=on_progress,
        is_cancelled=is_cancelled,
    )
    high, low = 0.5 + settings.probability / 2.0, 0.5 - settings.probability / 2.0
    largest, smallest = float(np.max(size_um)), float(np.min(size_um))
    grain = propagation.layout.grain_um / 2.0
    return SeatSimulation(
        probability=run.mean(_INSIDE),
        largest=Simulated(
            largest,
            run.mean(_HIGH) - largest,
            largest - run.quantile(_HIGHEST_ERROR, high) - grain,
            largest - run.quantile(_ONE, low),
        ),
        smallest=Simulated(
            smallest,
            run.mean(_LOW) - smallest,
            smallest - run.quantile(_ONE, high),
            smallest - run.quantile(_LOWEST_ERROR, low) + grain,
        ),
        ranges=tuple(
            _range(run, number, size_um, propagation, groups, high)
            for number, groups in enumerate(families)
        ),
        trials=run.trials,
        seed=settings.seed,
        stable=run.stable,
        coverage_probability=settings.probability,
    )


def difference_um(propagation: Propagation, groups: Sequence[IndexArray]) -> float:
    """Return a bound of the standard uncertainty of any difference within any of the groups."""
    return max((propagation.difference_um(group) for group in groups), default=0.0)


def _range(
    run: Simulation,
    number: int,
    size_um: FloatArray,
    propagation: Propagation,
    groups: Sequence[IndexArray],
    high: float,
) -> Simulated:
    value = float(_half_range(size_um[None, :], groups)[0])
    output = _FORM + 2 * number
    pair = student_quantile(high, propagation.of_size(0).dof) * difference_um(propagation, groups)
    return Simulated(
        value,
        run.mean(output) - value,
        max(value - run.quantile(output + 1, high) - propagation.layout.grain_um / 4.0, 0.0),
        value + pair / 2.0,
    )


def _half_range(rows: FloatArray, groups: Sequence[IndexArray]) -> FloatArray:
    worst = np.zeros(rows.shape[0])
    for group in groups:
        np.maximum(worst, np.ptp(rows[:, group], axis=1) / 2.0, out=worst)
    return worst

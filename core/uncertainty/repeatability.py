"""Repeatability of one reading: pooled from repeats, or stated; and the step of the gauge."""

from collections.abc import Iterable
from dataclasses import dataclass
from math import inf, sqrt
from typing import Final

import numpy as np

from seatproof.core.uncertainty.contribution import Contribution, Distribution, Sharing
from seatproof.core.uncertainty.errors import UncertaintyError
from seatproof.core.uncertainty.normal import normal_cdf

REPEATABILITY: Final = "repeatability"
READING_STEP: Final = "resolution, reading"
REFERENCE_STEP: Final = "resolution, reference"
LARGEST: Final = "largest of the repeats"

_STEP: Final = 0.05  # the trapezoidal rule on such an integrand is exact to rounding below 0.1
_ABSCISSAE: Final = np.arange(-9.0, 9.0 + _STEP / 2, _STEP)


@dataclass(frozen=True, slots=True)
class Repeatability:
    """Standard deviation of one reading, µm, and the degrees of freedom behind it."""

    standard_um: float
    dof: float
    basis: str

    @classmethod
    def stated(cls, standard_um: float, readings: int | None, basis: str) -> "Repeatability":
        """Return what somebody found elsewhere from so many readings (None: very many)."""
        return cls(standard_um, inf if readings is None else float(readings - 1), basis)


def pooled(points: Iterable[tuple[int, float]], basis: str) -> Repeatability | None:
    """Pool the scatter of the repeats at many points about their own means.

    Parameters
    ----------
    points : iterable of (int, float)
        For each point how many readings, and the sum of the squares of their distances from their
        mean, µm²; single readings say nothing and are passed over.
    basis : str
        In words, for the budget.

    Returns
    -------
    Repeatability or None
        None where no point was read twice.

    References
    ----------
    .. [1] JCGM 100:2008 (GUM), H.3.6 and 4.2.4: s² = Σ (n_i - 1)·s_i² / Σ (n_i - 1).

    Examples
    --------
    Readings of 1 and 3 µm at one point, of 5, 5 and 8 µm at another:

    >>> found = pooled([(2, 2.0), (3, 6.0)], "two points")
    >>> round(found.standard_um**2, 6), found.dof
    (2.666667, 3.0)
    """
    squares, dof = 0.0, 0
    for readings, scatter_um2 in points:
        if readings > 1:
            squares += scatter_um2
            dof += readings - 1
    return Repeatability(sqrt(squares / dof), float(dof), basis) if dof else None


def reading_contribution(repeatability: Repeatability | None, step_um: float) -> Contribution:
    """Return what a single reading scatters by: its repeatability or its step, never both.

    Readings that scatter by more than the step's own √(1/12) have the step in their scatter, and
    averaging thins it. Below that the same digits come again and again; averaging does not help,
    and it is not known which points share the error.

    Raises
    ------
    UncertaintyError
        A step that is not above zero.
    """
    if not 0.0 < step_um < inf:
        raise UncertaintyError(f"a gauge has a step above zero, not {step_um} µm")
    if repeatability is None or repeatability.standard_um < step_um / sqrt(12.0):
        return Contribution(
            READING_STEP,
            step_um / 2.0,
            "µm",
            Distribution.RECTANGULAR,
            Distribution.RECTANGULAR.divisor,
            sharing=Sharing.UNKNOWN,
            basis="half a step of the gauge; more than the repeatability",
        )
    return Contribution(
        REPEATABILITY,
        repeatability.standard_um,
        "µm",
        Distribution.NORMAL,
        1.0,
        dof=repeatability.dof,
        sharing=Sharing.READING,
        basis=repeatability.basis,
    )


def largest_contribution(repeatability: Repeatability | None, readings: int) -> Contribution | None:
    """Return what the largest of several readings is too large by, for their scatter alone.

    It is the same at all points, does not average out, and is not corrected: whoever has the
    largest count takes some of the scatter for the feel of the gauge, and nobody knows how much. So
    the whole of it counts as a standard uncertainty (GUM, F.2.4.5, for want of a correction).

    Parameters
    ----------
    repeatability : Repeatability or None
    readings : int
        How many there are at a point, at most.

    Returns
    -------
    Contribution or None
        None where there is but one reading, or where nothing is known of their scatter.

    References
    ----------
    .. [1] H. A. David, Order Statistics: the mean of the largest of n is half that of their range,
       ∫ [1 - Φ(x)ⁿ - (1 - Φ(x))ⁿ] dx.

    Examples
    --------
    Of three normal values it lies 3/(2·√π) standard deviations above their mean:

    >>> round(largest_contribution(Repeatability(1.0, 30.0, "stated"), 3).standard_um, 4)
    0.8463
    """
    if repeatability is None or readings < 2:
        return None
    below = normal_cdf(_ABSCISSAE)
    mean_range = _STEP * float(np.sum(1.0 - below**readings - (1.0 - below) ** readings))
    return Contribution(
        LARGEST,
        0.5 * mean_range * repeatability.standard_um,
        "µm",
        Distribution.NORMAL,
        1.0,
        dof=repeatability.dof,
        sharing=Sharing.ALL,
        basis=f"mean of the largest of {readings}, not corrected",
    )

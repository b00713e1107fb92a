"""Size from local diameters: rank-order sizes (ISO 14405-1), and what they say of the envelope."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from seatproof.core.form.arrays import finite_vector
from seatproof.core.form.errors import TooFewError
from seatproof.core.units import UM_PER_MM


@dataclass(frozen=True, slots=True)
class LocalSizes:
    """Rank-order sizes of two-point sizes (LP), after ISO 14405-1; millimetres.

    Attributes
    ----------
    count : int
        How many local sizes.
    maximum_mm, minimum_mm, average_mm, median_mm, mid_range_mm : float
        SX, SN, SA, SM and SD.
    range_um : float
        SR, largest minus smallest, µm of *diameter*.
    """

    count: int
    maximum_mm: float
    minimum_mm: float
    average_mm: float
    median_mm: float
    mid_range_mm: float
    range_um: float

    @property
    def envelope_at_least_mm(self) -> float:
        """Lower bound of the size of the smallest cylinder that holds the seat.

        The largest two-point size. Odd undulations and a bend make the envelope larger and do not
        show in two-point sizes, so they never prove the envelope requirement by themselves.
        """
        return self.maximum_mm

    @property
    def two_point_cylindricity_um(self) -> float:
        """Half the range of all diameters, *radial*: the two-point estimate of cylindricity.

        Size changes along the seat and even undulations are in it; odd undulations and a bend are
        not, so it is a lower bound beside sampling.
        """
        return self.range_um / 2.0


def local_sizes(diameter_mm: ArrayLike) -> LocalSizes:
    """Summarise two-point sizes, of one section or of a whole seat.

    Parameters
    ----------
    diameter_mm : array_like, shape (n,)
        Two-point sizes, millimetres, at 20 °C.

    Raises
    ------
    InputError
        A value is not finite.
    TooFewError
        No value.
    """
    diameter = finite_vector(diameter_mm, "diameters")
    if diameter.size == 0:
        raise TooFewError("a local size", "diameters", 1, 0)
    high, low = float(np.max(diameter)), float(np.min(diameter))
    return LocalSizes(
        count=int(diameter.size),
        maximum_mm=high,
        minimum_mm=low,
        average_mm=float(low + np.mean(diameter - low)),
        median_mm=float(np.median(diameter)),
        mid_range_mm=low + 0.5 * (high - low),
        range_um=(high - low) * UM_PER_MM,
    )

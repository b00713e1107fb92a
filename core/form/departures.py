"""How distances from a reference circle's centre or a reference cylinder's axis depart from it."""

from dataclasses import dataclass
from math import sqrt
from typing import Final

import numpy as np

from seatproof.core.form.arrays import FloatArray, IndexArray

# Distances this close (times the radius) are one distance.
_TIE: Final = 8 * 2.0**-52


@dataclass(frozen=True, slots=True)
class Departures:
    """The form figures of one reference, after ISO 12181-1 and ISO 12180-1; all *radial*.

    Attributes
    ----------
    radius : float
        Of the reference.
    zone, peak, valley, rms : float
        Largest minus smallest distance, largest minus radius, radius minus smallest, root mean
        square of distance minus radius.
    farthest, nearest : ndarray of int
        The points at the largest and at the smallest distance, ties to rounding included.
    """

    radius: float
    zone: float
    peak: float
    valley: float
    rms: float
    farthest: IndexArray
    nearest: IndexArray

    @classmethod
    def of(
        cls, distance: FloatArray, radius: float | None, largest_coordinate: float
    ) -> "Departures":
        """Evaluate distances (n,); `radius` None stands for the mean of both extremes.

        What is a tie depends on the `largest_coordinate` from which the distances were computed.
        """
        high, low = float(distance.max()), float(distance.min())
        middle = 0.5 * (high + low) if radius is None else radius
        departure = distance - middle
        slack = _TIE * max(high, largest_coordinate)
        return cls(
            radius=middle,
            zone=high - low,
            peak=high - middle,
            valley=middle - low,
            rms=sqrt(float(np.add.reduce(departure * departure)) / len(departure)),
            farthest=np.flatnonzero(distance >= high - slack),
            nearest=np.flatnonzero(distance <= low + slack),
        )

"""What a reference circle is: its result type, its points, and the figures seen from its centre.

Definitions after ISO 12181-1 for an external feature. All lengths are *radial* and in the unit of
the points (mm everywhere in Seatproof). Nothing is filtered here: every point counts as given.
"""

from dataclasses import dataclass
from enum import StrEnum
from math import hypot
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from seatproof.core.form.arrays import FloatArray, finite_points, paired_vectors
from seatproof.core.form.departures import Departures
from seatproof.core.form.errors import DegenerateError, TooFewError

# What double precision leaves of a zone: 64 units in the last place of the largest coordinate.
ROUNDING: Final = 64 * 2.0**-52
# Narrower than this part of their length, points are a straight line for any practical purpose:
# the circle through them would be 10^10 times larger than the piece of it that was measured.
_STRAIGHT: Final = 1e-11


class ReferenceCircle(StrEnum):
    """The four associated circles of ISO 12181-1."""

    LSC = "least squares"
    MZC = "minimum zone"
    MCC = "minimum circumscribed"
    MIC = "maximum inscribed"


@dataclass(frozen=True, slots=True)
class CircleFit:
    """A reference circle and the roundness seen from its centre.

    Attributes
    ----------
    reference : ReferenceCircle
    centre_x, centre_y : float
        Centre in the frame of the points.
    radius : float
        Radius of the reference circle (minimum zone: mean of both circles).
    zone : float
        Roundness deviation, peak to valley (RONt): largest minus smallest distance.
    peak, valley : float
        RONp, largest distance minus radius, and RONv, radius minus smallest distance.
    rms : float
        RONq, root mean square of distance minus radius.
    contacts_out, contacts_in : tuple of int
        Indices (from 0) of the points farthest from and nearest to the centre, ties included, in
        the order of their angle.
    """

    reference: ReferenceCircle
    centre_x: float
    centre_y: float
    radius: float
    zone: float
    peak: float
    valley: float
    rms: float
    contacts_out: tuple[int, ...]
    contacts_in: tuple[int, ...]

    @property
    def eccentricity(self) -> float:
        """Distance of the centre from the origin of the points, the set-up eccentricity."""
        return float(np.hypot(self.centre_x, self.centre_y))

    @property
    def eccentricity_angle_deg(self) -> float:
        """Direction in which the centre lies from the origin, in [0, 360)."""
        return float(np.degrees(np.arctan2(self.centre_y, self.centre_x)) % 360.0)


def points_from_radii(angle_deg: ArrayLike, radius: ArrayLike) -> FloatArray:
    """Lay out radii at their angles as points (x, y) of shape (n, 2).

    Raises
    ------
    InputError
        Lengths differ or a value is not finite.
    """
    angle, length = paired_vectors(angle_deg, "angles", radius, "radii")
    turn = np.radians(angle)
    return np.column_stack([length * np.cos(turn), length * np.sin(turn)])


def circle_points(points: ArrayLike, result: str) -> FloatArray:
    """Return `points` as float64 of shape (n, 2) if they can determine a circle.

    Raises
    ------
    InputError
        Wrong shape or a coordinate is not finite.
    TooFewError
        Fewer than three different points.
    DegenerateError
        All points lie on one straight line.
    """
    array = finite_points(points, 2)
    if len(array) == 0:
        raise TooFewError(result, "points", 3, 0)
    one = array[_farthest(array, array[0])]
    other = array[_farthest(array, one)]
    along = other - one
    length = hypot(*along.tolist())
    if length == 0.0:
        raise TooFewError(result, "points", 3, 1, "all the points coincide")
    from_one = array - one
    across = np.abs(along[0] * from_one[:, 1] - along[1] * from_one[:, 0])
    if float(across.max()) <= _STRAIGHT * length * length:
        found = len(np.unique(array, axis=0))
        if found < 3:
            raise TooFewError(result, "points", 3, found)
        raise DegenerateError(
            result, "all the points lie on one straight line; measure round the section"
        )
    return array


def seen_from(
    points: FloatArray,
    centre: FloatArray,
    radius: float | None,
    reference: ReferenceCircle,
) -> CircleFit:
    """Build the result for a known centre; `radius` None stands for the mean of both extremes."""
    away = points - centre
    seen = Departures.of(np.hypot(away[:, 0], away[:, 1]), radius, float(np.abs(points).max()))
    return CircleFit(
        reference=reference,
        centre_x=float(centre[0]),
        centre_y=float(centre[1]),
        radius=seen.radius,
        zone=seen.zone,
        peak=seen.peak,
        valley=seen.valley,
        rms=seen.rms,
        contacts_out=_by_angle(seen.farthest, away),
        contacts_in=_by_angle(seen.nearest, away),
    )


def squared_distances(points: FloatArray, centre: FloatArray) -> FloatArray:
    """Squared distances of points (n, 2) from a centre (2,), without their square roots."""
    x = points[:, 0] - centre[0]
    y = points[:, 1] - centre[1]
    square: FloatArray = x * x + y * y
    return square


def _farthest(points: FloatArray, place: FloatArray) -> int:
    return int(squared_distances(points, place).argmax())


def _by_angle(indices: np.ndarray, away: FloatArray) -> tuple[int, ...]:
    if len(indices) == 1:
        return (int(indices[0]),)
    angle = np.arctan2(away[indices, 1], away[indices, 0])
    return tuple(indices[np.argsort(angle, kind="stable")].tolist())

"""What a reference cylinder is: axis, result type, and the distances of points from an axis.

Definitions after ISO 12180-1 for an external feature. All lengths are *radial* and in the unit of
the points (mm everywhere in Seatproof).
"""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from seatproof.core.form.arrays import FloatArray, finite_points
from seatproof.core.form.departures import Departures
from seatproof.core.form.errors import DegenerateError, TooFewError

Vector = tuple[float, float, float]
_LEAST_POINTS: Final = 6
_ENOUGH_TO_TELL: Final = 100


class ReferenceCylinder(StrEnum):
    """The four associated cylinders of ISO 12180-1."""

    LSC = "least squares"
    MZC = "minimum zone"
    MCC = "minimum circumscribed"
    MIC = "maximum inscribed"


@dataclass(frozen=True, slots=True)
class CylinderFit:
    """A reference cylinder and the cylindricity seen from its axis.

    Attributes
    ----------
    reference : ReferenceCylinder
    point : tuple of three floats
        The place on the axis at mid height of the points.
    direction : tuple of three floats
        Unit vector along the axis, z positive (else its largest component).
    radius : float
        Radius of the cylinder (minimum zone: mean of both).
    zone : float
        Cylindricity deviation, peak to valley (CYLt): largest minus smallest distance.
    peak, valley, rms : float
        Largest distance minus radius, radius minus smallest, root mean square about the radius.
    contacts_out, contacts_in : tuple of int
        Indices of the points farthest from and nearest to the axis, ties included.
    """

    reference: ReferenceCylinder
    point: Vector
    direction: Vector
    radius: float
    zone: float
    peak: float
    valley: float
    rms: float
    contacts_out: tuple[int, ...]
    contacts_in: tuple[int, ...]

    def distances(self, points: ArrayLike) -> FloatArray:
        """Return the distances of points (n, 3) from the axis."""
        return axis_distances(
            finite_points(points, 3), np.array(self.point), np.array(self.direction)
        )


def cylinder_points(points: ArrayLike, result: str) -> FloatArray:
    """Return `points` as float64 of shape (n, 3) if they can determine a cylinder.

    Raises
    ------
    InputError
        Wrong shape or a coordinate is not finite.
    TooFewError
        Fewer than six different points.
    DegenerateError
        All points lie in one plane.
    """
    array = finite_points(points, 3)
    # Thousands of points need not all be sorted to see that there are six different ones.
    found = len(np.unique(array[:_ENOUGH_TO_TELL], axis=0))
    if found < _LEAST_POINTS:
        found = len(np.unique(array, axis=0))
    if found < _LEAST_POINTS:
        raise TooFewError(
            result, "points", _LEAST_POINTS, found, "measure at least three points in two sections"
        )
    # If a few of them span space, all do.
    if _is_flat(array[:: max(1, len(array) // _ENOUGH_TO_TELL)]) and _is_flat(array):
        raise DegenerateError(
            result, "all the points lie in one plane; measure a second section along the seat"
        )
    return array


def _is_flat(points: FloatArray) -> bool:
    spread = np.linalg.eigvalsh(scatter(points))
    return bool(spread[0] <= 1e-20 * spread[-1])


def scatter(points: FloatArray) -> FloatArray:
    """Matrix of the mean products of the coordinates about their mean."""
    centred = points - np.mean(points, axis=0)
    return np.asarray(np.einsum("ij,ik->jk", centred, centred) / len(points), dtype=np.float64)


def axis_distances(points: FloatArray, place: FloatArray, direction: FloatArray) -> FloatArray:
    """Distances of points (n, 3) from the line through `place` along a unit vector."""
    x, y, z = (points - place).T
    a, b, c = direction
    # The length of the vector product loses nothing however far away `place` is chosen.
    return np.asarray(
        np.sqrt((y * c - z * b) ** 2 + (z * a - x * c) ** 2 + (x * b - y * a) ** 2),
        dtype=np.float64,
    )


def seen_along(
    points: FloatArray,
    place: FloatArray,
    direction: FloatArray,
    radius: float | None,
    reference: ReferenceCylinder,
) -> CylinderFit:
    """Build the result for a known axis; `radius` None stands for the mean of both extremes."""
    lead = direction[2] if direction[2] != 0.0 else direction[np.argmax(np.abs(direction))]
    way = direction * np.sign(lead)
    seen = Departures.of(axis_distances(points, place, way), radius, float(np.abs(points).max()))
    return CylinderFit(
        reference=reference,
        point=_vector(place + way * _mid_height(points, place, way)),
        direction=_vector(way),
        radius=seen.radius,
        zone=seen.zone,
        peak=seen.peak,
        valley=seen.valley,
        rms=seen.rms,
        contacts_out=tuple(seen.farthest.tolist()),
        contacts_in=tuple(seen.nearest.tolist()),
    )


def _mid_height(points: FloatArray, place: FloatArray, way: FloatArray) -> float:
    """Return the distance along the axis from `place` to mid height, in z where the axis allows."""
    if abs(way[2]) < 0.5:
        along = (points - place) @ way
        return 0.5 * float(np.max(along) + np.min(along))
    z = points[:, 2]
    return float((0.5 * (np.max(z) + np.min(z)) - place[2]) / way[2])


def _vector(three: FloatArray) -> Vector:
    return float(three[0]), float(three[1]), float(three[2])

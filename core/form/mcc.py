"""Minimum circumscribed circle (MCC): the smallest circle that holds every point; always unique."""

from itertools import combinations
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from seatproof.core.form.arrays import FloatArray, finite_points
from seatproof.core.form.circle import CircleFit, ReferenceCircle, seen_from, squared_distances
from seatproof.core.form.errors import TooFewError
from seatproof.core.form.lsc import moved

_RESULT: Final = "the minimum circumscribed circle"
_MOST_EXCHANGES: Final = 1000


def minimum_circumscribed_circle(points: ArrayLike) -> CircleFit:
    """Find the smallest circle that holds every point.

    It exists for any points, even for one or for points on a line, and rests on two of them (then
    on its diameter) or on three that hold its centre between them.

    Parameters
    ----------
    points : array_like, shape (n, 2)
        Points of one section, any order, at least one.

    Returns
    -------
    CircleFit
        `contacts_out` are the points on the circle, `peak` is zero and `zone` the largest gap.

    Raises
    ------
    InputError
        Wrong shape or a coordinate is not finite.
    TooFewError
        No point at all.

    References
    ----------
    .. [1] ISO 12181-1, minimum circumscribed reference circle.
    .. [2] E. Welzl, Smallest enclosing disks (balls and ellipsoids), LNCS 555 (1991): the circle of
       a few points, enlarged by the point farthest outside, never shrinks and so ends.
    """
    array = finite_points(points, 2)
    if len(array) == 0:
        raise TooFewError(_RESULT, "points", 1, 0)
    shift = 0.5 * (np.min(array, axis=0) + np.max(array, axis=0))
    local = array - shift
    working = sorted(
        {int(pick(local[:, axis])) for axis in (0, 1) for pick in (np.argmax, np.argmin)}
    )
    centre, radius, support = _smallest(local, working)
    for _ in range(_MOST_EXCHANGES):
        square = squared_distances(local, centre)
        farthest = int(np.argmax(square))
        if farthest in support or np.sqrt(square[farthest]) <= radius * (1 + 4e-16):
            break
        centre, radius, support = _smallest(local, [*support, farthest])
    away = local - centre
    radius = float(np.max(np.hypot(away[:, 0], away[:, 1])))
    return moved(seen_from(local, centre, radius, ReferenceCircle.MCC), shift)


def _smallest(local: FloatArray, working: list[int]) -> tuple[FloatArray, float, list[int]]:
    """Return centre, radius and support of the smallest circle that holds a few points."""
    some = local[working]
    centres, supports = [some[0]], [[working[0]]]
    for a, b in combinations(range(len(some)), 2):
        centres.append(0.5 * (some[a] + some[b]))
        supports.append([working[a], working[b]])
    for three in combinations(range(len(some)), 3):
        centre = circumcentre(some[list(three)])
        if centre is not None:
            centres.append(centre)
            supports.append([working[index] for index in three])
    place = np.array(centres)
    distance = np.hypot(
        place[:, :1] - some[:, 0],
        place[:, 1:] - some[:, 1],
    ).max(axis=1)
    best = int(np.argmin(distance))
    return place[best], float(distance[best]), supports[best]


def circumcentre(three: FloatArray) -> FloatArray | None:
    """Centre of the circle through three points (3, 2); None where they lie on one line."""
    normal = three[1:] - three[0]
    area = normal[0, 0] * normal[1, 1] - normal[0, 1] * normal[1, 0]
    if area == 0.0:
        return None
    offset = 0.5 * np.einsum("ij,ij->i", normal, normal)
    x = (offset[0] * normal[1, 1] - offset[1] * normal[0, 1]) / area
    y = (offset[1] * normal[0, 0] - offset[0] * normal[1, 0]) / area
    return np.asarray(three[0] + np.array([x, y]), dtype=np.float64)

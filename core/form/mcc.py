"""Minimum circumscribed circle (MCC): the smallest circle that holds every point; always unique."""

from itertools import chain, combinations
from math import hypot, inf, sqrt
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from seatproof.core.form.arrays import finite_points
from seatproof.core.form.circle import CircleFit, ReferenceCircle, seen_from, squared_distances
from seatproof.core.form.errors import TooFewError
from seatproof.core.form.lsc import moved

Place = tuple[float, float]
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
    places = local.tolist()
    working = sorted(
        {int(pick(local[:, axis])) for axis in (0, 1) for pick in (np.argmax, np.argmin)}
    )
    centre, radius, support = _smallest(places, working)
    for _ in range(_MOST_EXCHANGES):
        square = squared_distances(local, np.array(centre))
        farthest = int(square.argmax())
        if farthest in support or sqrt(float(square[farthest])) <= radius * (1 + 4e-16):
            break
        centre, radius, support = _smallest(places, [*support, farthest])
    middle = np.array(centre)
    radius = sqrt(float(squared_distances(local, middle).max()))
    return moved(seen_from(local, middle, radius, ReferenceCircle.MCC), shift)


def _smallest(places: list[list[float]], working: list[int]) -> tuple[Place, float, list[int]]:
    """Return centre, radius and support of the smallest circle that holds a few points.

    So few points are quicker one by one than as arrays.
    """
    some = [(places[index][0], places[index][1]) for index in working]
    best: tuple[Place, float, list[int]] = some[0], inf, working[:1]
    if len(some) == 1:
        return some[0], 0.0, working
    for held in chain(combinations(range(len(some)), 2), combinations(range(len(some)), 3)):
        (ax, ay), (bx, by) = some[held[0]], some[held[1]]
        centre: Place | None = (0.5 * (ax + bx), 0.5 * (ay + by))
        if len(held) == 3:
            centre = circumcentre(some[held[0]], some[held[1]], some[held[2]])
        if centre is None:
            continue
        x, y = centre
        radius = max(hypot(px - x, py - y) for px, py in some)
        if radius < best[1]:
            best = centre, radius, [working[index] for index in held]
    return best


def circumcentre(a: Place, b: Place, c: Place) -> Place | None:
    """Centre of the circle through three places; None where they lie on one line."""
    px, py, qx, qy = b[0] - a[0], b[1] - a[1], c[0] - a[0], c[1] - a[1]
    area = 2.0 * (px * qy - py * qx)
    if area == 0.0:
        return None
    pp, qq = px * px + py * py, qx * qx + qy * qy
    return a[0] + (pp * qy - qq * py) / area, a[1] + (qq * px - pp * qx) / area

"""Minimum zone, minimum circumscribed and maximum inscribed cylinder.

The search runs on a working set of points: a least zone of some of the points that holds all the
others too is a least zone of all. Points that stick out of it join the set.
"""

from dataclasses import dataclass, replace
from itertools import product
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from seatproof.core.form.arrays import FloatArray, IndexArray
from seatproof.core.form.axis import AxisFrame
from seatproof.core.form.cylinder import (
    CylinderFit,
    ReferenceCylinder,
    cylinder_points,
    seen_along,
)
from seatproof.core.form.cylinder_growth import zone_growth
from seatproof.core.form.errors import NotDefinedError
from seatproof.core.form.lsq_cylinder import nearby_axis
from seatproof.core.form.minimax import Side
from seatproof.core.form.zone_descent import FIRM, ROUNDING, LeastZone, least_zone, value_of

_MANY: Final = 2000  # points from which on the search starts once unless told otherwise
_EXTRA_STARTS: Final = 8
_FIRST_SET: Final = 400  # so many points are searched at once; of more, a working set
# An axis that leans from the least-squares one by more than this (1 in 2) is that of no seat.
_ACROSS: Final = 0.5
_BLOCKS: Final = 24  # parts of the list of points, of which the farthest and the nearest may join
_ROUNDS: Final = 40
# A contact that carries less than this hardly holds the axis; then the search goes on along the
# free motion, by these parts of the least-squares zone.
_LOOSE: Final = 1e-3
_ALONG: Final = (-2.0, -1.0, -0.4, 0.4, 1.0, 2.0)
_NAMES: Final = {
    Side.ZONE: "the minimum zone cylinder",
    Side.OUTER: "the minimum circumscribed cylinder",
    Side.INNER: "the maximum inscribed cylinder",
}
_REFERENCES: Final = {
    Side.ZONE: ReferenceCylinder.MZC,
    Side.OUTER: ReferenceCylinder.MCC,
    Side.INNER: ReferenceCylinder.MIC,
}


@dataclass(frozen=True, slots=True)
class ZoneCylinder:
    """A reference cylinder held by single points, with what shows that it is the least.

    Attributes
    ----------
    cylinder : CylinderFit
    r_out, r_in : float
        Largest and smallest distance from the axis.
    outer, inner : tuple of int
        The points that hold it.
    outer_weights, inner_weights : tuple of float
        Their positive multipliers, each side adding to 1.
    balance : float
        Length of the weighted mean slope left over: moving the axis by a small e (both ends
        counted) gains at most balance · e. Zero, to rounding, at a firm solution.
    growth : float or None
        Moving the axis by a small e raises the zone by at least growth · e; near zero the zone is
        sound but the axis is not. None where too many points are in contact to say, and for the
        one-sided cylinders.
    starts, starts_at_best : int
        From how many axes the search began, and how many ended at this value. That it is the
        least of all near these axes rests on them, not on a proof.
    """

    cylinder: CylinderFit
    r_out: float
    r_in: float
    outer: tuple[int, ...]
    inner: tuple[int, ...]
    outer_weights: tuple[float, ...]
    inner_weights: tuple[float, ...]
    balance: float
    growth: float | None
    starts: int
    starts_at_best: int


def minimum_zone_cylinder(points: ArrayLike, extra_starts: int | None = None) -> ZoneCylinder:
    """Find the two coaxial cylinders of least radial separation that hold all points.

    Parameters
    ----------
    points : array_like, shape (n, 3)
        Points of two or more sections; the axis may lie in any direction.
    extra_starts : int, optional
        Further axes, 0 to 16, about the least-squares one from which to search; by default 8 up to
        2,000 points and none beyond. Where the contacts leave a motion of the axis almost free,
        six more follow along that motion, however many points there are.

    Raises
    ------
    InputError, TooFewError, DegenerateError
        See `cylinder_points`; DegenerateError too where the points leave the axis undetermined.
    NotDefinedError
        The search leads to an axis across the seat, as where half of each section is missing.

    References
    ----------
    .. [1] ISO 12180-1, minimum zone reference cylinders.
    .. [2] K. Carr, P. Ferreira, Verification of form tolerances, part II: cylindricity and
       straightness of a median line, Precision Engineering 17 (1995): successive linear programmes.
    """
    return _search(points, Side.ZONE, extra_starts)


def minimum_circumscribed_cylinder(
    points: ArrayLike, extra_starts: int | None = None
) -> ZoneCylinder:
    """Find the smallest cylinder that holds all points, near the least-squares axis.

    Parameters and errors as `minimum_zone_cylinder`.
    """
    return _search(points, Side.OUTER, extra_starts)


def maximum_inscribed_cylinder(points: ArrayLike, extra_starts: int | None = None) -> ZoneCylinder:
    """Find the largest cylinder free of points whose axis runs between them.

    Parameters and errors as `minimum_zone_cylinder`.

    Raises
    ------
    NotDefinedError
        The points leave more than half a turn open, so that the cylinder grows without end.
    """
    return _search(points, Side.INNER, extra_starts)


def _search(points: ArrayLike, side: Side, extra_starts: int | None) -> ZoneCylinder:
    array = cylinder_points(points, _NAMES[side])
    frame = AxisFrame.along(array, *nearby_axis(array))
    first = frame.distances(np.zeros(4))
    if side is Side.INNER:
        _refuse_open(frame.points[:, :2])
    spread = float(np.ptp(first))
    if extra_starts is None:
        extra_starts = 0 if len(array) > _MANY else _EXTRA_STARTS
    # Every other corner of the box, then the rest: half of them already span all pairs of axes.
    corners = sorted(product((-1.0, 1.0), repeat=4), key=lambda one: float(np.prod(one)))
    starts = [np.zeros(4)] + [0.7 * spread * np.array(corner) for corner in corners[:extra_starts]]
    box = max(spread, 1e-9 * float(first[0]))

    def least(start: FloatArray) -> LeastZone:
        return _least_of_all(frame, first, start, side, box, 1e-3 * spread)

    found = [least(start) for start in starts]
    best = min(found, key=lambda one: one.value)
    is_loose = float(np.min(best.contacts.weights)) < _LOOSE
    if spread > ROUNDING * float(first[0]) and (is_loose or len(best.contacts.points) < FIRM[side]):
        # Along the motion that the contacts hardly hold, other least zones may lie close by.
        along = _loosest(frame, best)
        found += [least(best.change + part * spread * along) for part in _ALONG]
        best = min(found, key=lambda one: one.value)
    close = 1e-7 * spread + 4e-15 * float(np.max(first))
    if side is Side.INNER:  # a half shell may look closed from the first axis only
        _refuse_open(AxisFrame.along(array, *frame.axis(best.change)).points[:, :2])
    if float(np.hypot(best.change[2], best.change[3])) > _ACROSS * frame.half:
        raise NotDefinedError(
            _NAMES[side],
            "the one these points lead to lies across the seat; measure round more of each section",
        )
    at_best = sum(one.value <= best.value + close for one in found)
    return _result(array, frame, best, side, len(found), at_best)


def _loosest(frame: AxisFrame, best: LeastZone) -> FloatArray:
    """Return the unit change that moves the contacts of each side least against one another."""
    held = best.contacts
    slopes = frame.distances_and_slopes(best.change, held.points)[1]
    for part in (slice(None, held.outer), slice(held.outer, None)):
        if len(slopes[part]):
            slopes[part] -= held.weights[part] @ slopes[part]
    return np.asarray(np.linalg.svd(slopes)[2][-1], dtype=np.float64)


def _least_of_all(
    frame: AxisFrame, first: FloatArray, start: FloatArray, side: Side, box: float, last_box: float
) -> LeastZone:
    """Search from one axis on a working set, until all points lie in the least zone of the set."""
    if len(first) <= _FIRST_SET:
        return least_zone(frame, start, side, box, last_box)
    every = max(1, len(first) // (_FIRST_SET // 2))
    working = np.union1d(np.arange(0, len(first), every), _extremes(first, side))
    for _ in range(_ROUNDS):
        some = frame.only(working)
        found = least_zone(some, start, side, box, last_box)
        held = replace(found.contacts, points=working[found.contacts.points])
        distance = frame.distances(found.change)
        inside = distance[working]
        slack = 4e-16 * float(np.max(distance))
        out = np.zeros(len(distance), dtype=bool)
        if side is not Side.INNER:
            out |= distance > float(np.max(inside)) + slack
        if side is not Side.OUTER:
            out |= distance < float(np.min(inside)) - slack
        extremes = _extremes(distance, side)
        joining = extremes[out[extremes]]
        found = LeastZone(found.change, value_of(distance, side), held)
        if joining.size == 0:
            break
        working = np.union1d(working, joining)
        start, box = found.change, last_box
    return found


def _extremes(distance: FloatArray, side: Side) -> IndexArray:
    """Return the farthest and the nearest point of each part of the list, as far as they count."""
    edges = np.linspace(0, len(distance), _BLOCKS + 1).astype(np.intp)
    picks: list[int] = []
    for start, end in zip(edges[:-1].tolist(), edges[1:].tolist(), strict=True):
        part = distance[start:end]
        if side is not Side.INNER:
            picks.append(start + int(np.argmax(part)))
        if side is not Side.OUTER:
            picks.append(start + int(np.argmin(part)))
    return np.array(picks, dtype=np.intp)


def _result(
    array: FloatArray,
    frame: AxisFrame,
    best: LeastZone,
    side: Side,
    starts: int,
    at_best: int,
) -> ZoneCylinder:
    distance = frame.distances(best.change)
    high, low = float(np.max(distance)), float(np.min(distance))
    radius = {Side.ZONE: None, Side.OUTER: high, Side.INNER: low}[side]
    held = best.contacts
    slopes = frame.distances_and_slopes(best.change, held.points)[1]
    place, direction = frame.axis(best.change)
    return ZoneCylinder(
        cylinder=seen_along(array, place, direction, radius, _REFERENCES[side]),
        r_out=high,
        r_in=low,
        outer=tuple(int(index) for index in held.points[: held.outer]),
        inner=tuple(int(index) for index in held.points[held.outer :]),
        outer_weights=tuple(float(weight) for weight in held.weights[: held.outer]),
        inner_weights=tuple(float(weight) for weight in held.weights[held.outer :]),
        balance=float(np.linalg.norm((held.signs * held.weights) @ slopes)),
        growth=zone_growth(frame, best.change, distance) if side is Side.ZONE else None,
        starts=starts,
        starts_at_best=at_best,
    )


def _refuse_open(flat: FloatArray) -> None:
    angle = np.sort(np.arctan2(flat[:, 1], flat[:, 0]))
    gap = float(np.max(np.diff(angle, append=angle[0] + 2.0 * np.pi)))
    if gap > np.pi - 1e-9:
        raise NotDefinedError(
            _NAMES[Side.INNER],
            f"the points leave {np.degrees(gap):.0f}° open, and the cylinder would grow out there",
        )

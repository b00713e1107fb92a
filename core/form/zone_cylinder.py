"""Minimum zone, minimum circumscribed and maximum inscribed cylinder.

Each step linearises the true distances about the present axis, solves the linear programme for the
best change within a box, and takes it if the true zone falls; else the box shrinks. Where six
points hold the zone firmly the steps end at the exact solution; where it is flat along one
direction they end on that flat, and `growth` says so.
"""

from dataclasses import dataclass
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
from seatproof.core.form.minimax import Band, Side, narrowest_band

_STEPS: Final = 60
_MANY: Final = 2000  # points from which on the search starts once unless told otherwise
_EXTRA_STARTS: Final = 8
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
        2,000 points and none beyond.

    Raises
    ------
    InputError, TooFewError, DegenerateError
        See `cylinder_points`; DegenerateError too where the points leave the axis undetermined.

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
    found = [_descend(frame, start, side, max(spread, 1e-9 * float(first[0]))) for start in starts]
    best = _with_contacts(frame, min(found, key=lambda one: one.value), side, 1e-3 * spread)
    close = 1e-7 * spread + 4e-15 * float(np.max(first))
    if side is Side.INNER:  # a half shell may look closed from the first axis only
        _refuse_open(AxisFrame.along(array, *frame.axis(best.change)).points[:, :2])
    at_best = sum(one.value <= best.value + close for one in found)
    return _result(array, frame, best, side, len(found), at_best)


@dataclass(frozen=True, slots=True)
class _Descent:
    change: FloatArray
    value: float
    band: Band
    chosen: IndexArray


def _with_contacts(frame: AxisFrame, found: _Descent, side: Side, box: float) -> _Descent:
    """Take the contacts and weights from a box in which the firm ones outweigh its faces."""
    distance = frame.distances(found.change)
    chosen = _within_reach(distance, box)
    near, slopes = frame.distances_and_slopes(found.change, chosen)
    first = _carried(found.band.basis, found.chosen, chosen)
    band = narrowest_band(near - float(np.mean(near)), slopes, max(box, 1e-300), side, first)
    return _Descent(found.change, found.value, band, chosen)


def _value(distance: FloatArray, side: Side) -> float:
    high, low = float(np.max(distance)), float(np.min(distance))
    return {Side.ZONE: high - low, Side.OUTER: high, Side.INNER: -low}[side]


def _descend(frame: AxisFrame, start: FloatArray, side: Side, box: float) -> _Descent:
    change = start
    distance = frame.distances(change)
    value = _value(distance, side)
    level = float(np.mean(distance))
    offset = {Side.ZONE: 0.0, Side.OUTER: level, Side.INNER: -level}[side]
    enough = 4e-16 * level + 1e-12 * float(np.ptp(distance))
    basis: tuple[int, ...] | None = None
    chosen = _within_reach(distance, box)
    for _ in range(_STEPS):
        everything = len(chosen) == len(distance)
        near, slopes = frame.distances_and_slopes(change, slice(None) if everything else chosen)
        band = narrowest_band(near - level, slopes, box, side, basis)
        held_from = chosen
        expected = value - offset - band.value
        trial = change + band.change
        trial_distance = frame.distances(trial)
        trial_value = _value(trial_distance, side)
        gain = value - trial_value
        if gain > 0.0:
            change, value, distance = trial, trial_value, trial_distance
        if expected <= enough or box < 1e-15 * level:
            break
        moved = float(np.max(np.abs(band.change)))
        if gain < 0.25 * expected:
            box = 0.25 * moved
        elif gain > 0.75 * expected and moved > 0.99 * box:
            box *= 2.0
        else:
            # The next change mends the curvature of this one, which is far smaller.
            box = 0.125 * moved
        chosen = _within_reach(distance, box)
        basis = _carried(band.basis, held_from, chosen)
    return _Descent(change, value, band, held_from)


def _within_reach(distance: FloatArray, box: float) -> IndexArray:
    """Points that can become extreme when each of four changes moves them by at most `box`."""
    reach = 8.0 * box
    return np.flatnonzero(
        (distance >= np.max(distance) - reach) | (distance <= np.min(distance) + reach)
    )


def _carried(basis: tuple[int, ...], old: IndexArray, new: IndexArray) -> tuple[int, ...] | None:
    """Return a basis numbered by another choice of points; None where one is missing."""
    column = np.array(basis)
    side, point = np.divmod(column, len(old))
    is_point = side < 2
    place = np.searchsorted(new, old[point[is_point]])
    if np.any(place >= len(new)) or np.any(
        new[np.minimum(place, len(new) - 1)] != old[point[is_point]]
    ):
        return None
    carried = column + 2 * (len(new) - len(old))
    carried[is_point] = side[is_point] * len(new) + place
    return tuple(int(number) for number in carried)


def _result(
    array: FloatArray,
    frame: AxisFrame,
    best: _Descent,
    side: Side,
    starts: int,
    at_best: int,
) -> ZoneCylinder:
    distance = frame.distances(best.change)
    high, low = float(np.max(distance)), float(np.min(distance))
    radius = {Side.ZONE: None, Side.OUTER: high, Side.INNER: low}[side]
    outer, inner = best.chosen[best.band.outer], best.chosen[best.band.inner]
    pull = np.zeros(4)
    for indices, weights, sign in (
        (outer, best.band.outer_weights, 1.0),
        (inner, best.band.inner_weights, -1.0),
    ):
        if len(indices):
            pull += sign * weights @ frame.distances_and_slopes(best.change, indices)[1]
    place, direction = frame.axis(best.change)
    return ZoneCylinder(
        cylinder=seen_along(array, place, direction, radius, _REFERENCES[side]),
        r_out=high,
        r_in=low,
        outer=tuple(int(index) for index in outer),
        inner=tuple(int(index) for index in inner),
        outer_weights=tuple(float(weight) for weight in best.band.outer_weights),
        inner_weights=tuple(float(weight) for weight in best.band.inner_weights),
        balance=float(np.linalg.norm(pull)),
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

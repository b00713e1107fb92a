"""The search for a least zone round an axis: successive linear programmes within a box.

Each step linearises the true distances about the present axis, solves the linear programme for the
best change within a box, and takes it if the true zone falls; else the box shrinks. Where six
points hold the zone firmly the steps end at the exact solution; where fewer do, it is flat along
some motion, and the curvature settles the rest.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from seatproof.core.form.arrays import FloatArray, IndexArray
from seatproof.core.form.axis import AxisFrame
from seatproof.core.form.minimax import Band, Side, narrowest_band
from seatproof.core.form.zone_polish import Contacts, polished

_STEPS: Final = 60
# A zone below this part of the radius is rounding.
ROUNDING: Final = 1e-12
_SHRUNK: Final = 1e-3
_FAR: Final = 300.0
# How many contacts hold a zone without help from curvature.
FIRM: Final = {Side.ZONE: 6, Side.OUTER: 5, Side.INNER: 5}


@dataclass(frozen=True, slots=True)
class Descent:
    """Where a search ended: the change of the axis, and the value that was made least."""

    change: FloatArray
    value: float
    band: Band
    chosen: IndexArray


@dataclass(frozen=True, slots=True)
class LeastZone:
    """A least zone near its axis: the change of the axis, the value made least, what holds it."""

    change: FloatArray
    value: float
    contacts: Contacts


def value_of(distance: FloatArray, side: Side) -> float:
    """Return what is to be made least: the zone, the largest distance, or minus the smallest."""
    if side is Side.ZONE:
        return float(distance.max()) - float(distance.min())
    return float(distance.max()) if side is Side.OUTER else -float(distance.min())


def least_zone(
    frame: AxisFrame, start: FloatArray, side: Side, box: float, last_box: float
) -> LeastZone:
    """Search from one axis to the last digits.

    Parameters
    ----------
    frame : AxisFrame
    start : ndarray, shape (4,)
        The change of the frame's axis to begin with.
    side : Side
    box : float
        Longest first change.
    last_box : float
        Where the zone is found loosely held within such a box, its curvature settles the rest.
    """
    found = _descend(frame, start, side, box, loose_box=last_box)
    least = _finished(frame, found, side, last_box)
    if len(found.band.outer) + len(found.band.inner) < FIRM[side]:
        # One more programme where the curvature has served; the whole search where it has not.
        found = _descend(frame, least.change, side, _SHRUNK * last_box, loose_box=0.0)
        if found.value < least.value:
            least = _finished(frame, found, side, last_box)
    return least


def _descend(
    frame: AxisFrame, start: FloatArray, side: Side, box: float, loose_box: float
) -> Descent:
    """Step until nothing is gained, or a loosely held zone is found within `loose_box`."""
    change = start
    distance = frame.distances(change)
    value = value_of(distance, side)
    level = float(np.add.reduce(distance)) / len(distance)
    offset = {Side.ZONE: 0.0, Side.OUTER: level, Side.INNER: -level}[side]
    enough = 4e-16 * level + 1e-12 * float(distance.max() - distance.min())
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
        trial_value = value_of(trial_distance, side)
        gain = value - trial_value
        if gain > 0.0:
            change, value, distance = trial, trial_value, trial_distance
        if expected <= enough or box < 1e-15 * level:
            break
        if box < loose_box and len(band.outer) + len(band.inner) < FIRM[side]:
            break
        moved = float(np.abs(band.change).max())
        if gain < 0.25 * expected:
            box = 0.25 * moved
        elif gain > 0.75 * expected and moved > 0.99 * box:
            box *= 2.0
        else:
            # The next change mends the curvature of this one, which is far smaller.
            box = 0.125 * moved
        chosen = _within_reach(distance, box)
        basis = _carried(band.basis, held_from, chosen)
    return Descent(change, value, band, held_from)


def _finished(frame: AxisFrame, found: Descent, side: Side, box: float) -> LeastZone:
    """Bring the end of a search to its last digits, with the contacts and weights that hold it.

    The contacts are those of a box in which the firm ones outweigh its faces.
    """
    held = _firmly_held(frame, found, side)
    if held is not None:
        return LeastZone(found.change, found.value, held)
    distance = frame.distances(found.change)
    chosen = _within_reach(distance, box)
    near, slopes = frame.distances_and_slopes(found.change, chosen)
    first = _carried(found.band.basis, found.chosen, chosen)
    band = narrowest_band(near - float(np.mean(near)), slopes, max(box, 1e-300), side, first)
    held = Contacts(
        chosen[np.concatenate([band.outer, band.inner])],
        len(band.outer),
        np.concatenate([band.outer_weights, band.inner_weights]),
    )
    change, value = found.change, found.value
    if len(held.points) < FIRM[side] and float(np.ptp(distance)) > ROUNDING * float(
        np.max(distance)
    ):
        moved, contacts = polished(frame, change, held, _FAR * box)
        polished_value = value_of(frame.distances(moved), side)
        if polished_value <= value:
            change, value, held = moved, polished_value, contacts
    return LeastZone(change, value, held)


def _firmly_held(frame: AxisFrame, found: Descent, side: Side) -> Contacts | None:
    """Weights of as many contacts as hold the zone by themselves; None where there are fewer."""
    band = found.band
    points = found.chosen[np.concatenate([band.outer, band.inner])]
    count = len(points)
    if count != FIRM[side]:
        return None
    contacts = Contacts(points, len(band.outer), np.zeros(count))
    matrix, right = np.zeros((count, count)), np.zeros(count)
    slopes = frame.distances_and_slopes(found.change, points)[1]
    matrix[:4] = (contacts.signs[:, None] * slopes).T
    row = 4
    for part in (slice(None, contacts.outer), slice(contacts.outer, None)):
        if matrix[0, part].size:
            matrix[row, part] = right[row] = 1.0
            row += 1
    try:
        weights = np.linalg.solve(matrix, right)
    except np.linalg.LinAlgError:  # contacts that lie in a plane with the axis
        return None
    if float(weights.min()) <= 0.0:
        return None
    return Contacts(points, contacts.outer, np.asarray(weights, dtype=np.float64))


def _within_reach(distance: FloatArray, box: float) -> IndexArray:
    """Points that can become extreme when each of four changes moves them by at most `box`."""
    reach = 8.0 * box
    return np.flatnonzero(
        (distance >= distance.max() - reach) | (distance <= distance.min() + reach)
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

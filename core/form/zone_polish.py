"""The last digits of a zone cylinder whose contacts leave a direction free: Newton with curvature.

Where fewer than six points hold the zone, it is flat along some motion of the axis and only its
curvature has a least value there. A linear programme does not see curvature, so it stops early;
here the conditions for a least value are solved with it, by the active set method.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from seatproof.core.form.arrays import FloatArray, IndexArray
from seatproof.core.form.axis import AxisFrame

_STEPS: Final = 25
# Of the size of the points: small against it, large against rounding.
_DIFFERENCE: Final = 1e-4
_FIRM: Final = 6


@dataclass(frozen=True, slots=True)
class Contacts:
    """Points that hold a zone, with their multipliers.

    Attributes
    ----------
    points : ndarray of int, shape (m,)
        Outer ones first.
    outer : int
        How many of them are outer.
    weights : ndarray, shape (m,)
        Positive; those of each side add to 1.
    """

    points: IndexArray
    outer: int
    weights: FloatArray

    @property
    def signs(self) -> FloatArray:
        """1 for outer points, -1 for inner ones, shape (m,)."""
        signs = np.ones(len(self.points))
        signs[self.outer :] = -1.0
        return signs

    def without(self, place: int) -> "Contacts":
        """Drop one contact."""
        return Contacts(
            np.delete(self.points, place),
            self.outer - int(place < self.outer),
            np.delete(self.weights, place),
        )

    def joined_by(self, point: int, *, is_outer: bool) -> "Contacts":
        """Add one contact, which carries nothing yet."""
        place = self.outer if is_outer else len(self.points)
        return Contacts(
            np.insert(self.points, place, point),
            self.outer + int(is_outer),
            np.insert(self.weights, place, 0.0),
        )


def polished(
    frame: AxisFrame, change: FloatArray, contacts: Contacts, longest: float
) -> tuple[FloatArray, Contacts]:
    """Solve the conditions for a least zone near `change`, starting from its contacts.

    Parameters
    ----------
    frame : AxisFrame
        With all points that might come into contact.
    change : ndarray, shape (4,)
    contacts : Contacts
        At least one on each side that takes part.
    longest : float
        The axis is not moved farther in one step.

    Returns
    -------
    ndarray, Contacts
        Where the search ended. Whether the zone is smaller there is the caller's to compare: along
        a ridge, where the curvature has the wrong sign, it is not.
    """
    # What a step leaves over is of its square: by this one the last digit is reached.
    enough = 1e-9 * float(np.max(np.abs(frame.points)))
    for _ in range(_STEPS):
        distance, slopes = frame.distances_and_slopes(change)
        step, levels, weights = _newton(frame, change, contacts, distance, slopes)
        worst = int(np.argmin(weights))
        if weights[worst] < 0.0 and _may_leave(contacts, worst):
            contacts = contacts.without(worst)
            continue
        contacts = Contacts(contacts.points, contacts.outer, weights)
        step = step * min(1.0, longest / max(float(np.max(np.abs(step))), 1e-300))
        part, point, is_outer = _until_contact(contacts, distance, slopes @ step, levels)
        change = change + part * step
        if point is not None and len(contacts.points) < _FIRM:
            contacts = contacts.joined_by(point, is_outer=is_outer)
        elif float(np.max(np.abs(step))) <= enough or part == 0.0:
            break
    return change, contacts


def _newton(
    frame: AxisFrame,
    change: FloatArray,
    contacts: Contacts,
    distance: FloatArray,
    slopes: FloatArray,
) -> tuple[FloatArray, tuple[float, float], FloatArray]:
    """Return the step, the levels of the outer and the inner side after it, and the weights.

    The unknowns are the four changes, a level for each side that takes part, and the weights.
    """
    held = contacts.points
    count = len(held)
    base = float(distance[held[0]])  # differences from it keep their digits
    has_side = (contacts.outer > 0, contacts.outer < count)
    first_level, first_weight = 4, 4 + sum(has_side)
    pull = contacts.signs[:, None] * slopes[held]
    matrix = np.zeros((first_weight + count, first_weight + count))
    right = np.zeros(len(matrix))
    matrix[:4, :4] = _curvature(frame, change, contacts)
    matrix[:4, first_weight:] = pull.T
    matrix[first_weight:, :4] = pull
    right[first_weight:] = -contacts.signs * (distance[held] - base)
    level = first_level
    levels = [np.inf, -np.inf]
    for side, (start, end) in enumerate(((0, contacts.outer), (contacts.outer, count))):
        if has_side[side]:
            sign = 1.0 - 2.0 * side
            matrix[level, first_weight + start : first_weight + end] = -sign
            matrix[first_weight + start : first_weight + end, level] = -sign
            right[level] = -sign
            level += 1
    solution: FloatArray = np.asarray(
        np.linalg.lstsq(matrix, right, rcond=1e-15)[0], dtype=np.float64
    )
    level = first_level
    for side in (0, 1):
        if has_side[side]:
            levels[side] = base + float(solution[level])
            level += 1
    return solution[:4], (levels[0], levels[1]), solution[first_weight:]


def _curvature(frame: AxisFrame, change: FloatArray, contacts: Contacts) -> FloatArray:
    """Second derivatives of the weighted distances, by differences of their slopes."""
    apart = _DIFFERENCE * float(np.max(np.abs(frame.points)))
    weighted = contacts.signs * contacts.weights
    rows = []
    for axis in range(4):
        move = np.zeros(4)
        move[axis] = apart
        after = frame.distances_and_slopes(change + move, contacts.points)[1]
        before = frame.distances_and_slopes(change - move, contacts.points)[1]
        rows.append(weighted @ (after - before) / (2.0 * apart))
    matrix = np.array(rows)
    return np.asarray(0.5 * (matrix + matrix.T), dtype=np.float64)


def _may_leave(contacts: Contacts, place: int) -> bool:
    """Each side that takes part keeps one contact."""
    here = contacts.outer if place < contacts.outer else len(contacts.points) - contacts.outer
    return here > 1


def _until_contact(
    contacts: Contacts, distance: FloatArray, gain: FloatArray, levels: tuple[float, float]
) -> tuple[float, int | None, bool]:
    """How much of a step can be made before another point comes into contact, which, and where."""
    part, point, outside = 1.0, None, True
    is_free = np.ones(len(distance), dtype=bool)
    is_free[contacts.points] = False
    for is_outer, level in ((True, levels[0]), (False, levels[1])):
        if not np.isfinite(level):
            continue
        sign = 1.0 if is_outer else -1.0
        held = contacts.points[: contacts.outer] if is_outer else contacts.points[contacts.outer :]
        edge = float(np.max(sign * distance[held]))
        room = np.maximum(edge - sign * distance, 0.0)
        approach = sign * gain - (sign * level - edge)
        near = np.flatnonzero(is_free & (approach > 0.0) & (room < part * approach))
        if near.size:
            ratio = room[near] / approach[near]
            least = int(np.argmin(ratio))
            part, point, outside = float(ratio[least]), int(near[least]), is_outer
    return part, point, outside

"""Narrowest band of straight functions: a small linear programme, solved by exchanging contacts.

Given values b_i and slopes a_i, find the small change x, |x_j| <= limit, for which the values
b_i + a_i·x spread least (or for which their largest is least, or their smallest largest). This is
the linearised form of every zone problem. It has few unknowns and many points, so its dual is
solved by the simplex method: each exchange brings in the point that sticks out farthest, which
costs one product of the slopes with x, whatever the number of points.
"""

from dataclasses import dataclass
from enum import Enum
from typing import Final

import numpy as np

from seatproof.core.form.arrays import FloatArray, IndexArray

_MOST_EXCHANGES: Final = 400
_STALLED: Final = 20
_GIVEN_UP: Final = 80  # the same value so often: only rounding goes round


class Side(Enum):
    """What is to be made least."""

    ZONE = "largest minus smallest value"
    OUTER = "largest value"
    INNER = "minus the smallest value"


@dataclass(frozen=True, slots=True)
class Band:
    """The solution of one linear programme.

    Attributes
    ----------
    change : ndarray, shape (k,)
        The x found.
    value : float
        What was made least, at x.
    outer, inner : ndarray of int
        Points that hold the largest and the smallest value at x.
    outer_weights, inner_weights : ndarray
        Their multipliers, adding to 1 on each side that takes part.
    basis : tuple of int
        The final columns, from which a similar problem may start.
    """

    change: FloatArray
    value: float
    outer: IndexArray
    inner: IndexArray
    outer_weights: FloatArray
    inner_weights: FloatArray
    basis: tuple[int, ...]


def narrowest_band(
    values: FloatArray,
    slopes: FloatArray,
    limit: float,
    side: Side,
    first: tuple[int, ...] | None = None,
) -> Band:
    """Minimise the spread (or one side) of ``values + slopes @ x`` over the box |x_j| <= limit.

    Parameters
    ----------
    values : ndarray, shape (n,)
    slopes : ndarray, shape (n, k)
    limit : float
        Half width of the box, greater than zero.
    first : tuple of int, optional
        The `basis` of a similar problem with the same points, to start from.

    References
    ----------
    .. [1] G. B. Dantzig, Linear Programming and Extensions, chapter 9 (the simplex method using
       multipliers); the largest violation enters, Bland's rule when no progress is made.
    """
    unknowns = slopes.shape[1]
    sides = {Side.ZONE: (True, True), Side.OUTER: (True, False), Side.INNER: (False, True)}[side]
    table = _Table(values, slopes, limit, *sides)
    scale = float(np.abs(values).max()) + limit * float(np.abs(slopes).max())
    # Below that, what sticks out is the rounding of the inverse.
    tolerance = 1e-14 * scale
    right = table.right_side
    basis = table.start_from(first)
    matrix, cost = table.columns(basis)
    best, stalled = -np.inf, 0
    for _ in range(_MOST_EXCHANGES):
        inverse = np.linalg.inv(matrix)
        weights = np.asarray(inverse @ right, dtype=np.float64)
        prices = np.asarray(cost @ inverse, dtype=np.float64)
        value = float(cost @ weights)
        stalled = stalled + 1 if value <= best + tolerance else 0
        best = max(best, value)
        entering = table.entering(prices, tolerance, by_number=stalled > _STALLED)
        if entering is None or stalled > _GIVEN_UP:
            break
        column, gain = table.column(entering)
        leaving = _leaving(
            weights, np.asarray(inverse @ column), basis, by_number=stalled > _STALLED
        )
        if leaving is None:
            break
        basis[leaving] = entering
        matrix[:, leaving] = column
        cost[leaving] = gain
    change = np.clip(-prices[:unknowns], -limit, limit)
    return table.band(change, basis, weights)


def _leaving(
    weights: FloatArray, direction: FloatArray, basis: list[int], *, by_number: bool
) -> int | None:
    # Six numbers at most, quicker one by one.
    able = [
        (max(weight, 0.0) / fall, place, fall)
        for place, (weight, fall) in enumerate(
            zip(weights.tolist(), direction.tolist(), strict=True)
        )
        if fall > 1e-11
    ]
    if not able:
        return None
    edge = min(able)[0] + 1e-15
    least = [(fall, place) for ratio, place, fall in able if ratio <= edge]
    if by_number:
        return min((place for _, place in least), key=lambda place: basis[place])
    return max(least, key=lambda one: one[0])[1]


class _Table:
    """Columns of the dual: outer points, inner points, then both faces of the box for each x_j."""

    def __init__(
        self, values: FloatArray, slopes: FloatArray, limit: float, outer: bool, inner: bool
    ) -> None:
        self._values = values
        self._slopes = slopes
        self._limit = limit
        self._count, self._unknowns = slopes.shape
        self._outer_row = self._unknowns if outer else None
        self._inner_row = self._unknowns + int(outer) if inner else None
        self._rows = self._unknowns + int(outer) + int(inner)
        self.right_side = np.zeros(self._rows)
        self.right_side[self._unknowns :] = 1.0

    def start_from(self, first: tuple[int, ...] | None) -> list[int]:
        """Return the basis given if it still holds with weights of the right sign."""
        if first is not None:
            matrix, _ = self.columns(list(first))
            if abs(np.linalg.det(matrix)) > 1e-9:
                weights = np.linalg.solve(matrix, self.right_side)
                if float(np.min(weights)) >= 0.0:
                    return list(first)
        return self._first_basis()

    def _first_basis(self) -> list[int]:
        """Return the most extreme points, and the faces of the box that balance their slopes."""
        pull = np.zeros(self._unknowns)
        basis: list[int] = []
        if self._outer_row is not None:
            top = int(self._values.argmax())
            pull += self._slopes[top]
            basis.append(top)
        if self._inner_row is not None:
            bottom = int(self._values.argmin())
            pull -= self._slopes[bottom]
            basis.append(self._count + bottom)
        for axis in range(self._unknowns):
            basis.append(2 * self._count + 2 * axis + int(pull[axis] > 0.0))
        return basis

    def column(self, number: int) -> tuple[FloatArray, float]:
        """Return one column and its gain."""
        column = np.zeros(self._rows)
        if number >= 2 * self._count:
            axis, negative = divmod(number - 2 * self._count, 2)
            column[axis] = -1.0 if negative else 1.0
            return column, -self._limit
        point, inner = number % self._count, number >= self._count
        sign = -1.0 if inner else 1.0
        column[: self._unknowns] = sign * self._slopes[point]
        row = self._inner_row if inner else self._outer_row
        assert row is not None  # a side that takes no part never enters
        column[row] = 1.0
        return column, sign * float(self._values[point])

    def columns(self, basis: list[int]) -> tuple[FloatArray, FloatArray]:
        """Return the basis matrix and the gains of its columns."""
        parts = [self.column(number) for number in basis]
        return np.column_stack([part[0] for part in parts]), np.array([part[1] for part in parts])

    def entering(self, prices: FloatArray, tolerance: float, *, by_number: bool) -> int | None:
        """Return the column that sticks out most (or, by number, the first that does)."""
        change = -prices[: self._unknowns]
        level = self._values + self._slopes @ change
        candidates: list[tuple[float, int]] = []
        if self._outer_row is not None:
            price = float(prices[self._outer_row])
            point = int((level > price + tolerance if by_number else level).argmax())
            candidates.append((float(level[point]) - price, point))
        if self._inner_row is not None:
            price = float(prices[self._inner_row])
            point = int((-level > price + tolerance).argmax() if by_number else level.argmin())
            candidates.append((-float(level[point]) - price, self._count + point))
        for axis, move in enumerate(change.tolist()):
            number = 2 * self._count + 2 * axis
            candidates.append((move - self._limit, number))
            candidates.append((-move - self._limit, number + 1))
        out = [one for one in candidates if one[0] > tolerance]
        if not out:
            return None
        return out[0][1] if by_number else max(out)[1]

    def band(self, change: FloatArray, basis: list[int], weights: FloatArray) -> Band:
        """Express the final basis as points and weights."""
        level = self._values + self._slopes @ change
        value = 0.0
        if self._outer_row is not None:
            value += float(level.max())
        if self._inner_row is not None:
            value -= float(level.min())
        held = [(n, w) for n, w in zip(basis, weights, strict=True) if w > 1e-12]
        outer = [(n, w) for n, w in held if n < self._count]
        inner = [(n - self._count, w) for n, w in held if self._count <= n < 2 * self._count]
        return Band(
            change=change,
            value=value,
            outer=np.array([n for n, _ in outer], dtype=np.intp),
            inner=np.array([n for n, _ in inner], dtype=np.intp),
            outer_weights=np.array([w for _, w in outer]),
            inner_weights=np.array([w for _, w in inner]),
            basis=tuple(basis),
        )

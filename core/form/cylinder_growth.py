"""How firmly the contacts of a minimum zone cylinder hold its axis."""

from functools import lru_cache
from itertools import combinations
from math import comb
from typing import Final

import numpy as np

from seatproof.core.form.arrays import FloatArray, IndexArray
from seatproof.core.form.axis import AxisFrame

_MOST_FACETS: Final = 60_000
_OTHERS: Final = np.array([[1, 2, 3], [0, 2, 3], [0, 1, 3], [0, 1, 2]])
_SIGNS: Final = np.array([1.0, -1.0, 1.0, -1.0])


def zone_growth(frame: AxisFrame, change: FloatArray, distance: FloatArray) -> float | None:
    """Least directional derivative of the zone: how far the origin lies inside a hull.

    The hull is that of the differences of outer and inner slopes, in the four changes; its facets
    are found among all planes through four of the differences.
    """
    high, low = float(np.max(distance)), float(np.min(distance))
    tie = 1e-9 * (high - low) + 8 * np.finfo(float).eps * high
    outer = np.flatnonzero(distance >= high - tie)
    inner = np.flatnonzero(distance <= low + tie)
    count = len(outer) * len(inner)
    if count < 5:
        return 0.0
    if comb(count, 4) > _MOST_FACETS:
        return None
    outside = frame.distances_and_slopes(change, outer)[1]
    inside = frame.distances_and_slopes(change, inner)[1]
    corner = (outside[:, None, :] - inside[None, :, :]).reshape(-1, 4)
    four = corner[_fours(count)]
    sides = four[:, 1:] - four[:, :1]
    # The vector across three others in four dimensions, by its cofactors.
    minors = np.moveaxis(sides[:, :, _OTHERS], 2, 1)
    normal = np.linalg.det(minors) * _SIGNS
    length = np.linalg.norm(normal, axis=1)
    flat = length > 1e-12
    normal = normal[flat] / length[flat, None]
    offset = np.einsum("ij,ij->i", normal, four[flat, 0])
    level = normal @ corner.T
    least = float("inf")
    for sign in (1.0, -1.0):
        holds = (sign * level).max(axis=1) <= sign * offset + 1e-10
        if holds.any():
            least = min(least, float(np.min(sign * offset[holds])))
    return max(0.0, least) if np.isfinite(least) else 0.0


@lru_cache(maxsize=16)
def _fours(count: int) -> IndexArray:
    return np.array(list(combinations(range(count), 4)), dtype=np.intp)

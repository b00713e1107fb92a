"""Maximum inscribed circle (MIC): the largest circle free of points, centred between the points.

Several such circles can be locally largest, on even-lobed, sparse or flatted profiles. The one
found here is the largest of all: a small working set of points is kept, the largest empty circle of
that set is found by trying all its possible centres, and a point found inside it joins the set.
The circle of the last set is empty of all points, and fewer points leave room for no smaller one.
"""

from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

from seatproof.core.form.arrays import FloatArray
from seatproof.core.form.circle import (
    ROUNDING,
    CircleFit,
    ReferenceCircle,
    circle_points,
    seen_from,
    squared_distances,
)
from seatproof.core.form.errors import DegenerateError, NotDefinedError
from seatproof.core.form.hull import convex_hull
from seatproof.core.form.lsc import algebraic_centre, middle, moved

_RESULT: Final = "the maximum inscribed circle"
_MOST_EXCHANGES: Final = 150
_LARGEST_SET: Final = 48  # 17 296 triples to try
_KEPT: Final = 20
_LONG_EDGES: Final = 8
_FEW_EDGES: Final = 24
_EDGE: Final = 1e-12


@dataclass(frozen=True, slots=True)
class MaximumInscribedCircle:
    """The largest empty circle between the points.

    Attributes
    ----------
    circle : CircleFit
        `contacts_in` are the points on the circle, `valley` is zero.
    centre_unique : bool
        False where another circle of the same radius, to rounding, stands elsewhere.
    """

    circle: CircleFit
    centre_unique: bool


def maximum_inscribed_circle(points: ArrayLike) -> MaximumInscribedCircle:
    """Find the largest circle that holds no point inside and has its centre between the points.

    Parameters
    ----------
    points : array_like, shape (n, 2)
        Points of one section, any order.

    Returns
    -------
    MaximumInscribedCircle
        The global one.

    Raises
    ------
    InputError, TooFewError, DegenerateError
        See `circle_points`.
    NotDefinedError
        The largest circle has its centre on the edge of the points' convex hull, as on an arc of
        less than half a turn: it would grow if it might move outwards, so it tells nothing.

    References
    ----------
    .. [1] ISO 12181-1, maximum inscribed reference circle.
    .. [2] G. T. Toussaint, Computing largest empty circles with location constraints,
       Int. J. Comput. Inf. Sci. 12 (1983): the centre is a Voronoi corner inside the hull, or a
       Voronoi edge crosses the hull's edge there, or it is a corner of the hull.
    """
    array = circle_points(points, _RESULT)
    shift = middle(array)
    local = array - shift
    outline = _Outline(local[convex_hull(local)])
    first = _first_set(local)
    working = list(first)
    for _ in range(_MOST_EXCHANGES):
        centre, radius, inside, rivals = _largest(local[working], outline)
        square = squared_distances(local, centre)
        nearest = int(np.argmin(square))
        if nearest in working or float(np.sqrt(square[nearest])) >= radius * (1 - 4e-16):
            break
        if len(working) >= _LARGEST_SET:
            # Whatever is left out, the circle of fewer points is never too small.
            nearby = np.argsort(squared_distances(local[working], centre), kind="stable")
            working = list(dict.fromkeys([*first, *(working[place] for place in nearby[:_KEPT])]))
        working.append(nearest)
    else:
        raise DegenerateError(
            _RESULT, "too many circles are nearly as large; give fewer points of the section"
        )
    if not inside:
        raise NotDefinedError(
            _RESULT,
            "the largest empty circle is centred on the edge of the points, as on an arc of less "
            "than half a turn",
        )
    away = local - centre
    true_radius = float(np.min(np.hypot(away[:, 0], away[:, 1])))
    same = [
        rival
        for rival in rivals
        if np.sqrt(np.min(squared_distances(local, rival))) >= true_radius * (1 - ROUNDING)
        and np.hypot(*(rival - centre)) > 1e-6 * true_radius
    ]
    fit = seen_from(local, centre, true_radius, ReferenceCircle.MIC)
    return MaximumInscribedCircle(circle=moved(fit, shift), centre_unique=not same)


def _first_set(local: FloatArray) -> list[int]:
    """Nearest point to a first centre in each of eight sectors, and the corners of the frame."""
    start = algebraic_centre(local)
    x, y = local[:, 0] - start[0], local[:, 1] - start[1]
    square = x * x + y * y
    sector = (x > 0.0) + 2 * (y > 0.0) + 4 * (np.abs(x) > np.abs(y))
    chosen = [int(pick(local[:, axis])) for axis in (0, 1) for pick in (np.argmax, np.argmin)]
    for number in range(8):
        members = np.flatnonzero(sector == number)
        if members.size:
            chosen.append(int(members[np.argmin(square[members])]))
    return list(dict.fromkeys(chosen))


def _largest(
    some: FloatArray, outline: "_Outline"
) -> tuple[FloatArray, float, bool, list[FloatArray]]:
    """Return the largest circle empty of a few points (m, 2) that is centred in the hull.

    With it: whether the centre lies inside rather than on the edge, and the other centres whose
    circle is as large to rounding.
    """
    centres, radii = _voronoi_corners(some)
    possible = outline.may_hold(centres)
    centres, radii = centres[possible], radii[possible]
    order = np.argsort(-radii, kind="stable")
    best: FloatArray | None = None
    best_radius = -1.0
    rivals: list[FloatArray] = []
    for index in order:
        if radii[index] < best_radius * (1 - ROUNDING):
            break
        if not outline.holds(centres[index]):
            continue
        if best is None:
            best, best_radius = centres[index], float(radii[index])
        else:
            rivals.append(centres[index])
    edge_centre, edge_radius = _best_on_edge(some, outline.corners, best_radius)
    if edge_centre is not None and (best is None or edge_radius >= best_radius):
        return edge_centre, edge_radius, False, []
    assert best is not None  # else some point of the edge is better than nothing
    return best, best_radius, True, rivals


class _Outline:
    """The convex hull of the points by its corners (h, 2), and the lines along its edges."""

    def __init__(self, corners: FloatArray) -> None:
        self.corners = corners
        edge = np.roll(corners, -1, axis=0) - corners
        length = np.hypot(edge[:, 0], edge[:, 1])
        self._normal = np.column_stack([edge[:, 1], -edge[:, 0]]) / length[:, None]
        self._level = np.einsum("ij,ij->i", self._normal, corners)
        self._slack = _EDGE * float(np.abs(corners).max())
        # A few lines rule out most places: the longest edges and some of the others.
        spread = np.arange(0, len(corners), max(1, len(corners) // _FEW_EDGES))
        longest = np.argsort(-length, kind="stable")[:_LONG_EDGES]
        self._some = np.union1d(spread, longest)

    def may_hold(self, places: FloatArray) -> NDArray[np.bool_]:
        """Rule out most of the places (k, 2) that do not lie inside."""
        height = self._normal[self._some] @ places.T
        return np.asarray((height < self._level[self._some, None]).all(axis=0))

    def holds(self, place: FloatArray) -> bool:
        """Whether a place lies inside by more than rounding."""
        return bool((self._level - self._normal @ place).min() > self._slack)


def _voronoi_corners(some: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Centres through three of the points each, and their distance from the nearest point."""
    first, second, third = _triples(len(some))
    px, py = (some[second] - some[first]).T
    qx, qy = (some[third] - some[first]).T
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        area = 2.0 * (px * qy - py * qx)
        pp, qq = px * px + py * py, qx * qx + qy * qy
        x = some[first, 0] + (pp * qy - qq * py) / area
        y = some[first, 1] + (qq * px - pp * qx) / area
    real = np.isfinite(x) & np.isfinite(y)
    x, y = x[real], y[real]
    # One row for each point: the rows are long, and NumPy reduces over them at full speed.
    square = (some[:, :1] - x) ** 2 + (some[:, 1:] - y) ** 2
    return np.column_stack([x, y]), np.sqrt(square.min(axis=0))


@lru_cache(maxsize=64)
def _triples(count: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    table = np.array(list(combinations(range(count), 3)), dtype=int).reshape(-1, 3)
    return table[:, 0], table[:, 1], table[:, 2]


def _best_on_edge(
    some: FloatArray, corners: FloatArray, to_beat: float
) -> tuple[FloatArray | None, float]:
    """Return the largest empty circle centred on the hull's edge, if it is at least `to_beat`."""
    ahead = np.roll(corners, -1, axis=0)
    here = np.hypot(corners[:, :1] - some[:, 0], corners[:, 1:] - some[:, 1])
    # Along an edge every distance is convex, so it is nowhere larger than at one of its ends.
    bound = np.maximum(here, np.roll(here, -1, axis=0)).min(axis=1)
    centre: FloatArray | None = None
    best = to_beat
    for index in np.argsort(-bound, kind="stable"):
        if bound[index] < best:
            break  # nor can any edge after it
        start, way = corners[index], ahead[index] - corners[index]
        part = _crossings(some, start, way)
        places = start + part[:, None] * way
        distance = np.hypot(places[:, :1] - some[:, 0], places[:, 1:] - some[:, 1]).min(axis=1)
        top = int(np.argmax(distance))
        if distance[top] >= best:
            centre, best = places[top], float(distance[top])
    return centre, best


def _crossings(some: FloatArray, start: FloatArray, way: FloatArray) -> FloatArray:
    """Where the bisectors of the points cross an edge, as parts of its length, with both ends."""
    first, second = np.triu_indices(len(some), 1)
    normal = some[second] - some[first]
    middle = 0.5 * (some[second] + some[first])
    with np.errstate(divide="ignore", invalid="ignore"):
        part = np.einsum("ij,ij->i", normal, middle - start) / (normal @ way)
    ends = np.array([0.0, 1.0])
    return np.concatenate([ends, part[(part > 0.0) & (part < 1.0)]])

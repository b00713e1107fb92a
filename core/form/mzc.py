"""Minimum zone circles (MZC): exact, with a proof that no smaller zone exists.

The method keeps a small working set of points and finds *its* narrowest annulus by trying every way
in which two points can lie on the outer and two on the inner circle; the centre of each is the
intersection of two bisectors, so the distances are true ones and nothing is linearised. If another
point lies outside that annulus, it joins the set. The annulus of the last set holds all points, and
no annulus that holds all points can be narrower than the narrowest that holds some of them.

Only two-and-two contacts need trying: at a least zone some direction from the centre to the outer
contacts is an average of directions to the inner ones and the reverse, and a unit vector is no
average of other unit vectors.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from seatproof.core.form.arrays import FloatArray
from seatproof.core.form.circle import (
    ROUNDING,
    CircleFit,
    ReferenceCircle,
    circle_points,
    seen_from,
    squared_distances,
)
from seatproof.core.form.errors import DegenerateError
from seatproof.core.form.hull import least_strip_width, strip_width
from seatproof.core.form.lsc import algebraic_centre, middle, moved
from seatproof.core.form.mcc import circumcentre
from seatproof.core.form.zone_proof import ZoneProof, interlacing_contacts, zone_growth

_RESULT: Final = "the minimum zone circle"
_MOST_EXCHANGES: Final = 200
_LARGEST_SET: Final = 30  # 82 215 annuli to try
_KEPT: Final = 16


@dataclass(frozen=True, slots=True)
class MinimumZoneCircle:
    """Two concentric circles of least separation that hold all points between them.

    Attributes
    ----------
    circle : CircleFit
        Centre, mean radius and the roundness figures; `zone` is the least one.
    r_out, r_in : float
        Outer and inner radius.
    growth : float
        Moving the centre by e, small, widens the zone by at least growth · e. Near zero the
        centre is badly determined although the zone is not. Zero where the zone is zero by
        fewer than four points.
    centre_unique : bool
        False where an annulus as narrow, to rounding, stands about another centre.
    proof : ZoneProof
    """

    circle: CircleFit
    r_out: float
    r_in: float
    growth: float
    centre_unique: bool
    proof: ZoneProof

    def centre_uncertainty(self, zone_change: float) -> float:
        """How far the centre may move while the zone grows by no more than `zone_change`."""
        return zone_change / self.growth if self.growth > 0.0 else float("inf")


def minimum_zone_circle(points: ArrayLike) -> MinimumZoneCircle:
    """Find the two concentric circles of least radial separation that hold all points.

    Parameters
    ----------
    points : array_like, shape (n, 2)
        Points of one section, any order, any spacing, whole turn or arc.

    Returns
    -------
    MinimumZoneCircle
        Exact to rounding: some 64 units in the last place of the largest coordinate.

    Raises
    ------
    InputError, TooFewError, DegenerateError
        See `circle_points`; DegenerateError too where a straight strip is narrower than any
        annulus, as on a short arc of nothing but noise.

    References
    ----------
    .. [1] ISO 12181-1, minimum zone reference circles.
    .. [2] P. K. Agarwal, B. Aronov, S. Har-Peled, M. Sharir, Approximation and exact algorithms
       for minimum-width annuli and shells, Discrete Comput. Geom. 24 (2000).
    """
    array = circle_points(points, _RESULT)
    # Near the centre of the frame the distances keep all their digits.
    mean = middle(array)
    local = array - mean
    shift = mean + algebraic_centre(local)
    if not np.abs(shift - mean).max() < 1e3 * np.abs(local).max():
        shift = mean
    local = array - shift
    centre, working, bound, rivals = _search(local)
    fit = seen_from(local, centre, None, ReferenceCircle.MZC)
    slack = ROUNDING * max(fit.radius, float(np.max(np.abs(array))))
    is_beaten_far_out = False
    if fit.zone > slack and least_strip_width(local[working]) <= fit.zone:
        is_beaten_far_out = _is_strip_as_narrow(local, working, fit.zone)
    outer, inner, weights, balance = interlacing_contacts(local, fit, centre)
    return MinimumZoneCircle(
        circle=moved(fit, shift),
        r_out=fit.radius + fit.peak,
        r_in=fit.radius - fit.valley,
        growth=zone_growth(local, fit, centre),
        centre_unique=not _has_equal(local, centre, fit.zone + slack, rivals),
        proof=ZoneProof(
            outer=outer,
            inner=inner,
            outer_weights=weights[:2],
            inner_weights=weights[2:],
            balance=balance,
            working_set=tuple(working),
            lower_bound=bound,
            is_global=fit.zone <= bound + slack and not is_beaten_far_out,
        ),
    )


def _search(local: FloatArray) -> tuple[FloatArray, list[int], float, FloatArray]:
    """Return the centre, the final working set, its least zone and its equally good centres."""
    working = _first_set(local)
    extent = float(np.max(np.abs(local)))
    best_centre, best_zone = np.zeros(2), float("inf")
    best_set, best_bound, best_rivals = working, 0.0, np.zeros((0, 2))
    for _ in range(_MOST_EXCHANGES):
        centre, bound, rivals = _narrowest(local[working])
        square = squared_distances(local, centre)
        high, low = int(np.argmax(square)), int(np.argmin(square))
        zone = float(np.sqrt(square[high]) - np.sqrt(square[low]))
        if zone < best_zone:
            best_centre, best_zone, best_set = centre, zone, working
            best_bound, best_rivals = bound, rivals
        new = [index for index in dict.fromkeys((high, low)) if index not in working]
        rounding = 4 * np.finfo(float).eps * (extent + float(np.sqrt(square[high])))
        if not new or zone <= bound + rounding:
            best_centre, best_set, best_bound, best_rivals = centre, working, bound, rivals
            break
        if len(working) + len(new) > _LARGEST_SET:
            working = _most_needed(local, working, centre)
        working = working + new
    return best_centre, best_set, best_bound, best_rivals


def _first_set(local: FloatArray) -> list[int]:
    """Farthest and nearest point of each quadrant, and points evenly spread along the list."""
    square = squared_distances(local, np.zeros(2))
    chosen: list[int] = []
    right, above = local[:, 0] > 0.0, local[:, 1] > 0.0
    for quadrant in (right & above, ~right & above, ~right & ~above, right & ~above):
        members = np.flatnonzero(quadrant)
        if members.size:
            chosen.append(int(members[np.argmax(square[members])]))
            chosen.append(int(members[np.argmin(square[members])]))
    working = _different(local, chosen)
    if len(working) < 4:  # a short arc within one quadrant, or very few points
        spread = np.linspace(0, len(local) - 1, 64).astype(int)
        working = _different(local, chosen + [int(index) for index in spread])[:8]
    if len(working) < 4:  # many repeated points
        first_seen = np.unique(local, axis=0, return_index=True)[1]
        working = _different(local, chosen + [int(index) for index in first_seen[:8]])
    return working


def _different(local: FloatArray, indices: Iterable[int]) -> list[int]:
    """Keep of points at the same place the first only."""
    seen: dict[tuple[float, float], int] = {}
    for index in indices:
        seen.setdefault((float(local[index, 0]), float(local[index, 1])), index)
    return list(seen.values())


def _narrowest(some: FloatArray) -> tuple[FloatArray, float, FloatArray]:
    """Try every two-and-two annulus of a few points (m, 2).

    Return the best centre, its zone, and all centres as good to rounding, shape (k, 2).
    """
    if len(some) == 3:
        centre = circumcentre(*((float(x), float(y)) for x, y in some))
        return np.array(centre or (0.0, 0.0)), 0.0, np.zeros((0, 2))
    first, second, one, other = _pairings(len(some))
    normal = some[first] - some[second]
    offset = 0.5 * np.einsum("ij,ij->i", normal, some[first] + some[second])
    n1, n2, k1, k2 = normal[one], normal[other], offset[one], offset[other]
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        area = n1[:, 0] * n2[:, 1] - n1[:, 1] * n2[:, 0]
        x = (k1 * n2[:, 1] - k2 * n1[:, 1]) / area
        y = (k2 * n1[:, 0] - k1 * n2[:, 0]) / area
        # One row for each point: the rows are long, and NumPy reduces over them at full speed.
        square = (some[:, :1] - x) ** 2 + (some[:, 1:] - y) ** 2
        zone = np.sqrt(square.max(axis=0)) - np.sqrt(square.min(axis=0))
    # A centre at 10^8 times the size of the part has lost the zone to rounding; the straight strip
    # stands for all of those and is compared with the result.
    size = float(np.max(np.abs(some)))
    far = ~(np.abs(x) + np.abs(y) < 1e8 * size)
    zone[far] = np.inf
    best = int(np.argmin(zone))
    if not np.isfinite(zone[best]):
        return np.zeros(2), 0.0, np.zeros((0, 2))
    equal = np.flatnonzero(zone <= zone[best] + ROUNDING * size)
    return np.array([x[best], y[best]]), float(zone[best]), np.column_stack([x[equal], y[equal]])


def _has_equal(local: FloatArray, centre: FloatArray, zone: float, rivals: FloatArray) -> bool:
    """Whether one of the rival centres, truly apart, gives all points as small a zone."""
    apart = np.hypot(*(rivals - centre).T) > 1e-6 * float(np.max(np.abs(local)))
    for rival in rivals[apart][:_KEPT]:
        square = squared_distances(local, rival)
        if float(np.sqrt(np.max(square)) - np.sqrt(np.min(square))) <= zone:
            return True
    return False


@lru_cache(maxsize=64)
def _pairings(count: int) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """All pairs of `count` things (two arrays), and all pairs of disjoint pairs (two arrays)."""
    pairs = list(combinations(range(count), 2))
    number = {pair: index for index, pair in enumerate(pairs)}
    one, other = [], []
    for a, b, c, d in combinations(range(count), 4):
        for left, right in (((a, b), (c, d)), ((a, c), (b, d)), ((a, d), (b, c))):
            one.append(number[left])
            other.append(number[right])
    table = np.array(pairs)
    return table[:, 0], table[:, 1], np.array(one, dtype=int), np.array(other, dtype=int)


def _most_needed(local: FloatArray, working: list[int], centre: FloatArray) -> list[int]:
    """Keep the points nearest to either circle of the present annulus."""
    distance = np.sqrt(squared_distances(local[working], centre))
    room = np.minimum(np.max(distance) - distance, distance - np.min(distance))
    return [working[index] for index in np.argsort(room, kind="stable")[:_KEPT]]


def _is_strip_as_narrow(local: FloatArray, working: list[int], zone: float) -> bool:
    """Whether a strip, the annulus of infinite radius, holds the working set as narrowly.

    Raises
    ------
    DegenerateError
        It holds all points as narrowly.
    """
    if strip_width(local[working]) > zone:
        return False
    if strip_width(local) <= zone:
        raise DegenerateError(
            _RESULT,
            "a straight strip holds these points no worse than two circles; "
            "measure round more of the section",
        )
    return True

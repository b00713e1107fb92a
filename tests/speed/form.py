"""Form: minimum zones against the same linear problem in a general solver; the bench's share.

The peer solves one linearised problem only; the exact zone takes several of those.
"""

import statistics
from collections.abc import Callable, Iterable
from typing import Any

import numpy as np
from scipy.optimize import linprog, minimize

from seatproof.core.form.axis import AxisFrame
from seatproof.core.form.barrel import fit_barrel
from seatproof.core.form.closure import check_closure
from seatproof.core.form.generatrix import generatrix_pairs
from seatproof.core.form.lsc import least_squares_circle
from seatproof.core.form.lsq_cylinder import fitted_axis, least_squares_cylinder
from seatproof.core.form.mcc import minimum_circumscribed_circle
from seatproof.core.form.mic import maximum_inscribed_circle
from seatproof.core.form.mzc import minimum_zone_circle
from seatproof.core.form.size import local_sizes
from seatproof.core.form.taper import fit_taper
from seatproof.core.form.twopoint import fit_ovality
from seatproof.core.form.zone_cylinder import minimum_zone_cylinder
from tests.speed.table import Row, percentile, timed_row, times_s

_RATIO = 15.0
_NOT_WORSE = 1e-9
_ROUNDS = 11


def rows() -> Iterable[Row]:
    """Measure everything this module has a goal for."""
    yield _circle()
    yield _zone_not_larger_than_other_searches()
    yield timed_row(
        "minimum zone circle, 100,000 points", 50.0, lambda: minimum_zone_circle(_BIG), 40
    )
    yield _cylinder()
    yield timed_row(
        "one seat of diameters, 12 stations x 24 orientations", 10.0, _diameters_of_a_seat, 60
    )
    yield _radial_seat_at_once()
    yield timed_row(
        "one more radial reading: circles of its section, cylinder of 288 points",
        10.0,
        _one_more_radial_reading,
        60,
    )


def _section(count: int, seed: int, radius: float = 40.0) -> Any:
    random = np.random.default_rng(seed)
    angle = np.arange(count) * 2.0 * np.pi / count
    r = np.full(count, radius)
    for n in range(2, 40):
        r += 2e-3 / n**1.5 * np.cos(n * angle + random.uniform(0.0, 2.0 * np.pi))
    r += 2e-4 * random.normal(size=count)
    return np.column_stack([r * np.cos(angle) + 0.05, r * np.sin(angle) - 0.03])


def _seat(sections: int, around: int, seed: int) -> Any:
    z = np.linspace(0.0, 80.0, sections)
    return np.concatenate(
        [
            np.column_stack([_section(around, seed + place), np.full(around, height)])
            for place, height in enumerate(z)
        ]
    )


_BIG = _section(100_000, 5)


def _zone_programme(values: Any, slopes: Any) -> Callable[[], Any]:
    """Return the linearised minimum zone as a programme for HiGHS, built beforehand."""
    count, unknowns = slopes.shape
    one, none = np.ones((count, 1)), np.zeros((count, 1))
    matrix = np.block([[slopes, -one, none], [-slopes, none, one]])
    right = np.concatenate([-values, values])
    cost = np.concatenate([np.zeros(unknowns), [1.0, -1.0]])
    bounds = [(None, None)] * (unknowns + 2)
    return lambda: linprog(cost, A_ub=matrix, b_ub=right, bounds=bounds, method="highs")


def _compare(what: str, ours: Callable[[], Any], peer: Callable[[], Any]) -> Row:
    ours(), peer()  # what is loaded once is not what is measured
    taken: list[float] = []
    others: list[float] = []
    for _ in range(_ROUNDS):  # by turns, so that a busy machine slows both alike
        taken += [second * 1000 for second in times_s(ours, 6)]
        others += [second * 1000 for second in times_s(peer, 1)]
    median, other = statistics.median(taken), statistics.median(others)
    return Row(
        what=what,
        goal=f"at least {_RATIO:g} times faster than one LP",
        unit="ms",
        median=median,
        slowest_1_in_100=percentile(taken, 99),
        peer=f"HiGHS {other:.3g} ms",
        ratio=other / median,
        met=other / median >= _RATIO,
    )


def _centred(points: Any) -> tuple[Any, Any]:
    fit = least_squares_circle(points)
    away = points - np.array([fit.centre_x, fit.centre_y])
    distance = np.hypot(away[:, 0], away[:, 1])
    return distance - fit.radius, -away / distance[:, None]


def _circle() -> Row:
    points = _section(3600, 1)
    return _compare(
        "minimum zone circle, 3,600 points",
        lambda: minimum_zone_circle(points),
        _zone_programme(*_centred(points)),
    )


def _zone_not_larger_than_other_searches() -> Row:
    """Compare the zones found, over profiles of many sizes."""
    worst = -np.inf
    for seed, count in enumerate((8, 12, 24, 36, 72, 180, 360, 720)):
        points = _section(count, seed)
        zone = minimum_zone_circle(points).circle.zone
        solved = _zone_programme(*_centred(points))()
        fit = least_squares_circle(points)
        moved = np.array([fit.centre_x, fit.centre_y]) + solved.x[:2]

        def zone_at(centre: Any, points: Any = points) -> float:
            return float(np.ptp(np.hypot(*(points - centre).T)))

        searched = minimize(
            zone_at,
            np.mean(points, axis=0),
            method="Nelder-Mead",
            options={"xatol": 1e-12, "fatol": 1e-15, "maxiter": 5000, "maxfev": 5000},
        )
        others = min(zone_at(moved), float(searched.fun))
        worst = max(worst, (zone - others) / others)
    return Row(
        what="minimum zone minus the best of LP and Nelder-Mead",
        goal=f"at most {_NOT_WORSE:g} of the zone",
        unit="of the zone",
        median=worst,
        met=bool(worst <= _NOT_WORSE),
    )


def _cylinder() -> Row:
    points = _seat(10, 1000, 7)
    frame = AxisFrame.along(points, *fitted_axis(points))
    distance, slopes = frame.distances_and_slopes(np.zeros(4))
    return _compare(
        "minimum zone cylinder, 10,000 points",
        lambda: minimum_zone_cylinder(points),
        _zone_programme(distance - np.mean(distance), slopes),
    )


_STATIONS = np.linspace(4.0, 76.0, 12)
_ORIENTATIONS = np.arange(24) * 7.5
_DIAMETERS = (
    80.0
    + 0.004 * np.cos(2.0 * np.radians(_ORIENTATIONS - 20.0))
    + 1e-4 * _STATIONS[:, None]
    + 5e-4 * np.random.default_rng(3).normal(size=(12, 24))
)
_RADII = _seat(12, 24, 20)


def _diameters_of_a_seat() -> None:
    for station in _DIAMETERS:
        fit_ovality(_ORIENTATIONS, station)
        check_closure(_ORIENTATIONS, station, 0.5)
        local_sizes(station)
    means = _DIAMETERS.mean(axis=1)
    fit_taper(_STATIONS, means)
    fit_barrel(_STATIONS, means)
    generatrix_pairs(np.repeat(_STATIONS, 24), np.tile(_ORIENTATIONS, 12), _DIAMETERS.ravel())
    local_sizes(_DIAMETERS.ravel())


def _radial_seat_at_once() -> Row:
    """Time what is done once, when the record of a seat is opened; no one waits at each press."""

    def all_of_it() -> None:
        for start in range(0, len(_RADII), 24):
            section = _RADII[start : start + 24, :2]
            least_squares_circle(section)
            minimum_zone_circle(section)
        least_squares_cylinder(_RADII)
        minimum_zone_cylinder(_RADII, extra_starts=0)

    all_of_it()
    taken = [second * 1000 for second in times_s(all_of_it, 40)]
    return Row(
        what="a whole radial seat at once: LSC and MZC of 12 x 24, both cylinders",
        goal="none",
        unit="ms",
        median=statistics.median(taken),
        slowest_1_in_100=percentile(taken, 99),
    )


def _one_more_radial_reading() -> None:
    # The other sections have not changed.
    section = _RADII[:24, :2]
    least_squares_circle(section)
    minimum_zone_circle(section)
    minimum_circumscribed_circle(section)
    maximum_inscribed_circle(section)
    minimum_zone_cylinder(_RADII, extra_starts=0)

"""Zone cylinders that few points hold, and clouds of which only a working set is searched."""

import numpy as np
import pytest
from scipy.optimize import linprog, minimize

from seatproof.core.form import minimax, zone_cylinder
from seatproof.core.form.axis import AxisFrame
from seatproof.core.form.zone_cylinder import (
    maximum_inscribed_cylinder,
    minimum_circumscribed_cylinder,
    minimum_zone_cylinder,
)

FITS = (minimum_zone_cylinder, minimum_circumscribed_cylinder, maximum_inscribed_cylinder)


def seat(seed, sections, around, noise=2e-3):
    random = np.random.default_rng(seed)
    angle = np.tile(np.arange(around) * 2.0 * np.pi / around, sections)
    z = np.repeat(np.linspace(0.0, 60.0, sections), around)
    r = 30.0 + 2e-3 * np.cos(2.0 * angle + 0.02 * z) + noise * random.normal(size=angle.size)
    return np.column_stack([r * np.cos(angle), r * np.sin(angle), z])


def value(fit):
    figures = {
        "minimum zone": fit.cylinder.zone,
        "minimum circumscribed": fit.cylinder.radius,
        "maximum inscribed": -fit.cylinder.radius,
    }
    return figures[fit.cylinder.reference.value]


def held(fit):
    return len(fit.outer) + len(fit.inner)


def frame_of(points, fit):
    return AxisFrame.along(points, np.array(fit.cylinder.point), np.array(fit.cylinder.direction))


def by_general_search(points, fit, seed):
    """SciPy's constrained search over axis and levels, started beside the axis found."""
    frame = frame_of(points, fit)
    kind = fit.cylinder.reference.value
    scale = fit.cylinder.zone
    level = fit.cylinder.radius
    start = np.random.default_rng(seed).normal(size=4) * 0.3 * scale

    def distances(x):
        return frame.distances(x[:4] * scale)

    def slopes(x):
        return frame.distances_and_slopes(x[:4] * scale)[1]

    def objective(x):
        parts = {"minimum zone": x[4] - x[5], "minimum circumscribed": x[4]}
        return parts.get(kind, -x[5])

    def room(x):
        away = (distances(x) - level) / scale
        return np.concatenate([x[4] - away, away - x[5]])

    def room_slopes(x):
        rows = slopes(x)
        one, none = np.ones((len(rows), 1)), np.zeros((len(rows), 1))
        return np.block([[-rows, one, none], [rows, none, -one]])

    away = (frame.distances(start) - level) / scale
    found = minimize(
        objective,
        np.concatenate([start / scale, [np.max(away) + 0.1, np.min(away) - 0.1]]),
        constraints={"type": "ineq", "fun": room, "jac": room_slopes},
        method="SLSQP",
        options={"ftol": 1e-15, "maxiter": 500},
    )
    distance = distances(found.x)
    return {
        "minimum zone": np.ptp(distance),
        "minimum circumscribed": np.max(distance),
    }.get(kind, -np.min(distance))


@pytest.mark.parametrize("fit", FITS)
@pytest.mark.parametrize(("sections", "around"), [(3, 4), (4, 4), (2, 6), (5, 5)])
def test_a_loosely_held_zone_is_the_least_nearby(fit, sections, around):
    for seed in range(2):
        points = seat(seed, sections, around)
        found = fit(points)
        for start in range(3):
            other = by_general_search(points, found, start)
            assert value(found) <= other + 1e-9 * found.cylinder.zone


def test_curvature_settles_what_fewer_contacts_leave_free():
    """Some of these are held by fewer points than there are motions; no pull is left over."""
    loose = 0
    for seed in range(6):
        for fit in FITS[1:]:
            found = fit(seat(seed, 3, 4))
            if held(found) < 5:
                loose += 1
                assert found.balance < 1e-6
                assert min(*found.outer_weights, *found.inner_weights) > 0.0
    assert loose > 0


@pytest.mark.parametrize("fit", FITS)
def test_a_working_set_finds_what_all_points_give(fit, monkeypatch):
    points = seat(3, 8, 90)
    by_set = fit(points, extra_starts=0)
    monkeypatch.setattr(zone_cylinder, "_FIRST_SET", len(points))
    by_all = fit(points, extra_starts=0)
    assert value(by_set) == pytest.approx(value(by_all), rel=0, abs=1e-7 * by_all.cylinder.zone)


def test_no_linear_programme_betters_the_zone_of_thousands_of_points():
    points = seat(5, 12, 300)
    found = minimum_zone_cylinder(points)
    frame = frame_of(points, found)
    distance, slopes = frame.distances_and_slopes(np.zeros(4))
    level = (distance - found.cylinder.radius) / found.cylinder.zone
    one, none = np.ones((len(points), 1)), np.zeros((len(points), 1))
    solved = linprog(
        [0, 0, 0, 0, 1, -1],
        A_ub=np.block([[slopes, -one, none], [-slopes, none, one]]),
        b_ub=np.concatenate([-level, level]),
        bounds=[(-1e-3, 1e-3)] * 4 + [(None, None)] * 2,
        method="highs",
    )
    # In units of the zone: what the best small motion could gain at all.
    assert solved.fun >= 1.0 - 1e-7
    assert np.ptp(distance) == pytest.approx(found.cylinder.zone, abs=1e-12)


def test_the_other_cylinder_along_the_free_motion_is_found(reference_sets):
    """Two circumscribed cylinders differ by 1e-8; the search from above alone ends at either."""
    one = reference_sets["cyl_loose_uneven_27"]
    found = minimum_circumscribed_cylinder(one.points)
    assert found.cylinder.radius == pytest.approx(one.reference["mcc"]["r"], abs=1e-11)
    assert found.starts > 9


def test_exchanges_end_once_only_rounding_sticks_out(monkeypatch):
    """A few exchanges for each contact settle a programme; going round would take hundreds."""
    rounds = []
    known_search, known_choice = minimax.narrowest_band, minimax._Table.entering

    def counted_search(*problem, **options):
        rounds.append(0)
        return known_search(*problem, **options)

    def counted_choice(table, prices, tolerance, *, by_number):
        rounds[-1] += 1
        return known_choice(table, prices, tolerance, by_number=by_number)

    monkeypatch.setattr("seatproof.core.form.zone_descent.narrowest_band", counted_search)
    monkeypatch.setattr(minimax._Table, "entering", counted_choice)
    for seed in range(8):
        for fit in FITS:
            fit(seat(seed, 12, 24), extra_starts=0)
    assert len(rounds) >= 24
    assert max(rounds) < 60

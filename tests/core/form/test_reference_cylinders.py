"""Every cylinder of the reference collection, and the properties a cylindricity must have."""

import numpy as np
import pytest

from seatproof.core.form.errors import (
    DegenerateError,
    FormError,
    InputError,
    NotDefinedError,
    TooFewError,
)
from seatproof.core.form.lsq_cylinder import least_squares_cylinder
from seatproof.core.form.zone_cylinder import (
    maximum_inscribed_cylinder,
    minimum_circumscribed_cylinder,
    minimum_zone_cylinder,
)


def test_least_squares_cylinder_meets_the_reference(cylinder_set):
    expected, tolerance = cylinder_set.reference["lsc"], cylinder_set.tolerance["lsc_zone_abs"]
    fit = least_squares_cylinder(cylinder_set.points)
    assert fit.zone == pytest.approx(expected["zone"], abs=tolerance, rel=0)
    place = cylinder_set.tolerance.get("lsc_point_abs", 1e-11)
    way = cylinder_set.tolerance.get("lsc_direction_abs", 1e-12)
    assert fit.radius == pytest.approx(expected["r"], abs=place, rel=0)
    assert fit.point == pytest.approx(expected["point"], abs=place, rel=0)
    assert fit.direction == pytest.approx(expected["direction"], abs=way, rel=0)
    assert fit.rms == pytest.approx(expected["ronq"], abs=tolerance, rel=0)


def test_minimum_zone_cylinder_meets_the_reference(cylinder_set):
    expected, tolerance = cylinder_set.reference["mzc"], cylinder_set.tolerance["mzc_zone_abs"]
    fit = minimum_zone_cylinder(cylinder_set.points)
    assert fit.cylinder.zone == pytest.approx(expected["zone"], abs=tolerance, rel=0)
    if "growth" in expected:
        assert fit.growth is not None
        assert fit.growth == pytest.approx(expected["growth"], rel=0.02, abs=1e-6)
    assert sum(fit.outer_weights) == pytest.approx(1.0, abs=1e-9)
    assert fit.balance < 1e-6


def test_circumscribed_and_inscribed_cylinders_meet_the_reference(cylinder_set):
    for key, fit in (("mcc", minimum_circumscribed_cylinder), ("mic", maximum_inscribed_cylinder)):
        expected = cylinder_set.reference[key]
        if expected is None:
            continue
        found = fit(cylinder_set.points)
        tolerance = cylinder_set.tolerance[f"{key}_r_abs"]
        assert found.cylinder.radius == pytest.approx(expected["r"], abs=tolerance, rel=0), key


def cloud(seed, sections=5, around=12):
    random = np.random.default_rng(seed)
    angle = np.tile(np.radians(np.arange(around) * 360.0 / around), sections)
    z = np.repeat(np.linspace(0.0, 60.0, sections), around)
    r = 30.0 + 2e-3 * random.normal(size=angle.size)
    return np.column_stack([r * np.cos(angle), r * np.sin(angle), z])


def turned(points, seed):
    random = np.random.default_rng(seed)
    basis, _ = np.linalg.qr(random.normal(size=(3, 3)))
    return points @ (basis * np.sign(np.linalg.det(basis))).T + random.uniform(-100, 100, 3)


@pytest.mark.parametrize("seed", range(6))
def test_cylindricity_ignores_where_the_seat_stands(seed):
    points = cloud(seed)
    order = np.random.default_rng(seed).permutation(len(points))
    moved = turned(points, seed)[order]
    assert least_squares_cylinder(moved).zone == pytest.approx(
        least_squares_cylinder(points).zone, abs=1e-11
    )
    zone = minimum_zone_cylinder(points).cylinder.zone
    assert minimum_zone_cylinder(moved).cylinder.zone == pytest.approx(zone, rel=1e-6)


@pytest.mark.parametrize("seed", range(6))
def test_minimum_zone_cylinder_is_the_least(seed):
    points = cloud(seed)
    zone = minimum_zone_cylinder(points).cylinder.zone
    for other in (
        least_squares_cylinder(points),
        minimum_circumscribed_cylinder(points).cylinder,
        maximum_inscribed_cylinder(points).cylinder,
    ):
        assert zone <= other.zone + 1e-12
    # Random axes nearby find nothing better.
    best = minimum_zone_cylinder(points).cylinder
    random = np.random.default_rng(seed)
    for _ in range(200):
        point = np.array(best.point) + 1e-4 * random.normal(size=3)
        direction = np.array(best.direction) + 1e-5 * random.normal(size=3)
        direction /= np.linalg.norm(direction)
        distance = np.linalg.norm(np.cross(points - point, direction), axis=1)
        assert np.ptp(distance) >= zone - 1e-12


def test_a_true_cylinder_has_no_zone():
    angle = np.tile(np.radians(np.arange(0, 360, 30.0)), 4)
    z = np.repeat([0.0, 10.0, 25.0, 40.0], 12)
    points = np.column_stack([20 * np.cos(angle) + 1e-3 * z, 20 * np.sin(angle), z])
    # Sheared, not turned: the axis leans, each section stays a circle of radius 20.
    fit = least_squares_cylinder(
        turned(np.column_stack([20 * np.cos(angle), 20 * np.sin(angle), z]), 1)
    )
    assert fit.radius == pytest.approx(20.0, abs=1e-12)
    assert fit.zone < 1e-12
    assert least_squares_cylinder(points).direction[0] == pytest.approx(1e-3, abs=1e-6)


def test_many_points_are_searched_once_and_few_from_several_axes():
    assert minimum_zone_cylinder(cloud(1, sections=10, around=240)).starts == 1
    # Six more along the motion that the contacts leave almost free.
    assert minimum_zone_cylinder(cloud(1)).starts == 9 + 6


@pytest.mark.parametrize(
    ("points", "error"),
    [
        ([[1.0, 0.0, 0.0]] * 12, TooFewError),
        (cloud(1)[:5], TooFewError),
        (cloud(1)[:12], DegenerateError),
        ([[1.0, 2.0]] * 12, InputError),
        ([[1.0, 2.0, float("nan")]] * 12, InputError),
    ],
)
def test_points_that_make_no_cylinder_are_refused(points, error):
    for fit in (least_squares_cylinder, minimum_zone_cylinder):
        with pytest.raises(error):
            fit(points)


def test_half_shell_has_no_inscribed_cylinder():
    points = cloud(1)
    with pytest.raises(NotDefinedError, match="open"):
        maximum_inscribed_cylinder(points[points[:, 1] >= -1e-9][:, :])
    with pytest.raises(FormError):
        maximum_inscribed_cylinder(points[points[:, 1] > 1.0])


def test_five_points_given_six_times_are_five_points():
    five = [[30, 0, 0], [0, 30, 0], [-30, 0, 0], [0, 30, 40], [30, 0, 40]]
    with pytest.raises(TooFewError) as caught:
        least_squares_cylinder(np.array(five * 6, dtype=float))
    assert caught.value.found == 5


def test_a_circumscribed_cylinder_across_the_seat_is_none_of_the_seat():
    """Two sections a tenth of a millimetre apart do not hold an axis upright."""
    angle = np.radians([-108, -106, 79, 138, 139, 160, -156, -154, 7, 20, 128, 133])
    z = np.repeat([26.0, 26.1], 6)
    points = np.column_stack([20.0 * np.cos(angle), 20.0 * np.sin(angle), z])
    points[:, 0] += 1e-3 * np.random.default_rng(1).normal(size=12)
    with pytest.raises(NotDefinedError, match="across the seat"):
        minimum_circumscribed_cylinder(points)
    assert least_squares_cylinder(points).radius == pytest.approx(20.0, abs=0.05)

"""Properties of the reference circles, an exhaustive search, hard cases and refusals."""

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from seatproof.core.form.circle import points_from_radii
from seatproof.core.form.errors import DegenerateError, FormError, InputError, TooFewError
from seatproof.core.form.lsc import least_squares_circle
from seatproof.core.form.mcc import minimum_circumscribed_circle
from seatproof.core.form.mic import maximum_inscribed_circle
from seatproof.core.form.mzc import minimum_zone_circle


def profile(seed, count, radius=40.0, amplitude=2e-3, eccentricity=(0.0, 0.0), turn_deg=360.0):
    random = np.random.default_rng(seed)
    step = turn_deg / count
    angle = np.radians(step * (np.arange(count) + random.uniform(-0.4, 0.4, count)))
    waves = sum(
        amplitude / n**1.5 * np.cos(n * angle + random.uniform(0, 6.28)) for n in range(2, 12)
    )
    r = radius + waves
    return np.column_stack([r * np.cos(angle), r * np.sin(angle)]) + np.array(eccentricity)


def all_zones(points):
    return {
        "lsc": least_squares_circle(points).zone,
        "mzc": minimum_zone_circle(points).circle.zone,
        "mcc": minimum_circumscribed_circle(points).zone,
        "mic": maximum_inscribed_circle(points).circle.zone,
    }


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10_000), st.integers(8, 60))
def test_minimum_zone_is_least_and_the_others_bracket(seed, count):
    points = profile(seed, count, amplitude=0.02)
    zones = all_zones(points)
    assert all(zones["mzc"] <= zone + 1e-12 for zone in zones.values())
    lsc = least_squares_circle(points)
    inscribed = maximum_inscribed_circle(points).circle.radius
    circumscribed = minimum_circumscribed_circle(points).radius
    assert inscribed <= circumscribed
    # No circle about any centre is free of points and larger, or holds them all and is smaller.
    assert lsc.radius - lsc.valley <= inscribed + 1e-12
    assert circumscribed <= lsc.radius + lsc.peak + 1e-12


@settings(max_examples=25, deadline=None)
@given(
    st.integers(0, 10_000),
    st.floats(0.0, 360.0),
    st.floats(-50.0, 50.0),
    st.floats(-50.0, 50.0),
    st.floats(0.1, 10.0),
)
def test_zones_ignore_rotation_shift_order_and_follow_scale(seed, turn_deg, x, y, scale):
    points = profile(seed, 24, amplitude=0.02)
    before = all_zones(points)
    turn = np.radians(turn_deg)
    rotation = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    order = np.random.default_rng(seed).permutation(len(points))
    after = all_zones((scale * (points @ rotation.T + np.array([x, y])))[order])
    for name, zone in before.items():
        assert after[name] == pytest.approx(scale * zone, abs=1e-12 * scale * 100), name


def narrowest_of_all_pairs(points):
    """Try every 2 + 2 contact set, in plain loops: an independent search that cannot miss."""
    best = np.inf
    pairs = list(combinations(range(len(points)), 2))
    for (a, b), (c, d) in combinations(pairs, 2):
        if len({a, b, c, d}) < 4:
            continue
        matrix = np.array([points[a] - points[b], points[c] - points[d]])
        if abs(np.linalg.det(matrix)) < 1e-13:
            continue
        right = [
            0.5 * (points[a] @ points[a] - points[b] @ points[b]),
            0.5 * (points[c] @ points[c] - points[d] @ points[d]),
        ]
        centre = np.linalg.solve(matrix, right)
        if np.max(np.abs(centre)) < 1e7:
            distance = np.hypot(*(points - centre).T)
            best = min(best, np.ptp(distance))
    return best


@pytest.mark.parametrize("seed", range(12))
def test_minimum_zone_of_scattered_points_is_the_global_one(seed):
    # Nothing round about these: the zone has many local minima.
    points = np.random.default_rng(seed).uniform(-1.0, 1.0, (7, 2))
    fit = minimum_zone_circle(points)
    assert fit.circle.zone == pytest.approx(narrowest_of_all_pairs(points), abs=1e-11)
    assert fit.proof.is_global


def largest_empty_by_grid(points, steps=161):
    grid = np.linspace(-1.0, 1.0, steps)
    x, y = (axis.ravel() for axis in np.meshgrid(grid, grid))
    nearest = np.hypot(x[:, None] - points[:, 0], y[:, None] - points[:, 1]).min(axis=1)
    angle = np.arctan2(points[:, 1] - y[:, None], points[:, 0] - x[:, None])
    ordered = np.sort(angle, axis=1)
    gap = np.max(np.diff(ordered, append=ordered[:, :1] + 2 * np.pi, axis=1), axis=1)
    return float(np.max(nearest[gap <= np.pi]))


@pytest.mark.parametrize("seed", range(12))
def test_maximum_inscribed_circle_of_scattered_points_is_the_global_one(seed):
    points = np.random.default_rng(seed).uniform(-1.0, 1.0, (12, 2))
    from_grid = largest_empty_by_grid(points)
    try:
        radius = maximum_inscribed_circle(points).circle.radius
    except FormError:
        return  # centred on the hull's edge: then no inside place may be better, see the next test
    assert radius >= from_grid - 1e-12
    assert radius <= from_grid + 0.02  # half a diagonal of the grid


def test_maximum_inscribed_circle_on_a_short_arc_is_refused():
    with pytest.raises(FormError, match="edge of the points"):
        maximum_inscribed_circle(profile(1, 30, turn_deg=120.0))


def test_two_equally_narrow_annuli_are_said():
    # A rectangle twice: about its own centre all four corners are one circle; a fifth and a sixth
    # point, mirrored, pull the least zone to either side alike.
    points = np.array([[-2.0, 1.0], [-2.0, -1.0], [2.0, 1.0], [2.0, -1.0], [0.0, 1.0], [0.0, -1.0]])
    fit = minimum_zone_circle(points)
    mirrored = minimum_zone_circle(points * np.array([-1.0, 1.0]))
    assert fit.circle.zone == pytest.approx(mirrored.circle.zone, abs=1e-14)
    apart = abs(fit.circle.centre_x) > 1e-6 or abs(fit.circle.centre_y) > 1e-6
    assert fit.centre_unique is not apart


def test_dense_short_arc_is_refused_without_long_work():
    # A thousand hull edges and outside circles by the thousand: once took many seconds.
    with pytest.raises(FormError, match="inscribed"):
        maximum_inscribed_circle(profile(6, 1000, radius=100.0, turn_deg=30.0))


def test_large_eccentricity_is_exact():
    # 1,000 times the form: the linearised circle would be wrong by e²/2r = 50 µm here.
    points = profile(3, 90)
    moved = profile(3, 90, eccentricity=(2.0, 0.0))
    for name, zone in all_zones(points).items():
        assert all_zones(moved)[name] == pytest.approx(zone, abs=2e-13)


def test_a_tenth_of_a_micrometre_on_half_a_metre():
    points = profile(5, 72, radius=500.0, amplitude=5e-5)
    local = profile(5, 72, radius=500.0, amplitude=5e-5, eccentricity=(0.03, -0.02))
    for name, zone in all_zones(points).items():
        assert all_zones(local)[name] == pytest.approx(zone, abs=4e-12)


def test_hundred_thousand_points_keep_the_contacts_of_a_known_profile():
    # Four crests and four troughs of a 2-lobed ellipse-like profile at known places.
    angle = np.linspace(0.0, 360.0, 100_000, endpoint=False)
    points = points_from_radii(angle, 50.0 + 0.004 * np.cos(2 * np.radians(angle)))
    fit = minimum_zone_circle(points)
    assert fit.circle.zone == pytest.approx(0.008, abs=1e-12)
    assert set(fit.circle.contacts_out) == {0, 50_000}
    assert set(fit.circle.contacts_in) == {25_000, 75_000}


def test_repeated_points_weigh_in_least_squares_only():
    points = profile(7, 20)
    doubled = np.concatenate([points, points[:5], points[:5]])
    assert minimum_zone_circle(doubled).circle.zone == pytest.approx(
        minimum_zone_circle(points).circle.zone, abs=1e-14
    )
    assert (
        abs(least_squares_circle(doubled).centre_x - least_squares_circle(points).centre_x) > 1e-6
    )


def test_three_points_lie_on_one_circle():
    points = [[0.0, 0.0], [4.0, 0.0], [0.0, 3.0]]
    assert least_squares_circle(points).radius == pytest.approx(2.5, abs=1e-14)
    fit = minimum_zone_circle(points)
    assert fit.circle.zone == pytest.approx(0.0, abs=1e-15)
    assert fit.proof.outer == ()


def test_circumscribed_circle_exists_for_two_points():
    fit = minimum_circumscribed_circle([[0.0, 0.0], [6.0, 8.0]])
    assert (fit.centre_x, fit.centre_y, fit.radius) == (3.0, 4.0, 5.0)
    assert set(fit.contacts_out) == {0, 1}


def test_eccentricity_is_seen_from_the_origin():
    fit = least_squares_circle(profile(2, 36, eccentricity=(0.0, -0.3)))
    assert fit.eccentricity == pytest.approx(0.3, abs=2e-3)
    assert fit.eccentricity_angle_deg == pytest.approx(270.0, abs=0.5)


FITS = [least_squares_circle, minimum_zone_circle, maximum_inscribed_circle]


@pytest.mark.parametrize("fit", FITS)
@pytest.mark.parametrize(
    ("points", "error"),
    [
        ([], TooFewError),
        ([[1.0, 2.0]] * 9, TooFewError),
        ([[1.0, 2.0], [3.0, 4.0], [1.0, 2.0]], TooFewError),
        ([[float(x), 0.1 * x] for x in range(9)], DegenerateError),
        ([[0.0, 1.0], [1.0, float("nan")], [2.0, 2.0]], InputError),
        ([[0.0, 1.0], [1.0, float("inf")], [2.0, 2.0]], InputError),
        ([[0.0, 1.0, 2.0]] * 4, InputError),
        ([1.0, 2.0, 3.0], InputError),
        ([["a", "b"]] * 4, InputError),
    ],
)
def test_points_that_make_no_circle_are_refused(fit, points, error):
    shaped = points if points else np.empty((0, 2))
    with pytest.raises(error) as caught:
        fit(shaped)
    assert str(caught.value)


def test_too_few_error_carries_its_facts():
    with pytest.raises(TooFewError) as caught:
        minimum_zone_circle([[1.0, 2.0], [3.0, 4.0], [1.0, 2.0]])
    assert (caught.value.needed, caught.value.found, caught.value.what) == (3, 2, "points")


def test_noise_along_a_line_is_no_circle():
    random = np.random.default_rng(4)
    x = np.linspace(0.0, 10.0, 30)
    points = np.column_stack([x, 1e-3 * random.normal(size=30)])
    # Whichever of the two is refused, none may answer with a circle of many metres unsaid.
    try:
        radius = minimum_zone_circle(points).circle.radius
    except FormError:
        return
    assert radius < 1e7

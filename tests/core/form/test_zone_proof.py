"""The proof of a minimum zone where many points are in contact at once."""

import itertools

import numpy as np
import pytest

from seatproof.core.form.circle import points_from_radii
from seatproof.core.form.mzc import minimum_zone_circle


def test_two_high_and_two_low_quadrants_are_proven():
    """Eighteen contacts follow one another in each quadrant; the first ones do not interlace."""
    angle = np.arange(0.0, 360.0, 5.0)
    fit = minimum_zone_circle(points_from_radii(angle, 25.0 + 1e-3 * ((angle // 90) % 2)))
    assert fit.circle.zone == pytest.approx(1e-3, abs=1e-12)
    quadrant = [int(angle[index] // 90) for index in (*fit.proof.outer, *fit.proof.inner)]
    assert sorted(quadrant) == [0, 1, 2, 3]
    assert fit.proof.balance < 1e-12
    assert min(*fit.proof.outer_weights, *fit.proof.inner_weights) >= 0.0


def brute_growth(points, fit):
    """Rise of the zone per small move of the centre, over ten thousand directions."""
    centre = np.array([fit.circle.centre_x, fit.circle.centre_y])
    turn = np.linspace(0.0, 2.0 * np.pi, 10_000, endpoint=False)
    way = np.column_stack([np.cos(turn), np.sin(turn)])
    away = points - centre
    unit = away / np.hypot(*away.T)[:, None]
    outer = unit[list(fit.circle.contacts_out)]
    inner = unit[list(fit.circle.contacts_in)]
    return float(np.min((way @ inner.T).max(axis=1) - (way @ outer.T).min(axis=1)))


@pytest.mark.parametrize("seed", range(12))
def test_growth_is_the_least_rise_of_all_directions(seed):
    random = np.random.default_rng(seed)
    count = int(random.integers(5, 40))
    angle = np.sort(random.uniform(0.0, 360.0, count))
    radius = 20.0 + 1e-3 * random.integers(0, 2 if seed % 2 else 40, count)
    points = points_from_radii(angle, radius)
    fit = minimum_zone_circle(points)
    assert fit.growth == pytest.approx(max(0.0, brute_growth(points, fit)), abs=1e-3)
    assert fit.growth <= brute_growth(points, fit) + 1e-9


def test_a_hundred_thousand_contacts_need_no_table_of_all_pairs():
    angle = np.arange(100_000) * 360.0 / 100_000
    radius = np.where(np.arange(angle.size) % 2, 25.0, 25.001)
    fit = minimum_zone_circle(points_from_radii(angle, radius))
    assert fit.growth == pytest.approx(2.0, abs=1e-6)
    assert fit.proof.is_global


def test_exact_circles_of_any_size_have_no_zone():
    for count, radius in itertools.product((3, 4, 36, 50_000), (1e-6, 25.0, 1e6)):
        angle = np.arange(count) * 360.0 / count
        fit = minimum_zone_circle(points_from_radii(angle, np.full(count, radius)))
        assert fit.circle.zone <= 1e-14 * radius
        assert fit.proof.outer == ()
        assert fit.growth == 0.0

"""The small linear programme behind the zone cylinders, against a grid and its own dual."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from seatproof.core.form.hull import convex_hull, strip_width
from seatproof.core.form.minimax import Side, narrowest_band


def spread(values, slopes, change, side):
    level = values + slopes @ change
    return {
        Side.ZONE: np.ptp(level),
        Side.OUTER: np.max(level),
        Side.INNER: -np.min(level),
    }[side]


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10_000), st.sampled_from(list(Side)), st.booleans())
def test_band_is_narrowest_and_its_weights_prove_it(seed, side, is_tied):
    random = np.random.default_rng(seed)
    values = random.normal(size=30)
    slopes = random.normal(size=(30, 4))
    if is_tied:  # rounded readings: many equal values, degenerate exchanges
        values, slopes = np.round(values, 1), np.round(slopes)
    limit = 0.5
    band = narrowest_band(values, slopes, limit, side)
    assert np.max(np.abs(band.change)) <= limit
    assert spread(values, slopes, band.change, side) == pytest.approx(band.value, abs=1e-12)
    # Duality: the weighted points alone bound every change in the box from below.
    pull, level = np.zeros(4), 0.0
    for points, weights, sign in (
        (band.outer, band.outer_weights, 1.0),
        (band.inner, band.inner_weights, -1.0),
    ):
        if len(points):
            assert np.sum(weights) == pytest.approx(1.0, abs=1e-9)
            assert np.min(weights) >= 0.0
            pull += sign * weights @ slopes[points]
            level += sign * weights @ values[points]
    bound = level - limit * np.sum(np.abs(pull))
    assert bound == pytest.approx(band.value, abs=1e-9)


def test_start_from_a_similar_problem_ends_at_the_same_value():
    random = np.random.default_rng(1)
    values, slopes = random.normal(size=50), random.normal(size=(50, 4))
    first = narrowest_band(values, slopes, 1.0, Side.ZONE)
    moved = values + 1e-3 * random.normal(size=50)
    warm = narrowest_band(moved, slopes, 1.0, Side.ZONE, first.basis)
    cold = narrowest_band(moved, slopes, 1.0, Side.ZONE)
    assert warm.value == pytest.approx(cold.value, abs=1e-12)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(
        st.tuples(st.integers(-9, 9), st.integers(-9, 9)), min_size=3, max_size=25, unique=True
    )
)
def test_hull_holds_all_points_and_turns_left(points):
    array = np.array(points, dtype=float)
    if np.linalg.matrix_rank(array - array[0]) < 2:
        return  # a hull needs points that span the plane; callers see to it
    corners = array[convex_hull(array)]
    edge = np.roll(corners, -1, axis=0) - corners
    for start, way in zip(corners, edge, strict=True):
        away = array - start
        assert np.min(way[0] * away[:, 1] - way[1] * away[:, 0]) >= -1e-9
    after = np.roll(edge, -1, axis=0)
    # Rounding may keep a point that lies on an edge.
    assert np.all(edge[:, 0] * after[:, 1] - edge[:, 1] * after[:, 0] > -1e-9)
    widths = [
        np.ptp(array @ np.array([np.cos(turn), np.sin(turn)]))
        for turn in np.linspace(0, np.pi, 720)
    ]
    assert strip_width(array) <= min(widths) + 1e-9
    assert strip_width(array) == pytest.approx(min(widths), abs=0.12)


@pytest.mark.parametrize("count", [5, 500])
def test_hull_of_a_line_is_its_ends(count):
    x = np.linspace(-3.0, 4.0, count)
    corners = convex_hull(np.column_stack([x, 2.0 * x]))
    assert sorted(corners.tolist()) == [0, count - 1]


@pytest.mark.parametrize("count", [8, 25, 60])
def test_both_ways_to_the_hull_agree(count):
    points = np.random.default_rng(count).normal(size=(count, 2))
    doubled = np.tile(points, (10, 1))  # from 65 points on the hull is found the other way
    few = {tuple(corner) for corner in points[convex_hull(points)]}
    assert {tuple(corner) for corner in doubled[convex_hull(doubled)]} == few

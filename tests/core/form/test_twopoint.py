"""Two-point data: ovality, its direction and uncertainty, range, closure."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from seatproof.core.form.closure import check_closure
from seatproof.core.form.errors import DegenerateError, InputError, TooFewError
from seatproof.core.form.quantiles import range_quantile
from seatproof.core.form.twopoint import (
    fit_ovality,
    half_range_radial_um,
    major_axis_standard_error_deg,
    ovality_standard_error_um,
)

QUARTERS = [0.0, 45.0, 90.0, 135.0]
# Deviations in µm from 100 mm at z = 8, 30 and 52, with results worked by hand.
WORKED = [
    ([-12, -9, -8, -11], -10.0, 2 * math.sqrt(5), 76.7, 4, 0.0),
    ([-11, -8, -7, -10], -9.0, 2 * math.sqrt(5), 76.7, 4, 0.0),
    ([-9, -6, -6, -8], -7.25, math.sqrt(13), 73.2, 3, -1.0),
]


@pytest.mark.parametrize(("deviations", "mean", "ovality", "axis", "spread", "q"), WORKED)
def test_worked_section(deviations, mean, ovality, axis, spread, q):
    diameter = 100.0 + np.array(deviations) / 1000.0
    fit = fit_ovality(QUARTERS, diameter)
    assert fit.mean_mm == pytest.approx(100.0 + mean / 1000.0, abs=1e-12)
    assert fit.ovality_um == pytest.approx(ovality, abs=1e-9)
    assert fit.major_axis_deg == pytest.approx(axis, abs=0.05)
    assert fit.range_um == pytest.approx(spread, abs=1e-9)
    assert half_range_radial_um(diameter) == pytest.approx(spread / 2, abs=1e-9)
    closure = check_closure(QUARTERS, diameter, repeatability_um=0.5)
    assert closure.quarter_difference_um == pytest.approx(q, abs=1e-9)
    # q has twice the standard deviation of a reading, so misclosure is |q|/2 for one left over.
    assert closure.misclosure_um == pytest.approx(abs(q) / 2, abs=1e-9)
    assert closure.closes is True


@settings(deadline=None)  # the first example loads what the others find loaded
@given(
    st.floats(0.1, 50.0),
    st.floats(0.0, 179.0),
    st.lists(st.integers(0, 35), min_size=3, max_size=8, unique=True),
)
def test_an_oval_is_found_from_any_orientations(ovality_um, axis_deg, places):
    angle = 5.0 * np.array(places)
    swing_um = ovality_um / 2 * np.cos(2 * np.radians(angle - axis_deg))
    fit = fit_ovality(angle, 80.0 + swing_um / 1000.0)
    assert fit.ovality_um == pytest.approx(ovality_um, rel=1e-5)
    away = (fit.major_axis_deg - axis_deg + 90.0) % 180.0 - 90.0
    assert away == pytest.approx(0.0, abs=1e-3)
    assert fit.diameter_at(axis_deg) == pytest.approx(80.0 + ovality_um / 2000.0, abs=1e-9)


def test_two_directions_can_miss_an_oval_wholly_but_the_fit_does_not():
    angle = np.array([0.0, 60.0, 90.0, 120.0])
    diameter = 50.0 + 0.005 * np.sin(2 * np.radians(angle))
    assert diameter[0] - diameter[2] == pytest.approx(0.0, abs=1e-14)
    assert fit_ovality(angle, diameter).ovality_um == pytest.approx(10.0, abs=1e-9)


def test_opposite_orientations_are_one():
    with pytest.raises(TooFewError) as caught:
        fit_ovality([0.0, 180.0, 90.0, 270.0], [50.0] * 4)
    assert (caught.value.needed, caught.value.found) == (3, 2)
    assert fit_ovality([0.0, 180.0, 90.0, 45.0], [50.0] * 4).orientations == 3


def test_bunched_orientations_are_refused():
    with pytest.raises(DegenerateError):
        fit_ovality([0.0, 0.2, 0.4], [50.0, 50.001, 50.0])


def test_three_orientations_leave_no_residual():
    fit = fit_ovality([0.0, 60.0, 120.0], [50.0, 50.004, 50.002])
    assert (fit.dof, fit.residual_sd_um) == (0, None)
    closure = check_closure([0.0, 60.0, 120.0], [50.0, 50.004, 50.002], 0.5)
    assert (closure.closes, closure.probability) == (None, None)


@pytest.mark.parametrize("count", [3, 4, 6, 8])
def test_standard_error_of_even_spacing(count):
    angle = np.arange(count) * 180.0 / count
    expected = 0.7 * math.sqrt(8.0 / count)
    assert ovality_standard_error_um(0.7, angle) == pytest.approx(expected, rel=1e-12)
    assert ovality_standard_error_um(0.7, angle, 33.0) == pytest.approx(expected, rel=1e-12)


def test_standard_errors_match_a_simulation():
    angle = np.array([0.0, 20.0, 55.0, 90.0, 120.0])
    random = np.random.default_rng(3)
    true = 60.0 + 0.01 * np.cos(2 * np.radians(angle - 35.0))
    fits = [fit_ovality(angle, true + 5e-4 * random.normal(size=5)) for _ in range(3000)]
    expected = ovality_standard_error_um(0.5, angle, 35.0)
    # 3,000 draws know a standard deviation to 1.3 %.
    assert np.std([fit.ovality_um for fit in fits]) == pytest.approx(expected, rel=0.05)
    axis = major_axis_standard_error_deg(fits[0], 0.5, angle)
    assert np.std([fit.major_axis_deg for fit in fits]) == pytest.approx(axis, rel=0.08)


def test_direction_of_a_round_section_is_not_stated():
    fit = fit_ovality(QUARTERS, [50.0, 50.0001, 50.0, 50.0])
    assert major_axis_standard_error_deg(fit, 1.0, QUARTERS) is None


def test_range_bound_holds_as_often_as_it_says():
    random = np.random.default_rng(11)
    true = np.array([0.0, 3.0, 6.0, 4.0, 1.0])
    read = true + random.normal(size=(4000, 5))
    bounds = np.ptp(read, axis=1) - range_quantile(5, 0.95)
    assert np.mean(bounds <= 6.0) >= 0.95 - 0.007


def test_a_blunder_stands_out_and_is_named():
    angle = np.arange(8) * 22.5
    diameter = 50.0 + 0.004 * np.cos(2 * np.radians(angle - 20.0))
    diameter[5] += 0.010
    closure = check_closure(angle, diameter, repeatability_um=0.5)
    assert closure.closes is False
    assert closure.suspects[0].index == 5
    assert closure.suspects[0].departure == pytest.approx(10.0, abs=1e-6)


def test_sound_sections_close_as_often_as_asked():
    angle = np.arange(6) * 30.0
    random = np.random.default_rng(2)
    closed = [
        check_closure(angle, 50.0 + 1e-3 * random.normal(size=6), 1.0, significance=0.1).closes
        for _ in range(2000)
    ]
    assert np.mean(closed) == pytest.approx(0.9, abs=0.02)


@pytest.mark.parametrize("repeatability", [-1.0, float("nan")])
def test_bad_repeatability_is_refused(repeatability):
    with pytest.raises(InputError):
        ovality_standard_error_um(repeatability, QUARTERS)
    with pytest.raises(InputError):
        check_closure(QUARTERS, [50.0] * 4, repeatability)


@pytest.mark.parametrize(
    ("angle", "diameter"),
    [([0.0, 1.0], [1.0]), ([0.0, float("nan"), 2.0], [1.0, 2.0, 3.0]), ([[0.0]], [[1.0]])],
)
def test_bad_values_are_refused(angle, diameter):
    with pytest.raises(InputError):
        fit_ovality(angle, diameter)

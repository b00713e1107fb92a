"""Lines: the reference collection, certified regression values, and refusals."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from seatproof.core.form.errors import DegenerateError, InputError, TooFewError
from seatproof.core.form.line import (
    fit_line,
    fit_line_orthogonally,
    fit_line_through_origin,
    minimum_zone_band,
    minimum_zone_band_along_values,
)

FITS = {
    "ols": fit_line,
    "ols_through_origin": fit_line_through_origin,
    "orthogonal_ls": fit_line_orthogonally,
    "mz_vertical": minimum_zone_band_along_values,
    "mz_perpendicular": minimum_zone_band,
}


@pytest.mark.parametrize("key", FITS)
def test_lines_meet_the_reference(line_set, key):
    expected = line_set.reference[key]
    z, value = line_set.points.T
    fit = FITS[key](z, value)
    if expected is None:
        # Values without any slope: the reference leaves the principal axis out.
        assert fit.slope == 0.0
        return
    tolerance = line_set.tolerance
    top = np.max(np.abs(value))
    slope_abs = 64 * 2.0**-52 * top / np.ptp(z)
    for name, number in expected.items():
        got = getattr(fit, name)
        if number is None:
            assert got is None, name
        elif "zone" in name:
            assert got == pytest.approx(number, abs=tolerance["zone_abs"], rel=0), name
        elif name in {"slope", "sd_slope"}:
            assert got == pytest.approx(number, rel=tolerance["slope_rel"], abs=slope_abs), name
        else:
            floor = 1e-13 * (top**2 if name == "residual_ss" else top)
            assert got == pytest.approx(number, rel=1e-9, abs=floor), name


def test_certified_regressions_agree_to_nine_digits(reference_sets):
    # NIST Statistical Reference Datasets: Norris, NoInt1, NoInt2.
    norris = fit_line(*reference_sets["nist_norris"].points.T)
    assert norris.intercept == pytest.approx(-0.262323073774029, rel=1e-9)
    assert norris.slope == pytest.approx(1.00211681802045, rel=1e-9)
    assert norris.sd_intercept == pytest.approx(0.232818234301152, rel=1e-9)
    assert norris.sd_slope == pytest.approx(0.429796848199937e-3, rel=1e-9)
    assert norris.residual_sd == pytest.approx(0.884796396144373, rel=1e-9)
    assert norris.r_squared == pytest.approx(0.999993745883712, rel=1e-12)
    first = fit_line_through_origin(*reference_sets["nist_noint1"].points.T)
    assert first.slope == pytest.approx(2.07438016528926, rel=1e-9)
    assert first.sd_slope == pytest.approx(0.0165289256198347, rel=1e-9)
    assert first.residual_sd == pytest.approx(3.56753034006338, rel=1e-9)
    second = fit_line_through_origin(*reference_sets["nist_noint2"].points.T)
    assert second.slope == pytest.approx(0.727272727272727, rel=1e-9)
    assert second.sd_slope == pytest.approx(0.0420827318078432, rel=1e-9)


POINTS = st.lists(
    st.tuples(st.integers(0, 20), st.integers(-40, 40)), min_size=3, max_size=15
).filter(lambda points: len({z for z, _ in points}) > 1)


@given(POINTS)
def test_no_slope_has_a_narrower_band(points):
    z, value = np.array(points, dtype=float).T
    upright = minimum_zone_band_along_values(z, value)
    across = minimum_zone_band(z, value)
    for slope in np.tan(np.linspace(-1.57, 1.57, 500)):
        height = np.ptp(value - slope * z)
        assert upright.zone <= height + 1e-9
        assert across.zone <= height / np.hypot(1.0, slope) + 1e-9
    assert np.ptp(value - upright.slope * z) == pytest.approx(upright.zone, abs=1e-9)
    middle = value - upright.slope * z - upright.intercept
    assert np.max(middle) == pytest.approx(-np.min(middle), abs=1e-9)


def test_a_band_may_stand_upright():
    fit = minimum_zone_band([0.0, 0.1, 0.0, 0.1], [0.0, 1.0, 50.0, 49.0])
    assert fit.slope is None
    assert fit.zone == pytest.approx(0.1, abs=1e-15)


def test_two_points_are_exact_and_leave_no_scatter():
    fit = fit_line([0.0, 40.0], [25.0, 24.996])
    assert fit.slope == pytest.approx(-1e-4, abs=1e-15)
    assert (fit.residual_sd, fit.sd_slope, fit.sd_intercept) == (None, None, None)
    assert minimum_zone_band([0.0, 40.0], [25.0, 24.996]).zone == 0.0


@pytest.mark.parametrize("fit", FITS.values())
@pytest.mark.parametrize(
    ("z", "value", "error"),
    [
        ([1.0], [2.0], TooFewError),
        ([], [], TooFewError),
        ([3.0, 3.0, 3.0], [1.0, 2.0, 3.0], DegenerateError),
        ([1.0, 2.0], [1.0], InputError),
        ([1.0, float("nan")], [1.0, 2.0], InputError),
    ],
)
def test_points_that_make_no_line_are_refused(fit, z, value, error):
    with pytest.raises(error):
        fit(z, value)

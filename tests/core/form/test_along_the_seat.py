"""Taper, barrel, step, generatrices, sizes and run-out."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from seatproof.core.form.barrel import Bulge, fit_barrel
from seatproof.core.form.errors import DegenerateError, InputError, TooFewError
from seatproof.core.form.generatrix import generatrix_pairs
from seatproof.core.form.line import minimum_zone_band_along_values
from seatproof.core.form.runout import run_out, run_out_about
from seatproof.core.form.size import local_sizes
from seatproof.core.form.step import fit_step
from seatproof.core.form.taper import LargerEnd, fit_taper

Z = np.array([8.0, 30.0, 52.0])
WORKED = 100.0 + np.array([-10.0, -9.0, -7.25]) / 1000.0


def test_worked_taper_and_barrel():
    fit = fit_taper(Z, WORKED)
    assert fit.slope_um_per_mm == pytest.approx(0.0625, abs=1e-10)
    assert fit.over(44.0) == pytest.approx(2.75, abs=1e-9)
    assert fit.over(60.0) == pytest.approx(3.75, abs=1e-9)
    assert fit.per_100_mm_um == pytest.approx(6.25, abs=1e-8)
    assert fit.larger_end is LargerEnd.HIGH_Z
    barrel = fit_barrel(Z, WORKED)
    assert barrel.bulge_um == pytest.approx(-0.375, abs=1e-9)
    assert barrel.shape is Bulge.HOLLOW
    assert (barrel.dof, barrel.standard_error_um, barrel.probability) == (0, None, None)


def test_included_angle_of_a_cone():
    # 1:12 on diameter: half the angle has the tangent 1/24.
    fit = fit_taper([0.0, 60.0], [100.0, 105.0])
    assert fit.included_angle_deg == pytest.approx(2 * math.degrees(math.atan(1 / 24)), abs=1e-12)
    assert (fit.dof, fit.residual_sd_um, fit.slope_residual_se_um_per_mm) == (0, None, None)
    assert fit.diameter_at(30.0) == pytest.approx(102.5, abs=1e-12)


@given(st.permutations(range(5)), st.floats(-1000.0, 1000.0))
def test_taper_ignores_order_and_where_z_begins(order, shift):
    z = np.array([0.0, 7.0, 20.0, 33.0, 41.0])
    diameter = 70.0 + np.array([1.0, 3.0, -2.0, 4.0, 9.0]) / 1000.0
    before = fit_taper(z, diameter)
    after = fit_taper((z + shift)[list(order)], diameter[list(order)])
    assert after.slope_um_per_mm == pytest.approx(before.slope_um_per_mm, abs=1e-9)
    assert after.mean_diameter_mm == pytest.approx(before.mean_diameter_mm, abs=1e-12)


def test_taper_meets_the_reference_lines(reference_sets):
    for name in ("taper_6_sections_diameters", "taper_barrel_7", "taper_far_z_5", "repeated_z_12"):
        one = reference_sets[name]
        fit = fit_taper(*one.points.T)
        expected = one.reference["ols"]
        assert fit.slope_um_per_mm / 1000.0 == pytest.approx(expected["slope"], abs=1e-12), name
        assert fit.residual_sd_um / 1000.0 == pytest.approx(expected["residual_sd"], abs=1e-12)
        got = fit.slope_residual_se_um_per_mm / 1000.0
        assert got == pytest.approx(expected["sd_slope"], rel=1e-6)


def test_bands_cover_as_often_as_they_say():
    z = np.array([0.0, 10.0, 20.0, 40.0, 60.0])
    random = np.random.default_rng(5)
    line = slope = further = 0
    for _ in range(2000):
        diameter = 90.0 + (2.0 + 0.05 * z + random.normal(size=5)) / 1000.0
        fit = fit_taper(z, diameter)
        line += abs(fit.diameter_at(50.0) - 90.0045) * 1000.0 <= fit.confidence_half_width_um(50.0)
        new_um = 2.0 + 0.05 * 25.0 + random.normal()
        away_um = abs((fit.diameter_at(25.0) - 90.0) * 1000.0 - new_um)
        further += away_um <= fit.prediction_half_width_um(25.0)
        low, high = fit.slope_interval_um_per_mm()
        slope += low <= 0.05 <= high
    for hits in (line, slope, further):
        assert hits / 2000 == pytest.approx(0.95, abs=0.016)


def test_stated_errors_weight_the_stations():
    z, diameter = [0.0, 10.0, 20.0], [50.0, 50.001, 50.010]
    fit = fit_taper(z, diameter, [0.1, 0.1, 100.0])
    assert fit.slope_um_per_mm == pytest.approx(0.1, abs=1e-4)
    assert fit.slope_se_um_per_mm == pytest.approx(0.1 * math.sqrt(2) / 10, rel=1e-3)
    even = fit_taper(z, diameter, 0.3)
    assert even.slope_se_um_per_mm == pytest.approx(0.3 / math.sqrt(200.0), rel=1e-12)
    assert even.line_standard_error_um(10.0) == pytest.approx(0.3 / math.sqrt(3.0), rel=1e-12)
    equal = fit_taper(z, diameter, [0.3, 0.3, 0.3])
    assert equal == even


@pytest.mark.parametrize(
    ("z", "diameter", "errors", "error"),
    [
        ([1.0], [50.0], None, TooFewError),
        ([5.0, 5.0], [50.0, 50.1], None, DegenerateError),
        ([1.0, 2.0], [50.0], None, InputError),
        ([1.0, 2.0], [50.0, 50.1], 0.0, InputError),
        ([1.0, 2.0], [50.0, 50.1], [0.1, 0.1, 0.1], InputError),
    ],
)
def test_taper_refuses(z, diameter, errors, error):
    with pytest.raises(error):
        fit_taper(z, diameter, errors)


def test_barrel_over_the_seat_and_its_significance():
    z = np.linspace(5.0, 55.0, 6)
    shape_um = -6.0 * ((z - 30.0) / 30.0) ** 2  # 6 µm lower at the ends of a 60 mm seat
    fit = fit_barrel(z, 80.0 + shape_um / 1000.0, length_mm=60.0, standard_error_um=1.0)
    assert fit.bulge_um == pytest.approx(6.0, abs=1e-8)
    assert fit.shape is Bulge.BARREL
    assert fit.probability < 1e-3
    low, high = fit.interval_um()
    assert low < 6.0 < high


def test_straight_seats_show_a_bulge_as_rarely_as_stated():
    z = np.linspace(0.0, 50.0, 6)
    random = np.random.default_rng(8)
    for stated in (1.0, None):
        doubted = [
            fit_barrel(
                z, 80.0 + random.normal(size=6) / 1000.0, standard_error_um=stated
            ).probability
            < 0.1
            for _ in range(1500)
        ]
        assert np.mean(doubted) == pytest.approx(0.1, abs=0.025)


def test_barrel_refuses():
    with pytest.raises(TooFewError):
        fit_barrel([0.0, 1.0], [50.0, 50.0])
    with pytest.raises(DegenerateError):
        fit_barrel([0.0, 1.0, 1.0], [50.0, 50.0, 50.0])
    with pytest.raises(InputError):
        fit_barrel([0.0, 1.0, 2.0], [50.0, 50.0, 50.0], length_mm=0.0)


def test_step_at_a_track_beside_a_taper():
    z = np.array([2.0, 8.0, 20.0, 30.0, 40.0, 52.0, 58.0])
    worn = (z >= 15.0) & (z <= 45.0)
    diameter = 60.0 + (0.1 * z - 7.0 * worn) / 1000.0
    fit = fit_step(z, diameter, (15.0, 45.0), standard_error_um=0.5)
    assert fit.step_um == pytest.approx(7.0, abs=1e-9)
    assert fit.with_taper
    assert fit.standard_error_um > 0
    three = fit_step([5.0, 20.0, 50.0], [60.0, 59.990, 60.0], (15.0, 45.0))
    assert three.step_um == pytest.approx(10.0, abs=1e-9)
    assert not three.with_taper


def test_step_refuses():
    with pytest.raises(TooFewError, match="beside the track"):
        fit_step([20.0, 30.0], [50.0, 50.0], (15.0, 45.0))
    with pytest.raises(TooFewError, match="in the track"):
        fit_step([1.0, 2.0], [50.0, 50.0], (15.0, 45.0))
    with pytest.raises(InputError, match="length"):
        fit_step([1.0, 2.0], [50.0, 50.0], (15.0, 15.0))


def test_generatrices_each_have_their_taper():
    z = np.repeat([0.0, 20.0, 40.0], 2)
    angle = np.tile([0.0, 90.0], 3)
    diameter = 50.0 + np.where(angle == 0.0, 0.2 * z, -0.1 * z) / 1000.0
    diameter[2] += 0.003  # the middle of the first pair stands out
    first, second = generatrix_pairs(z, angle, diameter)
    assert (first.angle_deg, second.angle_deg) == (0.0, 90.0)
    assert first.taper.over(40.0) == pytest.approx(8.0, abs=1e-8)
    assert second.taper.over(40.0) == pytest.approx(-4.0, abs=1e-8)
    assert first.straightness_um == pytest.approx(3.0, abs=1e-8)
    assert second.straightness_um == pytest.approx(0.0, abs=1e-8)
    with pytest.raises(InputError):
        generatrix_pairs([0.0, 1.0], [0.0, 90.0], [50.0, 50.0])


def test_rank_order_sizes_by_hand():
    sizes = local_sizes([50.002, 50.010, 50.004, 50.005])
    assert (sizes.maximum_mm, sizes.minimum_mm) == (50.010, 50.002)
    assert sizes.average_mm == pytest.approx(50.00525, abs=1e-12)
    assert sizes.median_mm == pytest.approx(50.0045, abs=1e-12)
    assert sizes.mid_range_mm == pytest.approx(50.006, abs=1e-12)
    assert sizes.range_um == pytest.approx(8.0, abs=1e-9)
    assert sizes.two_point_cylindricity_um == pytest.approx(4.0, abs=1e-9)
    assert sizes.envelope_at_least_mm == 50.010
    with pytest.raises(TooFewError):
        local_sizes([])


def test_run_out_by_hand():
    z = np.repeat([10.0, 40.0], 4)
    reading = np.array([0.0, 2.0, 4.0, 2.0, 5.0, 6.0, 8.0, 7.0])
    result = run_out(z, reading)
    assert [section.run_out for section in result.sections] == [4.0, 3.0]
    assert (result.circular, result.total) == (4.0, 8.0)
    with pytest.raises(TooFewError):
        run_out([1.0, 2.0], [0.0, 0.0])


def test_run_out_of_a_round_shaft_is_twice_its_eccentricity():
    angle = np.tile(np.radians(np.arange(0, 360, 5.0)), 2)
    z = np.repeat([0.0, 30.0], 72)
    points = np.column_stack([20.0 * np.cos(angle) + 0.01, 20.0 * np.sin(angle), z])
    about_z = run_out_about(points, z, (0.0, 0.0, 0.0), (0.0, 0.0, 2.0))
    assert about_z.circular == pytest.approx(0.02, abs=1e-5)
    about_own = run_out_about(points, z, (0.01, 0.0, 5.0), (0.0, 0.0, 1.0))
    assert about_own.total == pytest.approx(0.0, abs=1e-12)
    with pytest.raises(InputError):
        run_out_about(points, z, (0.0, 0.0, 0.0), (0.0, 0.0, 0.0))


@pytest.mark.parametrize("stations", [2, 3, 12, 24, 25, 40])
def test_generatrices_taken_together_equal_each_by_itself(stations):
    """Some orientations miss a station, and one station was measured twice."""
    random = np.random.default_rng(stations)
    z = np.repeat(np.linspace(3.0, 57.0, stations), 6)
    angle = np.tile(np.arange(6) * 30.0, stations)
    diameter = 80.0 + 1e-4 * z + 2e-3 * random.normal(size=z.size)
    z, angle, diameter = (np.append(values[1:], values[7]) for values in (z, angle, diameter))
    diameter[-1] += 1e-3
    order = random.permutation(z.size)
    pairs = generatrix_pairs(z[order], angle[order], diameter[order])
    assert [pair.angle_deg for pair in pairs] == sorted(
        {one for one in angle if np.unique(z[angle == one]).size > 1}
    )
    for pair in pairs:
        here = angle == pair.angle_deg
        band = minimum_zone_band_along_values(z[here], diameter[here])
        assert pair.straightness_um == pytest.approx(band.zone * 1e3, abs=1e-8)
        slope = np.polyfit(z[here] - 30.0, diameter[here] - 80.0, 1)[0]
        assert pair.taper.slope_um_per_mm == pytest.approx(slope * 1e3, rel=1e-9, abs=1e-12)

"""What few readings and noise do: against an independent simulation of other shafts and draws."""

import numpy as np
import pytest

from seatproof.core.form.circle import ReferenceCircle, points_from_radii
from seatproof.core.form.errors import InputError, TooFewError
from seatproof.core.form.lsc import least_squares_circle
from seatproof.core.form.mzc import minimum_zone_circle
from seatproof.core.form.noise import noise_floor
from seatproof.core.form.sampling import sampling_loss
from seatproof.core.form.setup import RADIAL, TWO_POINT, Setup

# Count of readings: mean and 95 % point of the zone of a perfect circle, in standard deviations.
LSC_FLOOR = {
    4: (0.8, 2.0),
    6: (1.8, 3.2),
    8: (2.3, 3.7),
    12: (2.9, 4.3),
    24: (3.7, 4.9),
    36: (4.1, 5.2),
}
MZC_FLOOR = {4: (0.8, 1.9), 6: (1.6, 2.7), 8: (2.1, 3.3), 12: (2.6, 3.7), 24: (3.4, 4.4)}
# Observed part of the true roundness, median, 5 % and 95 %, undulations falling as n^-1.5.
RADIAL_LOSS = {
    4: (0.32, 0.03, 0.66),
    6: (0.64, 0.28, 0.90),
    8: (0.75, 0.49, 0.94),
    12: (0.84, 0.64, 0.96),
}
TWO_POINT_LOSS = {2: (0.31, 0.04, 0.68), 4: (0.53, 0.25, 0.75), 8: (0.63, 0.38, 0.82)}


@pytest.mark.parametrize("count", LSC_FLOOR)
def test_noise_floor_of_least_squares(count):
    floor = noise_floor(np.arange(count) * 360.0 / count, 1.0)
    assert (floor.mean, floor.upper) == pytest.approx(LSC_FLOOR[count], abs=0.15)


@pytest.mark.parametrize("count", MZC_FLOOR)
def test_noise_floor_of_the_minimum_zone(count):
    floor = noise_floor(np.arange(count) * 360.0 / count, 1.0, ReferenceCircle.MZC, draws=400)
    assert (floor.mean, floor.upper) == pytest.approx(MZC_FLOOR[count], abs=0.25)


def test_noise_floor_is_that_of_the_true_circles():
    angle = np.arange(10) * 36.0
    random = np.random.default_rng(9)
    rows = [points_from_radii(angle, 40.0 + 1e-3 * random.normal(size=10)) for _ in range(400)]
    lsc = np.mean([least_squares_circle(points).zone for points in rows])
    mzc = np.mean([minimum_zone_circle(points).circle.zone for points in rows])
    assert noise_floor(angle, 1e-3).mean == pytest.approx(lsc, rel=0.04)
    assert noise_floor(angle, 1e-3, ReferenceCircle.MZC, draws=400).mean == pytest.approx(
        mzc, rel=0.05
    )


@pytest.mark.parametrize("count", RADIAL_LOSS)
def test_sampling_loss_of_radial_readings(count):
    loss = sampling_loss(np.arange(count) * 360.0 / count, RADIAL)
    assert (loss.median, loss.low, loss.high) == pytest.approx(RADIAL_LOSS[count], abs=0.05)


@pytest.mark.parametrize("count", TWO_POINT_LOSS)
def test_sampling_loss_of_diameters(count):
    loss = sampling_loss(np.arange(count) * 180.0 / count, TWO_POINT)
    assert (loss.median, loss.low, loss.high) == pytest.approx(TWO_POINT_LOSS[count], abs=0.05)


def test_smoother_shafts_lose_less():
    angle = np.arange(8) * 45.0
    rough, usual, smooth = (sampling_loss(angle, RADIAL, exponent) for exponent in (1.0, 1.5, 2.0))
    assert rough.median < usual.median < smooth.median


def test_same_seed_same_figure():
    angle = np.arange(8) * 45.0
    assert noise_floor(angle, 1.0) == noise_floor(angle, 1.0)
    assert noise_floor(angle, 1.0).mean != noise_floor(angle, 1.0, seed=3).mean


def test_three_readings_have_no_roundness():
    with pytest.raises(TooFewError, match="circle"):
        noise_floor([0.0, 120.0, 240.0], 1.0)
    with pytest.raises(TooFewError):
        sampling_loss([0.0, 120.0, 240.0, 360.0], RADIAL)
    with pytest.raises(TooFewError):
        sampling_loss([], TWO_POINT)
    with pytest.raises(InputError):
        sampling_loss([0.0, 90.0, 180.0, 270.0], Setup.vee(90.0))
    with pytest.raises(InputError):
        noise_floor(np.arange(4) * 90.0, -1.0)
    with pytest.raises(InputError):
        noise_floor(np.arange(4) * 90.0, 1.0, ReferenceCircle.MIC)

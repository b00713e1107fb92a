"""Profile tools: the Gaussian filter, eccentricity, outlier candidates."""

import numpy as np
import pytest

from seatproof.core.form.circle import points_from_radii
from seatproof.core.form.errors import DegenerateError, InputError, TooFewError
from seatproof.core.form.profile import (
    CUT_OFFS_UPR,
    filter_gaussian,
    find_outliers,
    gaussian_transmission,
    least_points_for,
    remove_eccentricity,
)


def test_transmission_is_half_at_the_cut_off():
    for cut_off in CUT_OFFS_UPR:
        passed = gaussian_transmission([cut_off, 2 * cut_off, 3 * cut_off], cut_off)
        assert passed == pytest.approx([0.5, 0.0625, 0.001953125], rel=1e-12)


@pytest.mark.parametrize("start", [0.0, 37.3])
def test_filter_weakens_each_undulation_by_its_transmission(start):
    angle = start + np.arange(360) * 1.0
    order = np.random.default_rng(1).permutation(360)
    turn = np.radians(angle)
    profile = (
        30.0 + 0.004 * np.cos(5 * turn + 1.0) + 0.002 * np.cos(15 * turn) + 1e-3 * np.sin(60 * turn)
    )
    expected = 30.0 + sum(
        amplitude * gaussian_transmission(n, 15) * wave(n * turn + phase)
        for n, amplitude, wave, phase in (
            (5, 0.004, np.cos, 1.0),
            (15, 0.002, np.cos, 0.0),
            (60, 1e-3, np.sin, 0.0),
        )
    )
    filtered = filter_gaussian(angle[order], profile[order], 15)
    assert filtered == pytest.approx(expected[order], abs=1e-12)


def test_filter_equals_the_weighting_function():
    # The standard defines the filter by its weighting function; sum it over enough turns.
    count, cut_off = 140, 15.0
    random = np.random.default_rng(2)
    profile = random.normal(size=count)
    wavelength = 360.0 / cut_off
    alpha = np.sqrt(np.log(2.0) / np.pi)
    angle = np.arange(count) * 360.0 / count
    offset = np.arange(-5 * count, 5 * count + 1) * 360.0 / count
    weight = np.exp(-np.pi * (offset / (alpha * wavelength)) ** 2) / (alpha * wavelength)
    weight *= 360.0 / count
    expected = [
        np.sum(weight * profile[(place + np.arange(-5 * count, 5 * count + 1)) % count])
        for place in range(count)
    ]
    # The sampled weights pass 3e-7 of what the closed form does not, at half the sampling rate.
    assert filter_gaussian(angle, profile, cut_off) == pytest.approx(np.array(expected), abs=3e-7)


def test_hand_readings_cannot_carry_the_filter():
    with pytest.raises(TooFewError, match="unfiltered") as caught:
        filter_gaussian(np.arange(36) * 10.0, np.ones(36), 15)
    assert (caught.value.needed, caught.value.found) == (105, 36)
    assert [least_points_for(cut_off) for cut_off in CUT_OFFS_UPR] == [105, 350, 1050, 3500]


def test_uneven_angles_are_refused_by_the_filter():
    angle = np.arange(120) * 3.0
    angle[7] += 0.5
    with pytest.raises(DegenerateError):
        filter_gaussian(angle, np.ones(120), 15)
    with pytest.raises(InputError):
        filter_gaussian(np.arange(120) * 3.0, np.ones(120), 0.0)


def test_eccentricity_is_removed_exactly():
    angle = np.arange(0.0, 360.0, 5.0)
    points = points_from_radii(angle, np.full(72, 40.0)) + np.array([2.0, -1.0])
    radius = np.hypot(*points.T)
    seen = np.degrees(np.arctan2(points[:, 1], points[:, 0]))
    centred = remove_eccentricity(seen, radius)
    assert centred.radius == pytest.approx(np.full(72, 40.0), abs=1e-12)
    assert centred.eccentricity == pytest.approx(np.sqrt(5.0), abs=1e-12)
    assert centred.angle_deg == pytest.approx(angle, abs=1e-9)


def test_a_spike_is_shown_and_a_smooth_profile_is_not():
    angle = np.arange(36) * 10.0
    smooth = 30.0 + 0.004 * np.cos(np.radians(3 * angle)) + 0.02 * np.cos(np.radians(angle))
    noisy = smooth + 2e-4 * np.random.default_rng(3).normal(size=36)
    assert find_outliers(angle, noisy) == ()
    noisy[11] += 0.005
    (suspect,) = find_outliers(angle, noisy)
    assert suspect.index == 11
    assert suspect.departure == pytest.approx(0.005, abs=1e-3)
    assert find_outliers(angle, noisy, repeatability=2e-4)[0].index == 11


def test_sound_profiles_are_rarely_doubted():
    angle = np.arange(24) * 15.0
    random = np.random.default_rng(4)
    for known in (None, 1.0):
        doubted = [bool(find_outliers(angle, random.normal(size=24), known)) for _ in range(800)]
        assert np.mean(doubted) <= 0.05 + 0.024


def test_outliers_need_readings():
    with pytest.raises(TooFewError):
        find_outliers([0.0, 90.0, 180.0], [1.0, 1.0, 1.0])
    with pytest.raises(TooFewError):
        find_outliers([0.0] * 8, [1.0] * 8)

"""Combination of set-ups: what each sees, what they see together, and how surely."""

import numpy as np
import pytest

from seatproof.core.form.advice import USUAL_SETUPS, gain, rank_next_setups
from seatproof.core.form.combination import ReadingSet, combine
from seatproof.core.form.errors import InputError, TooFewError
from seatproof.core.form.setup import RADIAL, TWO_POINT, Method, Setup
from seatproof.core.form.spectrum import radial_spectrum, two_point_spectrum
from seatproof.core.form.undulation import Seen

VEE_90 = Setup.vee(90.0)


def angles(setup, count):
    return np.arange(count) * ((180.0 if setup.method is Method.TWO_POINT else 360.0) / count)


def read(setup, waves, angle_deg, noise_um=0.0, random=None):
    """Readings (mm) of a shaft with waves {n: complex C_n in µm}."""
    turn = np.radians(angle_deg)
    value_um = sum((setup.factor(n) * c * np.exp(1j * n * turn)).real for n, c in waves.items())
    if random is not None:
        value_um = value_um + noise_um * random.normal(size=len(turn))
    return 50.0 + value_um / 1000.0


def readings(setup, waves, count, noise_um=0.0, random=None, stated=None):
    angle = angles(setup, count)
    return ReadingSet.of(setup, angle, read(setup, waves, angle, noise_um, random), stated)


def shaft(random, highest=10):
    return {n: 3.0 / n**1.5 * np.exp(2j * np.pi * random.uniform()) for n in range(2, highest + 1)}


def test_a_three_lobed_shaft_that_the_micrometer_calls_perfect():
    waves = {3: 4.0 * np.exp(1j * np.radians(50.0))}
    micrometer = readings(TWO_POINT, waves, 8)
    assert np.ptp(micrometer.reading_mm) < 1e-12
    both = combine([micrometer, readings(VEE_90, waves, 12), readings(Setup.vee(72.0), waves, 12)])
    three = both.undulations[1]
    assert (three.number, three.seen) == (3, Seen.DETERMINED)
    assert three.amplitude_um == pytest.approx(4.0, abs=1e-9)
    # C_n = c·exp(ip): the crest is where nθ + p = 0, so cos(nθ - phase) has phase -p.
    assert three.phase_deg == pytest.approx(310.0, abs=1e-6)
    assert both.roundness_um == pytest.approx(8.0, abs=1e-3)
    assert both.profile_um([310.0 / 3.0])[0] == pytest.approx(4.0, abs=1e-9)


def test_invisible_and_confused_undulations_are_named_and_left_out():
    random = np.random.default_rng(1)
    waves = shaft(random, 5)
    profile = combine([readings(TWO_POINT, waves, 12), readings(VEE_90, waves, 24)], highest=9)
    assert profile.invisible == (7, 9)
    assert profile.undulations[5].amplitude_um == 0.0
    assert profile.undulations[5].se_cos_um is None
    for one in profile.undulations:
        if one.number in waves:
            assert one.amplitude_um == pytest.approx(abs(waves[one.number]), abs=1e-9)
    # Six even orientations cannot tell 5 from 1 and 7: only what they determine is stated.
    sparse = combine([readings(VEE_90, waves, 8)], highest=6)
    assert {one.number for one in sparse.undulations if one.seen is Seen.CONFUSED} == {2, 3, 5, 6}


def test_default_goes_as_high_as_the_orientations_allow():
    waves = {2: 1.0 + 0j}
    sets = [readings(TWO_POINT, waves, 12), readings(Setup.vee(72.0), waves, 24)]
    profile = combine(sets)
    assert all(one.seen is not Seen.CONFUSED for one in profile.undulations)
    assert profile.dof >= 1
    beyond = combine(sets, profile.highest + 1)
    assert any(one.seen is Seen.CONFUSED for one in beyond.undulations)
    assert profile.highest >= 11  # half of 24 orientations


def test_decoupled_case_meets_the_closed_form():
    # N even orientations, n below N/2: standard error σ·√(2/N)/g of each part.
    random = np.random.default_rng(2)
    setups = [Setup.vee(72.0), Setup.vee(108.0)]
    profile = combine([readings(one, shaft(random), 36, stated=0.4) for one in setups], highest=10)
    for one in profile.undulations:
        expected = 0.4 * np.sqrt(2.0 / 36) / gain(setups, one.number)
        assert one.se_cos_um == pytest.approx(expected, rel=1e-9)
        assert one.se_sin_um == pytest.approx(expected, rel=1e-9)
        assert one.gain == pytest.approx(gain(setups, one.number))


@pytest.mark.parametrize("stated", [True, False])
def test_confidence_covers_the_truth_as_often_as_it_says(stated):
    random = np.random.default_rng(3)
    setups = [TWO_POINT, Setup.vee(72.0), Setup.vee(108.0)]
    at = np.array([0.0, 77.0, 200.0])
    grid = np.arange(0.0, 360.0, 0.5)
    band_hits, roundness_hits, draws = np.zeros(3), 0, 500
    for _ in range(draws):
        waves = shaft(random, 8)
        sets = [
            readings(one, waves, 20, 0.5, random, stated=0.5 if stated else None) for one in setups
        ]
        profile = combine(sets, highest=8)
        assert profile.determined == tuple(range(2, 9))

        def true(angle, waves=waves):
            turn = np.radians(angle)
            return sum((c * np.exp(1j * n * turn)).real for n, c in waves.items())

        band_hits += np.abs(profile.profile_um(at) - true(at)) <= profile.half_width_um(at)
        low, high = profile.roundness_interval_um(draws=300)
        roundness_hits += low <= np.ptp(true(grid)) <= high
    # Three standard deviations of a share of 0.95 in 500 draws are 0.029.
    assert band_hits / draws == pytest.approx(np.full(3, 0.95), abs=0.029)
    assert roundness_hits / draws >= 0.95 - 0.029


def test_radial_readings_join_with_their_own_eccentricity():
    random = np.random.default_rng(4)
    waves = shaft(random, 6)
    angle = angles(RADIAL, 24)
    radial = read(RADIAL, waves, angle) + 0.02 * np.cos(np.radians(angle - 30.0))
    sets = [ReadingSet.of(RADIAL, angle, radial), readings(TWO_POINT, waves, 9)]
    for one in combine(sets, highest=6).undulations:
        assert one.amplitude_um == pytest.approx(abs(waves[one.number]), abs=1e-9)


def test_spectrum_of_uneven_radial_angles():
    random = np.random.default_rng(5)
    waves = shaft(random, 5)
    angle = np.sort(random.uniform(0.0, 360.0, 40))
    spectrum = radial_spectrum(angle, read(RADIAL, waves, angle, 0.2, random), 0.2, highest=5)
    for one in spectrum.undulations:
        away = np.hypot(one.cos_um - waves[one.number].real, one.sin_um + waves[one.number].imag)
        assert away < 5 * np.hypot(one.se_cos_um, one.se_sin_um)
    assert spectrum.residual_sd_um == pytest.approx(1.0, abs=0.35)


def test_two_point_spectrum_is_radial_and_even():
    waves = {2: 3.0 + 0j, 3: 5.0 + 0j, 4: 1.0 + 0j}
    angle = angles(TWO_POINT, 8)
    spectrum = two_point_spectrum(angle, read(TWO_POINT, waves, angle))
    found = {one.number: one.amplitude_um for one in spectrum.undulations}
    assert found[2] == pytest.approx(3.0, abs=1e-9)
    assert found[4] == pytest.approx(1.0, abs=1e-9)
    assert 3 in spectrum.invisible


def test_short_arc_determines_nothing():
    angle = np.linspace(0.0, 60.0, 30)
    spectrum = radial_spectrum(angle, 40.0 + 1e-3 * np.cos(np.radians(2 * angle)), highest=6)
    assert spectrum.determined == ()
    assert spectrum.roundness_um == 0.0


def test_advice_names_what_a_block_adds():
    best = rank_next_setups([TWO_POINT], [Setup.vee(90.0), Setup.vee(72.0), Setup.vee(60.0)])
    assert best[0].setup == Setup.vee(72.0)
    assert best[0].still_invisible == ()
    assert best[0].least_gain == pytest.approx(0.62, abs=0.005)
    assert best[0].newly_seen == (3, 5, 7, 9, 11, 13, 15)
    with_90 = next(one for one in best if one.setup == Setup.vee(90.0))
    assert with_90.still_invisible == (7, 9, 15)
    # A micrometer and a 90° block: the best third is a leaning indicator, least gain 2.
    third = rank_next_setups([TWO_POINT, VEE_90], USUAL_SETUPS)[0]
    assert third.setup.tilt_deg != 0.0
    assert third.least_gain == pytest.approx(2.0, abs=0.005)


def test_bad_sets_are_refused():
    sound = readings(VEE_90, {2: 1.0 + 0j}, 12)
    with pytest.raises(InputError, match="no readings"):
        combine([])
    with pytest.raises(InputError, match="every set"):
        combine([sound, readings(TWO_POINT, {2: 1.0 + 0j}, 6, stated=0.5)])
    with pytest.raises(InputError):
        combine([sound], highest=1)
    with pytest.raises(InputError):
        ReadingSet.of(VEE_90, [0.0, 1.0], [0.0])
    with pytest.raises(InputError):
        ReadingSet.of(VEE_90, [0.0, 1.0], [0.0, 1.0], 0.0)
    with pytest.raises(TooFewError):
        combine([ReadingSet.of(TWO_POINT, [0.0, 90.0], [50.0, 50.0])])
    with pytest.raises(InputError):
        rank_next_setups([TWO_POINT], [])
    with pytest.raises(InputError):
        rank_next_setups([TWO_POINT], highest=1)

"""What readings cannot show: against formulas for noise, tabled lobings and new simulations."""

import numpy as np
import pytest

from seatproof.core.form.caveats import form_caveats
from seatproof.core.form.circle import ReferenceCircle
from seatproof.core.form.errors import DegenerateError, InputError, TooFewError
from seatproof.core.form.noise import half_range_noise, ovality_noise
from seatproof.core.form.quantiles import range_quantile
from seatproof.core.form.sampling import undulation_shares
from seatproof.core.form.setup import RADIAL, TWO_POINT, Setup
from seatproof.core.form.twopoint import fit_ovality

# Undulations that N evenly spaced radial readings cannot show at all, of those tabled: N and its
# multiples are read as size, their neighbours as eccentricity.
UNSEEN = {
    4: {3, 4, 5, 7, 9, 11, 15},
    6: {5, 6, 7, 11},
    8: {7, 9, 15},
    12: {11},
    24: set(),
}
TABLED = (2, 3, 4, 5, 6, 7, 9, 11, 15)


@pytest.mark.parametrize("count", UNSEEN)
def test_undulations_without_any_share_are_the_tabled_ones(count):
    shares = undulation_shares(np.arange(count) * 360.0 / count, RADIAL)
    unseen = {number for number in TABLED if shares[number][1] < 1e-9}
    assert unseen == UNSEEN[count]


def test_share_of_an_oval_depends_on_where_one_measures():
    """Two diameters at 90° can miss it, three show 75 to 86.6 %, five 90.5 to 95.1 %."""
    for count, worst, best in ((2, 0.0, 1.0), (3, 0.75, 0.866), (5, 0.905, 0.951)):
        share = undulation_shares(np.arange(count) * 180.0 / count, TWO_POINT)[2]
        assert share == pytest.approx((worst, best), abs=2e-3)


def test_diameters_show_no_odd_undulation():
    shares = undulation_shares(np.arange(12) * 15.0, TWO_POINT)
    assert all(shares[number] == (0.0, 0.0) for number in range(3, 16, 2))


@pytest.mark.parametrize("count", [2, 4, 8, 12])
def test_half_range_of_noise_is_that_of_normal_values(count):
    noise = half_range_noise(np.arange(count) * 180.0 / count, 3.0, draws=20_000)
    assert noise.upper == pytest.approx(1.5 * range_quantile(count, 0.95), rel=0.02)


@pytest.mark.parametrize("count", [3, 4, 8, 24])
def test_ovality_of_noise_is_rayleigh(count):
    noise = ovality_noise(np.arange(count) * 180.0 / count, 0.5, draws=20_000)
    assert noise.mean == pytest.approx(0.5 * np.sqrt(4 * np.pi / count), rel=0.02)
    assert noise.upper == pytest.approx(0.5 * np.sqrt(8 / count * -2 * np.log(0.05)), rel=0.02)


def test_one_round_section_in_twenty_is_doubted():
    """New draws, each evaluated as a user's readings would be."""
    random = np.random.default_rng(7)
    angle = np.arange(8) * 22.5
    sections = 50.0 + 5e-4 * random.normal(size=(2000, 8))
    half = form_caveats(angle, sections[0], TWO_POINT, 5e-4)
    doubted = np.mean([np.ptp(row) / 2 > half.noise.upper for row in sections])
    oval = np.mean(
        [fit_ovality(angle, row).ovality_um > half.ovality_noise.upper * 1e3 for row in sections]
    )
    assert doubted == pytest.approx(0.05, abs=0.02)
    assert oval == pytest.approx(0.05, abs=0.02)


def test_diameters_say_all_that_is_known():
    angle = np.array([0.0, 45.0, 90.0, 135.0])
    caveats = form_caveats(angle, 50.0 + 2e-3 * np.cos(2 * np.radians(angle)), TWO_POINT, 5e-4)
    assert caveats.shown == pytest.approx(2e-3)
    assert caveats.is_beyond_noise
    assert {3, 5, 7, 9} <= set(caveats.hidden)
    text = " ".join(caveats.sentences())
    for part in ("4 diameters", "read low", "reads high", "2.00 µm found here", "of diameter"):
        assert part in text
    quiet = form_caveats(angle, [50.0, 50.0001, 50.0002, 50.0001], TWO_POINT, 5e-4)
    assert quiet.is_beyond_noise is False
    assert "cannot be told from a round section" in " ".join(quiet.sentences())


def test_two_diameters_state_no_ovality():
    caveats = form_caveats([0.0, 90.0], [50.0, 50.002], TWO_POINT, 5e-4)
    assert caveats.ovality_noise is None
    assert 2 in caveats.hidden  # both could lie at 45° to the axes of the oval


def test_without_repeatability_only_the_sampling_is_said():
    caveats = form_caveats(np.arange(8) * 45.0, 40.0 + 1e-3 * np.arange(8), RADIAL)
    assert caveats.noise is None
    assert caveats.is_beyond_noise is None
    assert not any("Noise" in sentence for sentence in caveats.sentences())


def test_radial_figure_is_that_of_the_circle_asked_for():
    random = np.random.default_rng(2)
    angle, radius = np.arange(12) * 30.0, 40.0 + 1e-3 * random.normal(size=12)
    lsc, mzc = (
        form_caveats(angle, radius, RADIAL, 1e-3, reference)
        for reference in (ReferenceCircle.LSC, ReferenceCircle.MZC)
    )
    assert mzc.shown < lsc.shown
    assert mzc.noise.upper < lsc.noise.upper


def test_lengths_are_written_as_asked():
    caveats = form_caveats([0.0, 60.0, 120.0], [2.0, 2.0002, 2.0001], TWO_POINT, 1e-4)
    sentences = caveats.sentences(lambda inches: f"{inches * 1000:.2f} mil")
    assert "0.10 mil found here" in " ".join(sentences)


def test_what_has_no_caveats_is_refused():
    with pytest.raises(TooFewError):
        form_caveats([0.0, 120.0, 240.0], [40.0, 40.0, 40.001], RADIAL)
    with pytest.raises(TooFewError):
        form_caveats([], [], TWO_POINT)
    with pytest.raises(InputError):
        form_caveats([0.0, 90.0], [50.0, 50.0], Setup.vee(90.0))
    with pytest.raises(InputError):
        form_caveats([0.0, 90.0], [50.0, 50.0], TWO_POINT, -1.0)
    with pytest.raises(DegenerateError):
        ovality_noise([0.0, 0.1, 0.2], 1.0)

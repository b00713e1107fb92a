"""Monte Carlo: stream, distributions, number of trials, extremes, calling off."""

from math import inf, sqrt
from statistics import NormalDist

import numpy as np
import pytest

from seatproof.core.form.quantiles import range_quantile, student_t_quantile
from seatproof.core.uncertainty.contribution import (
    Contribution,
    Distribution,
    Sharing,
    expanded,
    half_width,
)
from seatproof.core.uncertainty.effect import Layout, spread
from seatproof.core.uncertainty.errors import CancelledError, UncertaintyError
from seatproof.core.uncertainty.extremes import simulate_seat
from seatproof.core.uncertainty.montecarlo import Settings, simulate
from seatproof.core.uncertainty.normal import normal_deviates, normal_quantiles
from seatproof.core.uncertainty.propagation import Propagation
from seatproof.core.uncertainty.stream import Stream, seed_of

MASK = 2**128 - 1
MULTIPLIER = 0x2360ED051FC65DA44385DF649FCCF645


def pcg64_words(seed, count):
    """PCG XSL RR 128/64 in whole numbers, from the state that SeedSequence gives."""
    high, low, odd_high, odd_low = (
        np.random.SeedSequence(seed).generate_state(4, np.uint64).tolist()
    )
    increment = ((odd_high << 64 | odd_low) << 1 | 1) & MASK
    state = (increment + (high << 64 | low)) & MASK
    state = (state * MULTIPLIER + increment) & MASK
    for _ in range(count):
        state = (state * MULTIPLIER + increment) & MASK
        rotation = state >> 122
        folded = (state >> 64 ^ state) & (2**64 - 1)
        yield (folded >> rotation | folded << (-rotation & 63)) & (2**64 - 1)


def scatter(count, standard_um=1.0, dof=inf, shape=Distribution.NORMAL):
    layout = Layout.of(np.zeros(count, dtype=int))
    row = Contribution(
        "s",
        standard_um * shape.divisor,
        "µm",
        shape,
        shape.divisor,
        dof=dof,
        sharing=Sharing.READING,
    )
    return Propagation(layout, (spread(row, layout),))


# --- the stream ----------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", [0, 1, 2**64 - 1])
def test_stream_is_the_one_that_is_documented(seed):
    expected = [((word >> 11) + 0.5) * 2.0**-53 for word in pcg64_words(seed, 6)]
    assert Stream(seed).uniform(2, 3).ravel().tolist() == expected


def test_seed_depends_on_every_part_and_on_nothing_else():
    assert seed_of("K-1", "head", "A") == seed_of("K-1", "head", "A")
    assert len({seed_of("K-1", "head", seat) for seat in "ABC"}) == 3
    assert seed_of("ab", "c") != seed_of("a", "bc")


def test_quick_deviates_are_the_quantiles_to_two_parts_in_ten_million():
    near_the_edges = [1e-300, 1e-9, 0.0099999, 0.01, 0.0100001, 0.99, 0.9999999]
    u = np.concatenate([near_the_edges, np.linspace(1e-6, 1 - 1e-6, 500_001)])
    assert np.max(np.abs(normal_deviates(u) - normal_quantiles(u))) < 2e-7


def test_normal_quantiles_against_another_implementation():
    p = np.concatenate([np.geomspace(1e-300, 0.4, 200), 1 - np.geomspace(1e-12, 0.4, 100), [0.5]])
    exact = [NormalDist().inv_cdf(value) for value in p]
    assert normal_quantiles(p) == pytest.approx(exact, rel=1e-13, abs=1e-15)


@pytest.mark.parametrize("p", [0.0, 1.0, -0.1, float("nan")])
def test_no_quantile_of_what_is_no_probability(p):
    with pytest.raises(UncertaintyError):
        normal_quantiles([0.5, p])


@pytest.mark.parametrize(
    ("shape", "kurtosis"),
    [
        (Distribution.NORMAL, 3.0),
        (Distribution.RECTANGULAR, 1.8),
        (Distribution.TRIANGULAR, 2.4),
    ],
)
def test_distributions_have_their_moments(shape, kurtosis):
    drawn = shape.from_uniform((np.arange(200_000) + 0.5) / 200_000)
    assert np.mean(drawn) == pytest.approx(0.0, abs=1e-9)
    assert np.mean(drawn**2) == pytest.approx(1.0, abs=1e-3)
    assert np.mean(drawn**4) == pytest.approx(kurtosis, abs=2e-2)


@pytest.mark.parametrize("dof", [3.0, 12.0, 60.0])
def test_few_degrees_of_freedom_give_students_t(dof):
    run = simulate(lambda errors: errors, scatter(1, dof=dof), Settings(5, trials=100_000))
    for probability in (0.6, 0.9, 0.977):
        exact = student_t_quantile(probability, int(dof))
        # Standard error of a quantile: √(p(1-p)/n) over the density, which is above 0.02 here.
        assert run.quantile(0, probability) == pytest.approx(exact, abs=4 * 0.0005 / 0.02)


# --- how many trials -----------------------------------------------------------------------------


def test_same_seed_same_numbers():
    one, other = (
        simulate(lambda errors: errors, scatter(3), Settings(9, trials=4_000)) for _ in range(2)
    )
    assert np.array_equal(one.samples, other.samples)
    another = simulate(lambda errors: errors, scatter(3), Settings(10, trials=4_000))
    assert not np.array_equal(one.samples[:10], another.samples[:10])


def test_trials_are_added_until_the_interval_is_stable():
    few = simulate(lambda errors: errors, scatter(1), Settings(1, trials=2_200))
    assert few.stable
    # The end of the interval of a block of 2 200 trials scatters by 0.06: far more than two blocks
    # are needed until twice that over the root of their number is within 2.5 % of u = 1.
    assert few.trials > 10 * 2_200
    for probability in (0.02275, 0.97725):
        exact = NormalDist().inv_cdf(probability)
        assert few.quantile(0, probability) == pytest.approx(exact, abs=0.05)


def test_unit_makes_no_difference_to_the_number_of_trials():
    runs = [
        simulate(lambda errors: errors, scatter(2, standard_um=u), Settings(8, trials=4_000))
        for u in (1.0, 0.0254)
    ]
    assert runs[0].trials == runs[1].trials
    assert np.allclose(runs[1].samples, 0.0254 * runs[0].samples, rtol=1e-12, atol=0.0)


def test_simulation_is_called_off_between_portions():
    asked = []

    def is_cancelled():
        asked.append(True)
        return len(asked) > 3

    with pytest.raises(CancelledError) as caught:
        # 300 sizes: a block of 10 000 trials takes two portions of at most two million numbers.
        simulate(lambda errors: errors[:, :1], scatter(300), Settings(1), is_cancelled=is_cancelled)
    assert len(asked) == 4
    assert 0 < caught.value.trials < 20_000


def test_progress_rises_to_the_end():
    told = []
    simulate(lambda errors: errors, scatter(2), Settings(3), on_progress=told.append)
    assert told[-1] == 1.0
    assert told == sorted(told)
    assert told[0] > 0.0


# --- extremes and form ---------------------------------------------------------------------------


def test_noise_of_a_perfect_seat_makes_extremes_and_range():
    """The expected largest of nine normal values is 1.48501 (tables of order statistics)."""
    everything = (np.arange(9),)
    found = simulate_seat(
        np.zeros(9), scatter(9), (-1e9, 1e9), (everything,), Settings(2, trials=60_000)
    )
    assert found.probability == 1.0
    assert found.largest.value_um == 0.0
    assert found.largest.bias_um == pytest.approx(1.48501, abs=0.01)
    assert found.smallest.bias_um == pytest.approx(-1.48501, abs=0.01)
    # One error upwards; the largest of nine downwards: 0.977 to the power of a ninth.
    one, nine = (NormalDist().inv_cdf(p) for p in (0.97725, 0.97725 ** (1 / 9)))
    assert found.largest.high_um == pytest.approx(one, abs=0.03)
    assert found.largest.low_um == pytest.approx(-nine, abs=0.03)
    assert found.ranges[0].value_um == 0.0
    assert found.ranges[0].bias_um == pytest.approx(2.97003 / 2, abs=0.01)
    assert found.ranges[0].low_um == 0.0
    assert found.ranges[0].high_um == pytest.approx(one * sqrt(2) / 2, abs=1e-6)


def test_range_found_is_held_against_the_range_of_noise():
    sizes = np.array([0.0, 20.0, 0.0, 20.0])
    found = simulate_seat(
        sizes, scatter(4), (-100, 100), ((np.arange(4),),), Settings(2, trials=60_000)
    )
    noise = range_quantile(4, 0.97725)
    assert found.ranges[0].low_um == pytest.approx((20 - noise) / 2, abs=0.03)


def test_what_all_share_does_not_spread_the_extremes():
    layout = Layout.of([0, 0, 0])
    propagation = Propagation(layout, (spread(expanded("standard", 2.0, 2.0), layout),))
    found = simulate_seat(
        np.array([0.0, 3.0, 5.0]), propagation, (-9.0, 9.0), ((np.arange(3),),), Settings(4)
    )
    assert found.largest.bias_um == pytest.approx(0.0, abs=0.03)
    assert (found.ranges[0].low_um, found.ranges[0].high_um) == pytest.approx((2.5, 2.5), abs=1e-9)
    # All inside together: the shared error may reach from -9 to +4 of its own.
    inside = NormalDist().cdf(9.0) - NormalDist().cdf(-4.0)
    assert found.probability == pytest.approx(inside, abs=1e-3)


def test_rectangular_error_never_passes_its_limit():
    layout = Layout.of([0, 1])
    propagation = Propagation(layout, (spread(half_width("limit", 5.0), layout),))
    found = simulate_seat(
        np.array([-3.0, 2.0]), propagation, (-8.0, 7.0), ((np.arange(2),),), Settings(4)
    )
    assert found.probability == 1.0
    assert found.largest.high_um < 7.0


def test_trials_end_where_their_number_would_fill_the_memory():
    """An interval of 99.99 % takes a million trials to look at; with ν = 1 it is never stable."""
    settings = Settings(seed=3, probability=0.9999)
    assert settings.block >= 1_000_000
    found = simulate(lambda errors: errors, scatter(1, dof=1.0), settings)
    assert not found.stable
    assert 2 * settings.block <= found.trials <= 3_000_000

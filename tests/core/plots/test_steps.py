"""Round numbers for scales."""

from itertools import pairwise
from math import log10

import pytest
from hypothesis import given
from hypothesis import strategies as st

from seatproof.core.plots.steps import step_above, step_below, ticks

positives = st.floats(1e-6, 1e6)
# What a scale of this program ever spans: micrometres, or millimetres along a shaft.
ends = st.integers(-10_000_000, 10_000_000).map(lambda thousandths: thousandths / 1000)


def is_round(step):
    mantissa = step / 10 ** round(log10(step) - 0.35)
    return any(abs(mantissa - factor) < 1e-9 for factor in (0.5, 1, 2, 5))


@given(positives)
def test_steps_are_round_and_next_to_the_value(value):
    below, above = step_below(value), step_above(value)
    assert below <= value * (1 + 1e-9)
    assert above >= value * (1 - 1e-9)
    assert is_round(below)
    assert is_round(above)
    # Nothing round lies between: 1, 2, 5, 10 are never more than 2.5 times apart.
    assert value / below < 2.5 * (1 + 1e-9)
    assert above / value < 2.5 * (1 + 1e-9)


@pytest.mark.parametrize("exponent", range(-6, 7))
@pytest.mark.parametrize("factor", [1, 2, 5])
def test_round_values_are_their_own_steps(factor, exponent):
    value = float(f"{factor}e{exponent}")
    assert step_below(value) == step_above(value) == value


@given(ends, ends, st.integers(2, 10))
def test_ticks_cover_the_interval_evenly_with_round_numbers(a, b, about):
    lowest, highest = min(a, b), max(a, b)
    found = ticks(lowest, highest, about)
    step = found[1] - found[0]
    assert is_round(round(step, 9))
    assert found[0] <= lowest + 1e-6 * step
    assert found[-1] >= highest - 1e-6 * step
    assert all(second - first == pytest.approx(step, rel=1e-6) for first, second in pairwise(found))
    # No tick stands more than a step outside, and there are about as many as were wanted.
    span = (highest - lowest) or 1.0
    assert found[-1] - found[0] < span + 2 * step
    assert 2 <= len(found) <= about + 2


def test_ticks_have_no_binary_noise():
    assert ticks(0.0, 0.3, 3) == (0.0, 0.1, 0.2, 0.3)
    assert ticks(-0.3, 0.0, 3) == (-0.3, -0.2, -0.1, 0.0)


@pytest.mark.parametrize("value", [0.0, 3.25, -7.0, 110.0])
def test_equal_ends_are_given_room(value):
    found = ticks(value, value, 4)
    assert found[0] < value < found[-1]

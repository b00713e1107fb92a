"""Decision rules against hand-made cases and the risks they promise."""

from itertools import product
from math import inf, nextafter

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from seatproof.core.verdict.rule import Rule, Verdict

GUARDED = Rule(guarded=True)
SIMPLE = Rule(guarded=False)
CONFORMS, FAILS, UNKNOWN = Verdict.CONFORMS, Verdict.DOES_NOT_CONFORM, Verdict.NOT_PROVEN


def test_guard_band_is_the_normal_quantile_times_the_standard_uncertainty():
    # Tables of the normal distribution: 1.645 at 95 %, 1.282 at 90 %, 0 at 50 %.
    assert GUARDED.guard_band(2.0) == pytest.approx(2 * 1.644854, abs=1e-5)
    assert Rule(guarded=True, probability=0.9).guard_band(1.0) == pytest.approx(1.281552, abs=1e-5)
    assert Rule(guarded=True, probability=0.5).guard_band(1.0) == 0.0
    assert SIMPLE.guard_band(2.0) == 0.0


# Limits 0 and 100, guard band 10.
@pytest.mark.parametrize(
    ("value", "verdict"),
    [
        (50.0, CONFORMS),
        (10.0, CONFORMS),  # the edge of a guard band is inside
        (nextafter(10.0, -inf), UNKNOWN),
        (90.0, CONFORMS),
        (nextafter(90.0, inf), UNKNOWN),
        (0.0, UNKNOWN),
        (100.0, UNKNOWN),
        (-10.0, UNKNOWN),  # non-conformity must be proved beyond it
        (nextafter(-10.0, -inf), FAILS),
        (110.0, UNKNOWN),
        (nextafter(110.0, inf), FAILS),
    ],
)
def test_edges_of_the_guard_band(value, verdict):
    assert GUARDED.judge_interval((value, value), 10.0, lower=0.0, upper=100.0) is verdict


@pytest.mark.parametrize(
    ("value", "verdict"),
    [
        (0.0, CONFORMS),  # on the limit is inside
        (100.0, CONFORMS),
        (nextafter(0.0, -inf), FAILS),
        (nextafter(100.0, inf), FAILS),
    ],
)
def test_edges_of_simple_acceptance(value, verdict):
    assert SIMPLE.judge(value, value, 5.0, lower=0.0, upper=100.0) is verdict


def test_one_sided_limits():
    assert GUARDED.judge_interval((-1e9, 4.0), 1.0, upper=5.0) is CONFORMS
    assert GUARDED.judge_interval((6.0, 1e9), 1.0, lower=5.0) is CONFORMS
    assert GUARDED.judge_interval((0.0, 0.0), 1.0) is CONFORMS


def test_worst_extreme_decides():
    assert GUARDED.judge_interval((-20.0, 50.0), 10.0, lower=0.0, upper=100.0) is FAILS
    assert GUARDED.judge_interval((5.0, 111.0), 10.0, lower=0.0, upper=100.0) is FAILS
    assert GUARDED.judge_interval((50.0, 95.0), 10.0, lower=0.0, upper=100.0) is UNKNOWN


def test_guard_bands_wider_than_the_zone_leave_nothing_to_prove():
    assert GUARDED.judge_interval((50.0, 50.0), 51.0, lower=0.0, upper=100.0) is UNKNOWN


def test_two_verdicts_give_the_worse_one():
    order = [FAILS, UNKNOWN, CONFORMS]
    for first, second in product(order, order):
        worse = order[min(order.index(first), order.index(second))]
        assert first.and_also(second) is worse


values = st.floats(-200, 200)


@given(values, values, st.floats(0, 50), st.floats(-500, 500))
def test_verdict_does_not_depend_on_which_side_is_up(a, b, guard, scale):
    smallest, largest = min(a, b), max(a, b)
    upright = GUARDED.judge_interval((smallest, largest), guard, lower=-60.0, upper=60.0)
    mirrored = GUARDED.judge_interval((-largest, -smallest), guard, lower=-60.0, upper=60.0)
    assert mirrored is upright


@given(values, st.floats(0, 50), st.floats(0, 50))
def test_more_uncertainty_never_proves_more(value, guard, more):
    narrow = GUARDED.judge_interval((value, value), guard, lower=-60.0, upper=60.0)
    wide = GUARDED.judge_interval((value, value), guard + more, lower=-60.0, upper=60.0)
    assert wide in (narrow, UNKNOWN)


@pytest.mark.parametrize("rule_and_share", [(GUARDED, 0.05), (SIMPLE, 0.5)], ids=str)
def test_size_on_the_limit_is_accepted_as_seldom_as_the_rule_promises(rule_and_share):
    # JCGM 106:2012, 8.3: a true value on the limit is accepted with probability 1 - p when guarded
    # at p, and one time in two by simple acceptance. 20 000 draws scatter by 0.15 % and 0.35 %.
    rule, share = rule_and_share
    read = np.random.default_rng(5).normal(100.0, 1.5, 20_000)
    accepted = sum(rule.judge(x, x, 1.5, lower=0.0, upper=100.0) is CONFORMS for x in read.tolist())
    assert accepted / read.size == pytest.approx(share, abs=0.02)

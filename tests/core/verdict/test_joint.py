"""Joint conformity of several values against closed forms and Monte Carlo with correlations."""

from math import erf, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from seatproof.core.verdict.errors import KnowledgeError
from seatproof.core.verdict.joint import joint_probability
from seatproof.core.verdict.limits import Limits

LIMITS = Limits.of(0, 10)


def normal(x):
    return 0.5 * (1.0 + erf(x / sqrt(2.0)))


def test_independent_values_multiply():
    joint = joint_probability([1.0, 9.0], [1.0, 1.0], 0.0, LIMITS)
    one = normal(9.0) - normal(-1.0)
    assert joint.probability == pytest.approx(one**2, abs=1e-12)
    assert joint.blame == pytest.approx((1 - one, 1 - one), abs=1e-12)


def test_values_with_one_common_error_conform_together_or_not_at_all():
    # Only the lowest and the highest matter: P(-1 < c < 2) with u = 1.
    joint = joint_probability([1.0, 5.0, 8.0], [0.0, 0.0, 0.0], 1.0, LIMITS)
    assert joint.probability == pytest.approx(normal(2.0) - normal(-1.0), abs=1e-9)


def test_value_outside_for_certain_leaves_no_joint_probability():
    assert joint_probability([-30.0, 40.0], [0.0, 0.0], 1.0, LIMITS).probability == 0.0


@pytest.mark.parametrize("common", [0.05, 0.5, 3.0])
@pytest.mark.parametrize("own", [0.05, 0.8])
def test_integral_agrees_with_monte_carlo(common, own):
    values = [0.6, 1.4, 5.0, 8.8, 9.3]
    rng = np.random.default_rng(3)
    trials = (
        np.array(values)
        + rng.normal(0.0, common, (100_000, 1))
        + rng.normal(0.0, own, (100_000, 5))
    )
    inside = (trials >= 0.0) & (trials <= 10.0)
    integrated = joint_probability(values, [own] * 5, common, LIMITS)
    assert integrated.probability == pytest.approx(np.mean(inside.all(axis=1)), abs=0.006)
    assert integrated.blame == pytest.approx(1.0 - inside.mean(axis=0), abs=0.006)


@settings(deadline=None)
@given(
    st.lists(st.floats(-2, 12), min_size=1, max_size=6),
    st.floats(0, 2),
    st.floats(1e-9, 2) | st.just(0.0),
)
def test_joint_probability_lies_between_its_bounds(values, own, common):
    joint = joint_probability(values, [own] * len(values), common, LIMITS)
    # Fréchet: whatever the correlation.
    assert joint.probability <= 1.0 - max(joint.blame) + 1e-6
    assert joint.probability >= 1.0 - sum(joint.blame) - 1e-6


def test_unusable_lists_are_refused():
    with pytest.raises(KnowledgeError, match="list of values"):
        joint_probability([], [], 1.0, LIMITS)
    with pytest.raises(KnowledgeError, match="list of values"):
        joint_probability([1.0], [], 1.0, LIMITS)
    with pytest.raises(KnowledgeError, match="standard uncertainty"):
        joint_probability([1.0], [-1.0], 1.0, LIMITS)

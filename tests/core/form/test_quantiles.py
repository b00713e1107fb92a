"""Quantiles against printed tables and closed forms."""

import math

import numpy as np
import pytest

from seatproof.core.form.errors import InputError
from seatproof.core.form.quantiles import (
    chi_square_tail,
    normal_quantile,
    range_quantile,
    student_t_quantile,
    student_t_two_sided_tail,
)


# Harter's table of the studentized range, upper 5 %, infinitely many degrees of freedom.
@pytest.mark.parametrize(
    ("count", "q"),
    [(2, 2.77), (3, 3.31), (4, 3.63), (5, 3.86), (6, 4.03), (8, 4.29), (10, 4.47), (20, 5.01)],
)
def test_range_quantile_meets_the_table(count, q):
    assert range_quantile(count, 0.95) == pytest.approx(q, abs=0.005)


def test_range_of_two_is_a_normal_difference():
    for probability in (0.5, 0.9, 0.99):
        expected = math.sqrt(2.0) * normal_quantile(0.5 + probability / 2.0)
        assert range_quantile(2, probability) == pytest.approx(expected, abs=1e-9)


def test_range_quantile_covers_simulated_ranges():
    ranges = np.ptp(np.random.default_rng(7).normal(size=(40_000, 12)), axis=1)
    assert np.mean(ranges <= range_quantile(12, 0.9)) == pytest.approx(0.9, abs=0.006)


# Any printed table of Student's t, 97.5 %.
@pytest.mark.parametrize(
    ("dof", "t"),
    [(1, 12.706), (2, 4.303), (3, 3.182), (4, 2.776), (9, 2.262), (30, 2.042), (5000, 1.960)],
)
def test_student_quantile_meets_the_table(dof, t):
    assert student_t_quantile(0.975, dof) == pytest.approx(t, abs=6e-4)
    assert student_t_quantile(0.025, dof) == pytest.approx(-t, abs=6e-4)


def test_student_quantile_of_two_degrees_has_a_closed_form():
    p = 0.93
    alpha = 4 * p * (1 - p)
    expected = 2 * (p - 0.5) * math.sqrt(2 / alpha)
    assert student_t_quantile(p, 2) == pytest.approx(expected, rel=1e-12)
    assert student_t_two_sided_tail(expected, 2) == pytest.approx(2 * (1 - p), rel=1e-12)


@pytest.mark.parametrize(
    ("value", "dof"), [(3.841459, 1), (5.991465, 2), (7.814728, 3), (11.070498, 5), (18.307038, 10)]
)
def test_chi_square_tail_meets_the_table(value, dof):
    assert chi_square_tail(value, dof) == pytest.approx(0.05, abs=1e-7)


@pytest.mark.parametrize("probability", [0.0, 1.0, -0.1, float("nan")])
def test_a_probability_outside_is_refused(probability):
    for quantile in (
        lambda p: range_quantile(3, p),
        lambda p: student_t_quantile(p, 3),
        normal_quantile,
    ):
        with pytest.raises(InputError):
            quantile(probability)


def test_impossible_counts_are_refused():
    for call in (
        lambda: range_quantile(1, 0.95),
        lambda: student_t_quantile(0.9, 0),
        lambda: student_t_two_sided_tail(1.0, 0),
        lambda: chi_square_tail(1.0, 0),
        lambda: chi_square_tail(-1.0, 3),
    ):
        with pytest.raises(InputError):
            call()

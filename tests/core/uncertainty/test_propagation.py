"""Linear propagation against the full covariance, and drift between checks against its bounds."""

from math import inf, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from seatproof.core.uncertainty.checks import Check, drift_effect, spans
from seatproof.core.uncertainty.contribution import (
    Contribution,
    Distribution,
    Sharing,
    half_width,
)
from seatproof.core.uncertainty.effect import Layout, moving_between_checks, spread
from seatproof.core.uncertainty.errors import UncertaintyError
from seatproof.core.uncertainty.montecarlo import draw_errors
from seatproof.core.uncertainty.propagation import Propagation
from seatproof.core.uncertainty.stream import Stream

STATIONS = [0, 0, 0, 1, 1, 1, 2, 2, 2]


def mixed():
    """A seat of nine sizes with an effect of every sort, some from two gauges."""
    layout = Layout.of(STATIONS, [1.0, 0.5, 0.7, 1.0, 1.0, 1.0, 0.6, 0.6, 1.0])
    shapes = (Distribution.RECTANGULAR, Distribution.NORMAL, Distribution.TRIANGULAR)
    gauge = [0, 0, 0, 0, 1, 1, 1, 1, 1]
    effects = [
        spread(
            Contribution(str(sharing), 0.5 + number, "µm", shape, shape.divisor, 1.0, inf, sharing),
            layout,
            source=gauge,
        )
        for number, (sharing, shape) in enumerate(
            zip((Sharing.ALL, Sharing.STATION, Sharing.POINT), shapes, strict=True)
        )
    ]
    effects.append(
        spread(
            Contribution("s", 0.8, "µm", Distribution.NORMAL, 1.0, 1.0, 9.0, Sharing.READING),
            layout,
        )
    )
    effects.append(
        spread(
            half_width("t", 1.0, unit="K", sensitivity=-1.15),
            layout,
            sensitivity=np.linspace(-1.2, 0.4, 9),
        )
    )
    effects.append(
        moving_between_checks(
            half_width("drift", 2.0),
            [2.0] * 5 + [1.5] * 4,
            [1.0] * 5 + [1.5] * 4,
            [0] * 5 + [1] * 4,
            [0.0, 0.3, 0.1, 0.6, 1.0, 0.2, 0.4, 0.9, 0.5],
        )
    )
    return Propagation(layout, tuple(effects))


@settings(max_examples=25, deadline=None)
@given(st.lists(st.floats(-2, 2), min_size=9, max_size=9))
def test_propagation_is_that_of_the_whole_covariance(weights):
    propagation = mixed()
    w = np.array(weights)
    by_matrix = w @ propagation.covariance_um2() @ w
    assert propagation.of(w).standard_um ** 2 == pytest.approx(by_matrix, abs=1e-9)


def test_covariance_is_one():
    covariance = mixed().covariance_um2()
    assert np.allclose(covariance, covariance.T, atol=1e-12)
    assert np.linalg.eigvalsh(covariance)[0] > 0.0
    assert np.sqrt(np.diag(covariance)) == pytest.approx(mixed().standard_um, abs=1e-12)


def test_drawn_errors_have_the_covariance_that_is_propagated():
    propagation = mixed()
    drawn = draw_errors(propagation, Stream(7), 60_000)
    found = np.cov(drawn, rowvar=False)
    expected = propagation.covariance_um2()
    # The scatter is drawn from Student's t of 9 degrees of freedom: its variance is 9/7 as large.
    scatter = propagation.effects[3].amplitude_um ** 2 * (9 / 7 - 1)
    expected = expected + np.diag(scatter)
    size = np.sqrt(np.outer(np.diag(expected), np.diag(expected)))
    # A covariance of 60 000 draws scatters by up to √2/√60000 of the product of deviations.
    assert np.max(np.abs(found - expected) / size) < 5 * sqrt(2 / 60_000)
    assert np.max(np.abs(np.mean(drawn, axis=0)) / np.sqrt(np.diag(expected))) < 5 / sqrt(60_000)


def test_no_difference_exceeds_its_bound():
    propagation = mixed()
    bound = propagation.difference_um()
    for i in range(9):
        for j in range(i):
            weights = np.zeros(9)
            weights[i], weights[j] = 1.0, -1.0
            assert propagation.of(weights).standard_um <= bound + 1e-12


def test_weights_of_another_number_are_refused():
    with pytest.raises(UncertaintyError, match="9 sizes but 2 weights"):
        mixed().of([1.0, -1.0])


# --- drift ----------------------------------------------------------------------------------------


def test_span_between_two_checks_is_bounded_by_what_they_found():
    before, between, after = spans([Check(100.0, 1.0), Check(0.0, -0.5)], 2.0)
    assert (before.half_width_um, before.drift_um, before.checked) == (2.5, 2.0, False)
    assert (between.half_width_um, between.drift_um, between.checked) == (1.5, 1.5, True)
    assert (after.half_width_um, after.drift_um, after.checked) == (3.0, 2.0, False)
    assert [span.holds(50.0) for span in (before, between, after)] == [False, True, False]


def test_checks_of_the_same_error_leave_no_drift():
    _, between, _ = spans([Check(0.0, 2.0), Check(60.0, 2.0)], 5.0)
    assert (between.half_width_um, between.drift_um) == (2.0, 0.0)
    effect = drift_effect([(between,)], [0, 0], [1.0, 59.0])
    assert effect.variances_um2(np.array([[1.0, -1.0]]))[0] == pytest.approx(0.0, abs=1e-12)
    assert effect.variances_um2(np.array([[0.5, 0.5]]))[0] == pytest.approx(4 / 3, abs=1e-12)


def test_drift_does_not_cancel_between_the_beginning_and_the_end_of_a_span():
    # Off by nothing at the first check, by 3 µm at the second: ± 3 µm at each reading, and ± 3 µm
    # between the first moment and the last; a third of the time apart, a third of that variance.
    _, between, _ = spans([Check(0.0, 0.0), Check(90.0, 3.0)], None)
    effect = drift_effect([(between,)], [0, 0, 0], [0.0, 30.0, 89.999999])
    third = effect.variances_um2(np.array([[1.0, -1.0, 0.0]]))[0]
    whole = effect.variances_um2(np.array([[1.0, 0.0, -1.0]]))[0]
    assert (third, whole) == pytest.approx((1.0, 3.0), abs=1e-6)
    assert effect.amplitude_um == pytest.approx([sqrt(3.0)] * 3, abs=1e-12)


def test_without_any_check_the_allowed_drift_counts():
    (always,) = spans([], 1.0)
    effect = drift_effect([(always,)], [0, 0], [10.0, 20.0])
    assert effect.amplitude_um == pytest.approx([1 / sqrt(3)] * 2, abs=1e-12)
    assert drift_effect([spans([], None)], [0, 0], [10.0, 20.0]) is None


@settings(max_examples=25, deadline=None)
@given(
    st.lists(st.tuples(st.floats(0, 100), st.floats(-3, 3)), min_size=0, max_size=5),
    st.lists(st.floats(-50, 150), min_size=1, max_size=6),
    st.floats(0, 3),
)
def test_drift_of_any_checks_makes_a_covariance(checks, moments, allowed):
    of_gauge = spans([Check(*check) for check in checks], allowed)
    assert all(sum(span.holds(at) for span in of_gauge) == 1 for at in moments)
    effect = drift_effect([of_gauge], [0] * len(moments), moments)
    if effect is None:
        return
    assert np.linalg.eigvalsh(effect.covariance_um2())[0] > -1e-9
    # The worst that the checks found, or allow, is within the half-width of some size.
    assert np.max(effect.amplitude_um) * sqrt(3) == pytest.approx(
        max(next(s for s in of_gauge if s.holds(at)).half_width_um for at in moments), abs=1e-9
    )


def test_zero_that_moved_by_more_than_it_is_off_is_refused():
    with pytest.raises(UncertaintyError):
        moving_between_checks(half_width("drift", 1.0), [1.0], [1.5], [0], [0.5])

"""Budgets worked by hand: a seat of ⌀ 100 at 26 °C, a micrometer of 75 to 100 mm, three repeats.

The figures are those of a table of contributions, each computed again here from its formula.
"""

from math import inf, sqrt

import numpy as np
import pytest

from seatproof.core.uncertainty.budget import budget_of_result, budget_of_size
from seatproof.core.uncertainty.contribution import (
    Contribution,
    Distribution,
    Sharing,
    expanded,
    half_width,
)
from seatproof.core.uncertainty.coverage import Coverage, effective_dof, student_quantile
from seatproof.core.uncertainty.effect import Layout, spread
from seatproof.core.uncertainty.gauge import (
    CurvePoint,
    Evidence,
    GaugeFacts,
    SettingStandard,
    grades,
    indication,
    standard_contribution,
)
from seatproof.core.uncertainty.propagation import Propagation
from seatproof.core.uncertainty.repeatability import Repeatability, reading_contribution
from seatproof.core.uncertainty.temperature import Body, contributions

NORMAL = Distribution.NORMAL
REPEATS = Repeatability(0.9, 30.0, "pooled")
FACTS = GaugeFacts(
    step_um=1.0,
    permissible_error_um=5.0,
    travel_mm=25.0,
    curve=(CurvePoint(75.0, 1.0, 1.2, 2.0), CurvePoint(100.0, -2.0, 1.2, 2.0)),
    standard=SettingStandard(99.0, 1.0),
)


def rows(evidence, kelvin=1.0):
    """The contributions of the table, the certificates and the alignment with their ν."""
    shown = indication(
        GaugeFacts(
            FACTS.step_um,
            FACTS.permissible_error_um,
            FACTS.travel_mm,
            FACTS.curve,
            FACTS.standard,
            evidence,
        ),
        100.0,
    )
    assert shown.evidence is evidence
    steel = Body(26.0, 11.5e-6)
    return (
        reading_contribution(REPEATS, 1.0),
        with_dof(standard_contribution(FACTS.standard), 50.0),
        half_width("drift", 1.0),
        half_width("resolution, reference", 0.5),
        half_width("faces", 1.0),
        half_width("force", 0.6),
        with_dof(half_width("alignment", 0.75), 8.0),
        *contributions(100.0, steel, steel, difference_k=kelvin, expansion_per_kelvin=1e-6),
        with_dof(shown.contribution, 50.0 if evidence is Evidence.CERTIFICATE else inf),
    )


def with_dof(row, dof):
    return Contribution(
        row.name, row.value, row.unit, row.distribution, row.divisor, row.sensitivity, dof
    )


def worked(contributions_, readings=3):
    layout = Layout.of([0], [1 / sqrt(readings)])
    return Propagation(layout, tuple(spread(row, layout) for row in contributions_))


NORMAL_COVERAGE = Coverage()


def of_size(propagation, coverage=NORMAL_COVERAGE):
    return budget_of_size(propagation, 0, propagation.of_size(0), coverage, "one local size")


@pytest.mark.parametrize(
    ("evidence", "kelvin", "combined", "dof", "factor", "expanded_um"),
    [
        (Evidence.PERMISSIBLE_ERROR, 1.0, 3.25, None, 2.0, 6.5),
        (Evidence.CERTIFICATE, 1.0, 1.618, 643, 1.964, 3.18),
        (Evidence.SETTING_STANDARD, 1.0, 1.530, None, 1.965, 3.01),
        (Evidence.SETTING_STANDARD, 0.3, 1.393, None, 1.967, 2.74),
    ],
)
def test_worked_budgets(evidence, kelvin, combined, dof, factor, expanded_um):
    probability = 0.9545 if evidence is Evidence.PERMISSIBLE_ERROR else 0.95
    coverage = Coverage(probability)
    budget = of_size(worked(rows(evidence, kelvin)), coverage)
    # By hand, in the order of the table; the two expansion coefficients are ± 0.6 µm each.
    last = {"permissible error": 5 / sqrt(3), "certificate": 0.6, "setting standard": 0.5 / sqrt(3)}
    parts = [
        0.9 / sqrt(3),
        1.0 / 2,
        1 / sqrt(3),
        0.5 / sqrt(3),
        1 / sqrt(3),
        0.6 / sqrt(3),
        0.75 / sqrt(3),
        100_000 * 11.5e-6 * kelvin / sqrt(3),
        100_000 * 1e-6 * 6 / sqrt(3),
        100_000 * 1e-6 * 6 / sqrt(3),
        last[evidence],
    ]
    assert [row.standard_um for row in budget.rows] == pytest.approx(parts, abs=1e-12)
    assert budget.standard_um == pytest.approx(sqrt(sum(part**2 for part in parts)), abs=1e-12)
    assert budget.standard_um == pytest.approx(combined, abs=6e-3 if combined > 3 else 6e-4)
    nu = [30, 50, inf, inf, inf, inf, 8, inf, inf, inf]
    nu.append(50 if evidence is Evidence.CERTIFICATE else inf)
    by_hand = budget.standard_um**4 / sum(u**4 / v for u, v in zip(parts, nu, strict=True))
    assert budget.dof == pytest.approx(by_hand, rel=1e-9)
    if dof is not None:
        assert budget.dof == pytest.approx(dof, abs=0.5)
    assert budget.coverage_factor == pytest.approx(factor, abs=2e-3)
    assert budget.expanded_um == pytest.approx(
        expanded_um, abs=0.05 if combined > 3 else 6e-3
    )  # printed rounded up
    assert sum(row.share for row in budget.rows) == pytest.approx(1.0, abs=1e-12)


def test_both_expansion_coefficients_are_the_triangular_row_of_the_table():
    # Two rectangular ± 1e-6/K make a triangular ± 2e-6/K: 2·0.6/√6 = 0.490 µm.
    steel = Body(26.0, 11.5e-6)
    _, shaft, gauge = contributions(
        100.0, steel, steel, difference_k=1.0, expansion_per_kelvin=1e-6
    )
    assert np.hypot(shaft.standard_um, gauge.standard_um) == pytest.approx(1.2 / sqrt(6), abs=1e-12)


def test_permissible_error_is_four_fifths_of_its_budget():
    budget = of_size(worked(rows(Evidence.PERMISSIBLE_ERROR)))
    assert budget.rows[-1].share == pytest.approx(0.79, abs=5e-3)


def test_twelve_readings_instead_of_three_gain_little():
    certificate = rows(Evidence.CERTIFICATE)
    assert worked(certificate, 12).of_size(0).standard_um == pytest.approx(1.554, abs=6e-4)


@pytest.mark.parametrize(
    ("dof", "factor"), [(2, 4.53), (4, 2.87), (10, 2.28), (20, 2.13), (50, 2.05), (inf, 2.0)]
)
def test_coverage_factor_for_9545(dof, factor):
    assert Coverage().factor(dof) == pytest.approx(factor, abs=5e-3)


def test_fixed_factor_is_taken_as_it_is():
    assert Coverage(0.9545, 2.5).factor(3.0) == 2.5


@pytest.mark.parametrize("dof", [201.7, 450.0, 3000.0])
def test_quantile_of_many_degrees_of_freedom_against_an_integral(dof):
    # Simpson's rule over the density of Student's t, ν as it is.
    quantile = student_quantile(0.977, dof)
    t = np.linspace(0.0, quantile, 4001)
    density = (1 + t**2 / dof) ** (-(dof + 1) / 2)
    far = np.linspace(0.0, 40.0, 80_001)
    whole = 2 * np.trapezoid((1 + far**2 / dof) ** (-(dof + 1) / 2), far)
    weights = np.ones_like(t)
    weights[1:-1:2], weights[2:-1:2] = 4, 2
    inside = np.sum(weights * density) * (t[1] - t[0]) / 3 / whole
    assert inside == pytest.approx(0.477, abs=1e-6)


def test_degrees_of_freedom_of_equal_parts_add_up():
    assert effective_dof([(1.0, 5.0)] * 4) == pytest.approx(20.0, abs=1e-9)
    assert effective_dof([(1.0, inf), (2.0, inf)]) == inf


# --- the grades of evidence -----------------------------------------------------------------------


def test_what_a_better_grade_would_gain():
    rest = sqrt(1.618**2 - 0.6**2)
    facts = GaugeFacts(1.0, 5.0, 25.0, FACTS.curve, FACTS.standard)
    found = grades(facts, 100.0, rest, 2.0)
    assert [grade.evidence for grade in found] == list(Evidence)
    assert [grade.standard_um for grade in found] == pytest.approx([3.25, 1.618, 1.530], abs=6e-3)
    assert [grade.in_use for grade in found] == [True, False, False]
    assert all(grade.assumption == "" for grade in found)
    assert found[0].expanded_um == pytest.approx(2 * found[0].standard_um, abs=1e-12)


def test_grade_that_is_not_at_hand_says_what_it_assumes():
    found = grades(GaugeFacts(1.0, 5.0), 100.0, 1.0, 2.0)
    assert found[0].assumption == ""
    assert "U of 25% of the permissible error" in found[1].assumption
    assert found[1].standard_um == pytest.approx(sqrt(1 + 0.625**2), abs=1e-12)
    assert "within 1 mm" in found[2].assumption
    assert found[2].standard_um == pytest.approx(sqrt(1 + 0.25 / 3), abs=1e-12)


def test_certificate_is_applied_with_the_opposite_sign_of_its_error():
    shown = indication(GaugeFacts(1.0, 5.0, curve=FACTS.curve, evidence=Evidence.CERTIFICATE), 90.0)
    # Error from +1 µm at 75 mm to -2 µm at 100 mm: -0.8 µm at 90 mm, to be added back.
    assert shown.correction_um == pytest.approx(0.8, abs=1e-12)
    assert shown.contribution.standard_um == pytest.approx(0.6, abs=1e-12)


@pytest.mark.parametrize("size_mm", [74.9, 100.1])
def test_size_beyond_the_certificate_falls_back_on_the_makers_limit(size_mm):
    facts = GaugeFacts(1.0, 5.0, curve=FACTS.curve, evidence=Evidence.CERTIFICATE)
    shown = indication(facts, size_mm)
    assert shown.evidence is Evidence.PERMISSIBLE_ERROR
    assert shown.correction_um == 0.0
    assert "75 mm to 100 mm" in shown.lacking


@pytest.mark.parametrize(
    ("standard_mm", "used"), [(99.0, "setting standard"), (98.9, "permissible error")]
)
def test_standard_stands_for_sizes_near_it_only(standard_mm, used):
    facts = GaugeFacts(
        1.0, 5.0, standard=SettingStandard(standard_mm, 1.0), evidence=Evidence.SETTING_STANDARD
    )
    assert indication(facts, 100.0).evidence == used


def test_nothing_known_of_a_gauge_bounds_nothing():
    shown = indication(GaugeFacts(1.0), 100.0)
    assert shown.contribution is None
    assert "enter its permissible error" in shown.lacking


# --- repeatability and resolution ----------------------------------------------------------------


@pytest.mark.parametrize(
    ("standard_um", "name", "local_um"),
    [
        (0.9, "repeatability", 0.9 / 2),
        (0.2, "resolution, reading", 0.5 / sqrt(3)),  # averaging four does not thin a step
        (None, "resolution, reading", 0.5 / sqrt(3)),
    ],
)
def test_repeatability_and_resolution_are_not_counted_twice(standard_um, name, local_um):
    repeats = None if standard_um is None else Repeatability(standard_um, 10.0, "pooled")
    row = reading_contribution(repeats, 1.0)
    layout = Layout.of([0], [1 / sqrt(4)])
    propagation = Propagation(layout, (spread(row, layout),))
    budget = of_size(propagation)
    assert [found.name for found in budget.rows] == [name]
    assert budget.standard_um == pytest.approx(local_um, abs=1e-12)
    assert budget.rows[0].value / budget.rows[0].divisor == pytest.approx(local_um, abs=1e-12)


def test_unresolved_readings_count_by_the_worst_that_they_may_share():
    row = reading_contribution(None, 1.0)
    layout = Layout.of([0, 0, 1, 1])
    propagation = Propagation(layout, (spread(row, layout),))
    step = 0.5 / sqrt(3)
    # All alike: the mean is as bad as one reading. Each for itself: a difference is √2 worse.
    assert propagation.of([0.25] * 4).standard_um == pytest.approx(step, abs=1e-12)
    assert propagation.of([1, -1, 0, 0]).standard_um == pytest.approx(sqrt(2) * step, abs=1e-12)
    # Alike at a station: the difference of two stations' means is as bad as that of two readings.
    half = [0.5, 0.5, -0.5, -0.5]
    assert propagation.of(half).standard_um == pytest.approx(sqrt(2) * step, abs=1e-12)


# --- what cancels --------------------------------------------------------------------------------


def test_what_all_share_cancels_in_a_difference_and_stays_in_a_mean():
    layout = Layout.of([0, 0, 1, 1])
    effects = (
        spread(expanded("standard", 2.0, 2.0), layout),
        spread(Contribution("scatter", 0.4, "µm", NORMAL, 1.0, sharing=Sharing.READING), layout),
    )
    propagation = Propagation(layout, effects)
    assert propagation.of([0.25] * 4).standard_um == pytest.approx(sqrt(1 + 0.04), abs=1e-12)
    difference = propagation.of([0.5, 0.5, -0.5, -0.5])
    assert difference.parts_um == pytest.approx((0.0, 0.4), abs=1e-12)
    budget = budget_of_result(propagation, difference, Coverage(), "taper")
    assert [row.share for row in budget.rows] == pytest.approx([0.0, 1.0], abs=1e-12)


def test_error_of_a_station_stays_in_its_mean_and_goes_out_of_its_ovality():
    layout = Layout.of([0, 0, 1, 1])
    row = Contribution("clamping", 0.6, "µm", NORMAL, 1.0, sharing=Sharing.STATION)
    propagation = Propagation(layout, (spread(row, layout),))
    assert propagation.of([0.5, 0.5, 0, 0]).standard_um == pytest.approx(0.6, abs=1e-12)
    assert propagation.of([1, -1, 0, 0]).standard_um == 0.0
    assert propagation.of([0.25] * 4).standard_um == pytest.approx(0.6 / sqrt(2), abs=1e-12)

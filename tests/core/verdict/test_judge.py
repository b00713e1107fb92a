"""Judgements on one value against published and hand-made numbers, and the errors they promise."""

from decimal import Decimal
from math import erf, exp, inf, log, nextafter, sqrt

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.stats import t as student

from seatproof.core.verdict.errors import KnowledgeError, LimitsOrderError, RuleError
from seatproof.core.verdict.judge import Ground, Side, judge
from seatproof.core.verdict.knowledge import Estimate, Trials, one_sided_factor, upper_tail
from seatproof.core.verdict.limits import Limits, exact
from seatproof.core.verdict.rule import Rule, Verdict

GUARDED = Rule(guarded=True)
SIMPLE = Rule(guarded=False)
BY_PROBABILITY = Rule.named("probability", 0.95)
CONFORMS, FAILS, UNKNOWN = Verdict.CONFORMS, Verdict.DOES_NOT_CONFORM, Verdict.NOT_PROVEN
H6_100 = Limits.of(-22, 0)  # µm; ISO 286, 100 h6
CASE_A, CASE_B = 3.25, 1.618  # µm; with the maker's limit alone, and with a calibration curve


def test_example_of_jcgm_106():
    # JCGM 106:2012, 7.4: y = 13.6, u = 1.8, limits 12.5 and 16.3; by hand
    # Φ(1.5) − Φ(−0.6111) = 0.93319 − 0.27057 = 0.66263.
    judged = judge(Estimate(13.6, 1.8), Limits.of(12.5, 16.3), GUARDED)
    assert judged.probability == pytest.approx(0.6626, abs=5e-5)
    assert judged.consumer_risk == pytest.approx(0.3374, abs=5e-5)
    assert judged.producer_risk == judged.probability


# One near limit each: Φ(distance / 1.618) from tables of the normal distribution.
@pytest.mark.parametrize(
    ("departure_um", "probability"),
    [(-15.7, 1.000), (-20, 0.892), (-21, 0.732), (-22, 0.500), (-23, 0.268), (1, 0.268)],
)
def test_probability_of_conformity_of_an_h6_seat(departure_um, probability):
    judged = judge(Estimate(departure_um, CASE_B), H6_100, GUARDED)
    assert judged.probability == pytest.approx(probability, abs=5e-4)


@pytest.mark.parametrize(
    ("rule", "uncertainty", "zone"),
    [
        (SIMPLE, CASE_B, (-22.0, 0.0)),
        (GUARDED, CASE_B, (-19.34, -2.66)),  # 1.6449 · 1.618 = 2.661
        (GUARDED, CASE_A, (-16.65, -5.35)),  # 1.6449 · 3.25 = 5.346
    ],
)
def test_acceptance_zone_of_an_h6_seat(rule, uncertainty, zone):
    judged = judge(Estimate(-11.0, uncertainty), H6_100, rule)
    assert judged.acceptance.lower == pytest.approx(zone[0], abs=0.005)
    assert judged.acceptance.upper == pytest.approx(zone[1], abs=0.005)
    assert judged.guard == pytest.approx(zone[0] + 22.0, abs=0.005)


def test_far_limits_leave_the_one_sided_guard_band():
    assert GUARDED.inner_guard(CASE_B, 22.0) == pytest.approx(1.6449 * CASE_B, abs=1e-4)
    assert GUARDED.inner_guard(CASE_B, None) == GUARDED.guard_band(CASE_B)


@pytest.mark.parametrize("tolerance", [3.93, 4.0, 4.5, 6.0])
def test_near_limits_widen_the_guard_band_until_the_zone_holds_its_probability(tolerance):
    guard = GUARDED.inner_guard(1.0, tolerance)
    assert guard > 1.6449

    def normal(x):
        return 0.5 * (1.0 + erf(x / sqrt(2.0)))

    # A value on the edge of the acceptance zone: its conforming share, written out.
    assert normal(guard) - normal(guard - tolerance) == pytest.approx(0.95, abs=1e-9)


def test_no_value_is_accepted_below_the_zone_that_the_normal_distribution_needs():
    # 2 Φ(1.95996) − 1 = 0.95: a zone of 3.9199 u is the narrowest in which anything is proved.
    assert GUARDED.acceptance_zone(Limits.of(0, 3.9198), 1.0) is None
    assert GUARDED.acceptance_zone(Limits.of(0, 3.9201), 1.0) is not None
    judged = judge(Estimate(1.9, 1.0), Limits.of(0, 3.8), GUARDED)
    assert (judged.verdict, judged.ground, judged.guard) == (UNKNOWN, Ground.NO_ZONE, None)


def test_narrow_zone_does_not_prove_that_a_value_in_it_lies_outside():
    # p of conformity is 0.04 here, but neither limit is exceeded with any certainty.
    judged = judge(Estimate(0.05, 1.0), Limits.of(0, 0.1), GUARDED)
    assert judged.probability < 0.05
    assert judged.verdict is UNKNOWN


@pytest.mark.parametrize(
    ("value", "verdict", "ground"),
    [
        ("110.025", CONFORMS, Ground.INSIDE),  # on the limit
        ("110.003", CONFORMS, Ground.INSIDE),
        ("110.0250001", FAILS, Ground.BEYOND_LIMIT),
        ("110.0029999", FAILS, Ground.BEYOND_LIMIT),
    ],
)
@pytest.mark.parametrize("kind", [Decimal, float])
def test_simple_acceptance_compares_exact_decimals(value, verdict, ground, kind):
    limits = Limits(Decimal("110.003"), Decimal("110.025"))
    judged = judge(Estimate(kind(value), 0.001), limits, SIMPLE)
    assert (judged.verdict, judged.ground) == (verdict, ground)


def test_inch_limit_is_not_rounded_outward():
    # 3.937 in is 99.9998 mm exactly; a reading of 3.93700001 in is above it.
    limits = Limits(None, Decimal("3.937") * Decimal("25.4"))
    assert limits.holds(Decimal("3.937") * Decimal("25.4"))
    assert limits.holds(99.9998)
    assert not limits.holds(Decimal("3.93700001") * Decimal("25.4"))
    assert exact(99.9998) == Decimal("99.9998")


def test_simple_acceptance_asks_for_a_small_enough_uncertainty():
    rule = Rule.named("simple", largest_expanded=3.0)
    middle = Estimate(-11.0, 1.5)
    assert judge(middle, H6_100, rule, expanded=3.0).verdict is CONFORMS
    judged = judge(middle, H6_100, rule, expanded=nextafter(3.0, inf))
    assert (judged.verdict, judged.ground) == (UNKNOWN, Ground.UNCERTAINTY_TOO_LARGE)
    with pytest.raises(RuleError, match="none was given"):
        judge(middle, H6_100, rule)


def test_side_and_margin_name_the_limit_in_danger():
    assert judge(Estimate(-20.0, 1.0), H6_100, GUARDED).side is Side.LOWER
    judged = judge(Estimate(2.0, 1.0), H6_100, GUARDED)
    assert (judged.side, judged.margin) == (Side.UPPER, -2.0)
    assert judge(Estimate(1.0, 1.0), Limits.of(upper=4.0), GUARDED).margin == 3.0


def test_value_without_uncertainty_is_judged_as_it_is():
    assert judge(Estimate(0.0, 0.0), H6_100, GUARDED).verdict is CONFORMS
    assert judge(Estimate(0.1, 0.0), H6_100, GUARDED).verdict is FAILS
    assert judge(Estimate(0.0, 0.0), H6_100, GUARDED).probability == 1.0


# Student's t


# Tables of Student's t, one-sided 95 %.
@pytest.mark.parametrize(
    ("freedom", "factor"), [(1, 6.3138), (2, 2.9200), (4, 2.1318), (10, 1.8125), (120, 1.6577)]
)
def test_few_degrees_of_freedom_widen_the_guard_band(freedom, factor):
    assert one_sided_factor(0.95, freedom) == pytest.approx(factor, abs=1e-4)
    assert upper_tail(one_sided_factor(0.95, freedom), freedom) == pytest.approx(0.05, abs=1e-9)
    assert GUARDED.guard_band(2.0, freedom) == pytest.approx(2.0 * factor, abs=2e-4)


def test_degrees_of_freedom_are_rounded_down():
    assert one_sided_factor(0.95, 4.99) == one_sided_factor(0.95, 4)
    assert one_sided_factor(0.95, 4.0 - 1e-12) == one_sided_factor(0.95, 4)


def test_series_for_many_degrees_of_freedom_continues_the_finite_sums():
    # scipy.stats.t.sf, which uses the incomplete beta function.
    for freedom in (29, 30, 31, 64, 500):
        for deviate in (-2.0, -0.1, 0.3, 1.6449, 3.0, 8.0):
            expected = student.sf(deviate, freedom)
            assert upper_tail(deviate, freedom) == pytest.approx(expected, abs=1e-11)
        assert one_sided_factor(0.95, freedom) == pytest.approx(
            student.ppf(0.95, freedom), abs=1e-9
        )
    assert upper_tail(1.6449, 1e9) == pytest.approx(upper_tail(1.6449), abs=1e-8)


# What the rules promise: 10 000 simulated seats with the true size exactly on a limit.


@pytest.mark.parametrize("limit", [-22.0, 0.0])
@pytest.mark.parametrize(("rule", "least", "most"), [(GUARDED, 0.03, 0.05), (SIMPLE, 0.48, 0.52)])
def test_share_accepted_with_the_true_size_on_a_limit(rule, least, most, limit):
    # 5 in 100 is just what the rule allows, and 10 000 seats scatter about it by 0.22 in 100.
    scatter = 2.5 * sqrt(0.05 * 0.95 / 10_000)
    read = np.random.default_rng(2).normal(limit, CASE_B, 10_000)
    zone = judge(Estimate(limit, CASE_B), H6_100, rule).acceptance
    accepted = np.mean((read >= zone.lower) & (read <= zone.upper))
    # The zone is what judge() decides by; a sample of single judgements says the same.
    for value in read[:300].tolist():
        verdict = judge(Estimate(value, CASE_B), H6_100, rule).verdict
        assert (verdict is CONFORMS) == zone.holds(value)
    assert least <= accepted <= most + scatter


def test_uncertainty_from_three_repeats_needs_the_t_distribution():
    rng = np.random.default_rng(5)
    read = rng.normal(0.0, 1.0, (10_000, 3))
    means, spreads = read.mean(axis=1), read.std(axis=1, ddof=1) / sqrt(3.0)
    upper = Limits.of(upper=0.0)

    def accepted(freedom):
        return np.mean(means <= -spreads * GUARDED.guard_band(1.0, freedom))

    judged = judge(Estimate(float(means[0]), float(spreads[0]), 2), upper, GUARDED)
    assert judged.refusal.upper == pytest.approx(2.92 * spreads[0], rel=1e-4)
    assert 0.04 <= accepted(2) <= 0.06
    assert accepted(inf) > 0.10  # a normal factor promises twice what it keeps


# Trials


def test_trials_of_a_normal_distribution_agree_with_its_formula():
    draws = np.random.default_rng(7).normal(-20.0, CASE_B, 40_000)
    by_trials = judge(Trials.of(-20.0, draws), H6_100, BY_PROBABILITY)
    by_formula = judge(Estimate(-20.0, CASE_B), H6_100, BY_PROBABILITY)
    assert by_trials.probability == pytest.approx(by_formula.probability, abs=0.005)
    assert by_trials.acceptance.lower == pytest.approx(by_formula.acceptance.lower, abs=0.06)
    assert by_trials.acceptance.upper == pytest.approx(by_formula.acceptance.upper, abs=0.06)
    assert by_trials.refusal.lower == pytest.approx(by_formula.refusal.lower, abs=0.06)
    # Cautious against the seed: never wider than what the formula allows.
    assert by_trials.acceptance.width < by_formula.acceptance.width


def test_trials_of_a_skewed_distribution_follow_its_own_quantiles():
    # Exponential errors: P(error > q) = 0.05 at q = ln 20; the lower edge needs none of it.
    # Even quantiles in place of draws, so that only the two standard errors remain.
    count = 20_000
    errors = np.array([-log(1.0 - (i + 0.5) / count) for i in range(count)])
    judged = judge(Trials.of(0.0, errors), Limits.of(upper=5.0), BY_PROBABILITY)
    share = 0.95 + 2.0 * sqrt(0.95 * 0.05 / count)
    assert judged.acceptance.upper == pytest.approx(5.0 + log(1.0 - share), abs=1e-3)
    assert judged.probability == pytest.approx(1.0 - exp(-5.0), abs=1e-4)
    assert judged.verdict is CONFORMS
    lower = judge(Trials.of(0.0, errors), Limits.of(lower=0.0), BY_PROBABILITY)
    assert lower.acceptance.lower == pytest.approx(log(share), abs=1e-3)


@pytest.mark.parametrize("rule", [GUARDED, BY_PROBABILITY])
def test_verdict_of_trials_is_that_of_their_zone(rule):
    errors = np.random.default_rng(3).gamma(2.0, 1.0, 5000)
    for value in np.linspace(-12, 22, 69).tolist():
        judged = judge(Trials.of(value, errors + value), Limits.of(0, 10), rule)
        assert (judged.verdict is CONFORMS) == judged.acceptance.holds(value)
        assert (judged.verdict is FAILS) == (not judged.refusal.holds(value))


def test_trials_wider_than_the_zone_prove_nothing():
    draws = np.random.default_rng(1).uniform(-5, 5, 1000)
    judged = judge(Trials.of(0.0, draws), Limits.of(-1, 1), BY_PROBABILITY)
    assert (judged.verdict, judged.acceptance, judged.ground) == (UNKNOWN, None, Ground.NO_ZONE)


# Properties

departures = st.floats(-60, 60)
uncertainties = st.floats(0.01, 20)
freedoms = st.sampled_from([1.0, 2.0, 5.0, 30.0, inf])


@given(departures, uncertainties, freedoms)
def test_mirrored_value_is_judged_alike(value, uncertainty, freedom):
    limits = Limits.of(-25.5, 25.5)
    here = judge(Estimate(value, uncertainty, freedom), limits, GUARDED)
    there = judge(Estimate(-value, uncertainty, freedom), limits, GUARDED)
    assert here.probability == pytest.approx(there.probability, abs=1e-12)
    assert here.verdict is there.verdict


@given(departures, uncertainties, st.sampled_from([0.001, 25.4, 1000.0, 1 / 25.4]))
def test_unit_does_not_matter(value, uncertainty, factor):
    limits = Limits.of(-25.5, 25.5)
    here = judge(Estimate(value, uncertainty), limits, GUARDED)
    assume(here.acceptance is None or abs(abs(value) - here.acceptance.upper) > 1e-9)
    assume(abs(abs(value) - here.refusal.upper) > 1e-9)
    scaled = Limits.of(-25.5 * factor, 25.5 * factor)
    there = judge(Estimate(value * factor, uncertainty * factor), scaled, GUARDED)
    assert here.probability == pytest.approx(there.probability, abs=1e-9)
    assert here.verdict is there.verdict


@given(st.floats(-25.5, 25.5), uncertainties, st.floats(1.01, 5.0), freedoms)
def test_larger_uncertainty_never_makes_a_value_inside_more_certain(value, u, more, freedom):
    limits = Limits.of(-25.5, 25.5)
    sure = judge(Estimate(value, u, freedom), limits, GUARDED)
    unsure = judge(Estimate(value, u * more, freedom), limits, GUARDED)
    assert unsure.probability <= sure.probability + 1e-12
    if sure.verdict is not CONFORMS:
        assert unsure.verdict is not CONFORMS


@given(departures, uncertainties, freedoms)
def test_guard_band_and_probability_are_one_rule_for_an_estimate(value, uncertainty, freedom):
    limits = Limits.of(-25.5, 25.5)
    known = Estimate(value, uncertainty, freedom)
    by_band, by_share = judge(known, limits, GUARDED), judge(known, limits, BY_PROBABILITY)
    assert by_band.verdict is by_share.verdict
    assume(abs(by_band.probability - 0.95) > 1e-9)
    assert (by_band.verdict is CONFORMS) == (by_band.probability > 0.95)


@given(st.floats(-1e3, 1e3), st.floats(0, 50), freedoms)
def test_probabilities_of_all_outcomes_add_up_to_one(value, uncertainty, freedom):
    known = Estimate(value, uncertainty, freedom)
    total = known.below(-3.0) + known.inside(-3.0, 4.0) + known.beyond(4.0)
    assert total == pytest.approx(1.0, abs=1e-9)


# What cannot be judged


@pytest.mark.parametrize(
    ("lower", "upper", "sentence"),
    [
        (None, None, "give one of them"),
        (2.0, 1.0, "above the upper"),
        (0.0, inf, "finite"),
        (float("nan"), 1.0, "finite"),
    ],
)
def test_limits_between_which_nothing_lies_are_refused(lower, upper, sentence):
    with pytest.raises(LimitsOrderError, match=sentence):
        Limits.of(lower, upper)


@pytest.mark.parametrize(
    "knowing",
    [
        lambda: Estimate(float("nan"), 1.0),
        lambda: Estimate(Decimal("Infinity"), 1.0),
        lambda: Estimate(1.0, -0.1),
        lambda: Estimate(1.0, inf),
        lambda: Estimate(1.0, 1.0, 0.5),
        lambda: Estimate(1.0, 1.0, float("nan")),
        lambda: Trials.of(0.0, [1.0] * 99),
        lambda: Trials.of(0.0, [float("nan")] * 200),
        lambda: Trials.of(inf, [1.0] * 200),
    ],
)
def test_knowledge_that_is_none_is_refused(knowing):
    with pytest.raises(KnowledgeError, match="cannot be used"):
        knowing()


@pytest.mark.parametrize("name", ["guard", "", "Simple"])
def test_unknown_rule_is_refused_by_name(name):
    with pytest.raises(RuleError, match="guard band"):
        Rule.named(name)


@pytest.mark.parametrize("name", ["guard band", "simple", "probability"])
def test_rule_keeps_its_name(name):
    assert Rule.named(name).name == name


def test_rule_with_impossible_numbers_is_refused():
    with pytest.raises(RuleError, match="probability"):
        Rule.named("guard band", 1.0)
    with pytest.raises(RuleError, match="limit on U"):
        Rule.named("simple", largest_expanded=0.0)

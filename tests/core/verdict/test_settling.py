"""What would settle a verdict, worked by hand from a budget of a workshop micrometer."""

from dataclasses import replace
from math import sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from seatproof.core.verdict.errors import KnowledgeError
from seatproof.core.verdict.judge import judge
from seatproof.core.verdict.knowledge import Estimate
from seatproof.core.verdict.limits import Limits
from seatproof.core.verdict.parts import Effort, Part, Shared, Statistic, standard_uncertainty
from seatproof.core.verdict.rule import Rule, Verdict
from seatproof.core.verdict.settling import (
    MOST_REPEATS,
    Alternative,
    Remedy,
    needed_uncertainty,
    what_would_settle,
)

GUARDED = Rule(guarded=True)
H6_100 = Limits.of(-22, 0)

# Standard uncertainties in µm of a seat of 100 mm at 26 °C, micrometer 75 to 100 mm: limits
# divided by √3, √6 or k, as each contribution's distribution asks.
OTHERS = (
    Part("setting standard", 1.0 / 2, Shared.COMMON),
    Part("drift", 1.0 / sqrt(3), Shared.COMMON),
    Part("step at zeroing", 0.5 / sqrt(3), Shared.COMMON),
    Part("faces", 1.0 / sqrt(3), Shared.COMMON),
    Part("force", 0.6 / sqrt(3), Shared.COMMON),
    Part("alignment", 0.75 / sqrt(3), Shared.COMMON),
    Part("temperature difference", 1.15 / sqrt(3), Shared.COMMON),
    Part("expansion", 2.0 * 0.6 / sqrt(6), Shared.COMMON),
)
REPEATS = Part("repeatability", 0.9, Shared.READING)
MAKERS_LIMIT = (*OTHERS, REPEATS, Part("indication", 5.0 / sqrt(3), Shared.COMMON))
CERTIFICATE = (*OTHERS, REPEATS, Part("indication", 1.2 / 2, Shared.COMMON))
ONE_POINT = Effort(1, 1, 3)
CERTIFIED = Alternative("apply the calibration certificate", CERTIFICATE)


@pytest.mark.parametrize(
    ("parts", "repeats", "expected_um"),
    [
        (MAKERS_LIMIT, 3, 3.25),
        (CERTIFICATE, 3, 1.618),
        (CERTIFICATE, 12, 1.554),  # four times the readings, hardly less
    ],
)
def test_budget_in_three_parts_gives_the_worked_standard_uncertainty(parts, repeats, expected_um):
    found = standard_uncertainty(parts, Effort(1, 1, repeats), Statistic.LOCAL_SIZES)
    assert found == pytest.approx(expected_um, abs=0.002 if expected_um < 3 else 0.005)


def test_mean_thins_only_what_is_not_shared():
    parts = (
        Part("c", 2.0, Shared.COMMON),
        Part("s", 6.0, Shared.STATION),
        Part("r", 12.0, Shared.READING),
    )
    effort = Effort(stations=4, orientations=3, repeats=2)
    expected = {
        Statistic.LOCAL_SIZES: 4 + 36 + 144 / 2,
        Statistic.STATION_MEANS: 4 + 36 + 144 / 6,
        Statistic.OVERALL_MEAN: 4 + 36 / 4 + 144 / 24,
    }
    for statistic, variance in expected.items():
        assert standard_uncertainty(parts, effort, statistic) == pytest.approx(sqrt(variance))


def test_needed_uncertainty_of_a_value_inside_is_its_margin_over_the_factor():
    would, needed = needed_uncertainty(-20.0, H6_100, GUARDED)
    assert would is Verdict.CONFORMS
    assert needed == pytest.approx(2.0 / 1.644854, abs=1e-6)


def test_needed_uncertainty_of_a_value_outside_proves_that_it_does_not_conform():
    would, needed = needed_uncertainty(3.0, H6_100, GUARDED)
    assert would is Verdict.DOES_NOT_CONFORM
    assert needed == pytest.approx(3.0 / 1.644854, abs=1e-6)


def test_value_in_the_middle_needs_the_two_sided_uncertainty():
    _, needed = needed_uncertainty(-11.0, H6_100, GUARDED)
    assert needed == pytest.approx(11.0 / 1.959964, abs=1e-4)


def test_nothing_proves_a_value_on_a_limit():
    assert needed_uncertainty(0.0, H6_100, GUARDED) == (None, 0.0)
    settled = what_would_settle(
        0.0, H6_100, GUARDED, MAKERS_LIMIT, ONE_POINT, Statistic.LOCAL_SIZES,
        alternatives=[CERTIFIED],
    )  # fmt: skip
    assert settled.would_prove is None
    assert settled.settling == ()


def test_better_gauge_settles_what_repeats_cannot():
    # At −18.5 a standard uncertainty of 3.5 / 1.645 = 2.13 is needed: the certificate has 1.62,
    # the maker's limit 3.21 however many readings are taken.
    settled = what_would_settle(
        -18.5, H6_100, GUARDED, MAKERS_LIMIT, ONE_POINT, Statistic.LOCAL_SIZES,
        alternatives=[CERTIFIED],
    )  # fmt: skip
    assert settled.present == pytest.approx(3.25, abs=0.005)
    assert settled.remainder == pytest.approx(sqrt(3.25**2 - 0.52**2), abs=0.01)
    assert settled.largest_part == "indication"
    assert settled.largest_share == pytest.approx(2.887**2 / settled.remainder**2, abs=1e-3)
    (way,) = settled.settling
    assert (way.remedy, way.name) == (Remedy.BETTER_PART, CERTIFIED.name)
    # One reading would do with the certificate, and three are there already.
    assert way.more_readings == 0
    repeats = next(way for way in settled.ways if way.remedy is Remedy.REPEATS)
    assert not repeats.settles
    assert repeats.effort.repeats == MOST_REPEATS


def test_fewest_further_repeats_are_named():
    # u² = 1 + 4/n has to come down to (2.4 / 1.645)² = 2.129: n = 4 gives 2, n = 3 gives 2.33.
    parts = (Part("standard", 1.0, Shared.COMMON), Part("repeats", 2.0, Shared.READING))
    settled = what_would_settle(
        2.4, Limits.of(0, 50), GUARDED, parts, Effort(5, 6, 1), Statistic.LOCAL_SIZES
    )
    (way,) = settled.settling
    assert (way.remedy, way.effort.repeats) == (Remedy.REPEATS, 4)
    assert way.more_readings == 3  # at the point in question
    assert way.standard_uncertainty == pytest.approx(sqrt(2.0))


def test_mean_of_stations_may_be_settled_by_orientations_or_stations():
    parts = (Part("form", 3.0, Shared.STATION), Part("repeats", 1.0, Shared.READING))
    settled = what_would_settle(
        2.0, Limits.of(0, 50), GUARDED, parts, Effort(2, 4, 1), Statistic.OVERALL_MEAN
    )
    # 9 / n + 1 / (4 n) <= (2 / 1.645)² = 1.478 from n = 7 stations on; nothing else helps.
    (way,) = settled.settling
    assert (way.remedy, way.effort) == (Remedy.STATIONS, Effort(7, 4, 1))
    assert settled.remainder == 0.0
    assert (settled.largest_part, settled.largest_share) == ("", 0.0)


def test_local_sizes_do_not_average_over_orientations():
    settled = what_would_settle(
        2.0, H6_100, GUARDED, MAKERS_LIMIT, ONE_POINT, Statistic.LOCAL_SIZES
    )
    assert {way.remedy for way in settled.ways} == {Remedy.REPEATS}


def test_simple_acceptance_needs_no_settling():
    settled = what_would_settle(
        -1.0, H6_100, Rule(guarded=False), MAKERS_LIMIT, ONE_POINT, Statistic.LOCAL_SIZES
    )
    assert settled.would_prove is Verdict.CONFORMS
    assert settled.settling


@given(
    st.floats(-40, 20).filter(lambda value: abs(value) > 1e-6 and abs(value + 22) > 1e-6),
    st.floats(0.1, 6),
    st.floats(0.1, 6),
    st.integers(1, 4),
)
def test_what_is_said_to_settle_does_settle(value, common, own, repeats):
    parts = (Part("c", common, Shared.COMMON), Part("r", own, Shared.READING))
    settled = what_would_settle(
        value, H6_100, GUARDED, parts, Effort(3, 4, repeats), Statistic.LOCAL_SIZES
    )
    for way in settled.ways:
        verdict = judge(Estimate(value, way.standard_uncertainty), H6_100, GUARDED).verdict
        assert (verdict is settled.would_prove) == way.settles
        if way.settles and way.effort.repeats > repeats + 1:
            fewer = replace(way.effort, repeats=way.effort.repeats - 1)
            weaker = standard_uncertainty(parts, fewer, Statistic.LOCAL_SIZES)
            assert judge(Estimate(value, weaker), H6_100, GUARDED).verdict is Verdict.NOT_PROVEN


def test_impossible_parts_and_efforts_are_refused():
    with pytest.raises(KnowledgeError, match="drift"):
        Part("drift", -1.0, Shared.COMMON)
    with pytest.raises(KnowledgeError, match="orientations"):
        Effort(1, 0, 1)

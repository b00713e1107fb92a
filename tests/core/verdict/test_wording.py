"""Sentences on what would settle a verdict: the right ones, with the right numbers."""

from seatproof.core.units import Unit
from seatproof.core.verdict.limits import Limits
from seatproof.core.verdict.parts import Effort, Part, Shared, Statistic
from seatproof.core.verdict.rule import Rule
from seatproof.core.verdict.settling import Alternative, what_would_settle
from seatproof.core.verdict.wording import settlement_sentences

GUARDED = Rule(guarded=True)
WIDE = Limits.of(0, 50)
PARTS = (Part("setting standard", 1.0, Shared.COMMON), Part("repeatability", 2.0, Shared.READING))
BETTER = Alternative(
    "using a standard near the size",
    (Part("setting standard", 0.2, Shared.COMMON), PARTS[1]),
)


def sentences(value, effort=None, statistic=Statistic.LOCAL_SIZES, parts=PARTS, alternatives=()):
    settled = what_would_settle(
        value, WIDE, GUARDED, parts, effort or Effort(5, 6, 1), statistic, alternatives=alternatives
    )
    return settlement_sentences(settled, Unit.MM)


def test_repeats_that_settle_are_counted():
    # √(1 + 4/4) = 1.41 <= 2.4 / 1.645 = 1.46; now √5 = 2.24.
    assert sentences(2.4) == (
        "If the value stays where it is, a standard uncertainty of 1.5 µm or less would prove that "
        "it conforms; now it is 2.2 µm.",
        "4 repeats at each point in question, 3 more readings each would settle it (1.4 µm).",
    )


def test_better_gauge_is_named_with_the_readings_beside_it():
    # 0.04 + 4/n <= (1.2/1.645)² = 0.532: 9 readings.
    assert "Using a standard near the size and 8 more readings would settle it (0.7 µm)." in (
        sentences(1.2, alternatives=[BETTER])
    )


def test_common_part_that_dominates_is_named():
    found = sentences(1.2)
    assert found[1] == (
        "No number of readings does: they share 1.0 µm, 100 % of its variance from setting "
        "standard."
    )
    assert found[2].startswith("The most that can be gained: 20 repeats")


def test_value_too_near_its_limit_is_told_so():
    parts = (Part("repeatability", 2.0, Shared.READING),)
    assert "too near the limit" in sentences(0.2, parts=parts)[1]


def test_value_on_its_limit_cannot_be_settled():
    (only,) = sentences(0.0)
    assert "on the limit itself" in only


def test_value_outside_would_be_proved_not_to_conform():
    assert "does not conform" in sentences(-2.4)[0]


def test_means_name_orientations_and_stations():
    # Twelve orientations instead of two: √(4/24) = 0.41; stations alike.
    parts = (PARTS[1],)
    found = sentences(1.0, Effort(2, 2, 1), Statistic.OVERALL_MEAN, parts)
    assert any("orientations at each station" in one for one in found)
    assert any(" stations, " in one for one in found)


def test_inch_plans_read_inches():
    settled = what_would_settle(2.4, WIDE, GUARDED, PARTS, Effort(5, 6, 1), Statistic.LOCAL_SIZES)
    assert " in or less" in settlement_sentences(settled, Unit.INCH)[0]

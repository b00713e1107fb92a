"""Methods beside the micrometer, further sets on one seat, budgets, checks and signatures."""

from decimal import Decimal

import pytest

from seatproof.core.plan.errors import PlanError
from seatproof.core.plan.file import parse_plan, render_plan
from seatproof.core.plan.uncertainty import BudgetUncertainty, StatedUncertainty

BUDGET = """
method = "budget"
repeatability = 0.0009
repeatability_readings = 31
alignment = 0.00075
faces = 0.001
force = 0.0006
temperature_kelvin = 1
expansion_kelvin = 1e-6
missed_form = 0.0005
basis = "made up for a test"
"""

STATED = """
expanded = 0.002
repeatability = 0.0005
basis = "made up for a test"
"""

CHECKS = """
[checks]
opening = true
closing = true
standard = true
temperatures = true
drift = 0.002
every_minutes = 30
temperature_change_kelvin = 2

[signing]
signatures = true
"""


def with_budget(text, budget=BUDGET):
    before, after = text.split("[uncertainty]")
    return f"{before}[uncertainty]{budget}\n[decision]{after.split('[decision]')[1]}"


def second_set(**changes):
    """Write a further set of vee readings on seat A of the small plan."""
    keys = {
        "id": '"A-vee"',
        "name": '"First seat in the vee"',
        "same_seat_as": '"A"',
        "method": '"vee"',
        "vee_angle_deg": 90,
        "from": 0,
        "length": 60,
        "nominal": 100,
        "stations": "[10]",
        "orientations": 12,
        **changes,
    }
    lines = (f"{key} = {value}" for key, value in keys.items() if value is not None)
    return "\n\n[[seat]]\n" + "\n".join(lines)


def said_of(text):
    with pytest.raises(PlanError) as caught:
        parse_plan(text)
    (problem,) = caught.value.problems
    return str(problem)


def test_uncertainty_is_stated_unless_a_budget_is_asked_for(plan_of):
    assert isinstance(parse_plan(plan_of()).uncertainty, StatedUncertainty)
    plan = parse_plan(with_budget(plan_of()))
    assert isinstance(plan.uncertainty, BudgetUncertainty)
    assert plan.uncertainty.repeatability_mm == Decimal("0.0009")
    assert plan.uncertainty.missed_form_mm == Decimal("0.0005")
    assert plan.uncertainty.coverage_factor is None
    with pytest.raises(ValueError, match="budget"):
        _ = plan.stated_uncertainty


def test_lengths_of_a_budget_are_in_the_plans_unit(plan_of):
    text = plan_of(unit="in", nominal=4, shaft_length=3, length=2, stations=2)
    plan = parse_plan(with_budget(text))
    assert isinstance(plan.uncertainty, BudgetUncertainty)
    assert plan.uncertainty.faces_mm == Decimal("0.0254")
    assert plan.uncertainty.temperature_kelvin == 1


@pytest.mark.parametrize(
    ("budget", "said"),
    [
        (
            BUDGET.replace("repeatability = 0.0009\n", ""),
            "uncertainty: repeatability_readings stands without a repeatability",
        ),
        (BUDGET.replace("0.00075", "75"), "uncertainty, alignment = 75: must be 1 or less"),
        (BUDGET.replace('"budget"', '"guess"'), "uncertainty, method"),
        (BUDGET.replace("faces", "face"), 'is no key of a plan (is "faces" meant?)'),
    ],
)
def test_bad_budget_is_refused_with_its_mend(plan_of, budget, said):
    with pytest.raises(PlanError) as caught:
        parse_plan(with_budget(plan_of(), budget))
    assert any(said in str(problem) for problem in caught.value.problems)


def test_checks_and_signatures_are_off_unless_asked_for(plan_of):
    plain, asked = parse_plan(plan_of()), parse_plan(plan_of() + CHECKS)
    assert not plain.checks.opening
    assert not plain.signing.signatures
    assert plain.conditions == ()
    assert asked.checks.closing
    assert asked.checks.drift_mm == Decimal("0.002")
    assert asked.checks.every_minutes == 30
    assert asked.signing.signatures
    assert not asked.signing.same_person_may_review


def test_conditions_differ(plan_of):
    conditions = 'conditions = ["clean", "no burrs"]\n'
    assert parse_plan(conditions + plan_of()).conditions == ("clean", "no burrs")
    twice = conditions.replace("no burrs", "clean")
    assert said_of(twice + plan_of()).endswith('holds "clean" twice; name every condition once')


def test_walk_may_turn_round_at_the_end_of_a_row(plan_of):
    changes = {"stations": [10, 30, 50], "orientations": [0, 60, 120]}
    plan = parse_plan("there_and_back = true\n" + plan_of(**changes))
    assert [str(point.key) for point in plan.points()] == [
        "A 1/1", "A 1/2", "A 1/3", "A 2/3", "A 2/2", "A 2/1", "A 3/1", "A 3/2", "A 3/3",
    ]  # fmt: skip


def test_vee_set_goes_all_round_and_has_no_size(plan_of):
    plan = parse_plan(plan_of() + second_set())
    first, further = plan.sets_of("A")
    assert first.has_size
    assert not further.has_size
    assert list(further.orientations_deg) == list(range(0, 360, 30))
    with pytest.raises(ValueError, match="no limits of size"):
        _ = further.limits_mm


def test_radial_seat_may_stand_alone(plan_of):
    text = plan_of(limits='method = "radial"', orientations="[0, 200]")
    (seat,) = parse_plan(text).seats
    assert not seat.has_size
    assert seat.turn_deg == 360


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"vee_angle_deg": None}, "is measured in a vee; give the block's vee_angle_deg"),
        ({"method": '"radial"'}, "has a vee_angle_deg, but its method is not vee"),
        ({"same_seat_as": '"B"'}, "which does not stand before it"),
        ({"length": 50}, "give both the same from, length and nominal"),
        ({"tolerance_class": '"h6"'}, "write the limits and tolerances there, and only there"),
        ({"orientations": "[0, 360]"}, "give angles of 0° or more, below 360°"),
    ],
)
def test_bad_further_set_is_refused_with_its_mend(plan_of, changes, said):
    assert said in said_of(plan_of() + second_set(**changes))


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ('method = "radial"', "shows no size; take the limits of size out"),
        ("[seat.fit]\nbore_lower = 99.98", "has one of bore_lower and bore_upper only"),
        (
            "[seat.fit]\nbore_lower = 100\nbore_upper = 99.98",
            "they may be the wrong way round",
        ),
        (
            '[seat.fit]\nbore_class = "normal"\nbore_lower = 99.98\nbore_upper = 100',
            "has both a bore_class and stated bore limits",
        ),
    ],
)
def test_bad_seat_is_refused_with_its_mend(plan_of, more, said):
    assert said in said_of(plan_of(more=more))


def test_everything_new_is_written_back_as_it_was(plan_of):
    fit = '[seat.fit]\nbore_class = "normal"\nring_outer = 124\nsource = "leaflet 4, issue 2"'
    seat = 'repeat_value = "largest"\nrepeat_spread = 0.002\nplausible = 0.5\n'
    text = with_budget(plan_of(more=seat + fit)) + second_set() + CHECKS
    plan = parse_plan(text)
    assert plan.seats[0].fit is not None
    assert parse_plan(render_plan(plan)) == plan
    assert render_plan(plan, text) == text

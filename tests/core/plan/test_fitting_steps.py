"""Fitting steps as a plan's author writes them, and what is said of bad ones."""

from decimal import Decimal

import pytest

from seatproof.core.plan.errors import PlanError
from seatproof.core.plan.file import parse_plan, render_plan

STEPS = """
[[fitting]]
id = "locked"
kind = "check"
text = "Machine isolated and locked, tried to start"
caution = "Nothing may turn while hands are in."

[[fitting]]
id = "halves"
kind = "identity"
text = "Numbers of both halves"
seat = "A"
parts = ["upper half", "lower half"]

[[fitting]]
id = "turns"
kind = "count"
text = "Turn by hand, drive locked out"
turns = 3

[[fitting]]
id = "gaps"
kind = "value"
text = "Joint gaps"
places = ["joint at 0°", "joint at 180°"]
joint_gaps = true
equal_within = 0.05

[[fitting]]
id = "grease"
kind = "quantity"
text = "Grease put in"
unit = "g"
lower = 60
upper = 70
source = { document = "made-up leaflet", issue = "3" }

[[fitting]]
id = "cover"
kind = "torque"
text = "Housing cover"
pattern = "circle"
bolts = 6
tool_class = "setting tool, class A"

[fitting.source]
document = "made-up leaflet"
issue = "3"

[[fitting.stage]]
name = "by hand"
kind = "snug"

[[fitting.stage]]
name = "half"
kind = "part"
target = 20
tolerance = 2

[[fitting.stage]]
name = "full"
kind = "full"
target = 40
tolerance = 2
order = ["1", "2", "3", "4", "5", "6"]
"""


def test_steps_are_read_and_written_back(plan_of):
    text = plan_of() + STEPS
    plan = parse_plan(text)
    assert [step.id for step in plan.fitting] == [
        "locked", "halves", "turns", "gaps", "grease", "cover",
    ]  # fmt: skip
    assert render_plan(plan, text) == text
    assert parse_plan(render_plan(plan)) == plan


def test_order_is_proposed_unless_the_stage_has_its_own(plan_of):
    cover = parse_plan(plan_of() + STEPS).fitting[-1]
    assert cover.order_of(1) == ("1", "4", "2", "5", "3", "6")
    assert cover.order_of(2) == ("1", "2", "3", "4", "5", "6")


def test_a_step_with_a_figure_needs_a_source(plan_of):
    plan = parse_plan(plan_of() + STEPS.replace('document = "made-up leaflet"\nissue = "3"', ""))
    needing = {step.id: step.source.is_stated for step in plan.fitting if step.needs_source}
    assert needing == {"grease": True, "cover": False}


def test_gaps_are_in_the_plans_unit(plan_of):
    text = plan_of(unit="in", nominal=4, shaft_length=3, length=2, stations=2)
    gaps = parse_plan(text + STEPS.replace("equal_within = 0.05", "equal_within = 0.002")).fitting[
        3
    ]
    assert gaps.equal_within_mm == Decimal("0.0508")


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('kind = "check"', 'kind = "chek"', 'has kind = "chek"; must be'),
        ('kind = "check"\n', "", "has no kind; say which kind it is"),
        ("target = 20\n", "", "is a part stage; give its target from the maker's instructions"),
        ("tolerance = 2\n\n", "\n", "has a target but no tolerance"),
        ("bolts = 6", "bolts = 65", "bolts = 65: must be 1 to 64"),
        ("bolts = 6", 'bolts = ["a", "a"]', 'bolts: holds "a" twice'),
        ("bolts = 6", "bolts = 5", 'stage "full": its order does not hold every bolt once'),
        ('"circle"', '"clamped halves"', "bolts: 6 cannot be shared out over 4 places"),
        ("joint_gaps = true\n", "", "has equal_within without joint_gaps"),
        ('places = ["joint at 0°", "joint at 180°"]', 'places = ["one"]', "at one place only"),
        ("lower = 60", "lower = 80", "lower 80 is above upper 70"),
        ('id = "halves"', 'id = "locked"', 'fitting step "locked" stands twice'),
        ('seat = "A"', 'seat = "Q"', 'belongs to seat "Q", which the plan does not have'),
        ("turns = 3", "turns = 0", "turns = 0: must be 1 or more"),
        ("turns = 3", "value = 3", "is no key of a plan"),
        (
            'parts = ["upper half", "lower half"]',
            'parts = ["one"]',
            "has too few entries",
        ),
    ],
)
def test_bad_step_is_refused_with_its_mend(plan_of, old, new, said):
    assert old in STEPS
    with pytest.raises(PlanError) as caught:
        parse_plan(plan_of() + STEPS.replace(old, new))
    assert any(said in str(problem) for problem in caught.value.problems), caught.value.problems

"""Marks, gaps and amounts held against what the plan says."""

from decimal import Decimal

import pytest

from seatproof.core.fitting.finding import identity_finding, quantity_finding, value_finding
from seatproof.core.plan.fitting import IdentityStep, QuantityStep, ValueStep
from seatproof.core.units import Unit

HALVES = {"id": "h", "kind": "identity", "text": "Halves", "parts": ["upper", "lower"]}
GAPS = {
    "id": "g",
    "kind": "value",
    "text": "Joint gaps",
    "places": ["left", "right"],
    "joint_gaps": True,
    "equal_within": Decimal("0.05"),
}
GREASE = {"id": "q", "kind": "quantity", "text": "Grease", "unit": "g", "lower": 60, "upper": 70}


@pytest.mark.parametrize(
    ("expected", "read", "met", "said"),
    [
        (None, {"upper": "B 17"}, None, "Not read yet: lower."),
        (None, {"upper": "B 17", "lower": " "}, None, "Not read yet: lower."),
        (None, {"upper": "B 17", "lower": "b17"}, True, ""),
        (None, {"upper": "B 17", "lower": "B 71"}, False, "the parts do not belong together"),
        ("B17", {"upper": "B 17", "lower": "B17"}, True, ""),
        ("B18", {"upper": "B17", "lower": "B17"}, False, "upper, lower should read B18"),
    ],
)
def test_marks_of_parts_that_belong_together(expected, read, met, said):
    finding = identity_finding(IdentityStep.model_validate(HALVES | {"expected": expected}), read)
    assert finding.met is met
    assert said in " ".join(finding.sentences)


@pytest.mark.parametrize(
    ("left", "right", "met", "said"),
    [
        ("0.40", None, None, "Not measured yet: right."),
        ("0.40", "0.45", True, ""),
        ("0.40", "0.46", False, "The gaps differ by 0.06 mm, more than 0.05 mm"),
        ("0.00", "0.04", False, "left is closed: the halves meet"),
    ],
)
def test_joint_gaps_are_equal_and_open(left, right, met, said):
    read = {"left": Decimal(left)} | ({} if right is None else {"right": Decimal(right)})
    finding = value_finding(ValueStep.model_validate(GAPS), read, Unit.MM)
    assert finding.met is met
    assert said in " ".join(finding.sentences)


def test_gaps_are_compared_with_what_the_seat_leads_to_expect():
    read = {"left": Decimal("0.40"), "right": Decimal("0.44")}
    finding = value_finding(ValueStep.model_validate(GAPS), read, Unit.MM, Decimal("0.4189"))
    assert finding.met
    assert finding.sentences == (
        "Mean gap 0.42 mm; the measured seat leads to expect 0.419 mm at each joint (estimate).",
    )


@pytest.mark.parametrize(
    ("value", "met", "said"),
    [
        ("0.03", True, ""),
        ("0.05", True, ""),
        ("0.029", False, "here: 0.029 mm is below 0.03 mm."),
        ("0.051", False, "here: 0.051 mm is above 0.05 mm."),
    ],
)
def test_clearance_is_held_against_both_limits(value, met, said):
    step = ValueStep.model_validate(
        {
            "id": "c",
            "kind": "value",
            "text": "Clearance",
            "places": ["here"],
            "lower": Decimal("0.03"),
            "upper": Decimal("0.05"),
        }
    )
    finding = value_finding(step, {"here": Decimal(value)}, Unit.MM)
    assert finding.met is met
    assert said in " ".join(finding.sentences)


@pytest.mark.parametrize(
    ("amount", "met"), [(None, None), ("60", True), ("70", True), ("59.9", False), ("70.1", False)]
)
def test_amount_is_held_against_both_limits(amount, met):
    step = QuantityStep.model_validate(GREASE)
    given = None if amount is None else Decimal(amount)
    assert quantity_finding(step, given).met is met

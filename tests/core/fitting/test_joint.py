"""Where bolts are drawn: opposite ones opposite, joints apart, rows side by side."""

from math import hypot

import pytest

from seatproof.core.fitting.joint import joint_of
from seatproof.core.plan.fitting import TorqueStep


def step(pattern, bolts):
    return TorqueStep.model_validate(
        {
            "id": "j",
            "kind": "torque",
            "text": "Joint",
            "pattern": pattern,
            "bolts": bolts,
            "stage": [{"name": "by hand", "kind": "snug"}],
        }
    )


@pytest.mark.parametrize("bolts", [1, 2, 3, 6, 24])
def test_circle_begins_at_the_top_and_goes_clockwise(bolts):
    places = joint_of(step("circle", bolts)).places
    assert (places[0].x, places[0].y) == (0.0, 1.0)
    assert all(hypot(place.x, place.y) == pytest.approx(1) for place in places)
    if bolts > 2:
        assert places[1].x > 0
    for number in range(bolts // 2 if bolts % 2 == 0 else 0):
        one, other = places[number], places[number + bolts // 2]
        assert (one.x, one.y) == pytest.approx((-other.x, -other.y), abs=1e-12)


@pytest.mark.parametrize("per_joint", [1, 2, 4])
def test_clamping_rings_stand_side_by_side_and_joints_above_each_other(per_joint):
    places = joint_of(step("clamped halves", 4 * per_joint)).places
    corners = [places[index : index + per_joint] for index in range(0, len(places), per_joint)]
    assert [corner[0].y for corner in corners] == [1, -1, 1, -1]
    assert all(place.x < 0 for corner in corners[:2] for place in corner)
    assert all(place.x > 0 for corner in corners[2:] for place in corner)


@pytest.mark.parametrize("per_row", [1, 3, 6])
def test_two_rows_lie_side_by_side(per_row):
    places = joint_of(step("two rows", 2 * per_row)).places
    for one, other in zip(places[:per_row], places[per_row:], strict=True):
        assert one.x == other.x
        assert (one.y, other.y) == (1, -1)


@pytest.mark.parametrize(
    ("pattern", "bolts"), [("circle", 24), ("clamped halves", 16), ("two rows", 16)]
)
def test_every_bolt_has_a_place_of_its_own(pattern, bolts):
    joint = joint_of(step(pattern, bolts))
    assert len({(round(place.x, 6), round(place.y, 6)) for place in joint.places}) == bolts
    assert tuple(place.name for place in joint.places) == step(pattern, bolts).bolt_names

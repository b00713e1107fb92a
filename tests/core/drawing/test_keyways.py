import math

import pytest

from seatproof.core.drawing.keyways import slots


def slots_of(build_plan, *keyways):
    plan = build_plan([(100, 80), (60, 100), (100, 80)], [("A", 100, 60, 100, {})], list(keyways))
    return slots(plan.shaft)


def test_a_keyway_that_faces_the_viewer_shows_its_true_width(build_plan):
    (slot,) = slots_of(build_plan, (20, 60, 20, 8, 0))
    edges = list(slot.edges())
    assert all(edge.visible for edge in edges)
    heights = [h for edge in edges for _, h in edge.points]
    assert (min(heights), max(heights)) == pytest.approx((-10, 10))
    assert slot.floor_mm == 32


def test_round_ends_are_half_circles_seen_from_straight_above(build_plan):
    (slot,) = slots_of(build_plan, (20, 60, 20, 8, 0))
    for edge in slot.edges():
        for z_mm, height_mm in edge.points:
            if z_mm <= 30:
                assert math.hypot(z_mm - 30, height_mm) == pytest.approx(10, abs=1e-9)
            if z_mm >= 70:
                assert math.hypot(z_mm - 70, height_mm) == pytest.approx(10, abs=1e-9)


def test_a_keyway_behind_the_shaft_is_hidden(build_plan):
    (slot,) = slots_of(build_plan, (20, 60, 20, 8, 180))
    assert not any(edge.visible for edge in slot.edges())


def test_a_keyway_at_45_degrees_lies_above_the_axis(build_plan):
    (slot,) = slots_of(build_plan, (20, 60, 20, 8, 45))
    middle = [h for edge in slot.edges() for z, h in edge.points if z == pytest.approx(30)]
    half = math.asin(10 / 40)
    expected = [40 * math.sin(math.pi / 4 - half), 40 * math.sin(math.pi / 4 + half)]
    assert sorted(middle) == pytest.approx(expected)


def test_a_keyway_on_top_lowers_the_contour_and_hides_its_floor(build_plan):
    (slot,) = slots_of(build_plan, (20, 60, 20, 8, 90))
    contour = dict(slot.contour_mm(1))
    chord = math.sqrt(40**2 - 10**2)  # where the walls of a slot 20 wide meet a circle of 80
    assert contour[30.0] == pytest.approx(chord)
    assert contour[20.0] == pytest.approx(40)
    assert slot.contour_mm(-1) == []
    (floor,) = [edge for edge in slot.edges() if {h for _, h in edge.points} == {32.0}]
    assert not floor.visible


def test_a_keyway_below_lowers_the_lower_contour(build_plan):
    (slot,) = slots_of(build_plan, (20, 60, 20, 8, 270))
    assert min(h for _, h in slot.contour_mm(-1)) == pytest.approx(-40)
    assert dict(slot.contour_mm(-1))[50.0 - 20.0] == pytest.approx(-math.sqrt(1500))


def test_an_end_at_a_face_or_shoulder_is_open(build_plan):
    (slot,) = slots_of(build_plan, (0, 100, 20, 8, 0))
    assert slot.half_angle_deg(0) == slot.half_angle_deg(50) == slot.half_angle_deg(100)
    (slot,) = slots_of(build_plan, (10, 60, 20, 8, 0))
    assert slot.half_angle_deg(10) == 0


def test_a_keyway_across_a_shoulder_is_cut_there(build_plan):
    one, two = slots_of(build_plan, (80, 40, 20, 8, 0))
    assert (one.from_mm, one.to_mm, one.radius_mm) == (80, 100, 40)
    assert (two.from_mm, two.to_mm, two.radius_mm) == (100, 120, 50)
    assert one.half_angle_deg(80) == 0 < one.half_angle_deg(100)
    assert two.half_angle_deg(120) == 0 < two.half_angle_deg(100)

import math
from itertools import pairwise

import pytest

from seatproof.core.drawing.end_view import end_view
from seatproof.core.drawing.shapes import Arc, Circle, Line, Pen, Polyline, Text

SIZES = [(180, 200, 7), (260, 260, 9), (420, 420, 12), (120, 130, 7), (500, 200, 8), (90, 300, 7)]
SHEET = (180, 200, 7)


def shapes(drawing, kind, pen):
    return [shape for shape in drawing.shapes if isinstance(shape, kind) and shape.pen is pen]


@pytest.mark.parametrize("size", SIZES)
def test_nothing_overlaps_or_is_cut_off(plan, faults, size):
    for seat in (plan.seats[0], plan.seats[-1]):
        assert faults(end_view(plan, seat, *size)) == []


def test_every_orientation_is_a_full_diameter(planned):
    plan = planned("kiln fan")
    drawing = end_view(plan, plan.seat("A"), *SHEET)
    place = drawing.placement
    found = []
    for line in shapes(drawing, Line, Pen.STATION):
        found.append(math.degrees(math.atan2(line.y2 - line.y1, line.x2 - line.x1)))
        for x, y in ((line.x1, line.y1), (line.x2, line.y2)):
            assert math.hypot(x - place.x, y - place.y) > place.radius
        # The line through both ends passes through the axis.
        area = (line.x1 - place.x) * (line.y2 - place.y) - (line.x2 - place.x) * (line.y1 - place.y)
        assert area == pytest.approx(0, abs=0.5)
    assert found == pytest.approx([0, 30, 60, 90, 120, 150], abs=0.01)


def test_orientations_are_labelled_once_at_their_own_angle(planned):
    plan = planned("kiln fan")
    drawing = end_view(plan, plan.seat("A"), *SHEET)
    place = drawing.placement
    labels = {t.text: t for t in drawing.shapes if isinstance(t, Text) and t.text.endswith("°")}
    assert list(labels) == ["0°", "30°", "60°", "90°", "120°", "150°"]
    for text, label in labels.items():
        angle = math.degrees(math.atan2(label.y - place.y, label.x - place.x))
        assert angle == pytest.approx(float(text[:-1]), abs=0.1)
        assert math.hypot(label.x - place.x, label.y - place.y) > place.radius


def test_zero_points_to_the_right_even_without_an_orientation_there(planned, words):
    plan = planned("keyways all round")  # orientations 15°, 75° and 135°
    drawing = end_view(plan, plan.seats[0], 300, 300, 9)
    (line,) = shapes(drawing, Line, Pen.DATUM)[:1]
    assert line.y1 == line.y2 == pytest.approx(drawing.placement.y, abs=0.001)
    assert line.x2 > line.x1 == pytest.approx(drawing.placement.x, abs=0.001)
    assert {"0°", "15°", "75°", "135°"} <= set(words(drawing))


def test_the_angular_datum_is_named(planned, words):
    plan = planned("kiln fan")
    notes = words(end_view(plan, plan.seat("A"), *SHEET))
    assert "0°: centre line of the coupling keyway" in notes
    assert "Seen looking at the datum face" in notes


def test_counting_is_anticlockwise(planned):
    plan = planned("kiln fan")
    drawing = end_view(plan, plan.seat("A"), *SHEET)
    place = drawing.placement
    (arc,) = shapes(drawing, Arc, Pen.DIMENSION)
    (head,) = shapes(drawing, Polyline, Pen.DIMENSION)
    angles = [math.degrees(math.atan2(y - place.y, x - place.x)) % 360 for x, y in head.points]
    tip, *base = angles
    assert arc.extent_deg > 0
    assert tip > max(base) > arc.start_deg
    # The head sits on the arc's end: no gap, no kink.
    assert min(base) < arc.start_deg + arc.extent_deg < tip
    assert math.hypot(head.points[0][0] - place.x, head.points[0][1] - place.y) == pytest.approx(
        arc.radius, abs=0.01
    )


def test_the_seat_is_a_circle_and_the_keyway_lies_on_its_own_section(planned):
    plan = planned("kiln fan")
    drawing = end_view(plan, plan.seat("A"), *SHEET)
    place = drawing.placement
    scale = place.radius / 55  # points per millimetre: the seat is 110 in diameter
    (seat,) = shapes(drawing, Circle, Pen.OUTLINE)
    assert (seat.x, seat.y, seat.radius) == pytest.approx(
        (place.x, place.y, place.radius), abs=0.001
    )
    (section,) = shapes(drawing, Arc, Pen.OUTLINE)
    assert section.radius == pytest.approx(47.5 * scale, abs=0.001)
    half_deg = math.degrees(math.asin(12.5 / 47.5))
    assert section.start_deg == pytest.approx(half_deg, abs=0.001)
    assert section.extent_deg == pytest.approx(360 - 2 * half_deg, abs=0.001)
    (notch,) = shapes(drawing, Polyline, Pen.OUTLINE)
    floor = [x - place.x for x, _ in notch.points[1:3]]
    assert floor == pytest.approx([(47.5 - 9) * scale] * 2, abs=0.002)
    walls = [y - place.y for _, y in notch.points]
    assert walls == pytest.approx([-12.5 * scale] * 2 + [12.5 * scale] * 2, abs=0.002)


def test_a_keyway_on_the_seat_opens_the_seats_circle(planned):
    plan = planned("flange")
    drawing = end_view(plan, plan.seat("A"), *SHEET)
    (arc,) = shapes(drawing, Arc, Pen.OUTLINE)
    assert arc.radius == pytest.approx(drawing.placement.radius, abs=0.001)
    half_deg = math.degrees(math.asin(10 / 50))
    assert arc.start_deg == pytest.approx(90 + half_deg, abs=0.001)


def test_a_keyway_behind_a_larger_section_is_hidden(planned):
    plan = planned("kiln fan")  # the coupling keyway, in front of seat B
    assert shapes(end_view(plan, plan.seat("B"), *SHEET), Arc, Pen.OUTLINE)
    flange = planned("flange")
    drawing = end_view(flange, flange.seat("A"), *SHEET)
    assert shapes(drawing, Arc, Pen.HIDDEN)


def test_two_keyways_leave_two_arcs(build_plan):
    plan = build_plan(
        [(100, 50), (60, 60)],
        [("A", 100, 60, 60, {})],
        [(10, 80, 10, 5, 350), (10, 80, 10, 5, 170)],
    )
    half_deg = math.degrees(math.asin(5 / 25))
    arcs = shapes(end_view(plan, plan.seats[0], *SHEET), Arc, Pen.OUTLINE)
    ends = sorted((arc.start_deg, arc.start_deg + arc.extent_deg) for arc in arcs)
    assert ends[0] == pytest.approx((350 + half_deg - 360, 170 - half_deg), abs=0.002)
    assert ends[1] == pytest.approx((170 + half_deg, 350 - half_deg), abs=0.002)


def test_crowded_orientations_keep_their_ends_at_the_circle(planned):
    plan = planned("many stations and orientations")
    drawing = end_view(plan, plan.seats[0], *SHEET)
    ticks = shapes(drawing, Line, Pen.STATION)
    assert len(ticks) == 2 * 72
    place = drawing.placement
    assert min(math.hypot(t.x1 - place.x, t.y1 - place.y) for t in ticks) > 0.8 * place.radius
    labels = [t.text for t in drawing.shapes if isinstance(t, Text) and t.text.endswith("°")]
    angles = [float(text[:-1]) for text in labels if text != "0°"]
    steps = {b - a for a, b in pairwise(angles)}
    assert len(steps) == 1  # every so many, evenly


def test_placement_maps_angle_and_fraction(planned):
    plan = planned("kiln fan")
    place = end_view(plan, plan.seat("A"), *SHEET).placement
    assert place.point(90) == pytest.approx((place.x, place.y + place.radius))
    assert place.point(180, 0.5) == pytest.approx((place.x - place.radius / 2, place.y))


@pytest.mark.parametrize("size", [(0, 100, 7), (100, -1, 7), (100, 100, 0)])
def test_a_box_without_room_is_refused(planned, size):
    plan = planned("kiln fan")
    with pytest.raises(ValueError, match="has no room"):
        end_view(plan, plan.seats[0], *size)

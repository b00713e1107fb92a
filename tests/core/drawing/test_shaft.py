import math

import pytest

from seatproof.core.drawing.shaft import side_elevation
from seatproof.core.drawing.shapes import Line, Pen, Polyline, Text

SIZES = [(400, 160, 7), (523, 200, 7), (800, 300, 9), (1200, 420, 12), (300, 160, 7), (300, 120, 6)]
SHEET = (523, 200, 7)


def lines(drawing, pen):
    return [shape for shape in drawing.shapes if isinstance(shape, Line) and shape.pen is pen]


def polylines(drawing, pen):
    return [shape for shape in drawing.shapes if isinstance(shape, Polyline) and shape.pen is pen]


@pytest.mark.parametrize("size", SIZES)
def test_nothing_overlaps_or_is_cut_off(plan, faults, size):
    assert faults(side_elevation(plan, *size)) == []


@pytest.mark.parametrize("size", [(60, 30, 8), (2000, 80, 10), (120, 600, 9)])
def test_an_awkward_box_gets_smaller_lettering_not_a_jam(plan, faults, size):
    assert faults(side_elevation(plan, *size)) == []


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", ["kiln fan", "screw pump"])
def test_the_examples_are_lettered_as_large_as_asked(planned, words, name, size):
    drawing = side_elevation(planned(name), *size)
    assert {t.size for t in drawing.shapes if isinstance(t, Text)} == {size[2]}
    for seat in planned(name).seats:
        assert any(text.startswith(f"{seat.id}  ⌀") for text in words(drawing))


def test_every_station_has_its_line(plan):
    drawing = side_elevation(plan, *SHEET)
    drawn = sorted({line.x1 for line in lines(drawing, Pen.STATION)})
    expected = sorted(
        {drawing.placement.x(float(z_mm)) for seat in plan.seats for z_mm in seat.stations_mm}
    )
    assert drawn == pytest.approx(expected, abs=2e-3)


def test_stations_lie_on_the_shaft_at_true_scale(planned):
    plan = planned("kiln fan")
    drawing = side_elevation(plan, *SHEET)
    first, *others = sorted(line.x1 for line in lines(drawing, Pen.STATION))[:5]
    scale = drawing.placement.scale
    # The plan: five stations over 60 mm less 8 mm at both ends, so one every 11 mm.
    assert [x - first for x in others] == pytest.approx(
        [11 * scale * n for n in (1, 2, 3, 4)], abs=0.002
    )


def test_one_scale_holds_along_and_across(planned):
    drawing = side_elevation(planned("screw pump"), *SHEET)
    left, right = (
        min(line.x1 for line in lines(drawing, Pen.OUTLINE)),
        max(line.x1 for line in lines(drawing, Pen.OUTLINE)),
    )
    tallest = max(line.y2 - line.y1 for line in lines(drawing, Pen.OUTLINE))
    assert not drawing.placement.breaks
    assert (right - left) / 10.25 == pytest.approx(
        tallest / 4.25, rel=1e-4
    )  # inches, from the plan


def test_the_outline_has_every_shoulder_at_its_diameter(planned):
    plan = planned("kiln fan")
    drawing = side_elevation(plan, *SHEET)
    scale = drawing.placement.scale
    heights = [(line.y2 - line.y1) / scale for line in lines(drawing, Pen.OUTLINE)]
    # Both end faces, and at each shoulder the larger of the two diameters.
    assert heights == pytest.approx([95, 105, 110, 125, 140, 140, 118, 100, 95], abs=0.01)
    middles = [(line.y1 + line.y2) / 2 for line in lines(drawing, Pen.OUTLINE)]
    assert middles == pytest.approx([drawing.placement.axis_y] * 9, abs=0.002)


def test_no_edge_is_drawn_between_sections_of_one_diameter(build_plan):
    plan = build_plan([(100, 50), (100, 50)], [("A", 20, 50, 50, {})])
    assert len(lines(side_elevation(plan, *SHEET), Pen.OUTLINE)) == 2


def test_dimensions_are_those_of_the_plan(planned, words):
    kiln = words(side_elevation(planned("kiln fan"), *SHEET))
    for figure in (
        "150",
        "60",
        "820",
        "54",
        "910",
        "158",
        "169",
        "180",
        "191",
        "202",
        "827",
        "867",
    ):
        assert figure in kiln
    pump = words(side_elevation(planned("screw pump"), *SHEET))
    for figure in ("1.5", "2.75", "10.25", "1.75", "2.875", "4"):
        assert figure in pump
    assert "A  ⌀110 k6" in kiln
    assert "L  ⌀3.9375 h7" in pump


def test_a_dimension_line_spans_what_its_figure_says(planned):
    drawing = side_elevation(planned("screw pump"), *SHEET)
    level = [line for line in lines(drawing, Pen.DIMENSION) if line.y1 == line.y2]
    figures = [s for s in drawing.shapes if isinstance(s, Text) and s.pen is Pen.DIMENSION]
    for text, inches in (("1.5", 1.5), ("2.75", 2.75), ("10.25", 10.25)):
        (figure,) = [f for f in figures if f.text == text]
        (line,) = [one for one in level if one.x1 < figure.x < one.x2 and 0 < figure.y - one.y1 < 3]
        assert (line.x2 - line.x1) / drawing.placement.scale == pytest.approx(
            inches * 25.4, abs=0.01
        )


def test_stated_limits_of_size_are_lettered_unrounded(planned, words):
    drawing = side_elevation(planned("many stations and orientations"), *SHEET)
    assert "LONGNAME-123  ⌀50.0255 / 50.0025" in words(drawing)


def test_a_shortened_shaft_says_so(plan, words):
    drawing = side_elevation(plan, *SHEET)
    breaks = len(drawing.placement.breaks)
    assert any("hortened" in text for text in words(drawing)) is (breaks > 0)
    zigzags = [shape for shape in polylines(drawing, Pen.THIN) if len(shape.points) > 4]
    assert len(zigzags) == 2 * breaks


def test_the_outline_is_open_at_a_break(planned):
    drawing = side_elevation(planned("tiny seat on a long shaft"), *SHEET)
    assert len(drawing.placement.breaks) == 2
    for gap in drawing.placement.breaks:
        for contour in polylines(drawing, Pen.OUTLINE):
            xs = [x for x, _ in contour.points]
            assert max(xs) <= gap.from_x + 0.01 or min(xs) >= gap.to_x - 0.01


def test_seats_and_keyways_are_never_shortened(plan):
    placement = side_elevation(plan, *SHEET).placement
    whole = [(seat.from_mm, seat.to_mm) for seat in plan.seats]
    whole += [(k.from_mm, k.from_mm + k.length_mm) for k in plan.shaft.keyways]
    for start, end in whole:
        drawn = placement.x(float(end)) - placement.x(float(start))
        assert drawn == pytest.approx(placement.scale * float(end - start))


def test_a_short_shaft_is_not_broken(planned):
    assert side_elevation(planned("screw pump"), *SHEET).placement.breaks == ()


def test_a_long_shaft_is_broken_so_that_its_seat_can_be_read(planned):
    drawing = side_elevation(planned("tiny seat on a long shaft"), *SHEET)
    whole = (523 - 60) / 8012  # points per millimetre if nothing were left out: the seat a hairline
    assert drawing.placement.scale > 20 * whole


def test_the_keyway_that_faces_the_viewer_is_drawn_at_its_place(planned):
    drawing = side_elevation(planned("kiln fan"), *SHEET)
    placement = drawing.placement
    curved = [s for s in polylines(drawing, Pen.OUTLINE) if len(s.points) > 10]
    xs = [x for shape in curved for x, _ in shape.points]
    ys = [y for shape in curved for _, y in shape.points]
    assert (min(xs), max(xs)) == pytest.approx((placement.x(15), placement.x(125)), abs=0.002)
    assert (max(ys) - min(ys)) / placement.scale == pytest.approx(25, abs=0.01)
    assert not polylines(drawing, Pen.HIDDEN)


def test_a_keyway_at_the_back_is_drawn_hidden(build_plan):
    plan = build_plan([(100, 50), (60, 60)], [("A", 100, 60, 60, {})], [(10, 80, 14, 5, 180)])
    drawing = side_elevation(plan, *SHEET)
    assert len(polylines(drawing, Pen.HIDDEN)) == 2
    assert not [s for s in polylines(drawing, Pen.OUTLINE) if len(s.points) > 10]


def test_edge_exclusions_are_faint_zones_of_their_width(planned):
    drawing = side_elevation(planned("kiln fan"), *SHEET)
    zones = polylines(drawing, Pen.FAINT)
    widths = [
        (max(x for x, _ in z.points) - min(x for x, _ in z.points)) / drawing.placement.scale
        for z in zones
    ]
    assert widths == pytest.approx([8, 8, 7, 7], abs=0.01)
    assert all(zone.filled for zone in zones)


def test_the_datum_triangle_stands_on_the_datum_face(plan, words):
    drawing = side_elevation(plan, *SHEET)
    (triangle,) = [s for s in polylines(drawing, Pen.DATUM) if s.filled]
    face_x = drawing.placement.x(0)
    on_face = [p for p in triangle.points if math.isclose(p[0], face_x, abs_tol=0.002)]
    assert len(on_face) == 2
    assert min(x for x, _ in triangle.points) < face_x
    assert {"datum", "face"} <= set(words(drawing))


@pytest.mark.parametrize("size", [(0, 100, 7), (100, -1, 7), (100, 100, 0), (math.nan, 100, 7)])
def test_a_box_without_room_is_refused(planned, size):
    with pytest.raises(ValueError, match="has no room"):
        side_elevation(planned("kiln fan"), *size)


def test_the_same_plan_gives_the_same_drawing(plan):
    assert side_elevation(plan, *SHEET) == side_elevation(plan, *SHEET)

import io
import re

import pytest
from pypdf import PdfReader
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import SimpleDocTemplate

from seatproof.core.drawing.end_view import end_view
from seatproof.core.drawing.shaft import side_elevation
from seatproof.core.drawing.shapes import (
    Align,
    Anchor,
    Arc,
    Circle,
    Drawing,
    Line,
    Pen,
    Polyline,
    Text,
)
from seatproof.core.files import example
from seatproof.core.plan.file import load_plan
from seatproof.core.sheet.fonts import FONTS, register_fonts
from seatproof.core.sheet.paint import DrawingFlowable, paint


def page_of(drawing, x=30.0, y=40.0):
    """The PDF of a page with a drawing on it, and the page's own instructions."""
    stream = io.BytesIO()
    canvas = Canvas(stream, pagesize=(600, 400), invariant=1, pageCompression=0)
    paint(canvas, drawing, x, y, register_fonts())
    canvas.setFont("Helvetica", 10)
    canvas.drawString(1, 2, "afterwards")
    canvas.save()
    page = PdfReader(io.BytesIO(stream.getvalue())).pages[0]
    return stream.getvalue(), page, page.get_contents().get_data().decode("latin-1")


@pytest.fixture(scope="module")
def elevation():
    return side_elevation(load_plan(example("kiln_fan.toml")), 523, 200, 7)


def test_every_text_of_the_drawing_is_on_the_page(elevation):
    _, page, _ = page_of(elevation)
    found = page.extract_text()
    for shape in elevation.shapes:
        if isinstance(shape, Text) and shape.angle_deg == 0:
            assert " ".join(shape.text.split()) in " ".join(found.split())


def test_nothing_but_black_and_greys_is_used(elevation):
    _, _, instructions = page_of(elevation)
    assert re.search(r"\d (rg|RG|k|K|scn|SCN)\b", instructions.split("afterwards")[0]) is None
    assert re.search(r"\d [gG]\b", instructions)


def test_the_same_drawing_gives_the_same_bytes(elevation):
    assert page_of(elevation)[0] == page_of(elevation)[0]


def test_the_canvas_is_left_as_it_was(elevation):
    _, _, instructions = page_of(elevation)
    saved, restored = (len(re.findall(rf"(?m)^{sign}$", instructions)) for sign in "qQ")
    assert saved == restored > 0
    assert instructions.rindex("Q") < instructions.index("afterwards")


def test_a_line_is_painted_from_the_corner_given():
    drawing = Drawing(100, 50, (Line(1, 2, 90, 40, Pen.OUTLINE),))
    _, _, instructions = page_of(drawing)
    assert "1 0 0 1 30 40 cm" in instructions
    assert re.search(r"1 2 m 90 40 l S", instructions)


def test_an_outline_is_at_least_twice_as_wide_as_a_dimension_line():
    weights = {}
    for pen in Pen:
        _, _, instructions = page_of(Drawing(10, 10, (Line(0, 0, 9, 9, pen),)))
        weights[pen] = float(re.findall(r"([\d.]+) w\b", instructions)[-1])
    assert weights[Pen.OUTLINE] >= 2 * weights[Pen.DIMENSION]  # ISO 128-2
    assert weights[Pen.OUTLINE] == max(weights.values())


@pytest.mark.parametrize(
    ("pen", "dashed"), [(Pen.CENTRE, True), (Pen.HIDDEN, True), (Pen.THIN, False)]
)
def test_axes_and_hidden_edges_are_dashed(pen, dashed):
    _, _, instructions = page_of(Drawing(10, 10, (Line(0, 0, 9, 9, pen),)))
    assert bool(re.search(r"\[[\d. ]+\d\] 0 d", instructions)) is dashed


def test_a_filled_shape_has_no_edge_line():
    triangle = Polyline(((0, 0), (9, 0), (5, 9)), Pen.DATUM, closed=True, filled=True)
    outline = Polyline(((0, 0), (9, 0), (5, 9)), Pen.DATUM, closed=True)
    assert re.search(r"h\s+f\*?\s", page_of(Drawing(10, 10, (triangle,)))[2])
    assert re.search(r"h\s+S\s", page_of(Drawing(10, 10, (outline,)))[2])
    disk = Circle(5, 5, 4, Pen.OUTLINE, filled=True)
    assert re.search(r"\bf\*?\s", page_of(Drawing(10, 10, (disk,)))[2])


def test_an_arc_begins_and_ends_at_its_angles():
    _, _, instructions = page_of(Drawing(100, 100, (Arc(50, 50, 40, 0, 90, Pen.OUTLINE),)))
    (start,) = re.findall(r"([\d.]+) ([\d.]+) m\s", instructions)
    assert tuple(map(float, start)) == pytest.approx((90, 50))
    end = re.findall(r"([\d.]+) ([\d.]+) c\b", instructions)[-1]
    assert tuple(map(float, end)) == pytest.approx((50, 90))


@pytest.mark.parametrize(
    ("anchor", "share"), [(Anchor.START, 0), (Anchor.MIDDLE, 0.5), (Anchor.END, 1)]
)
def test_a_text_lies_where_its_anchor_says(anchor, share):
    text = Text(50, 60, "827", 10, Pen.DIMENSION, anchor, Align.MIDDLE, 90)
    _, _, instructions = page_of(Drawing(100, 100, (text,)))
    width = pdfmetrics.stringWidth("827", FONTS.text, 10)
    assert "0 1 -1 0 50 60 cm" in instructions
    across, along = re.findall(r"BT 1 0 0 1 (-?[\d.]+) (-?[\d.]+) Tm", instructions)[0]
    assert float(across) == pytest.approx(-share * width, abs=0.01)
    assert float(along) == pytest.approx(-3.65)  # half of the capitals' height, 0.73 em


def test_a_drawing_flows_with_a_page():
    plan = load_plan(example("screw_pump.toml"))
    stream = io.BytesIO()
    document = SimpleDocTemplate(stream, pagesize=(595, 842))
    document.build(
        [
            DrawingFlowable(side_elevation(plan, 400, 180, 7)),
            DrawingFlowable(end_view(plan, plan.seats[0], 180, 200, 7)),
        ]
    )
    reader = PdfReader(io.BytesIO(stream.getvalue()))
    assert len(reader.pages) == 1
    text = reader.pages[0].extract_text()
    assert "Dimensions in inches" in text
    assert "punch mark on the lower end face" in text


def test_registering_the_typefaces_twice_changes_nothing():
    first = register_fonts()
    before = {name: pdfmetrics.getFont(name) for name in (first.text, first.bold, first.mono)}
    assert register_fonts() == first
    assert before == {name: pdfmetrics.getFont(name) for name in before}


def test_the_typefaces_hold_the_signs_of_the_trade():
    register_fonts()
    for name in (FONTS.text, FONTS.bold, FONTS.mono):
        glyphs = pdfmetrics.getFont(name).face.charToGlyph
        assert all(ord(sign) in glyphs for sign in "⌀°µ±×–…−≤≥")

"""The look at drawings, on which the other tests rely, sees what it is meant to see."""

import pytest

from seatproof.core.drawing.shapes import Circle, Drawing, Line, Pen, Text

CLEAN = Text(20, 20, "110", 10, Pen.DIMENSION)


@pytest.mark.parametrize(
    ("shape", "complaint"),
    [
        (Line(-5, 10, 50, 10, Pen.THIN), "leaves the box"),
        (Circle(50, 50, 60, Pen.THIN), "leaves the box"),
        (Text(90, 20, "110", 10, Pen.THIN), "cut off"),
        (Text(20, 95, "110", 10, Pen.THIN), "cut off above"),
        (Text(30, 25, "60", 10, Pen.THIN), "overlap"),
        (Line(25, 0, 25, 100, Pen.THIN), "goes through"),
        (Text(28, 15, "60", 10, Pen.THIN, angle_deg=90), "overlap"),
    ],
)
def test_a_fault_is_seen(faults, shape, complaint):
    assert any(complaint in fault for fault in faults(Drawing(100, 100, (CLEAN, shape))))


def test_a_clean_drawing_has_none(faults):
    beside = (Line(10, 10, 90, 10, Pen.THIN), Text(50, 20, "60", 10, Pen.THIN))
    assert faults(Drawing(100, 100, (CLEAN, *beside))) == []

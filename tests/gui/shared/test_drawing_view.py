import numpy as np
import pytest
from PySide6.QtGui import QImage, QPainter
from PySide6.QtWidgets import QApplication

from seatproof.core.drawing.lettering import text_box
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
from seatproof.core.plan.file import parse_plan
from seatproof.gui.shared.drawing_view import paint_drawing
from seatproof.gui.shared.theme import LIGHT, THEMES, Theme

pytestmark = [pytest.mark.qt_log_level_fail("WARNING")]


def painted(
    drawing: Drawing, *, ratio: float = 1.0, theme: Theme = LIGHT, left: float = 0.0
) -> np.ndarray:
    """Paint a drawing and return how far every device pixel is from the paper, row by row."""
    size = round(drawing.width * ratio), round(drawing.height * ratio)
    image = QImage(*size, QImage.Format.Format_RGB32)
    image.setDevicePixelRatio(ratio)
    image.fill(theme.paper)
    painter = QPainter(image)
    painter.translate(left, 0.0)
    paint_drawing(painter, drawing, theme)
    painter.end()
    grey = np.array(
        [[image.pixelColor(x, y).lightnessF() for x in range(size[0])] for y in range(size[1])]
    )
    return np.abs(grey - theme.paper.lightnessF())


def inked(ink: np.ndarray) -> tuple[int, int, int, int]:
    """Return the first and last column and row that hold any ink."""
    columns, rows = (np.flatnonzero((ink > 0.1).any(axis=axis)) for axis in (0, 1))
    return columns[0], columns[-1], rows[0], rows[-1]


def test_y_grows_upwards(qapp: QApplication) -> None:
    ink = painted(Drawing(60, 100, (Line(10, 20, 50, 20, Pen.THIN),)))
    _, _, top, bottom = inked(ink)
    assert 78 <= top <= bottom <= 81  # twenty from below


@pytest.mark.parametrize("pen", [Pen.OUTLINE, Pen.THIN])
@pytest.mark.parametrize("ratio", [1.0, 1.25, 1.5, 2.0, 3.0])
@pytest.mark.parametrize("place", [20.0, 20.3, 20.5, 20.77])
def test_level_and_upright_lines_are_crisp(qapp: QApplication, pen, ratio, place) -> None:
    level = painted(Drawing(60, 60, (Line(5, place, 55, place, pen),)), ratio=ratio)
    upright = painted(Drawing(60, 60, (Line(place, 5, place, 55, pen),)), ratio=ratio, left=0.4)
    middle = round(30 * ratio)
    for across in (level[:, middle], upright[middle, :]):
        strongest = across.max()
        touched = across > 0.02
        # A blurred line would leave a pixel in between at either side.
        assert (across[touched] > 0.45 * strongest).all()
        assert touched.sum() <= round(1.8 * ratio) + 1


@pytest.mark.parametrize("anchor", Anchor)
@pytest.mark.parametrize("align", Align)
@pytest.mark.parametrize("angle_deg", [0.0, 90.0, 30.0])
def test_lettering_stays_in_the_box_it_was_given(qapp: QApplication, anchor, align, angle_deg):
    text = Text(100, 90, "⌀110 k6 jg", 14.0, Pen.OUTLINE, anchor, align, angle_deg)
    box = text_box(text)
    left, right, top, bottom = inked(painted(Drawing(220, 180, (text,))))
    assert box.left - 1.5 <= left
    assert right <= box.right + 1.5
    assert 180 - box.top - 1.5 <= top
    assert bottom <= 180 - box.bottom + 1.5


def test_round_and_filled_shapes(qapp: QApplication) -> None:
    disk = painted(Drawing(60, 60, (Circle(30, 30, 20, Pen.DATUM, filled=True),)))
    ring = painted(Drawing(60, 60, (Circle(30, 30, 20, Pen.OUTLINE),)))
    triangle = ((10, 10), (50, 10), (30, 50))
    filled = painted(Drawing(60, 60, (Polyline(triangle, Pen.DATUM, closed=True, filled=True),)))
    open_line = painted(Drawing(60, 60, (Polyline(triangle, Pen.OUTLINE),)))
    assert disk[30, 30] > 0.8 > 0.1 > ring[30, 30]
    assert filled[40, 30] > 0.8
    assert filled[15, 12] < 0.1  # above the slope: the point of the triangle is up
    assert open_line[30, 20] < 0.1  # the side back to the beginning is not drawn


def test_arcs_run_anticlockwise(qapp: QApplication) -> None:
    ink = painted(Drawing(60, 60, (Arc(30, 30, 20, 10, 70, Pen.OUTLINE),)))
    left, right, top, bottom = inked(ink)
    assert left >= 31
    assert bottom <= 29  # in the quarter between right and up
    assert right >= 48
    assert top <= 12


@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
@pytest.mark.parametrize("name", ["kiln_fan.toml", "screw_pump.toml"])
def test_a_shaft_is_painted_within_its_box(qapp: QApplication, theme, name) -> None:
    plan = parse_plan(example(name).read_text(encoding="utf-8"), source="example")
    drawing = side_elevation(plan, 600, 200, 11)
    ink = painted(drawing, theme=theme)
    assert (ink > 0.3).sum() > 2000
    assert ink[0].max() < 0.1
    assert ink[:, -1].max() < 0.1

"""Drawings on paper: shapes painted on a reportlab canvas in black and greys."""

from dataclasses import dataclass, replace
from typing import Final, assert_never

from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable

from seatproof.core.drawing.shapes import (
    Anchor,
    Arc,
    Circle,
    Drawing,
    Line,
    Pen,
    Polyline,
    Shape,
    Text,
)
from seatproof.core.sheet.fonts import Fonts, register_fonts
from seatproof.core.sheet.text import draw_text, text_width
from seatproof.core.words import Words


@dataclass(frozen=True, slots=True)
class _Stroke:
    """How a role is drawn: line weight in points, grey from 0 (black) to 1, dashes in points."""

    weight: float
    grey: float = 0.0
    dashes: tuple[float, ...] = ()


# ISO 128-2: wide to narrow is 2:1 or more; 0.35 mm and 0.13 to 0.18 mm suit a drawing of this size.
_STROKES: Final = {
    Pen.OUTLINE: _Stroke(1.0),
    Pen.THIN: _Stroke(0.4),
    Pen.CENTRE: _Stroke(0.4, dashes=(9.0, 1.5, 1.0, 1.5)),
    Pen.HIDDEN: _Stroke(0.5, dashes=(3.0, 1.5)),
    Pen.DIMENSION: _Stroke(0.35, grey=0.15),
    Pen.STATION: _Stroke(0.35, grey=0.15),
    Pen.DATUM: _Stroke(0.5),
    Pen.FAINT: _Stroke(0.35, grey=0.87),
}
_BLACK: Final = 0.0
_BUTT_CAP, _ROUND_CAP, _MITRE_JOIN, _ROUND_JOIN = 0, 1, 0, 1


def paint(canvas: Canvas, drawing: Drawing, x: float, y: float, fonts: Fonts) -> None:
    """Paint a drawing with its lower left corner at (x, y); leave the canvas as it was.

    Parameters
    ----------
    canvas : Canvas
    drawing : Drawing
    x, y : float
        In points.
    fonts : Fonts
        What `register_fonts` returned.
    """
    canvas.saveState()
    canvas.translate(x, y)
    for shape in drawing.shapes:
        _set(canvas, _STROKES[shape.pen])
        _paint_shape(canvas, shape, fonts)
    canvas.restoreState()


class DrawingFlowable(Flowable):
    """A drawing as a block of a flowing page; it asks for its own width and height."""

    def __init__(self, drawing: Drawing, say: Words | None = None) -> None:
        super().__init__()
        self._drawing = drawing if say is None else lettered_in(drawing, say)
        self._fonts = register_fonts()
        self.width, self.height = drawing.width, drawing.height

    def wrap(self, availWidth: float, availHeight: float) -> tuple[float, float]:  # noqa: N803 - reportlab's names
        del availWidth, availHeight
        return self.width, self.height

    def draw(self) -> None:
        paint(self.canv, self._drawing, 0.0, 0.0, self._fonts)


def lettered_in(drawing: Drawing, say: Words) -> Drawing:
    """Return a drawing with its own words in another language, names left as they are."""
    shapes = tuple(
        replace(shape, text=say.table.get(shape.text, shape.text))
        if isinstance(shape, Text)
        else shape
        for shape in drawing.shapes
    )
    return replace(drawing, shapes=shapes)


def _set(canvas: Canvas, stroke: _Stroke) -> None:
    canvas.setLineWidth(stroke.weight)
    canvas.setStrokeGray(stroke.grey)
    canvas.setFillGray(stroke.grey)
    canvas.setDash(list(stroke.dashes))
    # A cap would close the gaps of a dashed line; an outline's corners must close without spikes.
    canvas.setLineCap(_BUTT_CAP if stroke.dashes else _ROUND_CAP)
    canvas.setLineJoin(_ROUND_JOIN)


def _paint_shape(canvas: Canvas, shape: Shape, fonts: Fonts) -> None:
    match shape:
        case Line():
            canvas.line(shape.x1, shape.y1, shape.x2, shape.y2)
        case Polyline():
            path = canvas.beginPath()
            path.moveTo(*shape.points[0])
            for point in shape.points[1:]:
                path.lineTo(*point)
            if shape.closed:
                path.close()
            canvas.drawPath(path, stroke=int(not shape.filled), fill=int(shape.filled))
        case Circle():
            canvas.circle(
                shape.x, shape.y, shape.radius, stroke=int(not shape.filled), fill=int(shape.filled)
            )
        case Arc():
            left, bottom = shape.x - shape.radius, shape.y - shape.radius
            right, top = shape.x + shape.radius, shape.y + shape.radius
            canvas.arc(left, bottom, right, top, shape.start_deg, shape.extent_deg)
        case Text():
            _paint_text(canvas, shape, fonts)
        case _:
            assert_never(shape)


def _paint_text(canvas: Canvas, text: Text, fonts: Fonts) -> None:
    canvas.saveState()
    canvas.translate(text.x, text.y)
    canvas.rotate(text.angle_deg)
    canvas.setFillGray(_BLACK)  # grey lettering of this size would be hard to read
    share = {Anchor.START: 0.0, Anchor.MIDDLE: 0.5, Anchor.END: 1.0}[text.anchor]
    left = -share * text_width(text.text, fonts.text, text.size)
    draw_text(canvas, left, -text.drop, text.text, fonts.text, text.size)
    canvas.restoreState()

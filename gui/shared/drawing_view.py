"""Line drawings on the screen: shapes of `core.drawing` painted with Qt.

A drawing's points are taken as logical pixels, and its y axis is turned round. Upright and level
lines are laid on whole device pixels, whatever the screen's scaling, so that they stay crisp.
Words and figures are painted in the window's language.
"""

from typing import Final

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import (
    QBrush,
    QColor,
    QFont,
    QFontMetricsF,
    QPainter,
    QPen,
    QPolygonF,
    QTransform,
)

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
from seatproof.gui.shared.saying import again
from seatproof.gui.shared.theme import DRAWING_FAMILY, Theme

_POINTS_PER_INCH: Final = 72.0
_WIDE_PX: Final = 1.8
_NARROW_PX: Final = 1.0
_DASHES: Final[dict[Pen, list[float]]] = {  # in widths of the line
    Pen.CENTRE: [14.0, 3.0, 2.0, 3.0],
    Pen.HIDDEN: [5.0, 3.0],
}


def paint_drawing(painter: QPainter, drawing: Drawing, theme: Theme) -> None:
    """Paint a drawing into the box of its own size at the painter's origin."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    sheet = _Sheet(painter, drawing.height, theme)
    for shape in drawing.shapes:
        sheet.paint(shape)
    painter.restore()


def drawing_font(painter: QPainter, size_px: float) -> QFont:
    """Return the lettering of drawings at a height in logical pixels, fractions included."""
    font = QFont(DRAWING_FAMILY)
    font.setPointSizeF(max(1.0, size_px * _POINTS_PER_INCH / painter.device().logicalDpiY()))
    # Hinted widths would not be those by which the drawing keeps its texts apart.
    font.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
    return font


class _Sheet:
    """A painter with a drawing's coordinates, pens and lettering."""

    def __init__(self, painter: QPainter, height: float, theme: Theme) -> None:
        self._painter = painter
        self._height = height
        self._theme = theme
        self._to_device = painter.deviceTransform()
        self._from_device: QTransform = self._to_device.inverted()[0]
        self._scale = self._to_device.m22()

    def paint(self, shape: Shape) -> None:
        match shape:
            case Line(x1, y1, x2, y2, pen):
                self._use(pen)
                ends = self._crisp([(x1, y1), (x2, y2)], pen)
                self._painter.drawLine(ends[0], ends[1])
            case Polyline(points, pen, closed, filled):
                self._use(pen, filled=filled)
                if filled:
                    corners = [self._at(x, y) for x, y in points]
                else:
                    corners = self._crisp(points, pen)
                polygon = QPolygonF(corners)
                if closed or filled:
                    self._painter.drawPolygon(polygon)
                else:
                    self._painter.drawPolyline(polygon)
            case Circle(x, y, radius, pen, filled):
                self._use(pen, filled=filled)
                self._painter.drawEllipse(self._at(x, y), radius, radius)
            case Arc(x, y, radius, start_deg, extent_deg, pen):
                self._use(pen)
                centre = self._at(x, y)
                box = QRectF(centre.x() - radius, centre.y() - radius, 2 * radius, 2 * radius)
                # Qt counts sixteenths of a degree, anticlockwise on the screen as here.
                self._painter.drawArc(box, round(start_deg * 16), round(extent_deg * 16))
            case Text():
                self._paint_text(shape)

    def _paint_text(self, text: Text) -> None:
        painter = self._painter
        painter.save()
        font = drawing_font(painter, text.size)
        painter.setFont(font)
        painter.setPen(self._colour(text.pen))
        painter.translate(self._at(text.x, text.y))
        painter.rotate(-text.angle_deg)
        words = again(text.text)
        length = QFontMetricsF(font).horizontalAdvance(words)
        start = {Anchor.START: 0.0, Anchor.MIDDLE: -length / 2, Anchor.END: -length}[text.anchor]
        painter.drawText(QPointF(start, text.drop), words)
        painter.restore()

    def _at(self, x: float, y: float) -> QPointF:
        return QPointF(x, self._height - y)

    def _use(self, pen: Pen, *, filled: bool = False) -> None:
        colour = self._colour(pen)
        if filled:
            self._painter.setPen(Qt.PenStyle.NoPen)
            self._painter.setBrush(QBrush(colour))
            return
        self._painter.setBrush(Qt.BrushStyle.NoBrush)
        line = QPen(colour, self._device_px(pen) / self._scale)
        line.setCapStyle(Qt.PenCapStyle.FlatCap if pen in _DASHES else Qt.PenCapStyle.SquareCap)
        line.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
        if pen in _DASHES:
            line.setDashPattern(_DASHES[pen])
        self._painter.setPen(line)

    def _colour(self, pen: Pen) -> QColor:
        theme = self._theme
        match pen:
            case Pen.OUTLINE | Pen.DATUM:
                return theme.ink
            case Pen.FAINT:
                return theme.guard
            case _:
                return theme.faint_ink

    def _crisp(
        self, points: list[tuple[float, float]] | tuple[tuple[float, float], ...], pen: Pen
    ) -> list[QPointF]:
        """Lay level and upright pieces of a line on the middle of device pixels."""
        on_device = [self._to_device.map(self._at(x, y)) for x, y in points]
        shift = 0.5 if self._device_px(pen) % 2 else 0.0
        snapped = [QPointF(point) for point in on_device]
        for index in range(1, len(points)):
            for first, second in ((index - 1, index), (index, index - 1)):
                if abs(points[first][0] - points[second][0]) < 1e-3:
                    snapped[first].setX(round(on_device[first].x() - shift) + shift)
                if abs(points[first][1] - points[second][1]) < 1e-3:
                    snapped[first].setY(round(on_device[first].y() - shift) + shift)
        return [self._from_device.map(point) for point in snapped]

    def _device_px(self, pen: Pen) -> int:
        """Return a line's width in whole device pixels."""
        width = _WIDE_PX if pen is Pen.OUTLINE else _NARROW_PX
        return max(1, round(width * self._scale * self._theme.stroke))

"""Marks that keep stations apart: a shape and a colour each, and no pair twice before the 31st."""

from collections.abc import Callable
from typing import Final

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QColor, QPainter, QPen, QPolygonF

from seatproof.gui.shared.legend import PaintMark
from seatproof.gui.shared.theme import Theme

Stroke = Callable[[Theme], QPen]
Ground = Callable[[Theme], QColor]

_SHAPES: Final[tuple[tuple[tuple[float, float], ...], ...]] = (
    (),  # a circle
    ((-0.85, -0.85), (0.85, -0.85), (0.85, 0.85), (-0.85, 0.85)),
    ((0.0, -1.0), (1.0, 0.8), (-1.0, 0.8)),
    ((0.0, -1.1), (1.1, 0.0), (0.0, 1.1), (-1.1, 0.0)),
    ((0.0, 1.0), (1.0, -0.8), (-1.0, -0.8)),
    ((-0.5, -1.0), (0.5, -1.0), (1.0, 0.0), (0.5, 1.0), (-0.5, 1.0), (-1.0, 0.0)),
)


def station_colour(station: int, theme: Theme) -> QColor:
    """Return a station's colour; never without its shape."""
    return theme.stations[(station - 1) % len(theme.stations)]


def paint_station_mark(
    painter: QPainter, station: int, centre: QPointF, size: float, theme: Theme
) -> None:
    """Paint a station's mark within a square of `size`."""
    painter.setPen(QPen(station_colour(station, theme), max(1.3, size / 7)))
    painter.setBrush(theme.paper)
    shape = _SHAPES[(station - 1) % len(_SHAPES)]
    half = 0.45 * size
    if shape:
        corners = [centre + QPointF(x, y) * half for x, y in shape]
        painter.drawPolygon(QPolygonF(corners))
    else:
        painter.drawEllipse(QRectF(centre.x() - half, centre.y() - half, 2 * half, 2 * half))


def station_entry(station: int) -> PaintMark:
    """Return what paints a station's mark in a legend."""

    def paint(painter: QPainter, centre: QPointF, size: float, theme: Theme) -> None:
        paint_station_mark(painter, station, centre, 0.8 * size, theme)

    return paint


def stroke_entry(pen: Stroke) -> PaintMark:
    """Return what paints a short line in a legend."""

    def paint(painter: QPainter, centre: QPointF, size: float, theme: Theme) -> None:
        painter.setPen(pen(theme))
        painter.drawLine(centre - QPointF(0.9 * size, 0), centre + QPointF(0.9 * size, 0))

    return paint


def ground_entry(pen: Stroke, colour: Ground) -> PaintMark:
    """Return what paints a piece of coloured ground in a legend."""

    def paint(painter: QPainter, centre: QPointF, size: float, theme: Theme) -> None:
        painter.setPen(pen(theme))
        painter.setBrush(colour(theme))
        painter.drawRect(QRectF(centre.x() - size, centre.y() - size / 2, 2 * size, size))

    return paint

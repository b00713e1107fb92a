"""Marker shapes by which the stations of a plot are told apart, without colour."""

from typing import Final

from reportlab.pdfgen.canvas import Canvas

from seatproof.core.sheet.style import INK, PAPER

# Corner points in a circle of radius 1; empty means the circle itself. Filled and open alternate.
_ROOT: Final = 0.866
_OUTLINES: Final[tuple[tuple[tuple[float, float], ...], ...]] = (
    (),
    ((-0.85, -0.85), (0.85, -0.85), (0.85, 0.85), (-0.85, 0.85)),
    ((-1.1 * _ROOT, -0.55), (1.1 * _ROOT, -0.55), (0, 1.1)),
    ((0, -1.2), (1.0, 0), (0, 1.2), (-1.0, 0)),
    ((-1.1 * _ROOT, 0.55), (1.1 * _ROOT, 0.55), (0, -1.1)),
    ((-1.2, -0.45), (1.2, -0.45), (1.2, 0.45), (-1.2, 0.45)),
)
_DASHES: Final[tuple[tuple[float, ...], ...]] = (
    (),
    (4.0, 1.5),
    (1.0, 1.2),
    (6.0, 1.5, 1.0, 1.5),
    (8.0, 2.5),
    (3.0, 1.0, 1.0, 1.0, 1.0, 1.0),
)

DISTINCT: Final = len(_OUTLINES)  # more stations than this in one plot could not be told apart


def draw_marker(canvas: Canvas, number: int, x: float, y: float, radius: float) -> None:
    """Draw the marker of the station that is `number` in its plot, counted from 0."""
    canvas.saveState()
    canvas.setLineWidth(0.6)
    canvas.setStrokeColor(INK)
    canvas.setFillColor(INK if number % 2 == 0 else PAPER)
    corners = _OUTLINES[number % DISTINCT]
    if corners:
        draw_polygon(canvas, [(x + radius * dx, y + radius * dy) for dx, dy in corners])
    else:
        canvas.circle(x, y, radius * 0.95, stroke=1, fill=1)
    canvas.restoreState()


def draw_polygon(canvas: Canvas, corners: list[tuple[float, float]]) -> None:
    """Draw a closed polygon, filled and edged in the canvas's present tones."""
    path = canvas.beginPath()
    path.moveTo(*corners[0])
    for corner in corners[1:]:
        path.lineTo(*corner)
    path.close()
    canvas.drawPath(path, stroke=1, fill=1)


def dashes(number: int) -> list[float]:
    """Return the dashes of the curve that belongs to a marker."""
    return list(_DASHES[number % DISTINCT])

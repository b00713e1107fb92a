"""Axes of a figure: grid, figures and words, in the lettering that all figures have."""

from collections.abc import Callable

from PySide6.QtCore import QMarginsF, QRectF, Qt
from PySide6.QtGui import QFontMetricsF, QPainter, QPen

from seatproof.core.plots.steps import ticks
from seatproof.gui.shared.figure import Canvas
from seatproof.gui.shared.saying import again
from seatproof.gui.shared.theme import Theme

Lettering = Callable[[float], str]


def axes_margins(metrics: QFontMetricsF, widest: str) -> QMarginsF:
    """Return the room that axes need, with figures as wide as this at the left."""
    em = metrics.height()
    left = metrics.horizontalAdvance(widest) + 0.8 * em
    return QMarginsF(left, 1.5 * em, 1.2 * em, 2.5 * em)


def paint_axes(
    painter: QPainter,
    canvas: Canvas,
    theme: Theme,
    words: tuple[str, str],
    lettering: tuple[Lettering, Lettering],
    *,
    at_x: tuple[float, ...] | None = None,
    at_y: tuple[float, ...] | None = None,
) -> None:
    """Paint a frame, grid lines and figures; `words` name the axes, across and up.

    Figures stand at round steps unless places are given; those without room are left out. They get
    the decimal sign of the language.
    """
    area, em, shown = canvas.area, canvas.em, canvas.shown
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
    about_x = max(int(area.width() / (4.5 * em)), 2)
    about_y = max(int(area.height() / (2.2 * em)), 2)
    centred = Qt.AlignmentFlag.AlignHCenter | Qt.AlignmentFlag.AlignTop
    right = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
    across = ticks(shown.left, shown.right, about_x) if at_x is None else at_x
    last = float("-inf")
    for x in across:
        if not shown.left <= x <= shown.right:
            continue
        place = float(canvas.xs(x))
        painter.setPen(QPen(theme.grid, 1))
        painter.drawLine(canvas.at(x, shown.low), canvas.at(x, shown.high))
        text = again(lettering[0](x))
        half = canvas.metrics.horizontalAdvance(text) / 2
        if place - half < last + 0.4 * em:
            continue
        last = place + half
        painter.setPen(theme.ink)
        box = QRectF(place - half - 2, area.bottom() + 0.15 * em, 2 * half + 4, em)
        painter.drawText(box, centred, text)
    upwards = ticks(shown.low, shown.high, about_y) if at_y is None else at_y
    last = float("inf")
    for y in upwards:
        if not shown.low <= y <= shown.high:
            continue
        painter.setPen(QPen(theme.grid, 1))
        painter.drawLine(canvas.at(shown.left, y), canvas.at(shown.right, y))
        place = float(canvas.ys(y))
        if place > last - 1.1 * em:
            continue
        last = place
        painter.setPen(theme.ink)
        box = QRectF(area.left() - 20 * em, place - em / 2, 19.7 * em, em)
        painter.drawText(box, right, again(lettering[1](y)))
    painter.setPen(QPen(theme.edge, 1))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRect(area)
    painter.setPen(theme.faint_ink)
    below = QRectF(area.left(), area.bottom() + 1.3 * em, area.width(), em)
    painter.drawText(below, Qt.AlignmentFlag.AlignCenter, words[0])
    above = QRectF(area.left(), area.top() - 1.3 * em, area.width(), em)
    painter.drawText(above, Qt.AlignmentFlag.AlignLeft, words[1])

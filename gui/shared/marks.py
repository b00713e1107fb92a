"""Marks of points and verdicts: one shape for each meaning, so that colour only helps.

A point's mark shows its value beside its limit: a triangle that leaves a bar lies beyond that
limit. Verdicts are a filled circle, a crossed square and a half-filled diamond.
"""

from collections.abc import Iterable
from math import sqrt
from typing import Final

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import (
    QColor,
    QFont,
    QFontMetricsF,
    QGuiApplication,
    QIcon,
    QPainter,
    QPainterPath,
    QPaintEvent,
    QPen,
    QPixmap,
    QPolygonF,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from seatproof.core.verdict.rule import Verdict
from seatproof.gui.bench.points import PointMark
from seatproof.gui.shared.saying import again, say
from seatproof.gui.shared.theme import Theme

_NOTHING: Final = "–"
_LEFT: Final = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter


def paint_point_mark(
    painter: QPainter, mark: PointMark, centre: QPointF, size: float, theme: Theme
) -> None:
    """Paint a point's mark within a square of `size` round `centre`.

    The mark's open parts are filled with paper, so that lines behind it do not confuse it.
    """
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    half = size / 2
    line = max(1.2, size / 9)
    paper, ink = theme.paper, theme.faint_ink
    inside, outside = theme.inside, theme.outside
    match mark:
        case PointMark.OPEN:
            painter.setPen(QPen(ink, line))
            painter.setBrush(paper)
            radius = 0.84 * half - line / 2
            painter.drawEllipse(centre, radius, radius)
        case PointMark.INSIDE:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(inside)
            painter.drawEllipse(centre, 0.84 * half, 0.84 * half)
        case PointMark.MEASURED:
            painter.setPen(_sharp_pen(theme.ink, max(1.6, size / 5)))
            reach = 0.84 * half
            painter.drawLine(centre + QPointF(-reach, 0), centre + QPointF(reach, 0))
            painter.drawLine(centre + QPointF(0, -reach), centre + QPointF(0, reach))
        case PointMark.ABOVE | PointMark.BELOW:
            up = -1.0 if mark is PointMark.ABOVE else 1.0
            bar = max(1.6, 0.16 * size)
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(paper)
            painter.drawRect(QRectF(centre.x() - half, centre.y() - half, size, size))
            painter.setBrush(outside)
            foot = half - bar  # where the triangle's base is, a gap away from the bar
            foot -= max(1.0, 0.08 * size)
            triangle = QPolygonF(
                [
                    QPointF(centre.x(), centre.y() + up * half),
                    QPointF(centre.x() - half, centre.y() - up * foot),
                    QPointF(centre.x() + half, centre.y() - up * foot),
                ]
            )
            painter.drawPolygon(triangle)
            top = centre.y() - up * half if up > 0 else centre.y() + half - bar
            painter.drawRect(QRectF(centre.x() - half, top, size, bar))
        case PointMark.SKIPPED:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(paper)
            painter.drawEllipse(centre, half, half)
            reach = 0.72 * half
            painter.setPen(_sharp_pen(theme.ink, max(1.6, size / 6)))
            painter.drawLine(centre + QPointF(-reach, -reach), centre + QPointF(reach, reach))
            painter.drawLine(centre + QPointF(-reach, reach), centre + QPointF(reach, -reach))
    painter.restore()


def paint_verdict_mark(painter: QPainter, verdict: Verdict, rect: QRectF, theme: Theme) -> None:
    """Paint a verdict's mark as large as the square in the middle of `rect` allows."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    size = min(rect.width(), rect.height())
    centre, half = rect.center(), size / 2
    line = max(1.2, size / 9)
    match verdict:
        case Verdict.CONFORMS:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(theme.inside)
            painter.drawEllipse(centre, 0.94 * half, 0.94 * half)
        case Verdict.DOES_NOT_CONFORM:
            reach = 0.9 * half - line / 2
            painter.setPen(_sharp_pen(theme.outside, line))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            box = QRectF(centre.x() - reach, centre.y() - reach, 2 * reach, 2 * reach)
            painter.drawRect(box)
            painter.drawLine(box.topLeft(), box.bottomRight())
            painter.drawLine(box.bottomLeft(), box.topRight())
        case Verdict.NOT_PROVEN:
            reach = half - line / sqrt(2)
            corners = [QPointF(0, -reach), QPointF(reach, 0), QPointF(0, reach), QPointF(-reach, 0)]
            diamond = QPolygonF([centre + corner for corner in corners])
            filled = QPolygonF([centre + corner for corner in (corners[0], corners[3], corners[2])])
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(theme.unproven)
            painter.drawPolygon(filled)
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(_sharp_pen(theme.unproven, line))
            painter.drawPolygon(diamond)
    painter.restore()


def paint_next_ring(painter: QPainter, centre: QPointF, radius: float, theme: Theme) -> None:
    """Paint the ring round the point that comes next, with a pale rim to both sides."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    line = max(2.0, radius / 4.5)
    painter.setPen(QPen(theme.paper, line + 3.0))
    painter.drawEllipse(centre, radius, radius)
    painter.setPen(QPen(theme.next, line))
    painter.drawEllipse(centre, radius, radius)
    painter.restore()


def paint_selection(painter: QPainter, centre: QPointF, half: float, theme: Theme) -> None:
    """Paint the dashed frame round the point that is selected."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    frame = QPainterPath()
    frame.addRoundedRect(QRectF(centre.x() - half, centre.y() - half, 2 * half, 2 * half), 2, 2)
    painter.setPen(QPen(theme.paper, 3.4))
    painter.drawPath(frame)
    pen = _sharp_pen(theme.ink, 1.6)
    pen.setDashPattern([2.6, 1.8])
    painter.setPen(pen)
    painter.drawPath(frame)
    painter.restore()


def point_icon(mark: PointMark, theme: Theme, size: int = 16) -> QIcon:
    """Return a point's mark as an icon, as fine as the finest screen asks."""
    pixmap = _pixmap(size)
    painter = QPainter(pixmap)
    paint_point_mark(painter, mark, QPointF(size / 2, size / 2), size - 2.0, theme)
    painter.end()
    return QIcon(pixmap)


def verdict_icon(verdict: Verdict, theme: Theme, size: int = 16) -> QIcon:
    """Return a verdict's mark as an icon, as fine as the finest screen asks."""
    pixmap = _pixmap(size)
    painter = QPainter(pixmap)
    paint_verdict_mark(painter, verdict, QRectF(1, 1, size - 2, size - 2), theme)
    painter.end()
    return QIcon(pixmap)


class _MarkLabel(QWidget):
    """A mark and its word, together as they always are; a dash while there is none."""

    def __init__(self, theme: Theme, words: Iterable[str], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._words = tuple(words)
        self._word = ""
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)

    @property
    def text(self) -> str:
        return again(self._word) or _NOTHING

    def _show(self, word: str) -> None:
        self._word = word
        self.setAccessibleName(again(word) or say("none yet"))
        self.update()

    def _paint_mark(self, painter: QPainter, box: QRectF) -> None:
        raise NotImplementedError

    def sizeHint(self) -> QSize:
        metrics = self.fontMetrics()
        longest = max(metrics.horizontalAdvance(again(word)) for word in self._words)
        return QSize(round(longest + 1.7 * metrics.height()), metrics.height() + 6)

    def minimumSizeHint(self) -> QSize:
        return self.sizeHint()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setPen(self._theme.ink)
        size = float(self.fontMetrics().height()) * 0.95
        words = self.rect()
        if self._word:
            self._paint_mark(painter, QRectF(1, (self.height() - size) / 2, size, size))
            words = words.adjusted(round(1.45 * size), 0, 0, 0)
        painter.drawText(words, _LEFT, self.text)


class VerdictLabel(_MarkLabel):
    """Shows a verdict with its mark."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(theme, (verdict.value for verdict in Verdict), parent)
        self._verdict: Verdict | None = None

    def show_verdict(self, verdict: Verdict | None) -> None:
        self._verdict = verdict
        self._show(verdict.value if verdict is not None else "")

    def _paint_mark(self, painter: QPainter, box: QRectF) -> None:
        if self._verdict is not None:
            paint_verdict_mark(painter, self._verdict, box, self._theme)


class PointMarkLabel(_MarkLabel):
    """Shows where a value lies, with its mark."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(theme, (mark.value for mark in PointMark), parent)
        self._mark: PointMark | None = None

    def show_mark(self, mark: PointMark | None) -> None:
        self._mark = mark
        self._show(mark.value if mark is not None else "")

    def _paint_mark(self, painter: QPainter, box: QRectF) -> None:
        if self._mark is not None:
            paint_point_mark(painter, self._mark, box.center(), box.width(), self._theme)


class BigMark(QWidget):
    """A mark with its word in lettering as large as its place allows."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._mark: PointMark | None = None
        self._word = ""
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)

    def show_mark(self, mark: PointMark | None, word: str = "") -> None:
        """Show a mark with its own word, or a word alone."""
        self._mark, self._word = mark, again(word or (mark.value if mark is not None else ""))
        self.setAccessibleName(self._word)
        self.update()

    @property
    def text(self) -> str:
        return self._word

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        font = QFont(self.font())
        font.setBold(True)
        font.setPixelSize(100)
        width = QFontMetricsF(font).horizontalAdvance(self._word) + 170
        size = max(12, int(100 * min(self.width() / width, self.height() / 150)))
        font.setPixelSize(size)
        painter.setFont(font)
        painter.setPen(self._theme.ink)
        length = QFontMetricsF(font).horizontalAdvance(self._word)
        left = (self.width() - length - 1.4 * size) / 2
        if self._mark is not None:
            centre = QPointF(left + 0.5 * size, self.height() / 2)
            paint_point_mark(painter, self._mark, centre, float(size), self._theme)
        words = QRectF(left + 1.4 * size, 0, length + 2, self.height())
        painter.drawText(words, _LEFT, self._word)
        painter.end()


def _sharp_pen(colour: QColor, width: float) -> QPen:
    return QPen(
        colour,
        width,
        Qt.PenStyle.SolidLine,
        Qt.PenCapStyle.FlatCap,
        Qt.PenJoinStyle.MiterJoin,
    )


def _pixmap(size: int) -> QPixmap:
    ratio = max((screen.devicePixelRatio() for screen in QGuiApplication.screens()), default=1.0)
    pixmap = QPixmap(QSize(size, size) * ratio)
    pixmap.setDevicePixelRatio(ratio)
    pixmap.fill(Qt.GlobalColor.transparent)
    return pixmap

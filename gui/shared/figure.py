"""Figures: plots that paint themselves the same way on the screen, in a picture and in a file.

A figure knows its data and how to paint them on a canvas. What is shown of it, hovering over it and
saving it are the work of others, and the same for all figures.
"""

from abc import ABC, abstractmethod
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from typing import Final

import numpy as np
import pyqtgraph as pg
from numpy.typing import ArrayLike, NDArray
from PySide6.QtCore import QMarginsF, QPointF, QRectF, Qt
from PySide6.QtGui import QFont, QFontMetricsF, QPainter, QPolygonF

from seatproof.gui.shared.legend import Entry, Placed, lay_out, legend_height, paint_legend
from seatproof.gui.shared.theme import Theme

FloatArray = NDArray[np.float64]

_LEGEND_ROWS: Final = 3
_NOTE_LINES: Final = 5
_MANY: Final = 500  # points from which on those that fall on the same spot are left out


@dataclass(frozen=True, slots=True)
class Extent:
    """A rectangle of a figure's own coordinates."""

    left: float
    right: float
    low: float
    high: float

    def zoomed(self, factor: float, x: float, y: float) -> "Extent":
        """Return it so many times narrower, with the place (x, y) where it was."""
        return Extent(
            x + (self.left - x) / factor,
            x + (self.right - x) / factor,
            y + (self.low - y) / factor,
            y + (self.high - y) / factor,
        )

    def moved(self, dx: float, dy: float) -> "Extent":
        return Extent(self.left + dx, self.right + dx, self.low + dy, self.high + dy)

    @property
    def width(self) -> float:
        return self.right - self.left

    @property
    def height(self) -> float:
        return self.high - self.low


@dataclass(frozen=True, slots=True)
class Spots:
    """Places of a figure that have something to say; `story` tells it by their number."""

    xs: FloatArray = field(default_factory=lambda: np.empty(0))
    ys: FloatArray = field(default_factory=lambda: np.empty(0))
    story: Callable[[int], str] = str


@dataclass(frozen=True, slots=True)
class Canvas:
    """Where a figure is painted: `area` in pixels shows `shown` in the figure's coordinates."""

    area: QRectF
    shown: Extent
    metrics: QFontMetricsF

    @property
    def em(self) -> float:
        return float(self.metrics.height())

    def xs(self, values: ArrayLike) -> FloatArray:
        scale = self.area.width() / self.shown.width
        return self.area.left() + (np.asarray(values, dtype=np.float64) - self.shown.left) * scale

    def ys(self, values: ArrayLike) -> FloatArray:
        scale = self.area.height() / self.shown.height
        return self.area.bottom() - (np.asarray(values, dtype=np.float64) - self.shown.low) * scale

    def at(self, x: float, y: float) -> QPointF:
        return QPointF(float(self.xs(x)), float(self.ys(y)))

    def back(self, place: QPointF) -> tuple[float, float]:
        """Return the figure's coordinates of a pixel."""
        x = self.shown.left + (place.x() - self.area.left()) / self.area.width() * self.shown.width
        y = self.shown.low + (self.area.bottom() - place.y()) / self.area.height() * (
            self.shown.height
        )
        return x, y


class Figure(ABC):
    """A plot. `title` names it; `notes` say how to read it, both in the window's language.

    `file_name` names its picture in a folder, where words stay English.
    """

    title: str = ""
    file_name: str = ""
    notes: tuple[str, ...] = ()
    is_square: bool = False  # whether both directions have one scale

    @abstractmethod
    def extent(self) -> Extent:
        """Return what has to be shown for the whole of it to be seen."""

    def margins(self, metrics: QFontMetricsF) -> QMarginsF:
        """Return the room for lettering round the canvas."""
        em = metrics.height()
        return QMarginsF(0.5 * em, 0.5 * em, 0.5 * em, 0.5 * em)

    @abstractmethod
    def paint(self, painter: QPainter, canvas: Canvas, theme: Theme) -> None:
        """Paint it."""

    def legend(self) -> Sequence[Entry]:
        """Return its marks with their words, the most important ones first."""
        return ()

    def spots(self) -> Spots:
        """Return the places over which there is something to read."""
        return Spots()


def area_of(figure: Figure, rect: QRectF, font: QFont) -> QRectF:
    """Return the room that words leave a figure in a rectangle."""
    metrics = QFontMetricsF(font)
    return _area(figure, rect, metrics, _words(figure, rect, metrics))


def canvas_of(figure: Figure, area: QRectF, font: QFont, shown: Extent | None = None) -> Canvas:
    """Return a canvas in an area; `shown` is by default the whole of the figure."""
    canvas = Canvas(area, shown or figure.extent(), QFontMetricsF(font))
    return _squared(canvas) if figure.is_square else canvas


def paint_figure(
    painter: QPainter,
    figure: Figure,
    rect: QRectF,
    font: QFont,
    theme: Theme,
    shown: Extent | None = None,
) -> None:
    """Paint a figure with its title, notes and legend."""
    painter.setFont(font)
    painter.fillRect(rect, theme.paper)
    metrics = QFontMetricsF(font)
    em = metrics.height()
    bold = QFont(font)
    bold.setBold(True)
    painter.setFont(bold)
    painter.setPen(theme.ink)
    head = QRectF(rect.left() + 0.4 * em, rect.top() + 0.2 * em, rect.width() - 0.8 * em, 1.2 * em)
    title = QFontMetricsF(bold).elidedText(figure.title, Qt.TextElideMode.ElideRight, head.width())
    painter.drawText(head, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, title)
    painter.setFont(font)
    painter.setPen(theme.faint_ink)
    words = _words(figure, rect, metrics)
    for number, line in enumerate(words.notes):
        place = QRectF(head.left(), head.bottom() + number * em, head.width(), em)
        painter.drawText(place, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, line)
    canvas = canvas_of(figure, _area(figure, rect, metrics, words), font, shown)
    figure.paint(painter, canvas, theme)
    painter.setClipping(False)
    height = legend_height(words.legend, metrics)
    if height:
        below = QRectF(rect.left() + 0.5 * em, rect.bottom() - height, rect.width() - em, height)
        paint_legend(painter, words.legend, below, metrics, theme)


def polygon(xs: ArrayLike, ys: ArrayLike) -> QPolygonF:
    """Return a line through places in pixels; of many, those that fall on one spot come once."""
    x, y = np.asarray(xs, dtype=np.float64), np.asarray(ys, dtype=np.float64)
    good = np.isfinite(x) & np.isfinite(y)
    x, y = x[good], y[good]
    if len(x) > _MANY:
        cell = np.round(x), np.round(y)
        other = np.ones(len(x), dtype=bool)
        other[1:-1] = (cell[0][1:-1] != cell[0][:-2]) | (cell[1][1:-1] != cell[1][:-2])
        x, y = x[other], y[other]
    line: QPolygonF = pg.functions.arrayToQPolygonF(x, y)
    return line


def clipped(painter: QPainter, canvas: Canvas) -> None:
    """Paint only on the canvas from here on."""
    painter.setClipRect(canvas.area.adjusted(-1, -1, 1, 1))


def _squared(canvas: Canvas) -> Canvas:
    """Show more in one direction, so that both have the same scale."""
    area, shown = canvas.area, canvas.shown
    scale = min(area.width() / shown.width, area.height() / shown.height)
    x, y = (shown.left + shown.right) / 2, (shown.low + shown.high) / 2
    across, up = area.width() / scale / 2, area.height() / scale / 2
    return replace(canvas, shown=Extent(x - across, x + across, y - up, y + up))


@dataclass(frozen=True, slots=True)
class _Words:
    """The lettering round a figure, laid out."""

    notes: tuple[str, ...]
    legend: tuple[Placed, ...]


def _words(figure: Figure, rect: QRectF, metrics: QFontMetricsF) -> _Words:
    notes = tuple(_note_lines(figure, rect, metrics))
    return _Words(notes, _placed_legend(figure, rect, metrics))


def _area(figure: Figure, rect: QRectF, metrics: QFontMetricsF, words: _Words) -> QRectF:
    above = (1.6 + len(words.notes)) * metrics.height()
    room = rect.adjusted(0, above, 0, -legend_height(words.legend, metrics))
    area = room - figure.margins(metrics)
    area.setWidth(max(area.width(), 1.0))
    area.setHeight(max(area.height(), 1.0))
    return area


def _placed_legend(figure: Figure, rect: QRectF, metrics: QFontMetricsF) -> tuple[Placed, ...]:
    """Place the legend in as many rows as leave most of the room to the plot."""
    rows = min(int(rect.height() / (7 * metrics.height())), _LEGEND_ROWS)
    if rows < 1:
        return ()
    return lay_out(figure.legend(), metrics, rect.width() - metrics.height(), rows)[0]


def has_room_for_notes(figure: Figure, rect: QRectF, font: QFont) -> bool:
    """Tell whether a rectangle has room for all the notes over the plot."""
    return bool(_note_lines(figure, rect, QFontMetricsF(font))) or not figure.notes


def _note_lines(figure: Figure, rect: QRectF, metrics: QFontMetricsF) -> list[str]:
    """Fill lines with the words of the notes; none where not all of them have room."""
    width = rect.width() - 0.8 * metrics.height()
    most = min(int(rect.height() / (6 * metrics.height())), _NOTE_LINES)
    lines: list[str] = []
    for word in " ".join(figure.notes).split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and metrics.horizontalAdvance(longer) <= width:
            lines[-1] = longer
        elif len(lines) < most:
            lines.append(word)
        else:
            return []
    return lines

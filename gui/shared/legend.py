"""A legend: marks with their words in rows, as many as there is room for, never cut."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QFontMetricsF, QPainter

from seatproof.gui.shared.saying import again
from seatproof.gui.shared.theme import Theme

# Paints a mark of a size round a centre.
PaintMark = Callable[[QPainter, QPointF, float, Theme], None]

_GAP_EM: Final = 1.4


@dataclass(frozen=True, slots=True)
class Entry:
    """One mark and its word, which is said when it is shown.

    `wide` marks, such as lines, take twice the length.
    """

    paint: PaintMark
    word: str
    strong: bool = False
    wide: bool = False


@dataclass(frozen=True, slots=True)
class Placed:
    """An entry with its place, and `mark_size`, of one row of the legend."""

    entry: Entry
    x: float
    row: int


def lay_out(
    entries: Sequence[Entry], metrics: QFontMetricsF, width: float, most_rows: int
) -> tuple[tuple[Placed, ...], int]:
    """Place entries in rows of a width; return them, and how many had no room."""
    em = metrics.height()
    placed: list[Placed] = []
    x, row = 0.0, 0
    for number, entry in enumerate(entries):
        needed = _length(entry, metrics)
        if x > 0 and x + needed > width:
            x, row = 0.0, row + 1
        if row >= most_rows or needed > width:
            return tuple(placed), len(entries) - number
        placed.append(Placed(entry, x, row))
        x += needed + _GAP_EM * em
    return tuple(placed), 0


def legend_height(placed: Sequence[Placed], metrics: QFontMetricsF) -> float:
    """Return the height of placed entries, with a margin above and below."""
    rows = max((item.row for item in placed), default=-1) + 1
    return rows * row_height(metrics) + (0.4 * metrics.height() if rows else 0.0)


def row_height(metrics: QFontMetricsF) -> float:
    """Return the height of one row."""
    return 1.25 * metrics.height()


def paint_legend(
    painter: QPainter, placed: Sequence[Placed], box: QRectF, metrics: QFontMetricsF, theme: Theme
) -> None:
    """Paint placed entries into a box of `legend_height`."""
    em = metrics.height()
    painter.save()
    font = painter.font()
    for item in placed:
        middle = box.top() + 0.2 * em + (item.row + 0.5) * row_height(metrics)
        mark_width = _mark_width(item.entry, metrics)
        centre = QPointF(box.left() + item.x + mark_width / 2, middle)
        item.entry.paint(painter, centre, 0.75 * em, theme)
        font.setBold(item.entry.strong)
        painter.setFont(font)
        painter.setPen(theme.ink)
        words = QRectF(
            box.left() + item.x + mark_width + 0.3 * em,
            middle - em,
            _word_width(item.entry, metrics) + 2,
            2 * em,
        )
        painter.drawText(words, Qt.AlignmentFlag.AlignVCenter, again(item.entry.word))
    painter.restore()


def _length(entry: Entry, metrics: QFontMetricsF) -> float:
    return _mark_width(entry, metrics) + 0.3 * metrics.height() + _word_width(entry, metrics)


def _mark_width(entry: Entry, metrics: QFontMetricsF) -> float:
    return (1.7 if entry.wide else 0.85) * metrics.height()


def _word_width(entry: Entry, metrics: QFontMetricsF) -> float:
    # Bold lettering is a seventh wider than the metrics of the plain face.
    return metrics.horizontalAdvance(again(entry.word)) * (1.15 if entry.strong else 1.0)

"""The legend of points: their marks with their words, as all drawings of the bench have it."""

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QRectF
from PySide6.QtGui import QFont, QFontMetricsF, QPainter

from seatproof.core.plan.seat import Seat
from seatproof.gui.bench.points import PointMark
from seatproof.gui.shared.legend import Entry, Placed, lay_out, legend_height, paint_legend
from seatproof.gui.shared.marks import paint_next_ring, paint_point_mark
from seatproof.gui.shared.saying import wording
from seatproof.gui.shared.theme import Theme


@dataclass(frozen=True, slots=True)
class PointLegend:
    """A legend laid out below a drawing; empty where it has no room as a whole."""

    placed: tuple[Placed, ...]
    box: QRectF

    def paint(self, painter: QPainter, font: QFont, theme: Theme) -> None:
        painter.save()
        painter.setFont(font)
        paint_legend(painter, self.placed, self.box, QFontMetricsF(font), theme)
        painter.restore()


def lay_out_legend(
    seats: Sequence[Seat], room: QRectF, metrics: QFontMetricsF, more: Sequence[Entry] = ()
) -> PointLegend:
    """Lay out the marks that points of these seats can have, and `more`, at the foot of a room."""
    most_rows = int(0.2 * room.height() / (1.25 * metrics.height()))
    sizes = {seat.has_size for seat in seats}
    entries = [
        *(_entry(mark) for mark in PointMark if _can_be(mark, sizes)),
        Entry(
            lambda painter, centre, size, theme: paint_next_ring(
                painter, centre, 0.5 * size, theme
            ),
            wording("next"),
        ),
        *more,
    ]
    placed, left_out = lay_out(entries, metrics, room.width(), most_rows)
    if left_out:  # half a legend would be taken for the whole; tips say the words as well
        placed = ()
    height = legend_height(placed, metrics)
    return PointLegend(placed, QRectF(room.left(), room.bottom() - height, room.width(), height))


def _can_be(mark: PointMark, sizes: set[bool]) -> bool:
    if mark is PointMark.MEASURED:
        return sizes != {True}
    is_judged = mark is PointMark.INSIDE or mark.is_outside
    return sizes != {False} or not is_judged


def _entry(mark: PointMark) -> Entry:
    return Entry(
        lambda painter, centre, size, theme: paint_point_mark(painter, mark, centre, size, theme),
        mark.value,
    )

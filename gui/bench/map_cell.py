"""One cell of a seat's map: which of its figures have room, and how they are painted."""

from dataclasses import dataclass
from typing import Final

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QFont, QFontMetricsF, QPainter, QPen

from seatproof.core import figures
from seatproof.core.units import Unit
from seatproof.gui.bench.seat_detail import scaled_font
from seatproof.gui.bench.seat_map import MapCell
from seatproof.gui.shared.marks import paint_point_mark
from seatproof.gui.shared.saying import again
from seatproof.gui.shared.theme import Theme

REDONE: Final = "↶"
_CENTRED: Final = Qt.AlignmentFlag.AlignCenter
_LEFT: Final = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
_LINE_EM: Final = 1.15  # the height that a line of figures needs
_VALUE_EM: Final = 0.85  # the height of the value's lettering below the departure's


@dataclass(frozen=True, slots=True)
class Look:
    """How the parts of a cell share its box, and which of them have room."""

    em: float
    font: QFont
    mark: QPointF
    mark_size: float
    line: QRectF
    value: QRectF
    has_line: bool
    has_value: bool

    @classmethod
    def of(
        cls, box: QRectF, font: QFont, departure_width: float, value_width: float | None
    ) -> "Look":
        """Share a box out; without a `value_width` there is no second line."""
        em = QFontMetricsF(font).height()
        has_line = box.height() >= _LINE_EM * em and box.width() >= departure_width + 0.9 * em
        least = (_LINE_EM + _VALUE_EM * 1.1) * em
        has_value = value_width is not None and has_line and box.height() >= least
        has_value = has_value and box.width() >= (value_width or 0.0) + 1.4 * em
        size = max(min(0.72 * min(box.width(), box.height()), 0.95 * em), 5.0)
        if not has_line:
            nowhere = QRectF()
            return cls(em, font, box.center(), size, nowhere, nowhere, False, False)
        left = box.left() + 0.35 * em
        high = least if has_value else _LINE_EM * em
        top = box.center().y() - high / 2
        mark = QPointF(left + 0.5 * em, top + _LINE_EM * em / 2)
        words = left + 1.35 * em
        line = QRectF(words, top, box.right() - words, _LINE_EM * em)
        value = QRectF(left + 0.1 * em, line.bottom(), box.right() - left, _VALUE_EM * 1.1 * em)
        return cls(em, font, mark, size, line, value, has_line, has_value)


def look_of(cell: MapCell, box: QRectF, font: QFont, unit: Unit) -> "Look":
    """Return how the parts of a cell share a box."""
    metrics = QFontMetricsF(font)
    widest = figures.small_number(-100.0, unit, sign=True)
    size = figures.size(100.0, unit)
    return Look.of(
        box,
        font,
        metrics.horizontalAdvance(widest) + metrics.height(),
        metrics.horizontalAdvance(size) * _VALUE_EM if _second_line(cell) else None,
    )


def paint_cell(
    painter: QPainter, cell: MapCell, box: QRectF, look: Look, font: QFont, theme: Theme
) -> None:
    """Paint a cell with as much of its figures as it has room for."""
    painter.setPen(QPen(theme.grid, 1.0))
    painter.setBrush(theme.paper)
    painter.drawRect(box)
    paint_point_mark(painter, cell.view.mark, look.mark, look.mark_size, theme)
    painter.setFont(look.font)
    figure = cell.departure or cell.note
    if look.has_line and figure:
        painter.setPen(theme.ink if cell.departure else theme.faint_ink)
        painter.drawText(look.line, _LEFT, again(figure) if cell.departure else figure)
    if look.has_value:
        painter.setFont(scaled_font(font, _VALUE_EM * look.em))
        painter.setPen(theme.faint_ink)
        painter.drawText(look.value, _LEFT, again(_second_line(cell)))
    if cell.was_redone and look.has_line:
        painter.setFont(look.font)
        painter.setPen(theme.ink)
        corner = QRectF(box.right() - 1.1 * look.em, box.top(), look.em, 1.2 * look.em)
        painter.drawText(corner, _CENTRED, REDONE)


def paint_cell_frame(painter: QPainter, box: QRectF, theme: Theme) -> None:
    """Paint the dashed frame of the selected cell."""
    painter.setBrush(Qt.BrushStyle.NoBrush)
    pen = QPen(theme.ink, 1.8)
    pen.setDashPattern([2.6, 1.8])
    painter.setPen(pen)
    painter.drawRect(box)


def _second_line(cell: MapCell) -> str:
    return cell.value if not cell.note or not cell.departure else cell.note

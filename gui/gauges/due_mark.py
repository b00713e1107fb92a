"""Marks of how a calibration stands: one shape for each state, so that colour only helps."""

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QGuiApplication, QIcon, QPainter, QPen, QPixmap, QPolygonF

from seatproof.core.equipment.due import DueState
from seatproof.gui.shared.theme import Theme


def paint_due_mark(painter: QPainter, state: DueState | None, box: QRectF, theme: Theme) -> None:
    """Paint a state's mark into a square: tick, hourglass, cross, open ring; a bar for out of use.

    Parameters
    ----------
    state : DueState or None
        None for equipment that is out of use.
    """
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    side = min(box.width(), box.height())
    line = max(1.6, side / 8)
    half = side / 2 - line
    centre = box.center()

    def at(x: float, y: float) -> QPointF:
        return QPointF(centre.x() + x * half, centre.y() + y * half)

    painter.setBrush(Qt.BrushStyle.NoBrush)
    match state:
        case DueState.VALID:
            painter.setPen(QPen(theme.inside, line))
            painter.drawPolyline(QPolygonF([at(-0.9, 0.1), at(-0.2, 0.8), at(0.95, -0.8)]))
        case DueState.SOON:
            painter.setPen(QPen(theme.ink, line * 0.8))
            painter.setBrush(theme.guard)
            corners = [at(-0.8, -0.9), at(0.8, -0.9), at(-0.8, 0.9), at(0.8, 0.9)]
            painter.drawPolygon(QPolygonF(corners))
        case DueState.EXPIRED:
            painter.setPen(QPen(theme.outside, line * 1.3))
            painter.drawLine(at(-0.8, -0.8), at(0.8, 0.8))
            painter.drawLine(at(-0.8, 0.8), at(0.8, -0.8))
        case DueState.UNKNOWN:
            painter.setPen(QPen(theme.unproven, line))
            painter.drawEllipse(centre, 0.7 * half, 0.7 * half)
        case None:
            painter.setPen(QPen(theme.faint_ink, line))
            painter.drawLine(at(-0.8, 0.0), at(0.8, 0.0))
    painter.restore()


def due_icon(state: DueState | None, theme: Theme, size: int) -> QIcon:
    """Return a state's mark as an icon, as fine as the finest screen asks."""
    ratio = max((screen.devicePixelRatio() for screen in QGuiApplication.screens()), default=1.0)
    pixmap = QPixmap(round(size * ratio), round(size * ratio))
    pixmap.setDevicePixelRatio(ratio)
    pixmap.fill(Qt.GlobalColor.transparent)
    painter = QPainter(pixmap)
    paint_due_mark(painter, state, QRectF(0, 0, size, size), theme)
    painter.end()
    return QIcon(pixmap)

"""The current seat seen from the datum face: across which diameter to measure now."""

from math import cos, radians, sin
from typing import Final

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPaintEvent, QPen, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from seatproof.core import figures
from seatproof.core.drawing import end_view as drawing
from seatproof.core.plan.model import Plan
from seatproof.core.plan.points import PointKey
from seatproof.core.plan.seat import Seat
from seatproof.gui.bench.points import PointMark, PointView
from seatproof.gui.bench.seat_detail import order_of_painting, paint_arrow_tip
from seatproof.gui.shared.drawing_view import paint_drawing
from seatproof.gui.shared.marks import paint_point_mark
from seatproof.gui.shared.theme import Theme, theme_of

_DRAWING_TEXT_EM: Final = 0.76
_LEAST_MARK_PX: Final = 7.0


class EndView(QWidget):
    """Shows a seat from its end, the diameter to measure now, and what is done at its station."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._plan: Plan | None = None
        self._seat: Seat | None = None
        self._views: tuple[PointView, ...] = ()
        self._next: PointKey | None = None
        self._drawn: drawing.EndView | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName("Seat seen from the datum face")

    def show_station(
        self,
        plan: Plan | None,
        seat: Seat | None = None,
        views: tuple[PointView, ...] = (),
        next_key: PointKey | None = None,
    ) -> None:
        """Show a seat of a plan with the points of one station; without a plan, nothing.

        `next_key` names the point to be measured now; it is shown if it lies on this seat.
        """
        if plan is not self._plan or seat is not self._seat:
            self._drawn = None
        self._plan, self._seat, self._views = plan, seat, views
        on_seat = seat is not None and next_key is not None and next_key.seat_id == seat.id
        self._next = next_key if on_seat else None
        self.setAccessibleDescription(self._next_text())
        self.update()

    def sizeHint(self) -> QSize:
        em = self.fontMetrics().height()
        return QSize(18 * em, 18 * em)

    def minimumSizeHint(self) -> QSize:
        return QSize(120, 120)

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._drawn = None
        super().resizeEvent(event)

    def changeEvent(self, event: QEvent) -> None:
        if event.type() in (QEvent.Type.FontChange, QEvent.Type.StyleChange):
            self._drawn = None
        super().changeEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        theme = theme_of(self)
        painter.fillRect(self.rect(), QColor(theme.paper))
        if self._plan is None or self._seat is None:
            return
        em = QFontMetricsF(self.font()).height()
        margin = 0.4 * em
        foot = 1.9 * em if self._next is not None else 0.0
        if self._drawn is None or self._drawn.height != self.height() - 2 * margin - foot:
            self._drawn = drawing.end_view(
                self._plan,
                self._seat,
                max(self.width() - 2 * margin, 1.0),
                max(self.height() - 2 * margin - foot, 1.0),
                _DRAWING_TEXT_EM * em,
            )
        painter.save()
        painter.translate(margin, margin)
        paint_drawing(painter, self._drawn, theme)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if self._next is not None:
            self._paint_measuring(painter, self._drawn, self._angle_deg(self._next), em, theme)
        size = max(_LEAST_MARK_PX, min(0.75 * em, 0.5 * self._spacing(self._drawn)))
        for view in order_of_painting(self._views):
            if view.mark is not PointMark.OPEN:
                at = self._on_paper(self._drawn, view.point.angle_deg, 1.0)
                paint_point_mark(painter, view.mark, at, size, theme)
        painter.restore()
        if self._next is not None:
            self._paint_foot(painter, em, theme)

    # --- parts -----------------------------------------------------------------------------------

    def _paint_measuring(
        self, painter: QPainter, drawn: drawing.EndView, angle_deg: float, em: float, theme: Theme
    ) -> None:
        """Draw the diameter to measure, and both measuring faces coming from outside."""
        ends = [self._on_paper(drawn, angle_deg + turn_deg, 1.0) for turn_deg in (0.0, 180.0)]
        painter.setPen(QPen(QColor(theme.next), max(3.0, 0.2 * em)))
        painter.drawLine(ends[0], ends[1])
        for rim, turn_deg in zip(ends, (0.0, 180.0), strict=True):
            angle = radians(angle_deg + turn_deg)
            outwards = QPointF(cos(angle), -sin(angle))
            # As long as the room between the circle and the lettering of its angles.
            paint_arrow_tip(painter, rim, outwards, 0.62 * em, theme.next)

    def _paint_foot(self, painter: QPainter, em: float, theme: Theme) -> None:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        text = self._next_text()
        font = QFont(painter.font())
        font.setBold(True)
        painter.setFont(font)
        width = min(QFontMetricsF(font).horizontalAdvance(text) + em, self.width() - 4.0)
        pill = QRectF((self.width() - width) / 2, self.height() - 1.9 * em, width, 1.5 * em)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(theme.next))
        painter.drawRoundedRect(pill, 0.25 * em, 0.25 * em)
        painter.setPen(QColor(theme.on_next))
        painter.drawText(pill, Qt.AlignmentFlag.AlignCenter, text)

    def _next_text(self) -> str:
        if self._next is None:
            return ""
        return f"across {figures.angle(self._angle_deg(self._next))}"

    def _angle_deg(self, key: PointKey) -> float:
        assert self._seat is not None  # a key is kept only together with its seat
        return float(self._seat.orientations_deg[key.orientation - 1])

    def _on_paper(self, drawn: drawing.EndView, angle_deg: float, fraction: float) -> QPointF:
        x, y = drawn.placement.point(angle_deg, fraction)
        return QPointF(x, drawn.height - y)

    def _spacing(self, drawn: drawing.EndView) -> float:
        """Return how far apart neighbouring orientations are on the circle, on an average."""
        assert self._seat is not None
        return radians(180.0) * drawn.placement.radius / len(self._seat.orientations_deg)

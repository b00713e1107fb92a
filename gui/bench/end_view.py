"""The current seat seen from the datum face: across which diameter to measure now."""

from math import cos, radians, sin
from typing import Final

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QFontMetricsF, QPainter, QPaintEvent, QPen, QPixmap, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from seatproof.core import figures
from seatproof.core.drawing import end_view as drawing
from seatproof.core.drawing.shapes import Text
from seatproof.core.plan.model import Plan
from seatproof.core.plan.points import Point
from seatproof.core.plan.seat import Seat
from seatproof.gui.bench.mark_layer import order_of_painting
from seatproof.gui.bench.points import PointMark, PointView
from seatproof.gui.bench.seat_detail import paint_arrow_tip, scaled_font
from seatproof.gui.bench.zoomed_view import ZoomedView
from seatproof.gui.shared.drawing_view import paint_drawing
from seatproof.gui.shared.marks import paint_point_mark
from seatproof.gui.shared.saying import say
from seatproof.gui.shared.theme import Theme

_DRAWING_TEXT_EM: Final = 0.76
_LEAST_MARK_PX: Final = 7.0


class EndView(ZoomedView):
    """Shows a seat from its end, the diameter to measure now, and what is done at its station.

    It can be enlarged and moved; what is to be measured stays written below it.
    """

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._plan: Plan | None = None
        self._seat: Seat | None = None
        self._views: tuple[PointView, ...] = ()
        self._next: Point | None = None
        self._drawn: drawing.EndView | None = None
        self._picture: QPixmap | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName(say("Seat seen from the datum face"))

    def show_section(
        self, plan: Plan | None, seat: Seat | None = None, views: tuple[PointView, ...] = ()
    ) -> None:
        """Show a seat of a plan with the points of one station; without a plan, nothing.

        The diameter to measure now is that of the point which is next, if it is among them.
        """
        if plan is not self._plan or seat is not self._seat:
            self._drawn = None
        self._plan, self._seat, self._views = plan, seat, views
        self._next = next((view.point for view in views if view.is_next), None)
        self.setAccessibleDescription(self._next_text())
        self.update()

    def room(self) -> QRectF:
        return QRectF(self.rect()).adjusted(0, 0, 0, -self._foot(self._em()))

    def forget_picture(self) -> None:
        super().forget_picture()
        self._picture = None

    def _em(self) -> float:
        """Return the height of a line of lettering; it gives way where the view is small."""
        return min(QFontMetricsF(self.font()).height(), self.height() / 9, self.width() / 9)

    def _foot(self, em: float) -> float:
        return 1.9 * em if self._next is not None else 0.0

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
        theme = self._theme
        painter.fillRect(self.rect(), theme.paper)
        if self._plan is None or self._seat is None:
            return
        em = self._em()
        margin = 0.4 * em
        foot = self._foot(em)
        if self._drawn is None or self._drawn.height != self.height() - 2 * margin - foot:
            self._drawn = drawing.end_view(
                self._plan,
                self._seat,
                max(self.width() - 2 * margin, 1.0),
                max(self.height() - 2 * margin - foot, 1.0),
                _DRAWING_TEXT_EM * em,
            )
            self.forget_picture()
        if self._picture is None:
            self._picture = self._drawn_once(painter, self._drawn, margin)
        painter.drawPixmap(0, 0, self._picture)
        painter.save()
        self.look_through(painter)
        painter.translate(margin, margin)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if self._next is not None:
            self._paint_measuring(painter, self._drawn, self._next.angle_deg, theme)
        radius = self._drawn.placement.radius
        size = max(_LEAST_MARK_PX, min(0.75 * em, 0.5 * self._spacing(self._drawn), 0.3 * radius))
        inside = max(1.0 - 0.75 * size / radius, 0.5)  # clear of the datum mark on the circle
        for view in order_of_painting(self._views):
            if view.mark is not PointMark.OPEN:
                at = self._on_paper(self._drawn, view.point.angle_deg, inside)
                paint_point_mark(painter, view.mark, at, size, theme)
        painter.restore()
        if self._next is not None:
            self._paint_foot(painter, em, theme)

    def _drawn_once(self, painter: QPainter, drawn: drawing.EndView, margin: float) -> QPixmap:
        """Draw what no press changes into a picture that is kept."""
        ratio = painter.device().devicePixelRatioF()
        picture = QPixmap(self.size() * ratio)
        picture.setDevicePixelRatio(ratio)
        picture.fill(Qt.GlobalColor.transparent)
        on_it = QPainter(picture)
        self.look_through(on_it)
        on_it.translate(margin, margin)
        paint_drawing(on_it, drawn, self._theme)
        on_it.end()
        return picture

    # --- parts -----------------------------------------------------------------------------------

    def _paint_measuring(
        self, painter: QPainter, drawn: drawing.EndView, angle_deg: float, theme: Theme
    ) -> None:
        """Draw the diameter to measure, and both measuring faces coming from outside."""
        ends = [self._on_paper(drawn, angle_deg + turn_deg, 1.0) for turn_deg in (0.0, 180.0)]
        size = max(shape.size for shape in drawn.shapes if isinstance(shape, Text))
        painter.setPen(QPen(theme.next, max(2.5, 0.27 * size)))
        painter.drawLine(ends[0], ends[1])
        for rim, turn_deg in zip(ends, (0.0, 180.0), strict=True):
            angle = radians(angle_deg + turn_deg)
            outwards = QPointF(cos(angle), -sin(angle))
            # Not longer than the room between the circle and the lettering of its angles.
            paint_arrow_tip(painter, rim, outwards, 0.82 * size, theme.next)

    def _paint_foot(self, painter: QPainter, em: float, theme: Theme) -> None:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        text = self._next_text()
        font = scaled_font(self.font(), em)
        font.setBold(True)
        painter.setFont(font)
        width = QFontMetricsF(font).horizontalAdvance(text) + em
        pill = QRectF((self.width() - width) / 2, self.height() - 1.9 * em, width, 1.5 * em)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(theme.next)
        painter.drawRoundedRect(pill, 0.25 * em, 0.25 * em)
        painter.setPen(theme.on_next)
        painter.drawText(pill, Qt.AlignmentFlag.AlignCenter, text)

    def _next_text(self) -> str:
        if self._next is None:
            return ""
        return say("across {angle}", angle=figures.angle(self._next.angle_deg))

    def _on_paper(self, drawn: drawing.EndView, angle_deg: float, fraction: float) -> QPointF:
        x, y = drawn.placement.point(angle_deg, fraction)
        return QPointF(x, drawn.height - y)

    def _spacing(self, drawn: drawing.EndView) -> float:
        """Return how far apart neighbouring orientations are on the circle, on an average."""
        assert self._seat is not None
        return radians(180.0) * drawn.placement.radius / len(self._seat.orientations_deg)

"""The drawing beside the editor: the shaft from the side, and one seat seen from its end."""

from typing import Final

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from seatproof.core.drawing.end_view import end_view
from seatproof.core.drawing.shaft import side_elevation
from seatproof.core.plan.model import Plan
from seatproof.core.plan.seat import Seat
from seatproof.gui.shared.drawing_view import paint_drawing
from seatproof.gui.shared.saying import say, wording
from seatproof.gui.shared.theme import Theme

_TEXT_EM: Final = 0.72  # lettering of drawings, in heights of a line of the widget's font
_AIR: Final = 8
_NOTHING: Final = wording(
    "The drawing begins with the first section of the outline: length and diameter."
)
_NO_ROOM: Final = wording("There is no room for the drawing here; make the window larger.")


class PlanDrawing(QWidget):
    """Shows whatever can be drawn of a plan."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._plan: Plan | None = None
        self._seat: Seat | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setMinimumHeight(160)
        self.setAccessibleName(say("Drawing of the shaft"))

    def show_plan(self, plan: Plan | None, seat_id: str = "") -> None:
        """Show a plan, with that seat from its end; the first one where it is not there."""
        self._plan = plan
        seats = plan.seats if plan is not None else ()
        self._seat = next((seat for seat in seats if seat.id == seat_id), None)
        if self._seat is None and seats:
            self._seat = seats[0]
        self.setAccessibleDescription(self.words)
        self.update()

    @property
    def words(self) -> str:
        """What is drawn, for whoever cannot see it."""
        if self._plan is None:
            return say(_NOTHING)
        seats = ", ".join(seat.id for seat in self._plan.seats) or say("none yet")
        count = len(self._plan.shaft.sections)
        if count == 1:
            return say("1 section; seats: {seats}", seats=seats)
        return say("{count} sections; seats: {seats}", count=str(count), seats=seats)

    def restyle(self, theme: Theme) -> None:
        self._theme = theme
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.fillRect(self.rect(), self._theme.paper)
        room = QRectF(self.rect()).adjusted(_AIR, _AIR, -_AIR, -_AIR)
        try:
            if self._plan is None:
                self._write(painter, room, say(_NOTHING))
            elif not self._plan.seats:
                self._paint_outline(painter, room, self._plan)
            else:
                self._paint(painter, room, self._plan)
        except ValueError:  # the box is too small for any drawing
            self._write(painter, room, say(_NO_ROOM))
        painter.end()

    def _paint(self, painter: QPainter, room: QRectF, plan: Plan) -> None:
        size = _TEXT_EM * self.fontMetrics().height()
        upper, lower = QRectF(room), QRectF(room)
        if self._seat is not None:
            if room.width() > 1.9 * room.height():
                upper.setWidth(room.width() - 0.8 * room.height() - _AIR)
                lower.setLeft(upper.right() + _AIR)
            else:
                upper.setHeight(0.52 * room.height())
                lower.setTop(upper.bottom() + _AIR)
        side = side_elevation(plan, upper.width(), upper.height(), size)
        painter.save()
        painter.translate(upper.topLeft())
        paint_drawing(painter, side, self._theme)
        painter.restore()
        if self._seat is not None:
            end = end_view(plan, self._seat, lower.width(), lower.height(), size)
            painter.save()
            painter.translate(lower.topLeft())
            paint_drawing(painter, end, self._theme)
            painter.restore()

    def _paint_outline(self, painter: QPainter, room: QRectF, plan: Plan) -> None:
        """Draw the steps alone, to scale, while there is no seat to letter."""
        steps = [tuple(float(part) for part in step) for step in plan.shaft.steps()]
        length, largest = steps[-1][1], float(plan.shaft.largest_diameter_mm)
        words = say("Tap “seat here” beside the section that carries a bearing.")
        line = self.fontMetrics().height()
        box = room.adjusted(0, 0, 0, -3.0 * line)
        if box.height() <= 0:
            raise ValueError("no room")
        scale = min(box.width() / length, box.height() / largest)
        left = box.center().x() - length * scale / 2
        middle = box.center().y()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(self._theme.ink, 1.6))
        for start, end, diameter in steps:
            half = diameter * scale / 2
            corners = [(start, -half), (end, -half), (end, half), (start, half)]
            painter.drawPolygon(
                QPolygonF([QPointF(left + z * scale, middle + y) for z, y in corners])
            )
        self._write(painter, QRectF(room.left(), box.bottom(), room.width(), 3.0 * line), words)

    def _write(self, painter: QPainter, room: QRectF, words: str) -> None:
        painter.setPen(self._theme.faint_ink)
        flags = Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap
        painter.drawText(room, int(flags), words)

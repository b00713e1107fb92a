"""The joint from the side of its bolts' heads, with the next bolt unmistakable.

The next bolt has a mark of its own (a double ring with a pointer), the word "next", and a head half
as large again; its colour comes on top of that.
"""

from collections.abc import Callable
from math import ceil, cos, pi, sin
from typing import Final

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import (
    QColor,
    QFont,
    QFontMetricsF,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QPolygonF,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from seatproof.core.fitting.joint import BoltPlace, Joint, joint_of
from seatproof.core.plan.fitting import TorqueStep
from seatproof.gui.fitting.bolting import BoltView
from seatproof.gui.shared.saying import say
from seatproof.gui.shared.theme import DRAWING_FAMILY, Theme

_LARGER: Final = 1.45
_LEAST_EM: Final = 20
_CORNERS: Final = 6


class JointView(QWidget):
    """Draws the joint of a step; a tap on a bolt chooses it.

    Parameters
    ----------
    step : TorqueStep
    theme : Theme
    on_bolt : callable
        Called with the name of a bolt that was tapped.
    """

    def __init__(
        self,
        step: TorqueStep,
        theme: Theme,
        on_bolt: Callable[[str], object],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._joint: Joint = joint_of(step)
        self._theme = theme
        self._on_bolt = on_bolt
        self._bolts: dict[str, BoltView] = {}
        self.setObjectName("joint")
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setSizePolicy(policy)

    def show_bolts(self, bolts: tuple[BoltView, ...]) -> None:
        """Show the bolts as they stand."""
        self._bolts = {bolt.name: bolt for bolt in bolts}
        said = "; ".join(
            say("bolt {bolt}: {words}", bolt=bolt.name, words=bolt.words) for bolt in bolts
        )
        self.setAccessibleName(say("Joint seen from the bolt heads. {bolts}.", bolts=said))
        self.update()

    def restyle(self, theme: Theme) -> None:
        self._theme = theme
        self.update()

    def minimumSizeHint(self) -> QSize:
        em = self.fontMetrics().height()
        return QSize(min(_LEAST_EM * em, 420), min(_LEAST_EM * em, 330))

    def sizeHint(self) -> QSize:
        return self.minimumSizeHint()

    def position_of(self, bolt: str) -> QPointF:
        """Return where a bolt is drawn."""
        place = next(place for place in self._joint.places if place.name == bolt)
        return self._at(place)

    # --- painting --------------------------------------------------------------------------------

    def paintEvent(self, event: QPaintEvent) -> None:
        del event
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(self.rect(), self._theme.paper)
        self._paint_outline(painter)
        following = ""
        for place in self._joint.places:
            bolt = self._bolts.get(place.name)
            if bolt is not None and bolt.is_next:
                following = place.name
            elif bolt is not None:
                self._paint_bolt(painter, place, bolt)
        for place in self._joint.places:  # on top of what is beside it
            if place.name == following:
                self._paint_next(painter, place, self._bolts[following])
        painter.setPen(self._theme.faint_ink)
        painter.setFont(self._font(0.85))
        foot = self.rect().adjusted(8, 0, -8, -6)
        painter.drawText(
            foot,
            Qt.AlignmentFlag.AlignBottom | Qt.AlignmentFlag.AlignHCenter,
            say("seen from the bolt heads; small figures: place in the order"),
        )
        painter.end()

    def _paint_outline(self, painter: QPainter) -> None:
        theme, box = self._theme, self._box()
        painter.setPen(QPen(theme.edge, 1.5 * theme.stroke))
        painter.setBrush(theme.panel)
        radius = self._radius()
        if self._joint.pattern == "circle":
            reach = 1.9 * radius
            painter.drawEllipse(box.adjusted(-reach, -reach, reach, reach))
            painter.setBrush(theme.paper)
            inner = box.width() * 0.24
            painter.drawEllipse(box.adjusted(inner, inner, -inner, -inner))
            self._lines_across(painter, box.adjusted(inner, inner, -inner, -inner))
        elif self._joint.pattern == "two rows":
            reach = 2.2 * radius
            painter.drawRoundedRect(box.adjusted(-reach, -reach, reach, reach), 10, 10)
        else:
            self._paint_clamped(painter, box)

    def _paint_clamped(self, painter: QPainter, box: QRectF) -> None:
        """Draw two clamping rings side by side on the shaft, each parted at two joints."""
        theme = self._theme
        radius = self._radius()
        shaft = QRectF(0, 0, box.width() + 4.4 * radius, box.height() * 0.5)
        shaft.moveCenter(box.center())
        painter.setBrush(theme.paper)
        painter.drawRect(shaft)
        painter.setBrush(theme.panel)
        for side in (-1, 1):
            wide = min(0.35 * box.width() + 2.6 * radius, 0.55 * box.width() - 3.4 * self._em())
            ring = QRectF(0, 0, max(wide, 2.2 * radius), box.height() + 3.4 * radius)
            ring.moveCenter(box.center() + QPointF(side * 0.275 * box.width(), 0))
            painter.drawRoundedRect(ring, 8, 8)
        centre = QPen(theme.faint_ink, theme.stroke)
        centre.setDashPattern([14.0, 3.0, 2.0, 3.0])
        painter.setPen(centre)
        painter.drawLine(
            QPointF(shaft.left() - 8, shaft.center().y()),
            QPointF(shaft.right() + 8, shaft.center().y()),
        )
        painter.setPen(theme.faint_ink)
        painter.setFont(self._font(0.85))
        for y, word in ((-1, say("first\njoint")), (1, say("second\njoint"))):
            self._write(painter, box.center() + QPointF(0, y * box.height() / 2), word)

    def _lines_across(self, painter: QPainter, box: QRectF) -> None:
        pen = QPen(self._theme.faint_ink, self._theme.stroke)
        pen.setDashPattern([14.0, 3.0, 2.0, 3.0])
        painter.setPen(pen)
        middle = box.center()
        painter.drawLine(QPointF(box.left(), middle.y()), QPointF(box.right(), middle.y()))
        painter.drawLine(QPointF(middle.x(), box.top()), QPointF(middle.x(), box.bottom()))

    def _paint_bolt(self, painter: QPainter, place: BoltPlace, bolt: BoltView) -> None:
        theme, at, radius = self._theme, self._at(place), self._radius()
        line = theme.outside if bolt.is_departed else theme.inside if bolt.is_done else theme.edge
        fill = theme.band if bolt.is_done else theme.paper
        self._head(painter, at, radius, fill, QPen(line, 2.2 * theme.stroke))
        painter.setFont(self._name_font(place.name, radius))
        painter.setPen(theme.ink)
        self._write(painter, at, place.name.replace(" ", "\n"))
        mark = "!" if bolt.is_departed else "✓" if bolt.is_done else ""
        if mark:
            painter.setFont(self._font(1.15, bold=True))
            painter.setPen(line)
            self._write(painter, at + QPointF(radius * 1.1, -radius * 1.0), mark)
        self._place_word(painter, place, at, radius, bolt)

    def _paint_next(self, painter: QPainter, place: BoltPlace, bolt: BoltView) -> None:
        theme, at = self._theme, self._at(place)
        radius = self._radius() * _LARGER
        painter.setPen(QPen(theme.next, 3.5 * theme.stroke))
        painter.setBrush(theme.paper)
        painter.drawEllipse(at, radius * 1.32, radius * 1.32)
        self._head(painter, at, radius, theme.next, QPen(theme.next, 2.0))
        painter.setFont(self._name_font(place.name, radius))
        painter.setPen(theme.on_next)
        self._write(painter, at, place.name.replace(" ", "\n"))
        way = self._to_word(at)
        tip = at + way * radius * 1.36
        across = QPointF(-way.y(), way.x())
        back = tip + way * radius * 0.45
        word = say("CHOSEN") if bolt.is_chosen else say("NEXT")
        font = self._word_font(word)
        painter.setFont(font)
        metrics = QFontMetricsF(font)
        room = QPointF(
            way.x() * (metrics.horizontalAdvance(word) / 2 + 4),
            way.y() * (metrics.height() / 2 + 2),
        )
        middle = back + room
        if self._joint.pattern == "circle":  # clear of the pointer
            middle = self._box().center() + way * radius * 0.4
        box = QRectF(0, 0, metrics.horizontalAdvance(word) + 8, metrics.height())
        box.moveCenter(middle)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(theme.paper)
        painter.drawRoundedRect(box, 4, 4)
        painter.setPen(theme.ink)
        self._write(painter, middle, word)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(theme.next)
        painter.drawPolygon(
            QPolygonF([tip, back + across * radius * 0.36, back - across * radius * 0.36])
        )

    def _place_word(
        self, painter: QPainter, place: BoltPlace, at: QPointF, radius: float, bolt: BoltView
    ) -> None:
        """Write a bolt's place in the order beside it, away from the middle."""
        painter.setFont(self._font(0.85))
        painter.setPen(self._theme.faint_ink)
        text = f"{bolt.place}."
        self._write(painter, at - QPointF(radius * 1.15, radius * 1.0), text)

    def _head(self, painter: QPainter, at: QPointF, radius: float, fill: QColor, pen: QPen) -> None:
        """Draw a hexagonal head."""
        painter.setPen(pen)
        painter.setBrush(fill)
        painter.drawPolygon(
            QPolygonF(
                [
                    at
                    + QPointF(
                        cos(corner * 2 * pi / _CORNERS) * radius,
                        sin(corner * 2 * pi / _CORNERS) * radius,
                    )
                    for corner in range(_CORNERS)
                ]
            )
        )

    def _write(self, painter: QPainter, middle: QPointF, text: str) -> None:
        """Write a text about a middle."""
        metrics = QFontMetricsF(painter.font())
        box = QRectF(0, 0, 10 * metrics.averageCharWidth() * 4, metrics.height() * 3)
        box.moveCenter(middle)
        painter.drawText(box, Qt.AlignmentFlag.AlignCenter, text)

    # --- places ----------------------------------------------------------------------------------

    def _box(self) -> QRectF:
        """Return the box in which the bolts' middles lie."""
        width, height, _ = self._sizes()
        box = QRectF(0, 0, width, height)
        box.moveCenter(QPointF(self.width() / 2, self._room_y() / 2))
        return box

    def _radius(self) -> float:
        return self._sizes()[2]

    def _room_y(self) -> float:
        """Return the height above the words at the foot."""
        return self.height() - 1.4 * self._em()

    def _sizes(self) -> tuple[float, float, float]:
        """Return width and height of that box, and the size of a head, which go together."""
        room_x, room_y = float(self.width()), self._room_y()
        count = len(self._joint.places)
        if self._joint.pattern == "circle":
            head = min(0.62 * sin(pi / count), 0.27) if count > 2 else 0.27  # of the bolt circle
            side = 2 * min(room_x, room_y) / (2 + 4.4 * head)
            return side, side, head * side / 2
        per_row = count // 2
        beside = 2 if self._joint.pattern == "clamped halves" else 0.5
        radius = min(room_x / (2.6 * per_row + 2 * beside + 2), (room_y - 4.0 * self._em()) / 9.3)
        height = max(room_y - 2 * (3.15 * radius + 2.0 * self._em()), 3.0 * radius)
        width = min(room_x - 5.0 * radius, self._joint.aspect * height + 2 * per_row * radius)
        return max(width, radius), height, radius

    def _at(self, place: BoltPlace) -> QPointF:
        box = self._box()
        return QPointF(
            box.center().x() + place.x * box.width() / 2,
            box.center().y() - place.y * box.height() / 2,
        )

    def _to_word(self, at: QPointF) -> QPointF:
        """Return the direction from a bolt to its word: inwards on a circle, else away."""
        middle = self._box().center()
        if self._joint.pattern == "circle":
            way = middle - at
        else:
            way = QPointF(0, -1 if at.y() < middle.y() else 1)
        length = (way.x() ** 2 + way.y() ** 2) ** 0.5
        return way / length if length > 1 else QPointF(0, 1)

    def _em(self) -> float:
        return float(self.fontMetrics().height())

    def _font(self, scale: float, *, bold: bool = False) -> QFont:
        font = QFont(DRAWING_FAMILY)
        font.setPointSizeF(self.font().pointSizeF() * scale)
        font.setBold(bold)
        return font

    def _name_font(self, name: str, radius: float) -> QFont:
        """Return lettering in which a bolt's name fits on its head."""
        font = self._font(1.1, bold=True)
        longest = max(name.split(" "), key=len)
        width = QFontMetricsF(font).horizontalAdvance(longest)
        room = 1.65 * radius
        if width > room:
            font.setPointSizeF(max(font.pointSizeF() * room / ceil(width), 6.0))
        return font

    def _word_font(self, word: str) -> QFont:
        """Return the lettering of the word for the next bolt; on a circle it fits inside."""
        font = self._font(1.3, bold=True)
        if self._joint.pattern == "circle":
            room = max(self._box().width() - 4.6 * self._radius(), 30.0)
            width = QFontMetricsF(font).horizontalAdvance(word)
            font.setPointSizeF(max(min(font.pointSizeF(), font.pointSizeF() * room / width), 8.0))
        return font

    # --- taps ------------------------------------------------------------------------------------

    def mousePressEvent(self, event: QMouseEvent) -> None:
        at = event.position()
        nearest = min(
            self._joint.places,
            key=lambda place: (self._at(place) - at).manhattanLength(),
        )
        if (self._at(nearest) - at).manhattanLength() <= max(2 * self._radius(), 24):
            self._on_bolt(nearest.name)

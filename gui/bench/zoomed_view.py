"""A drawing that is enlarged and moved: with wheel, keys, buttons, and by dragging it."""

from html import escape
from math import hypot
from typing import Final

from PySide6.QtCore import QEvent, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import (
    QHelpEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QResizeEvent,
    QTransform,
    QWheelEvent,
)
from PySide6.QtWidgets import QApplication, QToolTip, QWidget

from seatproof.gui.bench.lens import Lens

STEP: Final = 1.4  # of a button, a key, or a notch of the wheel
_NOTCH: Final = 120.0
_PAN_EM: Final = 2.0


class ZoomedView(QWidget):
    """What all drawings of the bench that can be enlarged have in common.

    Ctrl with the wheel, + and - enlarge; the wheel alone, Shift with an arrow and dragging move;
    Home shows the whole again. A tap is what did not become a drag.

    Signals
    -------
    lens_changed
        Another part of it is seen.
    """

    lens_changed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._lens = Lens()
        self._grip: QPointF | None = None
        self._is_dragged = False
        self._through: QTransform | None = None  # thousands of places are looked at through it

    @property
    def lens(self) -> Lens:
        """What is seen, as large as the widget is now."""
        room, content = self.room(), self.content_size()
        self._lens = self._lens.refitted((room.width(), room.height()), content)
        return self._lens

    def zoom(self, by: float, about: QPointF | None = None) -> None:
        """Enlarge so many times; the place under `about` stays where it is."""
        corner = self.room().topLeft()
        at = None if about is None else ((about - corner).x(), (about - corner).y())
        self._see(self.lens.zoomed(by, at))

    def fit(self) -> None:
        """Show the whole."""
        self._see(self.lens.whole())

    def pan(self, across: float, down: float) -> None:
        """Move what is seen by so many pixels."""
        self._see(self.lens.moved(across, down))

    def place_hidden(self, x: float, y: float) -> None:
        """Begin at what lies so many pixels further on; for scroll bars."""
        self._see(self.lens.hiding(x, y))

    # --- for those who draw ----------------------------------------------------------------------

    def room(self) -> QRectF:
        """Return where the drawing is shown, in the widget's coordinates."""
        return QRectF(self.rect())

    def content_size(self) -> tuple[float, float]:
        """Return how large the whole drawing is at its usual size."""
        room = self.room()
        return room.width(), room.height()

    def forget_picture(self) -> None:
        """Forget what was painted through another lens, or for another room."""
        self._through = None

    def tapped(self, position: QPointF) -> bool:
        """Take a tap; return whether something was there."""
        del position
        return False

    def story_at(self, position: QPointF) -> str:
        """Return what a tip says there."""
        del position
        return ""

    def seen(self, place: QPointF) -> QPointF:
        """Return where on the widget a place of the drawing lies; both begin at the room."""
        return self._transform().map(place)

    def look_through(self, painter: QPainter) -> None:
        """Let a painter paint as the lens shows it, and in the room only."""
        painter.setClipRect(self.room(), Qt.ClipOperation.IntersectClip)
        painter.setTransform(self._transform(), combine=True)

    def _transform(self) -> QTransform:
        if self._through is None:
            corner, lens = self.room().topLeft(), self.lens
            left, top = lens.origin
            through = QTransform.fromTranslate(corner.x() + left, corner.y() + top)
            through.scale(lens.factor, lens.factor)
            through.translate(-corner.x(), -corner.y())
            self._through = through
        return self._through

    def keep_in_sight(self, place: QPointF, margin: float) -> None:
        """Move so that a place of the drawing is seen; not where it is seen already."""
        corner = self.room().topLeft()
        self._see(self.lens.with_seen(place.x() - corner.x(), place.y() - corner.y(), margin))

    # --- Qt --------------------------------------------------------------------------------------

    def event(self, event: QEvent) -> bool:
        if event.type() is QEvent.Type.ToolTip and isinstance(event, QHelpEvent):
            # A story may hold what somebody wrote, so it is never taken for markup.
            story = self.story_at(QPointF(event.pos()))
            text = f'<p style="white-space: pre-wrap">{escape(story)}</p>' if story else ""
            QToolTip.showText(event.globalPos(), text, self)
            return True
        return super().event(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.forget_picture()
        self.lens_changed.emit()

    def wheelEvent(self, event: QWheelEvent) -> None:
        turned = event.angleDelta()
        if event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            self.zoom(STEP ** (turned.y() / _NOTCH), event.position())
        elif not self.lens.is_all_seen:
            sideways = event.modifiers() & Qt.KeyboardModifier.ShiftModifier
            self.pan(turned.y(), 0.0) if sideways else self.pan(turned.x(), turned.y())
        else:
            super().wheelEvent(event)
            return
        event.accept()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() is Qt.MouseButton.LeftButton:
            self._grip, self._is_dragged = event.position(), False
            return
        super().mousePressEvent(event)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self._grip is None or not event.buttons() & Qt.MouseButton.LeftButton:
            super().mouseMoveEvent(event)
            return
        moved = event.position() - self._grip
        far = hypot(moved.x(), moved.y()) >= QApplication.startDragDistance()
        if self._is_dragged or far:
            self._is_dragged = True
            self._grip = event.position()
            self.pan(moved.x(), moved.y())

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        was_tap = self._grip is not None and not self._is_dragged
        self._grip = None
        if event.button() is not Qt.MouseButton.LeftButton or not was_tap:
            super().mouseReleaseEvent(event)
        elif not self.tapped(event.position()):
            self.setFocus(Qt.FocusReason.MouseFocusReason)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key, em = event.key(), _PAN_EM * self.fontMetrics().height()
        moves = {
            Qt.Key.Key_Left: (em, 0.0),
            Qt.Key.Key_Right: (-em, 0.0),
            Qt.Key.Key_Up: (0.0, em),
            Qt.Key.Key_Down: (0.0, -em),
        }
        if key in (Qt.Key.Key_Plus, Qt.Key.Key_Equal):
            self.zoom(STEP)
        elif key == Qt.Key.Key_Minus:
            self.zoom(1 / STEP)
        elif key == Qt.Key.Key_Home:
            self.fit()
        elif event.modifiers() & Qt.KeyboardModifier.ShiftModifier and key in moves:
            self.pan(*moves[Qt.Key(key)])
        else:
            super().keyPressEvent(event)

    def _see(self, lens: Lens) -> None:
        if lens != self._lens:
            self._lens = lens
            self.forget_picture()
            self.update()
            self.lens_changed.emit()

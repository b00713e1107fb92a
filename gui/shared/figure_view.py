"""A figure on the screen: zoomed, moved and read with the mouse or with the keyboard alone."""

from math import hypot

import numpy as np
from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QPixmap,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from seatproof.gui.shared.figure import Canvas, Extent, Figure, area_of, canvas_of, paint_figure
from seatproof.gui.shared.theme import Theme

_REACH_EM = 1.4  # from how far a value is read
_STEP = 1.25
_CLOSEST = 1e-4  # of the whole


class FigureView(QWidget):
    """Shows a figure.

    Wheel or + and - zoom, dragging or Shift with an arrow moves, a double click or Home shows all
    again; hovering or an arrow reads values.

    Signals
    -------
    read : str
        The story of the value that is read now; empty where none is.
    """

    read = Signal(str)

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._figure: Figure | None = None
        self._shown: Extent | None = None
        self._picture: QPixmap | None = None
        self._area: QRectF | None = None  # laid out anew where size, lettering or figure change
        self._places: tuple[np.ndarray, np.ndarray] = (np.empty(0), np.empty(0))
        self._read: int | None = None
        self._grip: QPointF | None = None
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)

    @property
    def figure(self) -> Figure | None:
        return self._figure

    @property
    def shown(self) -> Extent | None:
        """What is shown of the figure; None for the whole."""
        return self._shown

    @property
    def story(self) -> str:
        """What is read now."""
        if self._figure is None or self._read is None:
            return ""
        return self._figure.spots().story(self._read)

    def set_theme(self, theme: Theme) -> None:
        self._theme = theme
        self._forget()

    def show_figure(self, figure: Figure | None, *, keep_zoom: bool = False) -> None:
        """Show a figure, the whole of it unless the zoom is kept."""
        self._figure = figure
        self._area = None
        if not keep_zoom:
            self._shown = None
        self._read = None
        self.setAccessibleName("" if figure is None else figure.title)
        self._forget()

    def fit(self) -> None:
        """Show the whole figure."""
        self._shown = None
        self._forget()

    def zoom(self, factor: float, about: QPointF | None = None) -> None:
        """Show it so many times larger, the place under `about` staying where it is."""
        canvas = self.canvas()
        if canvas is None or self._figure is None:
            return
        place = canvas.area.center() if about is None else about
        whole = canvas_of(self._figure, canvas.area, self.font()).shown
        closer = canvas.shown.zoomed(factor, *canvas.back(place))
        if closer.width >= whole.width:
            self.fit()
        elif closer.width > _CLOSEST * whole.width:
            self._shown = closer
            self._forget()

    def move_by(self, across_px: float, up_px: float) -> None:
        """Move what is shown under the window by pixels."""
        canvas = self.canvas()
        if canvas is None:
            return
        dx = -across_px / canvas.area.width() * canvas.shown.width
        dy = up_px / canvas.area.height() * canvas.shown.height
        self._shown = canvas.shown.moved(dx, dy)
        self._forget()

    def read_at(self, place: QPointF) -> None:
        """Read the value nearest to a place, if it is near."""
        self._arrange()
        xs, ys = self._places
        found = None
        if len(xs):
            away = np.hypot(xs - place.x(), ys - place.y())
            nearest = int(np.argmin(away))
            if away[nearest] <= _REACH_EM * self.fontMetrics().height():
                found = nearest
        self._set_read(found)

    def read_next(self, step: int) -> None:
        """Read the value so many further on in the order of the figure."""
        self._arrange()
        count = len(self._places[0])
        if count:
            before = -1 if self._read is None and step > 0 else (self._read or 0)
            self._set_read((before + step) % count)

    # --- events ----------------------------------------------------------------------------------

    def sizeHint(self) -> QSize:
        em = self.fontMetrics().height()
        return QSize(24 * em, 20 * em)

    def minimumSizeHint(self) -> QSize:
        em = self.fontMetrics().height()
        return QSize(10 * em, 10 * em)

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._area = None
        self._forget()
        super().resizeEvent(event)

    def changeEvent(self, event: QEvent) -> None:
        if event.type() is QEvent.Type.FontChange:
            self._area = None
            self._forget()
        super().changeEvent(event)

    def wheelEvent(self, event: QWheelEvent) -> None:
        self.zoom(_STEP ** (event.angleDelta().y() / 120.0), event.position())
        event.accept()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self.setFocus(Qt.FocusReason.MouseFocusReason)
        self._grip = event.position()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self._grip is not None and event.buttons() & Qt.MouseButton.LeftButton:
            moved = event.position() - self._grip
            if hypot(moved.x(), moved.y()) >= 3:
                self._grip = event.position()
                self.move_by(moved.x(), moved.y())
            return
        self.read_at(event.position())

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        self._grip = None
        self.read_at(event.position())

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        del event
        self.fit()

    def leaveEvent(self, event: QEvent) -> None:
        if not self.hasFocus():
            self._set_read(None)
        super().leaveEvent(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key, em = event.key(), 2.0 * self.fontMetrics().height()
        moves = {
            Qt.Key.Key_Left: (em, 0.0),
            Qt.Key.Key_Right: (-em, 0.0),
            Qt.Key.Key_Up: (0.0, em),
            Qt.Key.Key_Down: (0.0, -em),
        }
        if event.modifiers() & Qt.KeyboardModifier.ShiftModifier and key in moves:
            self.move_by(*moves[Qt.Key(key)])
        elif key in (Qt.Key.Key_Right, Qt.Key.Key_Down):
            self.read_next(1)
        elif key in (Qt.Key.Key_Left, Qt.Key.Key_Up):
            self.read_next(-1)
        elif key in (Qt.Key.Key_Plus, Qt.Key.Key_Equal):
            self.zoom(_STEP)
        elif key == Qt.Key.Key_Minus:
            self.zoom(1 / _STEP)
        elif key == Qt.Key.Key_Home:
            self.fit()
        else:
            super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        if self._figure is None:
            painter.fillRect(self.rect(), self._theme.paper)
            return
        if self._picture is None:
            self._picture = self._painted(self._figure)
        painter.drawPixmap(0, 0, self._picture)
        self._arrange()
        if self._read is not None and self._read < len(self._places[0]):
            self._paint_reading(painter, self._read)
        if self.hasFocus():
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(self._theme.focus, 2))
            painter.drawRect(QRectF(self.rect()).adjusted(1, 1, -1, -1))

    # --- inside ----------------------------------------------------------------------------------

    def _painted(self, figure: Figure) -> QPixmap:
        ratio = self.devicePixelRatioF()
        picture = QPixmap(self.size() * ratio)
        picture.setDevicePixelRatio(ratio)
        painter = QPainter(picture)
        rect = QRectF(self.rect())
        paint_figure(painter, figure, rect, self.font(), self._theme, self._shown)
        painter.end()
        return picture

    def _paint_reading(self, painter: QPainter, number: int) -> None:
        theme, em = self._theme, self.fontMetrics().height()
        place = QPointF(float(self._places[0][number]), float(self._places[1][number]))
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(QPen(theme.ink, 2))
        painter.drawEllipse(place, 0.5 * em, 0.5 * em)
        lines = self.story.split("\n")
        metrics = self.fontMetrics()
        width = max(metrics.horizontalAdvance(line) for line in lines) + em
        height = len(lines) * em + 0.6 * em
        x = min(max(place.x() + 0.8 * em, 2.0), max(self.width() - width - 2.0, 2.0))
        y = place.y() - height - 0.6 * em
        if y < 2.0:
            y = min(place.y() + 0.8 * em, self.height() - height - 2.0)
        box = QRectF(x, y, width, height)
        painter.setPen(QPen(theme.edge, 1))
        painter.setBrush(theme.paper)
        painter.drawRoundedRect(box, 3, 3)
        painter.setPen(theme.ink)
        for row, line in enumerate(lines):
            inner = QRectF(x + 0.5 * em, y + 0.3 * em + row * em, width, em)
            painter.drawText(
                inner, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, line
            )

    def canvas(self) -> Canvas | None:
        """Return where the figure lies now; None without one."""
        if self._figure is None:
            return None
        if self._area is None:
            self._area = area_of(self._figure, QRectF(self.rect()), self.font())
        return canvas_of(self._figure, self._area, self.font(), self._shown)

    def _arrange(self) -> None:
        """Find out where the spots are, once for every view."""
        if self._figure is None or len(self._places[0]):
            return
        canvas = self.canvas()
        spots = self._figure.spots()
        if canvas is not None and len(spots.xs):
            self._places = canvas.xs(spots.xs), canvas.ys(spots.ys)

    def _set_read(self, number: int | None) -> None:
        if number != self._read:
            self._read = number
            self.setAccessibleDescription(self.story)
            self.read.emit(self.story)
            self.update()

    def _forget(self) -> None:
        self._picture = None
        self._places = (np.empty(0), np.empty(0))
        self.update()

"""A drawing with scroll bars while it is enlarged, and the buttons that enlarge it."""

from collections.abc import Callable
from typing import Final

from PySide6.QtCore import QSize, Qt, QTimer
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QGridLayout, QScrollBar, QSizePolicy, QVBoxLayout, QWidget

from seatproof.gui.bench.zoomed_view import STEP, ZoomedView
from seatproof.gui.shared.action_button import ActionButton
from seatproof.gui.shared.saying import say

_LEAST_HEIGHTS: Final = 4.5  # of a row of buttons, which a drawing must have to give room to one


class ZoomPane(QWidget):
    """Shows a drawing, and scroll bars as long as not all of it is seen."""

    def __init__(self, view: ZoomedView, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.view = view
        self.across = QScrollBar(Qt.Orientation.Horizontal)
        self.down = QScrollBar(Qt.Orientation.Vertical)
        layout = QGridLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(0)
        layout.addWidget(view, 0, 0)
        layout.addWidget(self.down, 0, 1)
        layout.addWidget(self.across, 1, 0)
        for bar in (self.across, self.down):
            bar.setFocusPolicy(Qt.FocusPolicy.NoFocus)
            bar.hide()
            bar.valueChanged.connect(self._scroll)
        self._is_following = False
        view.lens_changed.connect(self._follow)

    def _follow(self) -> None:
        """Set the bars as the drawing is seen."""
        lens = self.view.lens
        self._is_following = True
        for bar, hidden, at, room in zip(
            (self.across, self.down), lens.hidden, (lens.x, lens.y), lens.room, strict=True
        ):
            bar.setRange(0, round(hidden))
            bar.setPageStep(max(round(room), 1))
            bar.setSingleStep(max(round(room / 10), 1))
            bar.setValue(round(at))
            bar.setVisible(not lens.is_all_seen)
        self._is_following = False

    def _scroll(self) -> None:
        if not self._is_following:
            self.view.place_hidden(float(self.across.value()), float(self.down.value()))


class ZoomButtons(QWidget):
    """Large buttons that enlarge a drawing, and show the whole of it again.

    Parameters
    ----------
    view_of : callable
        Returns the drawing that is meant now.
    direction : QBoxLayout.Direction
    whole : str
        What the button says that shows all again.
    """

    def __init__(
        self,
        view_of: Callable[[], ZoomedView],
        direction: QBoxLayout.Direction,
        whole: str,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._view_of = view_of
        self.larger = ActionButton("+")
        self.larger.setObjectName("larger")
        self.larger.setAccessibleName(say("larger"))
        self.larger.setToolTip(say("larger: +, or Ctrl with the wheel"))
        self.smaller = ActionButton("−")  # the minus sign of the keyboard's key
        self.smaller.setObjectName("smaller")
        self.smaller.setAccessibleName(say("smaller"))
        self.smaller.setToolTip(say("smaller: -, or Ctrl with the wheel"))
        self.whole = ActionButton(whole)
        self.whole.setObjectName("whole")
        self.whole.setToolTip(say("all of it, as large as there is room: Home"))
        self.larger.clicked.connect(lambda: view_of().zoom(STEP))
        self.smaller.clicked.connect(lambda: view_of().zoom(1 / STEP))
        self.whole.clicked.connect(lambda: view_of().fit())
        self._layout = QBoxLayout(direction, self)
        self._layout.setContentsMargins(0, 0, 0, 0)
        for button in self.buttons:
            button.setFocusPolicy(Qt.FocusPolicy.NoFocus)  # arrow keys stay with the points
            button.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Preferred)
            self._layout.addWidget(button, 1)

    @property
    def buttons(self) -> tuple[ActionButton, ...]:
        return self.larger, self.smaller, self.whole

    def show_lens(self) -> None:
        """Let be pressed what would change something."""
        is_whole = self._view_of().lens.is_whole
        self.smaller.setEnabled(not is_whole)
        self.whole.setEnabled(not is_whole)


class ZoomPlace(QWidget):
    """A drawing in its pane, over a row of buttons of its own where there is room for them."""

    def __init__(self, view: ZoomedView, whole: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.buttons = ZoomButtons(lambda: view, QBoxLayout.Direction.LeftToRight, whole)
        view.lens_changed.connect(self.buttons.show_lens)
        self._layout = QVBoxLayout(self)
        self._layout.setContentsMargins(0, 0, 0, 0)
        self._layout.addWidget(ZoomPane(view), 1)
        self._layout.addWidget(self.buttons)
        # Hiding a part while a layout is at work would leave its room empty.
        self._settled = QTimer(self)
        self._settled.setSingleShot(True)
        self._settled.timeout.connect(self._make_room)
        self.buttons.show_lens()

    def minimumSizeHint(self) -> QSize:
        return QSize(120, 120)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._settled.start(0)

    def _make_room(self) -> None:
        wanted = self.buttons.minimumSizeHint()
        high = self.height() >= _LEAST_HEIGHTS * wanted.height()
        shown = high and self.width() >= wanted.width()
        if shown != self.buttons.isVisibleTo(self):
            self.buttons.setVisible(shown)
            self._layout.activate()

"""Where the drawings of the bench have their place: the shaft, or the map of its current seat."""

from collections.abc import Callable
from typing import Final

from PySide6.QtCore import QEvent, Qt, QTimer, Signal
from PySide6.QtGui import QKeySequence, QShortcut, QShowEvent
from PySide6.QtWidgets import QBoxLayout, QHBoxLayout, QStackedWidget, QVBoxLayout, QWidget

from seatproof.core.plan.model import Plan
from seatproof.core.plan.seat import Seat
from seatproof.core.record.state import InspectionState
from seatproof.gui.bench.points import PointView
from seatproof.gui.bench.seat_map import DepartureFrom, can_choose_reference
from seatproof.gui.bench.shaft_view import ShaftView
from seatproof.gui.bench.unrolled_map import UnrolledMap
from seatproof.gui.bench.zoom_pane import ZoomButtons, ZoomPane
from seatproof.gui.bench.zoomed_view import STEP, ZoomedView
from seatproof.gui.shared.action_button import ActionButton
from seatproof.gui.shared.saying import say
from seatproof.gui.shared.theme import Theme

SWITCH_KEY: Final = "Ctrl+U"
_LARGER_KEYS: Final = ("Alt++", "Alt+=")
_SMALLER_KEY: Final = "Alt+-"
_WHOLE_KEY: Final = "Alt+0"


class DrawingPlace(QWidget):
    """Shows the shaft or the map, with large buttons beside it to turn from one to the other.

    Signals
    -------
    turned
        The other drawing is shown now, or the map's figures are departures from something else.
    whole_wanted
        All drawings are to be shown whole again.
    """

    turned = Signal()
    whole_wanted = Signal()

    def __init__(self, theme: Theme, plan: Plan, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.shaft, self.map = ShaftView(theme), UnrolledMap(theme)
        self.shaft.show_plan(plan)
        self._panes = ZoomPane(self.shaft), ZoomPane(self.map)
        self._stack = QStackedWidget()
        for pane in self._panes:
            self._stack.addWidget(pane)
        self.switch = ActionButton("", SWITCH_KEY)
        self.switch.setObjectName("switch_drawing")
        self.reference = ActionButton("")
        self.reference.setObjectName("switch_reference")
        self.reference.setToolTip(say("against what the sizes on the map are held"))
        for button in (self.switch, self.reference):
            button.setFocusPolicy(Qt.FocusPolicy.NoFocus)  # arrow keys stay with the points
        self.switch.clicked.connect(lambda: self.show_map(on=not self.is_map))
        self.reference.clicked.connect(self._change_reference)
        self.zoom = ZoomButtons(self._shown, QBoxLayout.Direction.TopToBottom, say("Whole"))
        self.zoom.whole.clicked.connect(self.whole_wanted)
        for view in (self.shaft, self.map):
            view.lens_changed.connect(self.zoom.show_lens)
        for keys in _LARGER_KEYS:
            self._add_key(keys, lambda: self._shown().zoom(STEP))
        self._add_key(_SMALLER_KEY, lambda: self._shown().zoom(1 / STEP))
        self._add_key(_WHOLE_KEY, self._show_whole)
        self._strip = QWidget()
        strip = QVBoxLayout(self._strip)
        strip.setContentsMargins(0, 0, 0, 0)
        strip.addWidget(self.switch, 1)
        strip.addWidget(self.reference, 1)
        strip.addWidget(self.zoom, 3)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(self._stack, 1)
        row.addWidget(self._strip)
        self._letter()

    @property
    def is_map(self) -> bool:
        """Whether the map is shown, and not the shaft."""
        return self._stack.currentWidget() is self._panes[1]

    def show_map(self, *, on: bool) -> None:
        """Turn to the map, or back to the shaft."""
        if on != self.is_map:
            self._stack.setCurrentWidget(self._panes[on])
            self._letter()
            self.turned.emit()

    def show_points(self, state: InspectionState, seat: Seat, views: tuple[PointView, ...]) -> None:
        """Show the points of a plan on what is shown now, the other when it is turned to."""
        self.shaft.show_points(views, seat.id)
        if self.is_map:
            self.map.show_points(state, seat, views)
            self.reference.setVisible(can_choose_reference(seat))
        self.zoom.show_lens()

    def _shown(self) -> ZoomedView:
        return self.map if self.is_map else self.shaft

    def _show_whole(self) -> None:
        self._shown().fit()
        self.whole_wanted.emit()

    def _change_reference(self) -> None:
        is_nominal = self.map.departure_from is DepartureFrom.NOMINAL
        self.map.departure_from = DepartureFrom.MIDDLE if is_nominal else DepartureFrom.NOMINAL
        self._letter()
        self.turned.emit()

    def _letter(self) -> None:
        """Say on the buttons what they turn to."""
        word = say("Shaft") if self.is_map else say("Map")
        self.switch.setText(f"{word}\n{SWITCH_KEY}")
        self.switch.setToolTip(
            say("back to the shaft with its points")
            if self.is_map
            else say("the seat unrolled, with the figures of every point")
        )
        is_nominal = self.map.departure_from is DepartureFrom.NOMINAL
        self.reference.setText(say("from nominal") if is_nominal else say("from middle"))
        self.reference.setVisible(self.is_map)
        self.zoom.whole.setText(say("Whole seat") if self.is_map else say("Whole shaft"))
        self.zoom.show_lens()
        self._narrow()

    def _narrow(self) -> None:
        """Let the buttons have as much room as their longest word, so that the drawing has most."""
        buttons = (self.switch, self.reference, *self.zoom.buttons)
        for button in buttons:
            button.ensurePolished()  # its lettering follows the style
        self._strip.setFixedWidth(max(button.minimumSizeHint().width() for button in buttons))

    def showEvent(self, event: QShowEvent) -> None:
        self._narrow()
        super().showEvent(event)

    def changeEvent(self, event: QEvent) -> None:
        if event.type() in (QEvent.Type.FontChange, QEvent.Type.StyleChange):
            # Later: Qt is just now walking through all widgets, and must not find them moved.
            QTimer.singleShot(0, self, self._narrow)
        super().changeEvent(event)

    def _add_key(self, keys: str, do: Callable[[], object]) -> None:
        QShortcut(QKeySequence(keys), self).activated.connect(do)

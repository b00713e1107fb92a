"""The ladder of steps above the bench: mark and word of each; narrow windows show the near ones."""

from collections.abc import Sequence

from PySide6.QtCore import QEvent, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QWidget

from seatproof.gui.bench.ladder import Rung, RungView
from seatproof.gui.shared.action_button import ActionButton
from seatproof.gui.shared.saying import say

_AIR_PX = 34  # round the words of a button


class LadderStrip(QWidget):
    """Shows steps; any of them can be tapped.

    Signals
    -------
    chosen : Rung
        That step shall be taken in hand.
    """

    chosen = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.buttons: dict[Rung, ActionButton] = {}
        self._views: tuple[RungView, ...] = ()
        self._row = QHBoxLayout(self)
        self._row.setContentsMargins(0, 0, 0, 0)
        self._row.setSpacing(4)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)

    def show_rungs(self, views: Sequence[RungView]) -> None:
        """Show the steps as they stand; none hides the strip."""
        for view in views:
            if view.rung not in self.buttons:
                self.buttons[view.rung] = self._button(view.rung)
        self._views = tuple(views)
        for view in views:
            made = self.buttons[view.rung]
            made.setText(f"{view.mark} {say(view.rung)}")
            made.setChecked(view.is_in_hand)
            made.setToolTip(say("done") if view.is_done else say("to be done"))
        self.setVisible(bool(views))
        self._fit()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def changeEvent(self, event: QEvent) -> None:
        if event.type() == QEvent.Type.FontChange:
            self._fit()
        super().changeEvent(event)

    def _button(self, rung: Rung) -> ActionButton:
        made = ActionButton("")
        made.setObjectName(f"rung_{rung.name.lower()}")
        made.setCheckable(True)
        made.clicked.connect(lambda: self.chosen.emit(rung))
        self._row.addWidget(made, 1)
        return made

    def _fit(self) -> None:
        """Hide the steps farthest from the one in hand where there is no room for all."""
        if not self._views:
            return
        hand = next((i for i, view in enumerate(self._views) if view.is_in_hand), 0)
        near = sorted(range(len(self._views)), key=lambda i: (abs(i - hand), -i))
        room = self.width()
        for index in near:
            made = self.buttons[self._views[index].rung]
            metrics = made.fontMetrics()
            # The lettering of these buttons is bold, a seventh wider than the plain face.
            room -= round(1.15 * metrics.horizontalAdvance(made.text())) + _AIR_PX
            made.setVisible(room >= 0)

"""What is wanted less often, as large buttons over the foot of the bench."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QFrame, QGridLayout, QWidget

from seatproof.gui.shared.action_button import ActionButton
from seatproof.gui.shared.saying import say

_COLUMNS = 4


@dataclass(frozen=True, slots=True)
class Choice:
    """One thing that can be done: its words, its key if it has one, and what does it.

    The words are a `wording`, said when they are shown.
    """

    name: str
    words: str
    do: Callable[[], object]
    key: str = ""


class MorePanel(QFrame):
    """Shows choices; choosing one closes it.

    Signals
    -------
    closed
        Something was chosen, or nothing.
    """

    closed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("role", "card")
        self._grid = QGridLayout(self)
        self.buttons: dict[str, ActionButton] = {}
        self._close = ActionButton(say("Close (Esc)"))
        self._close.setObjectName("close_more")
        self._close.clicked.connect(self.closed)

    def offer(self, choices: Sequence[Choice]) -> None:
        """Take the choices that can be made here, in their order; once."""
        for choice in choices:
            words = say(choice.words)
            label = f"{words}\n{choice.key}" if choice.key else words
            button = ActionButton(label)
            button.setObjectName(choice.name)
            button.clicked.connect(lambda _=False, choice=choice: self._chosen(choice))
            self.buttons[choice.name] = button
        for index, button in enumerate((*self.buttons.values(), self._close)):
            self._grid.addWidget(button, index // _COLUMNS, index % _COLUMNS)

    def open(self, enabled: Callable[[str], bool]) -> None:
        """Show what can be chosen now."""
        for name, button in self.buttons.items():
            button.setEnabled(enabled(name))
        self.show()
        first = next(iter(self.buttons.values()), self._close)
        first.setFocus(Qt.FocusReason.OtherFocusReason)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.closed.emit()
            return
        super().keyPressEvent(event)

    def _chosen(self, choice: Choice) -> None:
        self.closed.emit()
        choice.do()

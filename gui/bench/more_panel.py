"""What is wanted less often, as large buttons over the foot of the bench."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QFrame, QGridLayout, QWidget

from seatproof.gui.shared.action_button import ActionButton

_COLUMNS = 4


@dataclass(frozen=True, slots=True)
class Choice:
    """One thing that can be done: its words, its key if it has one, and what does it."""

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

    def __init__(self, choices: Sequence[Choice], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("role", "card")
        grid = QGridLayout(self)
        self.buttons: dict[str, ActionButton] = {}
        for index, choice in enumerate(choices):
            label = f"{choice.words}\n{choice.key}" if choice.key else choice.words
            button = ActionButton(label)
            button.setObjectName(choice.name)
            button.clicked.connect(lambda _=False, choice=choice: self._chosen(choice))
            grid.addWidget(button, index // _COLUMNS, index % _COLUMNS)
            self.buttons[choice.name] = button
        close = ActionButton("Close (Esc)")
        close.setObjectName("close_more")
        close.clicked.connect(self.closed)
        grid.addWidget(close, len(choices) // _COLUMNS, len(choices) % _COLUMNS)
        self._first = next(iter(self.buttons.values()), close)

    def open(self, enabled: Callable[[str], bool]) -> None:
        """Show what can be chosen now."""
        for name, button in self.buttons.items():
            button.setEnabled(enabled(name))
        self.show()
        self._first.setFocus(Qt.FocusReason.OtherFocusReason)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.closed.emit()
            return
        super().keyPressEvent(event)

    def _chosen(self, choice: Choice) -> None:
        self.closed.emit()
        choice.do()

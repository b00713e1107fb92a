"""The rail of places at the window's edge: one large button a place, its word always visible."""

from collections.abc import Sequence

from PySide6.QtCore import Signal
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QSizePolicy, QVBoxLayout, QWidget

from seatproof.gui.shared.action_button import ActionButton


class Rail(QWidget):
    """Shows words to go by.

    Signals
    -------
    chosen : str
        The place of that word shall come to the front.
    """

    chosen = Signal(str)

    def __init__(self, words: Sequence[str], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.buttons: dict[str, ActionButton] = {}
        layout = QVBoxLayout(self)
        layout.setContentsMargins(6, 9, 0, 9)
        for number, word in enumerate(words, start=1):
            button = ActionButton(word)
            button.setObjectName(f"place_{word}")
            button.setCheckable(True)
            button.setProperty("rail", True)
            button.setToolTip(f"Alt+{number}")
            button.setSizePolicy(QSizePolicy.Policy.Minimum, QSizePolicy.Policy.Minimum)
            button.clicked.connect(lambda _=False, word=word: self.chosen.emit(word))
            QShortcut(QKeySequence(f"Alt+{number}"), self).activated.connect(
                lambda word=word: self.chosen.emit(word)
            )
            layout.addWidget(button)
            self.buttons[word] = button
        layout.addStretch(1)
        self.setVisible(len(words) > 1)

    def show_chosen(self, word: str) -> None:
        """Mark the place that is in front."""
        for other, button in self.buttons.items():
            button.setChecked(other == word)

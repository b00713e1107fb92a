"""The rail of places at the window's edge: one large button a place, its word always visible.

Below them what is wanted everywhere: the settings, and help.
"""

from collections.abc import Sequence

from PySide6.QtCore import Signal
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QSizePolicy, QVBoxLayout, QWidget

from seatproof.gui.shared.action_button import ActionButton
from seatproof.gui.shared.saying import say

HELP_KEY = "F1"
SETTINGS_KEY = "Ctrl+,"


class Rail(QWidget):
    """Shows words to go by.

    Signals
    -------
    chosen : str
        The place of that word shall come to the front.
    settings_wanted
        Settings shall be shown, or put away.
    help_wanted
        Help on what is in front shall be shown, or put away.
    """

    chosen = Signal(str)
    settings_wanted = Signal()
    help_wanted = Signal()

    def __init__(self, words: Sequence[str], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.buttons: dict[str, ActionButton] = {}
        layout = QVBoxLayout(self)
        layout.setContentsMargins(6, 9, 0, 9)
        for number, word in enumerate(words, start=1):
            button = _button(f"place_{word}", f"Alt+{number}")
            button.clicked.connect(lambda _=False, word=word: self.chosen.emit(word))
            QShortcut(QKeySequence(f"Alt+{number}"), self).activated.connect(
                lambda word=word: self.chosen.emit(word)
            )
            layout.addWidget(button)
            self.buttons[word] = button
        layout.addStretch(1)
        self.settings = _button("rail_settings", SETTINGS_KEY)
        self.settings.clicked.connect(self.settings_wanted)
        self.help = _button("rail_help", HELP_KEY)
        self.help.clicked.connect(self.help_wanted)
        for button, key in ((self.settings, SETTINGS_KEY), (self.help, HELP_KEY)):
            QShortcut(QKeySequence(key), self).activated.connect(button.click)
            layout.addWidget(button)
        self.say_words()

    def say_words(self) -> None:
        """Say the words again, in the language that is spoken now."""
        for word, button in self.buttons.items():
            button.setText(say(word))
        self.settings.setText(say("settings"))
        self.help.setText(f"{say('help')}\n{HELP_KEY}")

    def show_chosen(self, word: str) -> None:
        """Mark the place that is in front."""
        for other, button in self.buttons.items():
            button.setChecked(other == word)

    def show_over(self, *, settings: bool = False, help_text: bool = False) -> None:
        """Mark what lies over the place."""
        self.settings.setChecked(settings)
        self.help.setChecked(help_text)


def _button(name: str, key: str) -> ActionButton:
    button = ActionButton("")
    button.setObjectName(name)
    button.setCheckable(True)
    button.setProperty("rail", True)
    button.setToolTip(key)
    button.setSizePolicy(QSizePolicy.Policy.Minimum, QSizePolicy.Policy.Minimum)
    return button

"""What a newcomer sees: what the program does, and two ways to begin."""

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QFrame, QHBoxLayout, QLabel, QVBoxLayout, QWidget

from seatproof.core.words import Language
from seatproof.gui.archives import Archives, breakable
from seatproof.gui.preferences.languages import LANGUAGE_NAMES
from seatproof.gui.setup.cards import cautions_card
from seatproof.gui.shared.action_button import ActionButton
from seatproof.gui.shared.saying import say
from seatproof.gui.shared.scrolling import scrolling

_TWO_COLUMNS_EM = 60


class FirstPage(QWidget):
    """Shows two large choices, the language, and the cautions.

    Signals
    -------
    demonstration_wanted
    own_work_wanted
    language_wanted : str
    """

    demonstration_wanted = Signal()
    own_work_wanted = Signal()
    language_wanted = Signal(str)

    def __init__(
        self, language: Language, archives: Archives, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        title = _label(say("What Seatproof does"), "instruction")
        self.demonstration = _large(say("Try it: the demonstration"), "first_demonstration")
        self.demonstration.setProperty("emphasis", "strong")
        self.demonstration.clicked.connect(self.demonstration_wanted)
        self.own_work = _large(say("Begin my own work"), "first_own_work")
        self.own_work.clicked.connect(self.own_work_wanted)
        self.setFocusProxy(self.demonstration)
        languages = QHBoxLayout()
        self.languages: dict[Language, ActionButton] = {}
        for code, name in LANGUAGE_NAMES.items():
            button = ActionButton(name)
            button.setObjectName(f"first_language_{code}")
            button.setCheckable(True)
            button.setChecked(code == language)
            button.clicked.connect(lambda _=False, code=code: self.language_wanted.emit(code))
            languages.addWidget(button)
            self.languages[code] = button
        card = QFrame()
        card.setProperty("role", "card")
        words = QVBoxLayout(card)
        words.addWidget(
            _label(
                say(
                    "You measure the bearing seats of a shaft with your own micrometer, point by "
                    "point. The program takes each value from the gauge, keeps it at once, and "
                    "says of every requirement whether the seat conforms, does not conform, or "
                    "whether that is not proven. In the end there is a sheet to print, and a "
                    "record that can be checked."
                )
            )
        )
        words.addWidget(self.demonstration)
        words.addWidget(
            _label(
                say(
                    "A simulated gauge and the fan shaft of a made-up brickworks: nothing needs "
                    "to be plugged in. It goes into a file of its own, {path}.",
                    path=breakable(archives.demonstration),
                ),
                "small",
            )
        )
        words.addWidget(self.own_work)
        words.addWidget(
            _label(
                say(
                    "With your plan, your shaft and your gauge. It goes into your archive, "
                    "{path}; another file can be chosen in the settings.",
                    path=breakable(archives.own),
                ),
                "small",
            )
        )
        words.addLayout(languages)
        left, right = QVBoxLayout(), QVBoxLayout()
        for column, shown in ((left, card), (right, cautions_card())):
            column.addWidget(shown)
            column.addStretch(1)
        self._columns = QBoxLayout(QBoxLayout.Direction.LeftToRight)
        self._columns.addLayout(left, 1)
        self._columns.addLayout(right, 1)
        content = QWidget()
        content.setLayout(self._columns)
        layout = QVBoxLayout(self)
        layout.addWidget(title)
        layout.addWidget(scrolling(content), 1)

    def resizeEvent(self, event: QResizeEvent) -> None:
        narrow = event.size().width() < _TWO_COLUMNS_EM * self.fontMetrics().height()
        self._columns.setDirection(
            QBoxLayout.Direction.TopToBottom if narrow else QBoxLayout.Direction.LeftToRight
        )
        super().resizeEvent(event)


def _label(text: str, role: str = "") -> QLabel:
    label = QLabel(text)
    label.setTextFormat(Qt.TextFormat.PlainText)
    label.setWordWrap(True)
    if role:
        label.setProperty("role", role)
    return label


def _large(text: str, name: str) -> ActionButton:
    button = ActionButton(text)
    button.setObjectName(name)
    return button

"""Typing a value of a gauge without a wire: large digits for a gloved finger, or the keyboard.

Return does nothing here: some gauges type one. The value is logged by its own large button, or by
the key that takes a value.
"""

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QFrame, QGridLayout, QHBoxLayout, QLabel, QLineEdit, QWidget

from seatproof.gui.intake import typed_value
from seatproof.gui.shared.action_button import ActionButton
from seatproof.gui.shared.saying import again, say, typed_number

_LONGEST = 14
_KEYS = ("1", "2", "3", "4", "5", "6", "7", "8", "9", "0", ".", "-", "⌫")
_IN_A_ROW = 7


class TypingPanel(QFrame):
    """Takes digits and says what they are taken for.

    Signals
    -------
    typed : str
        The value shall be logged; it has a point for its decimals.
    closed
        It was given up, or typed.
    """

    typed = Signal(str)
    closed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("role", "card")
        self._unit = ""
        self.question = QLabel()
        self.question.setProperty("role", "question")
        self.question.setWordWrap(True)
        self.field = QLineEdit()
        self.field.setObjectName("typed_value")
        self.field.setAccessibleName(say("value on the gauge's display"))
        self.field.setMaxLength(_LONGEST)
        self.field.textChanged.connect(self._changed)
        self.log = ActionButton(say("Log it (F3)"), "F3")
        self.log.setObjectName("log_typed")
        self.log.clicked.connect(self._log)
        leave = ActionButton(say("Cancel (Esc)"))
        leave.clicked.connect(self.closed)
        keys = QGridLayout()
        for index, character in enumerate(_KEYS):
            button = ActionButton(_decimal_sign() if character == "." else character)
            button.setObjectName(f"digit_{character}")
            button.setFocusPolicy(Qt.FocusPolicy.NoFocus)
            button.clicked.connect(lambda _=False, character=character: self._key(character))
            keys.addWidget(button, index // _IN_A_ROW, index % _IN_A_ROW)
        row = QHBoxLayout()
        row.addWidget(self.field, 1)
        row.addWidget(self.log)
        row.addWidget(leave)
        layout = QGridLayout(self)
        layout.addWidget(self.question, 0, 0)
        layout.addLayout(row, 1, 0)
        layout.addLayout(keys, 2, 0)

    def open(self, unit: str, place: str) -> None:
        """Ask for the value on the display of a gauge that shows `unit`."""
        self._unit = unit
        self._place = place
        self.field.clear()
        self._changed("")
        self.show()
        self.field.setFocus(Qt.FocusReason.OtherFocusReason)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.closed.emit()
            return
        super().keyPressEvent(event)

    def _key(self, character: str) -> None:
        if character == "⌫":
            self.field.backspace()
        else:
            self.field.insert(_decimal_sign() if character == "." else character)

    def _changed(self, text: str) -> None:
        value = typed_value(typed_number(text))
        self.log.setEnabled(value is not None)
        if value is not None:
            said = say(
                "{value}, typed by hand, for {place}",
                value=f"{value} {self._unit}",
                place=self._place,
            )
        elif text:
            said = say("Type digits with a decimal point, such as 110.012.")
        else:
            said = say(
                "What does the display show, in {unit}? For {place}",
                unit=self._unit,
                place=self._place,
            )
        self.question.setText(said)

    def _log(self) -> None:
        text = typed_number(self.field.text())
        self.closed.emit()
        self.typed.emit(text)


def _decimal_sign() -> str:
    """Return the sign that a person types before decimals."""
    return again("0.0")[1]

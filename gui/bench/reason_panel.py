"""Asking for a reason without stopping anything: large answers, or a text of one's own.

It is no dialog: presses go on arriving while it is open. Return never chooses anything by itself,
because some gauges type a Return after their value.
"""

from collections.abc import Callable, Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent, QKeySequence
from PySide6.QtWidgets import QFrame, QGridLayout, QHBoxLayout, QLabel, QLineEdit, QWidget

from seatproof.gui.shared.action_button import ActionButton
from seatproof.gui.shared.saying import say

_MOST_ANSWERS = 4


class ReasonPanel(QFrame):
    """Shows a question with its answers.

    Signals
    -------
    closed
        An answer was given or the question was given up.
    """

    closed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("role", "card")
        self._then: Callable[[str], None] | None = None
        self._owe: Callable[[], None] | None = None
        self._again_key = ""
        self._question = QLabel()
        self._question.setProperty("role", "question")
        self._question.setWordWrap(True)
        self._answers = [self._answer_button(number) for number in range(1, _MOST_ANSWERS + 1)]
        self._own = QLineEdit()
        self._own.setPlaceholderText(say("in other words"))
        self._own.setAccessibleName(say("in other words"))
        self._own.textChanged.connect(self._own_changed)
        self._use_own = ActionButton(say("Use these words"))
        self._use_own.clicked.connect(lambda: self.give(self._own.text()))
        self._later = ActionButton(f"0  {say('Later: owed until the seal')}")
        self._later.setObjectName("reason_later")
        self._later.clicked.connect(self.owe)
        self._leave = ActionButton(say("Cancel (Esc)"))
        self._leave.clicked.connect(self.give_up)

        grid = QGridLayout()
        for index, button in enumerate(self._answers):
            grid.addWidget(button, index // 2, index % 2)
        own = QHBoxLayout()
        own.addWidget(self._own, 1)
        own.addWidget(self._use_own)
        ways_out = QHBoxLayout()
        ways_out.addWidget(self._later, 1)
        ways_out.addWidget(self._leave, 1)
        layout = QGridLayout(self)
        layout.addWidget(self._question, 0, 0)
        layout.addLayout(grid, 1, 0)
        layout.addLayout(own, 2, 0)
        layout.addLayout(ways_out, 3, 0)

    def ask(
        self,
        question: str,
        answers: Sequence[str],
        then: Callable[[str], None],
        later: Callable[[], None] | None = None,
        again_key: str = "",
    ) -> None:
        """Show a question; `then` is called with the reason when one is given.

        The question is said already. Answers are in English, and so is the one that is handed over:
        the record keeps it, whatever language it was shown in.

        `later` is called where the deed is to be done now and the reason to be owed; so does
        `again_key`, the key that asked, pressed once more: a pedal has but one.
        """
        self._then, self._owe, self._again_key = then, later, again_key
        self._question.setText(question)
        for number, button in enumerate(self._answers, start=1):
            offered = number <= len(answers)
            button.setVisible(offered)
            if offered:
                answer = answers[number - 1]
                button.setText(f"{number}  {say(answer)}")
                button.setProperty("reason", answer)
        self._later.setVisible(later is not None)
        self._own.clear()
        self._own_changed("")
        self.show()
        self.take_keys()

    def take_keys(self) -> None:
        """Let the keys answer the question that is open."""
        self._answers[0].setFocus(Qt.FocusReason.OtherFocusReason)

    def owe(self) -> None:
        """Do it now and owe the reason, where that is offered."""
        owe = self._owe
        self._then = self._owe = None
        self.closed.emit()
        if owe is not None:
            owe()

    def give_up(self) -> None:
        """Close without a reason; nothing is done."""
        self._then = self._owe = None
        self.closed.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.give_up()
            return
        pressed = QKeySequence(event.keyCombination()).toString()
        if self._owe is not None and pressed in ("0", self._again_key) and not self._own.hasFocus():
            self.owe()
            return
        digit = event.text()
        if digit.isdecimal() and 1 <= int(digit) <= _MOST_ANSWERS and not self._own.hasFocus():
            button = self._answers[int(digit) - 1]
            if not button.isHidden():
                button.click()
                return
        super().keyPressEvent(event)

    def _answer_button(self, number: int) -> ActionButton:
        button = ActionButton("")
        button.setObjectName(f"reason{number}")
        button.clicked.connect(lambda: self.give(str(button.property("reason"))))
        return button

    def _own_changed(self, text: str) -> None:
        self._use_own.setEnabled(bool(text.strip()))

    def give(self, reason: str) -> None:
        """Answer the question."""
        then = self._then
        self._then = self._owe = None
        self.closed.emit()
        if then is not None:
            then(reason)

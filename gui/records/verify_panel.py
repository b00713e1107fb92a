"""The answer of a verification in plain words, at a click."""

import re

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QLabel, QVBoxLayout, QWidget

from seatproof.core.verdict.rule import Verdict
from seatproof.core.verification.findings import Outcome
from seatproof.gui.records.verifying import Answer
from seatproof.gui.shared.action_button import ActionButton
from seatproof.gui.shared.saying import again, say, wording
from seatproof.gui.shared.scrolling import scrolling
from seatproof.gui.shared.theme import Theme
from seatproof.gui.shared.verdict_cards import VerdictMark

# The marks of a verdict serve here too: each has a shape of its own, and a word stands beside it.
_MARKS = {
    Outcome.HOLDS: Verdict.CONFORMS,
    Outcome.ALTERED: Verdict.DOES_NOT_CONFORM,
    Outcome.UNREADABLE: Verdict.NOT_PROVEN,
}
_DIGEST = re.compile(r"[0-9a-f]{32,}")
_EIGHT = re.compile(r"[0-9a-f]{8}")
_WHAT = wording(
    "Checks that no event was altered, removed or put in since it was stored, that signatures are "
    "valid and whose they are, and that the figures under the seal come out again."
)


class VerifyPanel(QWidget):
    """Shows an `Answer`; the button `verify`, placed by who owns the panel, asks for one."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self.verify = ActionButton(say("Verify (F8)"), "F8")
        self.verify.setObjectName("records_verify")
        self.verify.setProperty("emphasis", "strong")
        self._mark = QHBoxLayout()
        self.sentence, self.found = QLabel(), QLabel()
        self.sentence.setProperty("role", "question")
        for label in (self.sentence, self.found):
            label.setWordWrap(True)
            label.setTextFormat(Qt.TextFormat.PlainText)
            label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        row = QHBoxLayout()
        row.addLayout(self._mark)
        row.addWidget(self.sentence, 1)
        layout = QVBoxLayout(self)
        layout.addLayout(row)
        self.found.setAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop)
        layout.addWidget(scrolling(self.found), 1)
        self.show_answer(None)

    def set_theme(self, theme: Theme) -> None:
        self._theme = theme

    def show_answer(self, answer: Answer | None, words: str = _WHAT) -> None:
        """Show an answer; without one, these words."""
        while (item := self._mark.takeAt(0)) is not None:
            widget = item.widget()
            if widget is not None:
                widget.hide()
                widget.deleteLater()
        if answer is None:
            self.sentence.setText("")
            self.found.setText(again(words))
            return
        self._mark.addWidget(VerdictMark(self._theme, _MARKS[answer.outcome]))
        self.sentence.setText(say(answer.sentence))
        self.found.setText("\n".join(_breakable(line) for line in answer.found))


def _breakable(line: str) -> str:
    """Let long digests be broken into lines; they would make the window wider than the screen."""
    return _DIGEST.sub(lambda found: _EIGHT.sub("\\g<0>\u200b", found[0]), line)

"""The decision: what is chosen and why, a question to the inspector, and the signature."""

from collections.abc import Callable

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QFormLayout,
    QFrame,
    QGridLayout,
    QLabel,
    QLineEdit,
    QPlainTextEdit,
    QVBoxLayout,
    QWidget,
)

from seatproof.core.people.kinds import Role
from seatproof.core.people.signer import Signer
from seatproof.gui.review.deciding import EXPLAINED, NO_ANSWER, NO_QUESTION, Choice, Draft
from seatproof.gui.shared.action_button import ActionButton
from seatproof.gui.shared.saying import again, say
from seatproof.gui.shared.signing import OpenRegister, SigningPanel

_LEAD: Role = "quality lead"


class DecisionPanel(QFrame):
    """Lets a quality lead decide; what is stored is the business of who listens.

    Signals
    -------
    decided : Draft, Signer
        A decision is to be recorded and signed.
    asked : str, Signer
        A question is to be put to the inspector by who signed on.
    answered : int, str, Signer
        The question of that event is answered by who signed on.
    signing_shown
        Somebody is asked to sign; that wants to be seen.
    """

    decided = Signal(object, object)
    asked = Signal(str, object)
    answered = Signal(int, str, object)
    signing_shown = Signal()

    def __init__(self, open_register: OpenRegister, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("role", "card")
        self._obstacle: Callable[[Choice], str] = lambda choice: ""
        self._closed = ""
        self._sheet = ""
        self._then: Callable[[Signer], None] | None = None
        self.choices: dict[Choice, ActionButton] = {}
        self.chosen: Choice | None = None
        self.heading = QLabel(say("Decision"))
        self.heading.setProperty("role", "heading")
        self.words = QLabel()
        self.trouble = QLabel()
        self.trouble.setProperty("role", "problem")
        self.done = QLabel()
        self.done.setProperty("role", "question")
        for label in (self.words, self.trouble, self.done):
            label.setWordWrap(True)
            label.setTextFormat(Qt.TextFormat.PlainText)
        self.reason = _field("decision_reason")
        self.authority, self.number, self.limits = QLineEdit(), QLineEdit(), QLineEdit()
        self.authority.setObjectName("decision_authority")
        self.number.setObjectName("decision_number")
        self.limits.setObjectName("decision_limits")
        self.record = ActionButton(say("Sign and record (F9)"), "F9")
        self.record.setObjectName("decision_record")
        self.record.setProperty("emphasis", "strong")
        self.record.clicked.connect(self._ask_signature)
        self.question = _field("decision_question")
        self.ask = ActionButton(say("Ask the inspector"))
        self.ask.setObjectName("decision_ask")
        self.ask.clicked.connect(self._ask_question)
        self._open_question: int | None = None
        self.answer = _field("decision_answer")
        self.give = ActionButton(say("Answer it"))
        self.give.setObjectName("decision_give_answer")
        self.give.clicked.connect(self._ask_answer)
        self.signing = SigningPanel(open_register)
        self.signing.signed_on.connect(self._signed_on)
        self._lay_out()

    def show_inspection(
        self,
        sheet: str,
        obstacle: Callable[[Choice], str],
        closed: str,
        done: str,
        question: int | None = None,
    ) -> None:
        """Show an inspection's decision.

        Parameters
        ----------
        sheet : str
            Number of the sheet.
        obstacle : callable
            Says why a choice is not open; "" where it is.
        closed : str
            Why nothing can be decided at all; "" where it can.
        done : str
            What was decided before.
        question : int or None
            Event of the question that waits for an answer.
        """
        self._open_question = question
        self.answer.clear()
        self._sheet, self._obstacle, self._closed = sheet, obstacle, closed
        self.done.setText(done)
        self.done.setVisible(bool(done))
        self.chosen = None
        for field in (self.authority, self.number, self.limits):
            field.clear()
        self.reason.clear()
        self.question.clear()
        self.signing.hide()
        self._refresh()

    def choose(self, choice: Choice) -> None:
        """Choose what to decide."""
        self.chosen = choice
        self._refresh()
        self.reason.setFocus(Qt.FocusReason.OtherFocusReason)

    def draft(self) -> Draft | None:
        """Return the decision as it is written; None where nothing is chosen."""
        if self.chosen is None:
            return None
        return Draft(
            self.chosen,
            self.reason.toPlainText(),
            self.authority.text(),
            self.number.text(),
            self.limits.text(),
        )

    def say(self, sentence: str) -> None:
        """Say what stood in the way."""
        self.trouble.setText(again(sentence))
        self.trouble.setVisible(bool(sentence))

    # --- inside ----------------------------------------------------------------------------------

    def _lay_out(self) -> None:
        grid = QGridLayout()
        for number, choice in enumerate(Choice):
            made = ActionButton(again(choice.value))
            made.setObjectName(f"choice_{choice.name.lower()}")
            made.setCheckable(True)
            made.clicked.connect(lambda _=False, choice=choice: self.choose(choice))
            self.choices[choice] = made
            grid.addWidget(made, number // 2, number % 2)
        self._fields = QFormLayout()
        self._fields.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapAllRows)
        self._fields.addRow(say("Reason"), self.reason)
        self._fields.addRow(say("Authority"), self.authority)
        self._fields.addRow(say("Number of the concession"), self.number)
        self._fields.addRow(say("Limits of use"), self.limits)
        self._asking = QFormLayout()
        self._asking.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapAllRows)
        self._asking.addRow(say("Question to the inspector"), self.question)
        self._answering = QFormLayout()
        self._answering.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapAllRows)
        self._answering.addRow(say("Answer of the inspector"), self.answer)
        layout = QVBoxLayout(self)
        layout.addWidget(self.heading)
        layout.addWidget(self.done)
        layout.addLayout(grid)
        layout.addWidget(self.words)
        layout.addLayout(self._fields)
        layout.addWidget(self.trouble)
        layout.addWidget(self.record)
        layout.addWidget(self.signing)
        layout.addLayout(self._asking)
        layout.addWidget(self.ask)
        layout.addLayout(self._answering)
        layout.addWidget(self.give)
        layout.addStretch(1)

    def _refresh(self) -> None:
        for choice, made in self.choices.items():
            made.setChecked(choice is self.chosen)
            made.setEnabled(not self._closed)
        in_the_way = "" if self.chosen is None else self._obstacle(self.chosen)
        self.words.setText(
            again(self._closed)
            or ("" if self.chosen is None else say(EXPLAINED[self.chosen]))
            or say("Look at verdicts, plots and readings, then choose.")
        )
        self.say(in_the_way)
        is_concession = self.chosen is Choice.CONCESSION
        for field in (self.authority, self.number, self.limits):
            self._fields.setRowVisible(field, is_concession)
        self._fields.setRowVisible(self.reason, self.chosen is not None)
        self.record.setVisible(self.chosen is not None)
        self.record.setEnabled(self.chosen is not None and not in_the_way)
        self._asking.setRowVisible(self.question, not self._closed)
        self.ask.setVisible(not self._closed)
        waits = self._open_question is not None and not self._closed
        self._answering.setRowVisible(self.answer, waits)
        self.give.setVisible(waits)

    def _ask_signature(self) -> None:
        draft = self.draft()
        if draft is None:
            return
        missing = draft.missing()
        self.say(missing)
        if not missing:
            self._then = lambda signer: self.decided.emit(draft, signer)
            choice = again(draft.choice.value)
            self._sign_on(say("Sign for {sheet}: {choice}", sheet=self._sheet, choice=choice))

    def _ask_question(self) -> None:
        text = self.question.toPlainText().strip()
        if not text:
            self.say(NO_QUESTION)
            return
        self.say("")
        self._then = lambda signer: self.asked.emit(text, signer)
        self._sign_on(say("Who asks about {sheet}?", sheet=self._sheet))

    def _ask_answer(self) -> None:
        text, of = self.answer.toPlainText().strip(), self._open_question
        if not text or of is None:
            self.say(NO_ANSWER)
            return
        self.say("")
        self._then = lambda signer: self.answered.emit(of, text, signer)
        self._sign_on(say("Who answers about {sheet}?", sheet=self._sheet), "inspector")

    def _sign_on(self, question: str, role: Role = _LEAD) -> None:
        self.signing.ask(question, role)
        self.signing_shown.emit()

    def _signed_on(self, signer: Signer) -> None:
        self.signing.hide()
        if self._then is not None:
            self._then(signer)


def _field(name: str) -> QPlainTextEdit:
    edit = QPlainTextEdit()
    edit.setObjectName(name)
    edit.setTabChangesFocus(True)
    edit.setMaximumHeight(4 * edit.fontMetrics().height())
    return edit

"""The end: what stands open with a reason for each, the seal, its signature, its review."""

from collections.abc import Callable
from functools import partial
from typing import Literal

from PySide6.QtWidgets import QFrame, QVBoxLayout, QWidget

from seatproof.core.people.register import PeopleRegister
from seatproof.core.people.signer import Signer
from seatproof.core.record.gaps import Gap
from seatproof.gui.bench.pages.base import Asker, Fields, button, card, plain_label, row
from seatproof.gui.fitting.model import FittingModel
from seatproof.gui.shared.saying import again, say, wording
from seatproof.gui.shared.signing import SigningPanel

_WHY_OPEN = (
    wording("Agreed with the customer"),
    wording("It cannot be done here"),
    wording("Comes off again; a trial"),
)
STATEMENTS = (
    wording("Fitted as recorded; what departs from the plan is named."),
    wording("Fitted in part; another record goes on with it."),
)


class SealCard(QWidget):
    """Seals the fitting; `on_sealed` is called when that is done."""

    def __init__(
        self,
        model: FittingModel,
        ask: Asker,
        on_sealed: Callable[[], object],
        open_register: Callable[[], PeopleRegister] | None = None,
    ) -> None:
        super().__init__()
        self.model, self.ask, self._on_sealed = model, ask, on_sealed
        self._shown: list[tuple[str, str]] = []
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        frame, layout = card(say("The seal of the fitting"))
        self.words = plain_label("fitting_seal_words", "question")
        self.seal = button(say("Seal the fitting"), "seal_fitting", self._seal)
        self.seal.setProperty("emphasis", "strong")
        layout.addWidget(self.words)
        layout.addWidget(self.seal)
        column.addWidget(frame)
        self._rows = QVBoxLayout()
        column.addLayout(self._rows)
        self.signing = None if open_register is None else SigningPanel(open_register)
        self.sign = button(say("Sign the seal"), "sign_fitting", self._ask_to_sign)
        column.addWidget(self.sign)
        if self.signing is not None:
            self.signing.signed_on.connect(self._signed_on)
            column.addWidget(self.signing)
        self._review = self._review_card()
        column.addWidget(self._review)
        column.addStretch(1)

    def _review_card(self) -> QFrame:
        frame, layout = card(say("Review by another person"))
        self.reviewer = Fields(
            (("name", say("Name")), ("note", say("What was found"))), "fitting_review"
        )
        self.accept = button(say("✓ Accepted"), "review_accepted", lambda: self._judge("accepted"))
        self.refuse = button(
            say("✗ Not accepted"), "review_refused", lambda: self._judge("not accepted")
        )
        self.reviewed = plain_label("fitting_reviewed", "question")
        layout.addWidget(self.reviewer)
        layout.addLayout(row(self.accept, self.refuse))
        layout.addWidget(self.reviewed)
        return frame

    def show_now(self) -> None:
        """Show the model as it is now."""
        model = self.model
        gaps = model.gaps
        wanted = [(gap.what, model.reasons.get(gap.what, "")) for gap in gaps]
        if wanted != self._shown:
            self._shown = wanted
            self._show_rows(gaps)
        missing = len(model.open_gaps)
        self.seal.setVisible(not model.is_sealed)
        self.seal.setEnabled(model.is_begun and not missing)
        self.words.setText(self._seal_words(missing))
        owed = model.signature_owed
        self.sign.setVisible(owed and self.signing is not None)
        self._review.setVisible(model.is_sealed)
        self.accept.setEnabled(not owed)
        self.refuse.setEnabled(not owed)
        review = model.fitting_review
        self.reviewed.setText(
            "" if review is None else f"{again(review.payload.finding)}, {say('by')} {review.actor}"
        )
        self.reviewed.setVisible(review is not None)

    def _seal_words(self, missing: int) -> str:
        model = self.model
        if model.is_sealed:
            said = [f"✓ {say('The fitting is sealed in the same chain as the measuring.')}"]
            if model.signature_owed:
                said.append(say("The plan asks for a signature."))
            return " ".join(said)
        if not missing:
            return say("Nothing stands open any longer without a reason.")
        if missing == 1:
            return say("1 thing stands open: to be done, or a reason to be given.")
        return say(
            "{count} things stand open: to be done, or a reason to be given.", count=str(missing)
        )

    def _show_rows(self, gaps: tuple[Gap, ...]) -> None:
        while (item := self._rows.takeAt(0)) is not None:
            widget = item.widget()
            if widget is not None:
                widget.deleteLater()
        for number, gap in enumerate(gaps):
            frame, layout = card("")
            frame.setProperty("role", "notice")
            what = plain_label()
            what.setText(again(gap.what))
            layout.addWidget(what)
            reason = self.model.reasons.get(gap.what, "")
            if reason:
                said = plain_label(role="question")
                said.setText(f"✓ {again(reason)}")
                layout.addWidget(said)
            if gap.reason_may_close:
                words = say("Another reason") if reason else say("Seal all the same, with a reason")
                layout.addWidget(button(words, f"fit_gap_{number}", partial(self._reason, gap)))
            self._rows.addWidget(frame)

    def _reason(self, gap: Gap) -> None:
        self.ask(
            f"{say('Why is it sealed all the same?')} {again(gap.what)}",
            _WHY_OPEN,
            lambda reason: self.model.give_reason(gap, reason),
        )

    def _seal(self) -> None:
        self.ask(say("What does the seal state?"), STATEMENTS, self._seal_now)

    def _seal_now(self, statement: str) -> None:
        self.model.seal(statement)
        self._on_sealed()

    def _ask_to_sign(self) -> None:
        if self.signing is not None:
            number = self.model.state.identification.sheet_number
            self.signing.ask(
                say("Sign the seal of the fitting, sheet {number}", number=number), "inspector"
            )

    def _signed_on(self, signer: Signer) -> None:
        signing = self.signing
        assert signing is not None
        if self.model.do(lambda: self.model.sign(signer)):
            signing.hide()
            self._on_sealed()
        else:
            signing.say(self.model.problem)

    def _judge(self, finding: Literal["accepted", "not accepted"]) -> None:
        name, note = self.reviewer.text("name"), self.reviewer.text("note")
        if self.model.do(lambda: self.model.review(name, finding, note)):
            self._on_sealed()

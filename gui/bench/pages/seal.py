"""The seal: what stands open with a reason for each, reasons that are owed, then the statement."""

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QFrame, QVBoxLayout, QWidget

from seatproof.core.record.gaps import Gap
from seatproof.gui.bench.model import BenchModel
from seatproof.gui.bench.pages.base import Asker, StepPage, button, card, plain_label
from seatproof.gui.bench.reasons import Ask
from seatproof.gui.shared.saying import again, say, wording
from seatproof.gui.shared.signing import SigningPanel

if TYPE_CHECKING:  # nothing that opens a key is loaded before somebody signs
    from seatproof.core.people.signer import Signer

_WHY = (
    wording("It cannot be done here; agreed with the customer"),
    wording("Not needed for this job"),
    wording("No time; it stays not proven"),
)
_DRIFT = (
    wording("Accepted: the readings lie far from the limits"),
    wording("The shaft is gone already"),
)


class SealPage(StepPage):
    """Shows what stands between the inspection and its seal."""

    def __init__(self, model: BenchModel, ask: Asker) -> None:
        super().__init__(model, ask)
        self._holder = QWidget()
        self._rows = QVBoxLayout(self._holder)
        self._rows.setContentsMargins(0, 0, 0, 0)
        self._shown: list[tuple[str, str]] = []
        self.add(self._holder)
        frame, layout = card(say("The seal"))
        self.words = plain_label("seal_words")
        self.seal = button(say("Seal"), "seal_now", self._seal)
        self.seal.setProperty("emphasis", "strong")
        self.remarks = plain_label("seal_remarks", "problem")
        self.signing = SigningPanel(model.people)
        self.signing.signed_on.connect(lambda signer: self.wanted.emit(lambda: self._sign(signer)))
        self.signing.given_up.connect(self.signing.hide)
        self.signing.hide()
        self.sign = button(say("Sign the seal"), "sign_seal", self._ask_who)
        for widget in (self.words, self.remarks, self.seal, self.sign, self.signing):
            layout.addWidget(widget)
        self.add(frame)
        self.end_column()

    def show_now(self) -> None:
        super().show_now()
        model = self.model
        self.sign.setVisible(model.seal_desk.signature_is_owed and not self.signing.isVisible())
        self.remarks.setText("\n".join(again(remark) for remark in model.seal_desk.remarks))
        self.remarks.setVisible(bool(model.seal_desk.remarks) and not model.is_sealed)
        if model.is_sealed:
            self.words.setText(model.instruction)
            self._show_rows([])
            self.seal.hide()
            return
        gaps = model.gaps
        wanted = [(gap.what, model.seal_desk.reason_for(gap)) for gap in gaps]
        if wanted != self._shown:
            self._shown = wanted
            self._show_rows(list(gaps))
        missing = model.seal_desk.missing
        self.seal.setEnabled(not missing)
        if model.seal_desk.is_sealing:
            self.seal.setEnabled(False)
            self.words.setText(say("Everything is evaluated once more for the seal …"))
            return
        self.words.setText(_what_is_missing(len(missing)))

    def _show_rows(self, gaps: list[Gap]) -> None:
        while (item := self._rows.takeAt(0)) is not None:
            widget = item.widget()
            if widget is not None:
                widget.deleteLater()
        for number, gap in enumerate(gaps):
            self._rows.addWidget(self._row(number, gap))

    def _row(self, number: int, gap: Gap) -> QFrame:
        frame, layout = card("")
        frame.setProperty("role", "notice")
        what = plain_label()
        what.setText(again(gap.what))
        layout.addWidget(what)
        reason = self.model.seal_desk.reason_for(gap)
        if reason:
            said = plain_label(role="strong")
            said.setText(f"✓ {again(reason)}")
            layout.addWidget(said)
        owed = self.model.seal_desk.owed_behind(gap)
        if owed is not None:
            layout.addWidget(
                button(say("Give the reason"), f"owed_{number}", lambda: self._give(gap))
            )
        elif gap.reason_may_close:
            words = say("Another reason") if reason else say("Seal all the same, with a reason")
            layout.addWidget(button(words, f"gap_{number}", lambda: self._reason(gap)))
        if self.model.seal_desk.is_drift(gap):
            layout.addWidget(
                button(
                    say("Record it as a deviation"),
                    f"deviation_{number}",
                    lambda: self._deviate(gap),
                )
            )
        return frame

    def _reason(self, gap: Gap) -> None:
        self.ask(
            say("Why is it sealed all the same? {finding}", finding=again(gap.what)),
            _WHY,
            lambda reason: self.model.seal_desk.give_reason(gap, reason),
        )

    def _deviate(self, gap: Gap) -> None:
        self.ask(
            say("Why are these readings accepted?"),
            _DRIFT,
            lambda reason: self.model.steps.deviate(gap.what, reason),
        )

    def _give(self, gap: Gap) -> None:
        owed = self.model.seal_desk.owed_behind(gap)
        if owed is not None:
            self.ask(
                say("Why: {what}?", what=again(owed.what)),
                Ask.TAKE_BACK.answers,
                lambda reason: self.model.steps.give_reason(owed.seq, reason),
            )

    def _ask_who(self) -> None:
        number = self.model.state.identification.sheet_number
        self.signing.ask(say("Sign the seal of {number}", number=number), "inspector")
        self.show_now()

    def _sign(self, signer: "Signer") -> None:
        self.model.seal_desk.sign(signer)
        self.signing.hide()

    def _seal(self) -> None:
        kind = Ask.SEAL_SIMULATED if self.model.is_simulated else Ask.SEAL
        self.ask(say(kind.question), kind.answers, self.model.seal)


def _what_is_missing(count: int) -> str:
    if not count:
        return say(
            "Nothing stands open any longer without a reason. The sheet will state who measured."
        )
    if count == 1:
        return say("1 of these things still needs to be done, or a reason.")
    return say("{count} of these things still need to be done, or a reason.", count=str(count))

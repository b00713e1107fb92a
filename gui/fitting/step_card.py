"""What the cards of all steps have in common: the words, the cautions, what was found."""

from collections.abc import Callable

from PySide6.QtWidgets import QFrame, QVBoxLayout, QWidget

from seatproof.core.cautions import DEFERENCE
from seatproof.core.plan.fitting import FittingStep
from seatproof.gui.bench.pages.base import Asker, button, card, plain_label, row
from seatproof.gui.fitting.model import FittingModel
from seatproof.gui.shared.saying import again, say


class StepCard(QWidget):
    """A step: what to do, what to mind, and what came of it."""

    def __init__(self, model: FittingModel, step: FittingStep, ask: Asker) -> None:
        super().__init__()
        self.model, self.step, self.ask = model, step, ask
        self.column = QVBoxLayout(self)
        self.column.setContentsMargins(0, 0, 0, 0)
        self.text = plain_label("step_text", "instruction")
        seat = f" ({say('seat {seat}', seat=step.seat)})" if step.seat else ""
        self.text.setText(f"{step.text}{seat}")
        self.source = plain_label("step_source", "small")
        if step.source.is_stated:
            self.source.setText(say("From: {source}", source=str(step.source)))
        elif step.needs_source:
            self.source.setText(
                say(
                    "From no stated paper: a figure without its source cannot be sealed. A new "
                    "version of the plan can name it."
                )
            )
            self.source.setProperty("role", "problem")
        else:
            self.source.hide()
        self.column.addWidget(self.text)
        self.column.addWidget(self.source)
        self._was_begun = False
        self.all_cautions = button(
            say("All cautions"), "all_cautions", self.show_now, checkable=True
        )
        self._others = (plain_label("more_cautions"), plain_label("deference", "small"))
        self.column.addWidget(self._cautions())
        self.found = plain_label("step_found", "question")

    def finish(self, frame: QWidget, stretch: int = 0) -> None:
        """Put the card's own frame in, and what was found below it."""
        self.column.addWidget(frame, stretch)
        self.column.addWidget(self.found)
        if not stretch:
            self.column.addStretch(1)

    @property
    def is_open(self) -> bool:
        """Whether something can be logged here now."""
        return self.model.is_begun and self.model.is_isolated and not self.model.is_sealed

    def do(self, deed: Callable[[], object]) -> bool:
        """Do what may be refused."""
        return self.model.do(deed)

    def show_now(self) -> None:
        """Show the model as it is now."""
        finding = self.model.finding(self.step)
        mark = {None: "", True: say("✓ Met."), False: say("✗ Not met.")}[finding.met]
        answered = self.model.state.fitting.answer(self.step.id)
        note = again(answered.note) if answered is not None else ""
        if answered is not None and answered.answer == "not applicable":
            mark = say("– Not applicable.")
        found = (again(sentence) for sentence in finding.sentences)
        said = " ".join(filter(None, (mark, note, *found)))
        self.found.setText(said)
        self.found.setVisible(bool(said))
        self.found.setProperty("alarm", finding.met is False)
        self.found.style().polish(self.found)
        begun = answered is not None or bool(self.model.state.fitting.work.get(self.step.id))
        if begun and not self._was_begun:
            self.all_cautions.setChecked(False)  # the first is enough once the work is going on
        self._was_begun = begun
        self.all_cautions.setVisible(begun)
        for label in self._others:
            label.setVisible(not begun or self.all_cautions.isChecked())

    def _cautions(self) -> QFrame:
        frame, layout = card("")
        frame.setProperty("role", "notice")
        own, *others = self.model.cautions(self.step)
        first = plain_label("caution", "question")
        # The plan's own caution is shown as it was written.
        first.setText(f"⚠ {own if own == self.step.caution else again(own)}")
        layout.addLayout(row(first, self.all_cautions))
        for label, text in zip(self._others, (" ".join(others), DEFERENCE), strict=True):
            label.setText(again(text))
            layout.addWidget(label)
        return frame

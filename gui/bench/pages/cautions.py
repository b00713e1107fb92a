"""The cautions, and the permit under which the machine stands still."""

from PySide6.QtWidgets import QLabel

from seatproof.core.cautions import CAUTIONS, DEFERENCE
from seatproof.gui.bench.model import BenchModel
from seatproof.gui.bench.pages.base import Asker, Fields, StepPage, button, card, plain_label
from seatproof.gui.shared.saying import again, say, wording


class CautionsPage(StepPage):
    """Shows the cautions; acknowledging them again notes the permit."""

    def __init__(self, model: BenchModel, ask: Asker) -> None:
        super().__init__(model, ask)
        frame, layout = card(say("Before hands go near the shaft"))
        for caution in CAUTIONS:
            label = plain_label()
            label.setText(f"•  {again(caution)}")
            layout.addWidget(label)
        deference = QLabel(again(DEFERENCE))
        deference.setWordWrap(True)
        deference.setProperty("role", "question")
        layout.addWidget(deference)
        self.add(frame)
        frame, layout = card(say("Work permit or lock-out under which the machine stands still"))
        self.fields = Fields((("permit", wording("Number")),), "cautions")
        self.read = button(say("I have read the cautions"), "acknowledge", self._acknowledge)
        self.said = plain_label("acknowledged")
        layout.addWidget(self.fields)
        layout.addWidget(self.read)
        layout.addWidget(self.said)
        self.add(frame)
        self.end_column()

    def show_now(self) -> None:
        super().show_now()
        state = self.model.state
        self.fields.fill({"permit": state.permit})
        gaps = {"name": self.model.inspector, "permit": state.permit}
        acknowledged = (
            say("✓ Acknowledged by {name} under permit {permit}.", **gaps)
            if state.permit
            else say("✓ Acknowledged by {name}.", **gaps)
        )
        self.said.setText(acknowledged if state.cautions else "")
        self.read.setEnabled(not self.model.is_sealed)

    def _acknowledge(self) -> None:
        permit = self.fields.text("permit")
        self.wanted.emit(lambda: self.model.steps.acknowledge(permit))

"""The cautions, and the permit under which the machine stands still."""

from PySide6.QtWidgets import QLabel

from seatproof.core.cautions import CAUTIONS, DEFERENCE
from seatproof.gui.bench.model import BenchModel
from seatproof.gui.bench.pages.base import Asker, Fields, StepPage, button, card, plain_label


class CautionsPage(StepPage):
    """Shows the cautions; acknowledging them again notes the permit."""

    def __init__(self, model: BenchModel, ask: Asker) -> None:
        super().__init__(model, ask)
        frame, layout = card("Before hands go near the shaft")
        for caution in CAUTIONS:
            label = plain_label()
            label.setText(f"•  {caution}")
            layout.addWidget(label)
        deference = QLabel(DEFERENCE)
        deference.setWordWrap(True)
        deference.setProperty("role", "question")
        layout.addWidget(deference)
        self.add(frame)
        frame, layout = card("Work permit or lock-out under which the machine stands still")
        self.fields = Fields((("permit", "Number"),), "cautions")
        self.read = button("I have read the cautions", "acknowledge", self._acknowledge)
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
        permit = f" under permit {state.permit}" if state.permit else ""
        self.said.setText(
            f"✓ Acknowledged by {self.model.inspector}{permit}." if state.cautions else ""
        )
        self.read.setEnabled(not self.model.is_sealed)

    def _acknowledge(self) -> None:
        permit = self.fields.text("permit")
        self.wanted.emit(lambda: self.model.steps.acknowledge(permit))

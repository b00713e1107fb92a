"""What came of a sealed inspection, over every page of the bench: its verdict and its sheet."""

from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QVBoxLayout, QWidget

from seatproof.gui.bench.model import BenchModel
from seatproof.gui.shared.elided_label import ElidedLabel
from seatproof.gui.shared.marks import VerdictLabel
from seatproof.gui.shared.saying import say
from seatproof.gui.shared.theme import Theme


class SealedStrip(QFrame):
    """Shows the verdict that was sealed, by mark and word, and the sheet's path; or nothing."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("role", "card")
        self._caption = QLabel(say("All requirements together:"))
        self.verdict = VerdictLabel(theme)
        self.verdict.setObjectName("sealed_verdict")
        self.sheet = ElidedLabel()
        self.sheet.setObjectName("sealed_sheet")
        row = QHBoxLayout()
        row.addWidget(self._caption)
        row.addWidget(self.verdict)
        row.addStretch(1)
        layout = QVBoxLayout(self)
        layout.addLayout(row)
        layout.addWidget(self.sheet)
        self.hide()

    def show_model(self, model: BenchModel) -> None:
        """Show what was sealed; hide before the seal."""
        verdict = model.seal_desk.verdict
        if verdict is not None:
            self.verdict.show_verdict(verdict)
            sheet = model.sealing.sheet if model.sealing is not None else None
            self.sheet.setText("" if sheet is None else say("Sheet: {path}", path=str(sheet)))
            self.sheet.setVisible(sheet is not None)
        self.setVisible(verdict is not None)

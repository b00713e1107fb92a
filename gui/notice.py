"""A sentence over all places that stays until it was read."""

from PySide6.QtWidgets import QHBoxLayout, QLabel, QWidget

from seatproof.gui.shared.action_button import ActionButton
from seatproof.gui.shared.saying import say


class Notice(QWidget):
    """Says what went wrong beside the place in front, such as a copy that could not be made."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.words = QLabel()
        self.words.setObjectName("notice")
        self.words.setProperty("role", "banner")
        self.words.setWordWrap(True)
        self.read = ActionButton("")
        self.read.setObjectName("notice_read")
        self.read.clicked.connect(self.hide)
        row = QHBoxLayout(self)
        row.setContentsMargins(9, 9, 9, 0)
        row.addWidget(self.words, 1)
        row.addWidget(self.read)
        self.hide()

    def tell(self, sentence: str) -> None:
        """Show a sentence."""
        self.words.setText(sentence)
        self.read.setText(say("I have read it"))
        self.show()

"""What asks for a reference check now, with the button that begins it."""

from collections.abc import Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QWidget

from seatproof.core.record.checks import Due
from seatproof.gui.shared.action_button import ActionButton
from seatproof.gui.shared.saying import again, say


class DueBar(QFrame):
    """Shows checks that are due.

    Signals
    -------
    check_wanted : str
        The gauge of that inventory number shall be checked now.
    """

    check_wanted = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("due")
        self.setProperty("role", "notice")
        self._gauge = ""
        self.text = QLabel()
        self.text.setObjectName("due_text")
        self.text.setWordWrap(True)
        self.check = ActionButton(say("Check now"))
        self.check.setObjectName("check_now")
        self.check.clicked.connect(lambda: self.check_wanted.emit(self._gauge))
        row = QHBoxLayout(self)
        row.addWidget(self.text, 1)
        row.addWidget(self.check)
        self.hide()

    def show_due(self, items: Sequence[Due]) -> None:
        """Show what is due; nothing hides the bar."""
        self.text.setText("\n".join(f"▲ {again(item.sentence)}" for item in items))
        self._gauge = items[0].gauge if items else ""
        self.setVisible(bool(items))

"""Presses that wait for a decision, each with what was found and two ways out."""

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QVBoxLayout, QWidget

from seatproof.core.plan.points import PointKey
from seatproof.gui.bench.model import ParkedNotice
from seatproof.gui.shared.action_button import ActionButton

_MOST_CARDS = 10  # a gauge gone wild can park hundreds; nobody decides on more than these at once


class ParkedList(QWidget):
    """Shows parked presses.

    Signals
    -------
    use, discard : int
        A decision on the press of that number was asked for.
    """

    use = Signal(int)
    discard = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._layout = QVBoxLayout(self)
        self._layout.setContentsMargins(0, 0, 0, 0)
        self._shown: dict[int, QFrame] = {}
        self._more = QLabel()
        self._more.setWordWrap(True)

    def show_parked(self, notices: tuple[ParkedNotice, ...], following: PointKey | None) -> None:
        """Show the presses that wait; `following` is the point that one could be used at."""
        wanted = {notice.seq: notice for notice in notices[:_MOST_CARDS]}
        more = len(notices) - len(wanted)
        self._more.setText(f"… and {more} more behind these")
        self._more.setVisible(more > 0)
        for seq in [seq for seq in self._shown if seq not in wanted]:
            card = self._shown.pop(seq)
            self._layout.removeWidget(card)
            card.deleteLater()
        for seq, notice in wanted.items():
            if seq not in self._shown:
                self._shown[seq] = self._card(notice)
                self._layout.addWidget(self._shown[seq])
                self._layout.addWidget(self._more)  # stays the last
            use = self._shown[seq].findChild(ActionButton, f"use_parked_{seq}")
            assert use is not None  # every card has one
            use.setEnabled(following is not None)
            use.setText("No point is open" if following is None else f"Use at {following}")
        self.setVisible(bool(wanted))

    def _card(self, notice: ParkedNotice) -> QFrame:
        card = QFrame()
        card.setProperty("role", "notice")
        text = QLabel(f"Parked: {notice.text} ({notice.came})\n{notice.finding}")
        text.setTextFormat(Qt.TextFormat.PlainText)
        text.setWordWrap(True)
        use, discard = ActionButton("Use"), ActionButton("Throw away")
        use.setObjectName(f"use_parked_{notice.seq}")
        discard.setObjectName(f"discard_parked_{notice.seq}")
        buttons = QHBoxLayout()
        for button, signal in ((use, self.use), (discard, self.discard)):
            button.clicked.connect(lambda _=False, signal=signal: signal.emit(notice.seq))
            buttons.addWidget(button)
        layout = QVBoxLayout(card)
        layout.addWidget(text)
        layout.addLayout(buttons)
        return card

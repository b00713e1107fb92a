"""Presses that wait for a decision, each with what was found and the ways out."""

from dataclasses import dataclass

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QFrame, QGridLayout, QLabel, QVBoxLayout, QWidget

from seatproof.core.plan.points import PointKey
from seatproof.core.units import Unit
from seatproof.gui.bench.parked import ParkedNotice
from seatproof.gui.shared.action_button import ActionButton
from seatproof.gui.shared.saying import again, say, wording

_READ_AS = {
    Unit.INCH: wording("Use at {key}, read as inches"),
    Unit.MM: wording("Use at {key}, read as millimetres"),
    None: wording("Use at {key}"),
}
_USE = wording("Use")
_THROW_AWAY = wording("Throw away")
_MOST_CARDS = 10  # a gauge gone wild can park hundreds; nobody decides on more than these at once


@dataclass(slots=True)
class _Card:
    """One press's frame with its buttons."""

    frame: QFrame
    here: ActionButton
    there: ActionButton


class ParkedList(QWidget):
    """Shows parked presses.

    Signals
    -------
    use : int, PointKey, Unit or None
        The press of that number shall be used at that point, read in that unit where one is given.
    discard : int
        It shall be thrown away.
    """

    use = Signal(int, object, object)
    discard = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._layout = QVBoxLayout(self)
        self._layout.setContentsMargins(0, 0, 0, 0)
        self._shown: dict[int, _Card] = {}
        self._places: dict[int, tuple[PointKey | None, PointKey | None]] = {}
        self._read_as: dict[int, Unit | None] = {}
        self._more = QLabel()
        self._more.setWordWrap(True)

    def show_parked(
        self,
        notices: tuple[ParkedNotice, ...],
        places: tuple[PointKey | None, PointKey | None],
    ) -> None:
        """Show the presses that wait; `places` are the next point and the selected one."""
        wanted = {notice.seq: notice for notice in notices[:_MOST_CARDS]}
        more = len(notices) - len(wanted)
        self._more.setText(say("… and {count} more behind these", count=str(more)))
        self._more.setVisible(more > 0)
        for seq in [seq for seq in self._shown if seq not in wanted]:
            card = self._shown.pop(seq)
            self._layout.removeWidget(card.frame)
            card.frame.deleteLater()
        following, selected = places
        for seq, notice in wanted.items():
            if seq not in self._shown:
                self._shown[seq] = self._card(notice)
                self._layout.addWidget(self._shown[seq].frame)
                self._layout.addWidget(self._more)  # stays the last
            card = self._shown[seq]
            there = selected or notice.place
            there = None if there == following else there
            self._places[seq] = (following, there)
            self._read_as[seq] = notice.read_as
            use = _READ_AS[notice.read_as]
            card.here.setEnabled(following is not None)
            card.here.setText(
                say("No point is open") if following is None else say(use, key=str(following))
            )
            card.there.setVisible(there is not None)
            card.there.setText(say(use, key=str(there)))
        self.setVisible(bool(wanted))

    def _card(self, notice: ParkedNotice) -> _Card:
        frame = QFrame()
        frame.setProperty("role", "notice")
        heading = QLabel(say("Parked: {value}", value=notice.text))
        heading.setProperty("role", "question")
        text = QLabel(f"({notice.came}) {again(notice.finding)}")
        text.setProperty("role", "small")
        for label in (heading, text):
            label.setTextFormat(Qt.TextFormat.PlainText)
            label.setWordWrap(True)
        here, there, away = (ActionButton(say(w)) for w in (_USE, _USE, _THROW_AWAY))
        here.setObjectName(f"use_parked_{notice.seq}")
        there.setObjectName(f"use_parked_{notice.seq}_there")
        away.setObjectName(f"discard_parked_{notice.seq}")
        here.clicked.connect(lambda: self._use(notice.seq, 0))
        there.clicked.connect(lambda: self._use(notice.seq, 1))
        away.clicked.connect(lambda: self.discard.emit(notice.seq))
        buttons = QGridLayout()
        buttons.addWidget(here, 0, 0)
        buttons.addWidget(away, 0, 1)
        buttons.addWidget(there, 1, 0, 1, 2)
        layout = QVBoxLayout(frame)
        # The ways out stand before the finding, which may be long: they are always to be seen.
        layout.addWidget(heading)
        layout.addLayout(buttons)
        layout.addWidget(text)
        return _Card(frame, here, there)

    def _use(self, seq: int, which: int) -> None:
        place = self._places[seq][which]
        if place is not None:
            self.use.emit(seq, place, self._read_as[seq])

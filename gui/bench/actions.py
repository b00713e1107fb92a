"""The bar of large buttons at the foot of the bench; each says its key."""

from PySide6.QtWidgets import QHBoxLayout, QLabel, QVBoxLayout, QWidget

from seatproof.gui.bench.model import BenchModel
from seatproof.gui.shared.action_button import ActionButton


class ActionBar(QWidget):
    """Holds what a person can do at the bench, enabled as the model allows."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.take_back = _button("Take back", "F5", "take_back")
        self.go_there = _button("Go there", "F6", "go_there")
        self.skip = _button("Skip", "F7", "skip")
        self.next_seat = _button("Other seat", "F8", "next_seat")
        self.seal = _button("Seal", "F9", "seal")
        self.open_sheet = _button("Open sheet", "F10", "open_sheet")
        self.leave = _button("Leave", "F12", "leave")
        self._trouble = QLabel()
        self._trouble.setObjectName("trouble")
        self._trouble.setProperty("role", "banner")
        self._trouble.setWordWrap(True)
        self._trouble.hide()
        row = QHBoxLayout()
        for button in (
            self.take_back,
            self.go_there,
            self.skip,
            self.next_seat,
            self.seal,
            self.open_sheet,
            self.leave,
        ):
            row.addWidget(button, 1)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self._trouble)
        layout.addLayout(row)

    def show_state(self, model: BenchModel) -> None:
        self.take_back.setEnabled(model.can_take_back)
        self.skip.setEnabled(model.can_skip)
        selected = model.selected_point
        self.go_there.setEnabled(selected is not None and not model.is_sealed)
        self.go_there.setText(
            _label("Go there" if selected is None else f"Go to {selected.key}", "F6")
        )
        self.next_seat.setEnabled(len(model.plan.seats) > 1)
        self.seal.setVisible(not model.is_sealed)
        self.seal.setEnabled(model.can_seal)
        self.seal.setToolTip("\n".join(model.in_the_way))
        sealing = model.sealing
        self.open_sheet.setVisible(sealing is not None and sealing.sheet is not None)
        trouble = sealing.trouble if sealing is not None else ""
        self.show_trouble(trouble)

    def show_trouble(self, sentence: str) -> None:
        """Say why something asked for was not done; nothing is said with an empty sentence."""
        self._trouble.setText(sentence)
        self._trouble.setVisible(bool(sentence))


def _button(text: str, key: str, name: str) -> ActionButton:
    button = ActionButton(_label(text, key), key)
    button.setObjectName(name)
    return button


def _label(text: str, key: str) -> str:
    return f"{text}\n{key}"

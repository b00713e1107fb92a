"""The bar of large buttons at the foot of the bench; each says its key."""

from PySide6.QtWidgets import QHBoxLayout, QLabel, QVBoxLayout, QWidget

from seatproof.gui.bench.ladder import Rung
from seatproof.gui.bench.model import BenchModel
from seatproof.gui.settings import Action, Settings
from seatproof.gui.shared.action_button import ActionButton
from seatproof.gui.shared.saying import again, say


class ActionBar(QWidget):
    """Holds what a person can do at the bench, enabled as the model allows."""

    def __init__(self, settings: Settings, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.ask = _button(say("Take value"), settings.key(Action.ASK), "ask")
        self.take_back = _button(say("Take back"), settings.key(Action.TAKE_BACK), "take_back")
        self.go_there = _button(say("Go there"), "F6", "go_there")
        self.skip = _button(say("Skip"), settings.key(Action.SKIP), "skip")
        self.next_seat = _button(say("Other seat"), "F8", "next_seat")
        self.go_on = _button(say("Go on"), "F2", "go_on_step")
        self.go_on.setProperty("emphasis", "strong")
        self.seal = _button(say("Seal"), "F9", "seal")
        self.open_sheet = _button(say("Open sheet"), "F10", "open_sheet")
        self.fit = _button(say("Go on: fitting"), "Ctrl+F", "go_on_fitting")
        self.more = _button(say("More"), "Ctrl+M", "more")
        self.leave = _button(say("Leave"), "F12", "leave")
        self._trouble = QLabel()
        self._trouble.setObjectName("trouble")
        self._trouble.setProperty("role", "banner")
        self._trouble.setWordWrap(True)
        self._trouble.hide()
        row = QHBoxLayout()
        for button in (
            self.ask,
            self.take_back,
            self.go_there,
            self.skip,
            self.next_seat,
            self.go_on,
            self.seal,
            self.open_sheet,
            self.fit,
            self.more,
            self.leave,
        ):
            row.addWidget(button, 1)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self._trouble)
        layout.addLayout(row)

    def enable(self, model: BenchModel) -> None:
        """Let buttons be pressed as the model allows; at once, because the next key may be one."""
        self.take_back.setEnabled(model.can_take_back)
        self.skip.setEnabled(model.can_skip)
        self.go_there.setEnabled(model.selected_point is not None and not model.is_sealed)

    def show_state(self, model: BenchModel) -> None:
        """Show what can be done now."""
        self.enable(model)
        self.ask.setVisible(bool(model.taking_hint))
        self.ask.setToolTip(model.taking_hint)
        selected = model.selected_point
        there = say("Go there") if selected is None else say("Go to {key}", key=str(selected.key))
        self.go_there.setText(_label(there, "F6"))
        self.next_seat.setEnabled(len(model.plan.seats) > 1)
        at_readings = model.steps.in_hand is Rung.READINGS and not model.steps.is_checking
        following = model.steps.following
        goes_on = (
            model.steps.is_guided and at_readings and not model.has_open and following is not None
        )
        self.go_on.setText(_label(say("Go on: {step}", step=say(following or "")), "F2"))
        self.seal.setEnabled(model.can_seal or model.steps.is_guided or model.owes_reasons_alone)
        self.seal.setToolTip("\n".join(again(sentence) for sentence in model.in_the_way))
        sealing = model.sealing
        _show_or_hide(
            {
                self.take_back: at_readings,
                # Where nothing is open, there is room for the way on.
                self.go_there: at_readings and (selected is not None or not goes_on),
                self.skip: at_readings and not goes_on,
                self.next_seat: at_readings,
                self.go_on: goes_on,
                self.seal: not model.is_sealed and not (model.steps.is_guided and at_readings),
                self.open_sheet: sealing is not None and sealing.sheet is not None,
                self.fit: model.is_sealed and bool(model.plan.fitting),
            }
        )
        remarks = () if model.is_sealed else model.seal_desk.remarks
        trouble = sealing.trouble if sealing is not None else "\n".join(remarks)
        self.show_trouble(trouble)

    def show_trouble(self, sentence: str) -> None:
        """Say why something asked for was not done; nothing is said with an empty sentence."""
        self._trouble.setText(again(sentence))
        self._trouble.setVisible(bool(sentence))


def _show_or_hide(wanted: dict[ActionButton, bool]) -> None:
    """Hide what goes before what comes is shown: both together may be wider than the window."""
    for is_shown in (False, True):
        for button, is_wanted in wanted.items():
            if is_wanted is is_shown:
                button.setVisible(is_shown)


def _button(text: str, key: str, name: str) -> ActionButton:
    button = ActionButton(_label(text, key), key)
    button.setObjectName(name)
    return button


def _label(text: str, key: str) -> str:
    return f"{text}\n{key}" if key else text

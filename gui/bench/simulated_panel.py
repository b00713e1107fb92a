"""The simulated gauge's own small panel: its button, and its plug."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QVBoxLayout, QWidget

from seatproof.gui.bench.model import BenchModel
from seatproof.gui.shared.action_button import ActionButton
from seatproof.gui.shared.saying import say
from seatproof.gui.simulation import SimulatedGauge


class SimulatedPanel(QFrame):
    """Stands in for the gauge in the inspector's hand: it measures where the bench points to.

    Signals
    -------
    pressed
        The gauge's button was pressed; its bytes are on the line.
    """

    pressed = Signal()

    def __init__(self, gauge: SimulatedGauge, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.gauge = gauge
        self.setProperty("role", "card")
        title = QLabel(say("Simulated gauge: no shaft"))
        title.setToolTip(say("No shaft is measured: this gauge invents one with a known form."))
        self.button = ActionButton(f"{say('Press')}\nF4", "F4")
        self.button.setObjectName("gauge_button")
        self.plug = ActionButton(say("Unplug"))
        self.plug.setObjectName("gauge_plug")
        self.button.clicked.connect(self._press)
        self.plug.clicked.connect(self._pull_or_plug)
        buttons = QHBoxLayout()
        buttons.addWidget(self.button, 1)
        buttons.addWidget(self.plug)
        layout = QVBoxLayout(self)
        layout.addWidget(title)
        layout.addLayout(buttons)

    def show_model(self, model: BenchModel) -> None:
        """Put the gauge where the next press belongs; it stays where it is once all is done."""
        desk, point = model.steps.desk, model.next_point
        if model.steps.is_checking:
            self.gauge.put_on(desk.standard_in(model.state))
        elif point is not None:
            self.gauge.aim(point)

    def _press(self) -> None:
        self.gauge.press()
        self.pressed.emit()

    def _pull_or_plug(self) -> None:
        if self.gauge.is_plugged:
            self.gauge.unplug()
        else:
            self.gauge.replug()
        self.plug.setText(say("Unplug") if self.gauge.is_plugged else say("Plug in"))

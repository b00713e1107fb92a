"""The simulated gauge's own small panel: its button, and its plug."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from seatproof.core.plan.points import Point
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
        self._gauge = gauge
        self.setProperty("role", "card")
        title = QLabel("Simulated gauge – no shaft is measured")
        title.setWordWrap(True)
        self.button = QPushButton("Press the gauge's button (F4)")
        self.button.setObjectName("gauge_button")
        self.button.setShortcut("F4")
        self.plug = QPushButton("Pull the plug")
        self.plug.setObjectName("gauge_plug")
        for button in (self.button, self.plug):
            button.setProperty("role", "action")
            button.setAutoDefault(False)
        self.button.clicked.connect(self._press)
        self.plug.clicked.connect(self._pull_or_plug)
        buttons = QHBoxLayout()
        buttons.addWidget(self.button, 1)
        buttons.addWidget(self.plug)
        layout = QVBoxLayout(self)
        layout.addWidget(title)
        layout.addLayout(buttons)

    def aim(self, point: Point | None) -> None:
        """Put the gauge where the next press belongs; it stays where it is once all is done."""
        if point is not None:
            self._gauge.aim(point)

    def _press(self) -> None:
        self._gauge.press()
        self.pressed.emit()

    def _pull_or_plug(self) -> None:
        if self._gauge.is_plugged:
            self._gauge.unplug()
        else:
            self._gauge.replug()
        self.plug.setText("Pull the plug" if self._gauge.is_plugged else "Plug in again")

"""What an open bench needs round it: lines of gauges, work beside the window, keys they type."""

import logging
from collections.abc import Callable

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import QWidget

from seatproof.core.record.kinds import GaugeInService
from seatproof.devices.errors import DeviceError
from seatproof.gui.bench.background import Background
from seatproof.gui.bench.line import GaugeLines
from seatproof.gui.bench.taking import taking_of
from seatproof.gui.shared.key_filter import KeyFilter
from seatproof.gui.shared.saying import again, say
from seatproof.gui.sound.cue import Cue
from seatproof.gui.workplace import Bench, Workplace

_logger = logging.getLogger(__name__)


class BenchDesk(QObject):
    """One inspection at work, from its opening to `shut`; it outlives the views that show it.

    Parameters
    ----------
    workplace : Workplace
    make : callable
        Opens the inspection, given where its long work is done; what it raises is passed on.
    on_cue : callable
        Called with a sound that is to be heard.
    on_key : callable
        Called with a character's key that nothing takes; returns whether it was a command.
    parent : QWidget
        The window: what a gauge types anywhere in it is a value.

    Signals
    -------
    said : str
        Something stands in the way of the line of a gauge that was put in service.
    """

    said = Signal(str)

    def __init__(
        self,
        workplace: Workplace,
        make: Callable[[Background], Bench],
        on_cue: Callable[[Cue], None],
        on_key: Callable[[QKeySequence], bool],
        parent: QWidget,
    ) -> None:
        super().__init__(parent)
        self._workplace = workplace
        self._window = parent
        self._on_key = on_key
        self._keys: KeyFilter | None = None
        self._background = background = Background(self)
        try:
            self.bench = make(background)
        except BaseException:
            background.stop()
            raise
        self.model = model = self.bench.model
        self.lines = lines = GaugeLines(self)
        lines.arrived.connect(lambda *_: background.hold_back())
        lines.arrived.connect(lambda number, arrival: model.take(arrival, number))
        lines.changed.connect(lambda number, line: model.take_line(line, number))
        lines.sampled.connect(lambda number, sample: model.take_sample(sample, number))
        model.on_cue = on_cue
        model.hint_of = lines.hint

    def open_lines(self) -> tuple[str, ...]:
        """Read the gauges, and those that are put in service later; return what is in the way.

        A line settles for a moment after it was opened: call this before the view is made.
        """
        self.model.on_gauge = self._open_further_line
        return tuple(filter(None, [self._open_line(gauge) for gauge in self.bench.gauges]))

    def ask(self) -> None:
        """Ask the gauge of the next point for a value."""
        self.lines.ask(self.model.gauge_number)

    def save_wire_logs(self) -> str:
        """Write what came from each gauge to a file of its own; say where, or why not."""
        sentences = []
        for number in self.lines.numbers:
            try:
                path = self._workplace.wire_log_file(self.model.state, number)
                self.lines.save_wire_log(number, path)
                sentences.append(
                    say(
                        "What came from {number} is saved as {path}.", number=number, path=str(path)
                    )
                )
            except (DeviceError, OSError) as error:
                sentences.append(again(str(error)))
        return "\n".join(sentences)

    def shut(self) -> None:
        """Close the lines, and end what goes on; the record stays as it is."""
        if self._keys is not None:
            self._keys.stop()
            self._keys.deleteLater()
            self._keys = None
        if not self.lines.stop():
            _logger.warning("a gauge's line is still closing; the window does not wait")
        if not self._background.stop():
            _logger.warning("an evaluation is still going on; the window does not wait")
        if self.bench.simulated is not None:
            self.bench.simulated.close()

    def _open_line(self, gauge: GaugeInService) -> str:
        """Read a gauge, and return what stands in the way of that."""
        trouble = ""
        try:
            self.lines.open(gauge.inventory_number, gauge.source, gauge.format, taking_of(gauge))
        except DeviceError as error:
            trouble = again(str(error))
        if self.lines.types and self._keys is None:
            self._keys = KeyFilter(self._window, self.lines.type_in, self._on_key)
        return trouble

    def _open_further_line(self, gauge: GaugeInService) -> None:
        trouble = self._open_line(gauge)
        if trouble:
            self.said.emit(trouble)

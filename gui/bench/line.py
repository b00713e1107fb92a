"""The gauges' lines as the window has them: reader threads whose findings arrive in Qt's thread."""

import time
from dataclasses import dataclass
from pathlib import Path
from queue import Empty, SimpleQueue
from threading import Event
from typing import Any, Final

from PySide6.QtCore import QObject, Qt, QTimer, Signal, Slot

from seatproof.core.record.kinds.equipment import NO_LINE
from seatproof.devices.arrival import Arrival
from seatproof.devices.declared.format import GaugeFormat
from seatproof.devices.declared.known import find_format
from seatproof.devices.errors import SourceError
from seatproof.devices.gauge import GaugeReader
from seatproof.devices.line_state import LineState
from seatproof.devices.transport import LineSettings
from seatproof.devices.typed import TYPED_SETTINGS, TYPED_SOURCE, TypedLine
from seatproof.gui.bench.taking import Taking, hint

# A gauge gone wild, or a wrong speed, sends more than can be dealt with; the window still answers.
_TURN_S: Final = 0.02
_PAUSE_MS: Final = 5
_LAST_TURN_S: Final = 0.5
_SAMPLE_MS: Final = 60


@dataclass(slots=True)
class _Line:
    """One gauge's reader, and what types into it where it types."""

    reader: GaugeReader
    typed: TypedLine | None


class GaugeLines(QObject):
    """Reads gauges, each in a thread of its own, and hands over what they found, in order.

    Signals
    -------
    arrived : str, Arrival
        A press or a refusal of the gauge of that inventory number. Emitted in the thread that this
        object lives in, like the others.
    changed : str, LineState
        A line came up, was lost, or ended.
    sampled : str, Arrival
        The newest value of a stream that is no press; not all of them are shown.
    """

    arrived = Signal(str, object)
    changed = Signal(str, object)
    sampled = Signal(str, object)
    _found = Signal()  # emitted in a reader's thread: there is something in the queue

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._queue: SimpleQueue[tuple[str, Arrival | LineState]] = SimpleQueue()
        self._is_announced = Event()
        self._is_closed = False
        self._lines: dict[str, _Line] = {}
        self._samples: dict[str, Arrival] = {}
        self._next_turn = QTimer(self)
        self._next_turn.setSingleShot(True)
        self._next_turn.setInterval(_PAUSE_MS)
        self._next_turn.timeout.connect(self._take_turn)
        self._sampling = QTimer(self)
        self._sampling.setInterval(_SAMPLE_MS)
        self._sampling.timeout.connect(self._hand_over_samples)
        self._found.connect(self._take_turn, Qt.ConnectionType.QueuedConnection)

    def open(
        self, number: str, source: str, format_name: str, taking: Taking | None = None
    ) -> None:
        """Begin to read a gauge, in place of the line that it had before.

        `taking` says how its presses are had where that is not as its format says. A gauge whose
        source is `NO_LINE` has none.

        Raises
        ------
        FormatError
            There is no such format.
        SourceError
            Another gauge is on that line already: their values could not be told apart.
        """
        if source == NO_LINE:
            self.close_one(number)
            return
        for other, line in self._lines.items():
            if other != number and line.reader.source == source:
                raise SourceError(source, f"the gauges {other} and {number} cannot both be on it.")
        frame_format = find_format(format_name)
        declared = frame_format if isinstance(frame_format, GaugeFormat) else None
        settings = (declared.line if declared is not None else None) or LineSettings()
        named: dict[str, Any] = {}
        typed = TypedLine() if source == TYPED_SOURCE else None
        if typed is not None:
            settings, named["open_line"] = TYPED_SETTINGS, typed.open
        if taking is not None:
            named["picker"] = taking.picker()
            named["asking"] = taking.asking(declared.request if declared is not None else None)
        self.close_one(number)
        reader = GaugeReader(
            source,
            settings,
            on_arrival=lambda arrival: self._put(number, arrival),
            on_line=lambda state: self._put(number, state),
            on_sample=lambda arrival: self._samples.__setitem__(number, arrival),
            frame_format=frame_format,
            **named,
        )
        self._lines[number] = _Line(reader, typed)
        if reader.wants_key:
            self._sampling.start()
        reader.start()

    @property
    def numbers(self) -> tuple[str, ...]:
        return tuple(self._lines)

    @property
    def types(self) -> bool:
        """Whether a gauge here types its values."""
        return any(line.typed is not None for line in self._lines.values())

    def wants_key(self, number: str) -> bool:
        """Whether a gauge gives a value only when somebody here asks for one."""
        line = self._lines.get(number)
        return line is not None and line.reader.wants_key

    def hint(self, number: str) -> str:
        """Say how to have a value of such a gauge; empty for one that sends at its button."""
        line = self._lines.get(number)
        if line is None or not line.reader.wants_key:
            return ""
        return hint(line.reader.how_taken, line.reader.window_s)

    def ask(self, number: str) -> None:
        """Ask a gauge for a value, or open its window; nothing for one with a button."""
        line = self._lines.get(number)
        if line is not None:
            line.reader.take()

    def type_in(self, characters: str) -> None:
        """Hand typed characters to the gauge that types."""
        for line in self._lines.values():
            if line.typed is not None:
                line.typed.feed(characters)
                return

    def save_wire_log(self, number: str, path: Path) -> None:
        """Write every byte of a gauge's line to a file; raises `SourceError`."""
        self._lines[number].reader.save_wire_log(path)

    def close_one(self, number: str) -> None:
        """Close one gauge's line; what came before is handed over."""
        line = self._lines.pop(number, None)
        if line is not None:
            line.reader.stop()

    def stop(self, timeout_s: float = 1.0) -> bool:
        """Close all lines, and hand over what came before; return whether their threads ended.

        Where the system holds a thread up, it ends by itself later and what it still finds is not
        handed over.
        """
        for line in self._lines.values():
            line.reader.stop(0.0)  # all begin to stop before the first is waited for
        ended = [line.reader.stop(timeout_s) for line in self._lines.values()]
        self._is_closed = True
        self._next_turn.stop()
        self._sampling.stop()
        self._hand_over(until_s=time.monotonic() + _LAST_TURN_S)
        return all(ended)

    def _put(self, number: str, found: Arrival | LineState) -> None:
        # A driver that comes back after the window has gone finds nobody to tell.
        if self._is_closed:
            return
        self._queue.put((number, found))
        if not self._is_announced.is_set():
            self._is_announced.set()
            self._found.emit()

    @Slot()
    def _take_turn(self) -> None:
        """Hand over for a moment, then let the window work before going on."""
        self._is_announced.clear()
        if self._hand_over(until_s=time.monotonic() + _TURN_S):
            self._next_turn.start()

    def _hand_over(self, until_s: float) -> bool:
        """Hand over what was found, in order; return whether the time was up before the end."""
        while time.monotonic() < until_s:
            try:
                number, found = self._queue.get_nowait()
            except Empty:
                return False
            if isinstance(found, Arrival):
                self.arrived.emit(number, found)
            else:
                self.changed.emit(number, found)
        return True

    @Slot()
    def _hand_over_samples(self) -> None:
        """Show the newest value of each stream, not each of its values."""
        for number in tuple(self._samples):
            self.sampled.emit(number, self._samples.pop(number))

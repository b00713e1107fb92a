"""The gauge's line as the window has it: a reader thread whose findings arrive in Qt's thread."""

import time
from queue import Empty, SimpleQueue
from threading import Event
from typing import Final

from PySide6.QtCore import QObject, Qt, QTimer, Signal, Slot

from seatproof.devices.declared.format import GaugeFormat
from seatproof.devices.declared.known import find_format
from seatproof.devices.gauge import Arrival, GaugeReader, LineState
from seatproof.devices.transport import LineSettings

# A gauge gone wild, or a wrong speed, sends more than can be dealt with; the window still answers.
_TURN_S: Final = 0.02
_PAUSE_MS: Final = 5
_LAST_TURN_S: Final = 0.5


class GaugeLine(QObject):
    """Reads a gauge in a thread of its own and hands over what it found, in order.

    The line is opened as the gauge's format says. `FormatError` where there is no such format.

    Signals
    -------
    arrived : Arrival
        A frame came. Emitted in the thread that this object lives in.
    changed : LineState
        The line came up, was lost, or ended. Emitted in the same thread.
    """

    arrived = Signal(object)
    changed = Signal(object)
    _found = Signal()  # emitted in the reader's thread: there is something in the queue

    def __init__(self, source: str, format_name: str, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._queue: SimpleQueue[Arrival | LineState] = SimpleQueue()
        self._is_announced = Event()
        self._is_closed = False
        self._next_turn = QTimer(self)
        self._next_turn.setSingleShot(True)
        self._next_turn.setInterval(_PAUSE_MS)
        self._next_turn.timeout.connect(self._take_turn)
        self._found.connect(self._take_turn, Qt.ConnectionType.QueuedConnection)
        frame_format = find_format(format_name)
        settings = frame_format.line if isinstance(frame_format, GaugeFormat) else None
        self._reader = GaugeReader(
            source,
            settings or LineSettings(),
            on_arrival=self._put,
            on_line=self._put,
            frame_format=frame_format,
        )

    def start(self) -> None:
        self._reader.start()

    def stop(self, timeout_s: float = 1.0) -> bool:
        """Close the line, and hand over what came before; return whether its thread has ended.

        Where the system holds the thread up, it ends by itself later and what it still finds is
        not handed over.
        """
        ended = self._reader.stop(timeout_s)
        self._is_closed = True
        self._next_turn.stop()
        self._hand_over(until_s=time.monotonic() + _LAST_TURN_S)
        return ended

    def _put(self, found: Arrival | LineState) -> None:
        # A driver that comes back after the window has gone finds nobody to tell.
        if self._is_closed:
            return
        self._queue.put(found)
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
                found = self._queue.get_nowait()
            except Empty:
                return False
            if isinstance(found, Arrival):
                self.arrived.emit(found)
            else:
                self.changed.emit(found)
        return True

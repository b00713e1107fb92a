"""The gauge's line as the window has it: a reader thread whose findings arrive in Qt's thread."""

from queue import Empty, SimpleQueue

from PySide6.QtCore import QObject, Qt, Signal, Slot

from seatproof.devices.gauge import Arrival, GaugeReader, LineState
from seatproof.devices.transport import LineSettings


class GaugeLine(QObject):
    """Reads a gauge in a thread of its own and hands over what it found, in order.

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
        self._found.connect(self._hand_over, Qt.ConnectionType.QueuedConnection)
        self._reader = GaugeReader(
            source,
            LineSettings(),
            on_arrival=self._put,
            on_line=self._put,
            format_name=format_name,
        )

    def start(self) -> None:
        self._reader.start()

    def stop(self, timeout_s: float = 1.0) -> bool:
        """Close the line, and hand over what came before; return whether its thread has ended.

        Where the system holds the thread up, it ends by itself later and what it still finds is
        not handed over.
        """
        ended = self._reader.stop(timeout_s)
        self._hand_over()
        return ended

    def _put(self, found: Arrival | LineState) -> None:
        self._queue.put(found)
        self._found.emit()

    @Slot()
    def _hand_over(self) -> None:
        while True:
            try:
                found = self._queue.get_nowait()
            except Empty:
                return
            if isinstance(found, Arrival):
                self.arrived.emit(found)
            else:
                self.changed.emit(found)

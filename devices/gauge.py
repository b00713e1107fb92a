"""Read one gauge for as long as asked, over every loss of its line.

One thread owns the line from opening to closing; others only set a flag. It hands over finished
values, knows nothing of windows, and lets no exception out.
"""

import logging
import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Final

from seatproof.devices.clock import Clock, SystemClock
from seatproof.devices.errors import DeviceError, EndOfSource
from seatproof.devices.formats import FORMAT_NAMES, Reading, Refusal, read_frame
from seatproof.devices.framing import Frame, LineFramer
from seatproof.devices.transport import LineSettings, Transport, open_transport

_logger = logging.getLogger(__name__)

# Waiting between attempts to open, in seconds; the last one repeats. Short at first, because a
# port that was just closed or plugged in is often free a moment later.
RETRY_AFTER_S: Final = (0.2, 0.5, 1.0, 2.0)

# Longest wait for bytes before the thread looks whether it shall stop.
_POLL_S: Final = 0.1


@dataclass(frozen=True, slots=True)
class Arrival:
    """One frame that came from the gauge, in the order of `number`.

    Attributes
    ----------
    content : Reading or Refusal
        What the frame says.
    number : int
        Counts the arrivals of one reader from 1, over all losses of the line.
    utc : datetime
        When its last byte was handed over. Adapters bunch bytes, so two frames may share a time.
    monotonic_s : float
        The same moment on a clock that never jumps.
    """

    content: Reading | Refusal
    number: int
    utc: datetime
    monotonic_s: float


class LineKind(StrEnum):
    """What a line is doing. The last three are final: nothing follows them."""

    CONNECTING = "connecting"  # not open yet; the reader keeps trying
    CONNECTED = "connected"  # what arrives now is read
    LOST = "lost"  # was open and is gone; the reader keeps trying
    FAILED = "failed"  # trying again would not help
    ENDED = "ended"  # the capture file is at its end
    CLOSED = "closed"  # stopped as asked


@dataclass(frozen=True, slots=True)
class LineState:
    """What became of the line; told once at every change.

    Attributes
    ----------
    kind : LineKind
    sentence : str
        For the person at the bench.
    source : str
        The source as it was asked for.
    error : DeviceError or None
        What stands in the way, where something does.
    dropped_bytes : int
        With CONNECTED: how many bytes were dropped that may have been sent before.
    """

    kind: LineKind
    sentence: str
    source: str
    error: DeviceError | None = None
    dropped_bytes: int = 0


class GaugeReader:
    """Reads a gauge in a thread of its own until it is stopped or the source ends.

    Both callbacks are called from that thread, one at a time.

    Parameters
    ----------
    source : str
        As for `open_transport`.
    settings : LineSettings
        How to open and settle the line.
    on_arrival : callable
        Called with an `Arrival` for every frame, readings and refusals alike.
    on_line : callable
        Called with a `LineState` at every change, the last of them final.
    format_name : str
        How to read a frame; one of `seatproof.devices.formats.FORMAT_NAMES`.
    clock : Clock
        Where the times of arrivals and of silences come from.
    retry_after_s : sequence of float
        Seconds between attempts to open; the last repeats.
    open_line : callable
        Opens the line; raises `DeviceError`.
    """

    def __init__(
        self,
        source: str,
        settings: LineSettings,
        *,
        on_arrival: Callable[[Arrival], None],
        on_line: Callable[[LineState], None],
        format_name: str = "auto",
        clock: Clock | None = None,
        retry_after_s: Sequence[float] = RETRY_AFTER_S,
        open_line: Callable[[str, LineSettings], Transport] = open_transport,
    ) -> None:
        if format_name not in FORMAT_NAMES:
            raise ValueError(f"no format is called {format_name!r}; there are {FORMAT_NAMES}")
        if not retry_after_s:
            raise ValueError("at least one time to wait between attempts is needed")
        self.source: Final = source
        self._settings = settings
        self._on_arrival = on_arrival
        self._on_line = on_line
        self._format_name = format_name
        self._clock: Clock = SystemClock() if clock is None else clock
        self._retry_after_s = tuple(retry_after_s)
        self._open_line = open_line
        self._stopping = threading.Event()
        # A daemon, so that a driver that never returns cannot keep the program from ending.
        self._thread = threading.Thread(target=self._run, name=f"gauge {source}", daemon=True)
        self._n_arrivals = 0
        self._n_attempts = 0
        self._told: LineState | None = None

    def start(self) -> None:
        """Begin; a reader can be started once."""
        self._thread.start()

    def stop(self, timeout_s: float = 1.0) -> bool:
        """Ask the thread to close the line and end; return whether it did within the time.

        It does not where the system itself holds it up, as when a network port takes seconds to
        open. It then ends by itself as soon as the system lets go.
        """
        self._stopping.set()
        if not self._thread.is_alive():
            return True
        if self._thread is threading.current_thread():
            return False  # asked from a callback: the thread ends when that returns
        self._thread.join(timeout_s)
        return not self._thread.is_alive()

    # --- in the thread ---------------------------------------------------------------------------

    def _run(self) -> None:
        try:
            final = self._keep_reading()
        except Exception as error:
            _logger.exception("the reader of %s stopped", self.source)
            reason = DeviceError(self.source, f"a fault in this program ({error!r}); see the log.")
            final = self._state(LineKind.FAILED, str(reason), error=reason)
        try:
            self._tell(final)
        except Exception:
            _logger.exception("nobody could be told the final state of %s", self.source)

    def _keep_reading(self) -> LineState:
        self._tell(self._state(LineKind.CONNECTING, f"Opening {self.source}."))
        is_lost = False
        while not self._stopping.is_set():
            try:
                self._read_until_stopped()
            except EndOfSource:
                return self._state(LineKind.ENDED, f"{self.source} is at its end.")
            except DeviceError as error:
                _logger.info("%s (%s)", error, error.detail)
                if not error.may_pass:
                    return self._state(LineKind.FAILED, str(error), error=error)
                is_lost = is_lost or self._is_connected()
                kind = LineKind.LOST if is_lost else LineKind.CONNECTING
                self._tell(self._state(kind, f"{error} Trying again.", error=error))
                self._stopping.wait(self._next_wait_s())
        return self._state(LineKind.CLOSED, f"{self.source} is closed.")

    def _is_connected(self) -> bool:
        return self._told is not None and self._told.kind is LineKind.CONNECTED

    def _next_wait_s(self) -> float:
        last = len(self._retry_after_s) - 1
        wait_s = self._retry_after_s[min(self._n_attempts, last)]
        self._n_attempts += 1
        return wait_s

    def _read_until_stopped(self) -> None:
        """Hold the line open once, from opening to its loss, its end or the wish to stop."""
        line = self._open_line(self.source, self._settings)
        try:
            dropped_bytes, was_silent = self._settle(line) if line.is_live else (0, True)
            if self._stopping.is_set():
                return
            sentence = f"Connected: {line.description}." + _about_dropped(dropped_bytes)
            self._tell(
                self._state(LineKind.CONNECTED, sentence, dropped_bytes=dropped_bytes),
            )
            self._n_attempts = 0
            self._read_frames(line, LineFramer(trust_first=was_silent))
        finally:
            line.close()

    def _settle(self, line: Transport) -> tuple[int, bool]:
        """Drop what comes until the line is silent; return the bytes dropped and whether it was."""
        dropped_bytes = 0
        began_s = silent_since_s = now_s = self._clock.monotonic_s()
        while not self._stopping.is_set():
            left_s = silent_since_s + self._settings.settle_s - now_s
            if left_s <= 0:
                return dropped_bytes, True
            if now_s - began_s >= self._settings.settle_limit_s:
                break
            data = line.read(min(left_s, _POLL_S))
            now_s = self._clock.monotonic_s()
            if data:
                dropped_bytes += len(data)
                silent_since_s = now_s
        return dropped_bytes, False

    def _read_frames(self, line: Transport, framer: LineFramer) -> None:
        last_byte_s = self._clock.monotonic_s()
        try:
            while not self._stopping.is_set():
                data = line.read(_POLL_S)
                now_s = self._clock.monotonic_s()
                if data:
                    last_byte_s = now_s
                    self._take(framer.feed(data))
                elif now_s - last_byte_s >= self._settings.gap_s:
                    # Left waiting, it would become the beginning of the next frame: "1" and then
                    # "24.350" are not 124.350.
                    self._take(framer.flush())
        except (DeviceError, EndOfSource):
            # The half frame that a pulled plug leaves is told as a refusal, not forgotten.
            self._take(framer.flush())
            raise

    def _take(self, frames: Sequence[Frame]) -> None:
        for frame in frames:
            self._n_arrivals += 1
            self._on_arrival(
                Arrival(
                    content=read_frame(frame, self._format_name),
                    number=self._n_arrivals,
                    utc=self._clock.utc(),
                    monotonic_s=self._clock.monotonic_s(),
                )
            )

    def _state(
        self,
        kind: LineKind,
        sentence: str,
        *,
        error: DeviceError | None = None,
        dropped_bytes: int = 0,
    ) -> LineState:
        return LineState(kind, sentence, self.source, error, dropped_bytes)

    def _tell(self, state: LineState) -> None:
        """Pass a state on unless it says what was said last: one word a change, not one a try."""
        told = self._told
        if told is not None and (told.kind, told.sentence) == (state.kind, state.sentence):
            return
        self._told = state
        self._on_line(state)


def _about_dropped(dropped_bytes: int) -> str:
    if not dropped_bytes:
        return ""
    return f" {dropped_bytes} bytes sent earlier were dropped; press again what they held."

"""Read one gauge for as long as asked, over every loss of its line.

One thread owns the line from opening to closing; others only set a flag. It hands over finished
values, knows nothing of windows, and lets no exception out.
"""

import logging
import threading
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Final, Literal

from seatproof.devices.arrival import Arrival, DoubtFinder
from seatproof.devices.asking import Asking
from seatproof.devices.clock import Clock, SystemClock
from seatproof.devices.declared.format import GaugeFormat
from seatproof.devices.declared.known import find_format
from seatproof.devices.declared.pressing import Pressing
from seatproof.devices.discovery import lasting_source_of
from seatproof.devices.errors import DeviceError, EndOfSource
from seatproof.devices.formats import FrameFormat
from seatproof.devices.line_state import LineKind, LineState, Symptom
from seatproof.devices.listening import Listener
from seatproof.devices.picking import Picker, Take
from seatproof.devices.transport import LineSettings, Transport, open_transport
from seatproof.devices.watch import SILENCE_S
from seatproof.devices.wire_log import WireLog

__all__ = ["RETRY_AFTER_S", "Arrival", "GaugeReader", "LineKind", "LineState"]

_logger = logging.getLogger(__name__)

# Waiting between attempts to open, in seconds; the last one repeats. Short at first, because a
# port that was just closed or plugged in is often free a moment later.
RETRY_AFTER_S: Final = (0.2, 0.5, 1.0, 2.0)

# A line that was open for so long has been got back; one that was not may be flapping.
_HELD_S: Final = 2.0


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
        How to read a frame; see `seatproof.devices.declared.known.find_format`.
    clock : Clock
        Where the times of arrivals and of silences come from.
    retry_after_s : sequence of float
        Seconds between attempts to open; the last repeats.
    open_line : callable
        Opens the line; raises `DeviceError`.
    frame_format : FrameFormat or None
        The format itself, where it is not to be found by `format_name`.
    picker : Picker or None
        Which arrivals count as presses; unless given, as the format says, and all where it does
        not say.
    on_sample : callable or None
        Called with every arrival of a stream that is no press.
    asking : Asking or None
        Requests to a gauge that answers only when asked; None for one that is not asked. Unless
        given, the format's request, if it has one.
    doubts : DoubtFinder or None
        What makes an arrival suspicious; unless given, with the windows that the format says.
    silence_s : float
        How long nothing must come before that is told.
    wire_log : WireLog or None
        Where every byte goes; one of its own unless stated.

    Raises
    ------
    FormatError
        There is no such format, or it cannot be used.
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
        frame_format: FrameFormat | None = None,
        picker: Picker | None = None,
        on_sample: Callable[[Arrival], None] | None = None,
        asking: Asking | Literal["as declared"] | None = "as declared",
        doubts: DoubtFinder | None = None,
        silence_s: float = SILENCE_S,
        wire_log: WireLog | None = None,
    ) -> None:
        if not retry_after_s:
            raise ValueError("at least one time to wait between attempts is needed")
        self.source: Final = source
        self.wire_log: Final = WireLog() if wire_log is None else wire_log
        form = find_format(format_name) if frame_format is None else frame_format
        declared = form if isinstance(form, GaugeFormat) else None
        pressing = Pressing() if declared is None else declared.pressing
        self._settings = settings
        self._format_name = form.name
        self._clock = SystemClock() if clock is None else clock
        self._on_line = on_line
        self._picker = pressing.picker() if picker is None else picker
        self._asking = _declared_asking(declared) if asking == "as declared" else asking
        self._listener = Listener(
            source,
            settings,
            frame_format=form,
            clock=self._clock,
            picker=self._picker,
            asking=self._asking,
            doubts=pressing.doubt_finder() if doubts is None else doubts,
            silence_s=silence_s,
            wire_log=self.wire_log,
            on_arrival=on_arrival,
            on_sample=on_sample or _ignore,
            on_symptom=self._tell_symptom,
        )
        self._retry_after_s = tuple(retry_after_s)
        self._open_line = open_line
        self._stopping = threading.Event()
        # A daemon, so that a driver that never returns cannot keep the program from ending.
        self._thread = threading.Thread(target=self._run, name=f"gauge {source}", daemon=True)
        self._n_attempts = 0
        self._told: LineState | None = None
        self._known_as = source

    @property
    def wants_key(self) -> bool:
        """Whether the gauge does not send at its own button, so that somebody has to `take`."""
        return self._asking is not None or self._picker.needs_press

    @property
    def how_taken(self) -> Take:
        """Which of the values that come are presses."""
        return self._picker.take

    @property
    def window_s(self) -> float | None:
        """How long the window lasts that `take` opens; None where it opens none."""
        return self._picker.window_s

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

    def take(self) -> None:
        """Take a value in the gauge's own way: ask it, or choose one of its stream.

        Harmless for a gauge that sends at its button. May be called from any thread, like `ask`
        and `press`, of which it is both.
        """
        self.ask()
        self.press()

    def ask(self) -> None:
        """Send the gauge's request, as soon as it may be; only for gauges that are asked."""
        if self._asking is not None:
            self._asking.ask()

    def press(self) -> None:
        """Take a value of a stream: the newest, or the one of the window that opens now."""
        self._picker.press()

    def save_wire_log(self, path: Path) -> None:
        """Write every byte of the line that is still remembered, with its time, for support.

        At any time, from any thread. ``file:PATH`` and ``replay:PATH`` read it again.

        Raises
        ------
        SourceError
            The file cannot be written.
        """
        self.wire_log.save(
            path,
            source=self.source,
            settings=str(self._settings),
            format_name=self._format_name,
            saved_utc=self._clock.utc(),
        )

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
                is_lost = is_lost or self._is_connected()
                # What worked once with these settings may work again, whatever the system says.
                if not error.may_pass and not is_lost:
                    return self._state(LineKind.FAILED, str(error), error=error)
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
        line = self._open_line(self._known_as, self._settings)
        try:
            self._remember_adapter(line)
            dropped_bytes, was_silent = 0, True
            if line.is_live:
                dropped_bytes, was_silent = self._listener.settle(line, self._stopping)
            if self._stopping.is_set():
                return
            sentence = f"Connected: {line.description}." + _about_dropped(dropped_bytes)
            self._tell(
                self._state(LineKind.CONNECTED, sentence, dropped_bytes=dropped_bytes),
            )
            began_s = self._clock.monotonic_s()
            try:
                self._listener.listen(line, trust_first=was_silent, stopping=self._stopping)
            finally:
                # A line that comes and goes at once is tried ever less often.
                if self._clock.monotonic_s() - began_s >= _HELD_S:
                    self._n_attempts = 0
        finally:
            line.close()

    def _remember_adapter(self, line: Transport) -> None:
        """From now on look for the adapter that this port is, not for the port's name.

        A system numbers its ports as they come: after a loss another gauge may have the name.
        """
        if self._known_as == self.source and line.port_name is not None:
            self._known_as = lasting_source_of(line.port_name) or self.source

    def _tell_symptom(self, symptom: Symptom | None, sentence: str) -> None:
        self._tell(LineState(LineKind.CONNECTED, sentence, self.source, symptom=symptom))

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


def _declared_asking(declared: GaugeFormat | None) -> Asking | None:
    if declared is None or declared.request is None:
        return None
    return Asking(declared.request)


def _ignore(arrival: Arrival) -> None:
    """Leave a sample that nobody asked to see to the wire log, which has its bytes."""
    del arrival

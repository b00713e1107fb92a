"""Listen to one open line: cut frames, read them, mark them, and say what seems wrong with it.

All of it happens in the thread that owns the line; see `seatproof.devices.gauge`.
"""

import math
import threading
from collections.abc import Callable, Collection, Sequence
from typing import Final

from seatproof.devices.arrival import Arrival, Doubt, DoubtFinder
from seatproof.devices.asking import Answer, Asking
from seatproof.devices.clock import Clock
from seatproof.devices.errors import DeviceError, EndOfSource
from seatproof.devices.formats import FrameFormat, Reading
from seatproof.devices.framing import Frame
from seatproof.devices.holders import who_else_holds
from seatproof.devices.line_state import Symptom
from seatproof.devices.picking import Picked, Picker
from seatproof.devices.transport import LineSettings, Transport
from seatproof.devices.watch import LineWatch
from seatproof.devices.wire_log import WireLog

# Longest wait for bytes before the thread looks whether it shall stop.
_POLL_S: Final = 0.1

# Looking through the system's processes takes milliseconds; more often would help nobody.
_SHARING_CHECK_S: Final = 5.0

_SHARED: Final = (
    "{holder} reads {source} as well, so frames get lost between the two: close that program."
)
_NO_ANSWER: Final = (
    "{source} did not answer the request in time: is the gauge on, and does it answer to this "
    "request at this speed?"
)


_WELL_AGAIN: Final = "Values come from {source}."

# What is over as soon as the gauge sends a value. That nothing was taken is over when something is.
_OVER_AT_A_VALUE: Final = frozenset({Symptom.SILENCE, Symptom.FLOOD, Symptom.NO_ANSWER})


class Listener:
    """Turns the bytes of a gauge's line into arrivals; counts them over all losses of the line.

    Parameters
    ----------
    source, settings
        Of the line, for its sentences and times.
    on_arrival, on_sample : callable
        Called with presses, and with what a stream sends beside them.
    on_symptom : callable
        Called with a symptom, if it is one, and its sentence.

    The others are those of `seatproof.devices.gauge.GaugeReader`.
    """

    def __init__(
        self,
        source: str,
        settings: LineSettings,
        *,
        frame_format: FrameFormat,
        clock: Clock,
        picker: Picker,
        asking: Asking | None,
        doubts: DoubtFinder,
        silence_s: float,
        wire_log: WireLog,
        on_arrival: Callable[[Arrival], None],
        on_sample: Callable[[Arrival], None],
        on_symptom: Callable[[Symptom | None, str], None],
    ) -> None:
        self._source = source
        self._settings = settings
        self._format = frame_format
        self._clock = clock
        self._picker = picker
        self._asking = asking
        self._doubts = doubts
        self._silence_s = silence_s
        self._wire_log = wire_log
        self._on_arrival = on_arrival
        self._on_sample = on_sample
        self._on_symptom = on_symptom
        self._n_arrivals = 0
        self._shared_checked_s: float | None = None
        self._symptom: Symptom | None = None
        self._ends_by_silence = False

    def settle(self, line: Transport, stopping: threading.Event) -> tuple[int, bool]:
        """Drop what comes until the line is silent; return the bytes dropped and whether it was."""
        dropped_bytes = 0
        began_s = silent_since_s = now_s = self._clock.monotonic_s()
        ready_s = began_s + self._settings.warm_up_s
        while not stopping.is_set():
            left_s = max(silent_since_s + self._settings.settle_s, ready_s) - now_s
            if left_s <= 0:
                return dropped_bytes, True
            if now_s - ready_s >= self._settings.settle_limit_s:
                break
            data = line.read(min(left_s, _POLL_S))
            now_s = self._clock.monotonic_s()
            if data:
                self._wire_log.add(now_s, "in", data)
                dropped_bytes += len(data)
                silent_since_s = now_s
        return dropped_bytes, False

    def listen(self, line: Transport, *, trust_first: bool, stopping: threading.Event) -> None:
        """Read an open line until its loss, its end or the wish to stop.

        Raises
        ------
        DeviceError
            The line is lost.
        EndOfSource
            A capture is at its end.
        """
        self._symptom = None
        if self._asking is not None:
            self._asking.begin()
        framer = self._format.framer(trust_first=trust_first)
        self._ends_by_silence = framer.gap_s is not None
        gap_s = self._settings.gap_s if framer.gap_s is None else framer.gap_s
        poll_s = min(_POLL_S, gap_s / 2)
        now_s = last_byte_s = self._now_s(line)
        watch = self._watch(now_s)
        self._look_for_sharing(line, now_s)
        try:
            while not stopping.is_set():
                self._send_due(line, now_s)
                data = line.read(poll_s)
                now_s = self._now_s(line)
                frames: list[Frame] = []
                if not data and now_s - last_byte_s >= gap_s:
                    # Left waiting, it would become the beginning of the next frame: "1" and then
                    # "24.350" are not 124.350.
                    frames = framer.silence()
                elif data:
                    last_byte_s = now_s
                    self._wire_log.add(now_s, "in", data)
                    frames = framer.feed(data)
                has_reading = self._take(frames, line, now_s)
                if has_reading:
                    self._tell_recovery(_OVER_AT_A_VALUE)
                self._hand_on(self._picker.step(now_s))
                watch.take(len(data), has_reading=has_reading, now_s=now_s)
                self._tell_symptom(watch.symptom(now_s) if line.is_live else None)
                if frames and not has_reading:
                    self._look_for_sharing(line, now_s)
        except EndOfSource:
            self._take(framer.silence(), line, self._now_s(line))  # a file's end is silence
            self._hand_on(self._picker.step(math.inf))
            raise
        except DeviceError:
            # The half frame that a pulled plug leaves is told as a refusal, not forgotten.
            self._take(framer.flush(), line, self._now_s(line))
            raise

    def _now_s(self, line: Transport) -> float:
        return self._clock.monotonic_s() + line.skipped_s

    def _send_due(self, line: Transport, now_s: float) -> None:
        if self._asking is None:
            return
        if self._asking.missed(now_s):
            self._tell_symptom((Symptom.NO_ANSWER, _NO_ANSWER.format(source=self._source)))
        request = self._asking.due(now_s)
        if request is not None:
            line.write(request)
            self._wire_log.add(now_s, "out", request)

    def _take(self, frames: Sequence[Frame], line: Transport, now_s: float) -> bool:
        """Hand over what frames say; return whether one of them is a reading."""
        has_reading = False
        for frame in frames:
            self._n_arrivals += 1
            content = self._format.read(frame)
            has_reading = has_reading or isinstance(content, Reading)
            doubts = self._doubts.doubts_about(
                content,
                now_s if line.keeps_time else None,
                is_press=self._picker.takes_each,
                may_be_torn=not frame.whole or self._ends_by_silence,
            )
            if self._is_unasked(now_s) and isinstance(content, Reading):
                doubts = (*doubts, Doubt.UNASKED)
            arrival = Arrival(content, self._n_arrivals, self._clock.utc(), now_s, doubts)
            picked = self._picker.feed(arrival)
            if arrival not in picked.presses:
                self._on_sample(arrival)
            self._hand_on(picked)
        return has_reading

    def _is_unasked(self, now_s: float) -> bool:
        """Take note of an answer; tell whether it is one that nobody asked for."""
        if self._asking is None:
            return False
        answer = self._asking.answer(now_s)
        return self._asking.is_only_answers and answer is Answer.UNASKED

    def _hand_on(self, picked: Picked) -> None:
        for press in picked.presses:
            self._on_arrival(press)
        if picked.presses:
            self._tell_recovery((Symptom.NOTHING_TAKEN,))
        if picked.sentence:
            self._tell_symptom((Symptom.NOTHING_TAKEN, picked.sentence))

    def _watch(self, now_s: float) -> LineWatch:
        settings = self._settings
        return LineWatch(
            self._source,
            str(settings),
            dtr=settings.dtr,
            rts=settings.rts,
            now_s=now_s,
            silence_s=self._silence_s,
        )

    def _look_for_sharing(self, line: Transport, now_s: float) -> None:
        """Look whether another program reads the same port: it would get some of the frames."""
        checked_s = self._shared_checked_s
        if not line.is_live or (checked_s is not None and now_s - checked_s < _SHARING_CHECK_S):
            return
        self._shared_checked_s = now_s
        holder = who_else_holds(line.port_name) if line.port_name else None
        if holder is not None:
            sentence = _SHARED.format(holder=holder, source=self._source)
            self._tell_symptom((Symptom.SHARED, sentence))

    def _tell_symptom(self, found: tuple[Symptom, str] | None) -> None:
        if found is not None:
            self._symptom = found[0]
            self._on_symptom(*found)

    def _tell_recovery(self, over: Collection[Symptom]) -> None:
        """Say that values come again, where one of these stood in their way."""
        if self._symptom is not None and self._symptom in over:
            self._symptom = None
            self._on_symptom(None, _WELL_AGAIN.format(source=self._source))

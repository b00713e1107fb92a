import errno
import logging
import sys
import threading
from collections.abc import Callable, Iterable
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from seatproof.devices.clock import SystemClock
from seatproof.devices.errors import (
    DeviceError,
    EndOfSource,
    FormatError,
    PortBusyError,
    PortLostError,
    PortMissingError,
    SourceError,
)
from seatproof.devices.formats import Reading, Refusal
from seatproof.devices.gauge import Arrival, GaugeReader, LineKind, LineState
from seatproof.devices.simulated.line import SimulatedLine
from seatproof.devices.transport import LineSettings

posix_only = pytest.mark.skipif(sys.platform == "win32", reason="needs a pseudo-terminal")

SETTLED = LineSettings(settle_s=0.0)
SILENCE = None
START = datetime(2031, 5, 6, 7, 8, 9, tzinfo=UTC)

Start = Callable[[GaugeReader], GaugeReader]


class FakeClock:
    def __init__(self) -> None:
        self.now_s = 1000.0

    def utc(self) -> datetime:
        return START + timedelta(seconds=self.now_s - 1000.0)

    def monotonic_s(self) -> float:
        return self.now_s


class FakeLine:
    """Plays a script: bytes, silence of a given length, or an exception; then it ends."""

    description = "scripted line"
    keeps_time = True
    port_name = None
    skipped_s = 0.0

    def __init__(
        self, clock: FakeClock, script: Iterable[bytes | float | Exception], is_live: bool = True
    ) -> None:
        self.clock = clock
        self.script = list(script)
        self.is_live = is_live
        self.closings = 0

    def read(self, timeout_s: float) -> bytes:
        if not self.script:
            raise EndOfSource("script")
        step = self.script[0]
        if isinstance(step, float):
            passed_s = min(step, timeout_s)
            self.clock.now_s += passed_s
            left_s = step - passed_s
            if left_s > 1e-9:
                self.script[0] = left_s
            else:
                self.script.pop(0)
            return b""
        self.script.pop(0)
        if isinstance(step, Exception):
            raise step
        return step

    def write(self, data: bytes) -> None:
        raise AssertionError(data)

    def close(self) -> None:
        self.closings += 1


def play(
    journal: Any,
    started: Start,
    *scripts: Iterable[bytes | float | Exception] | Exception,
    settings: LineSettings = SETTLED,
    is_live: bool = True,
) -> list[FakeLine]:
    """Run a reader over one scripted line after another, to the end of the last."""
    clock = FakeClock()
    lines: list[FakeLine] = []
    waiting = iter(scripts)

    def open_line(source: str, settings: LineSettings) -> FakeLine:
        script = next(waiting)
        if isinstance(script, Exception):
            raise script
        lines.append(FakeLine(clock, script, is_live))
        return lines[-1]

    reader = GaugeReader(
        "COM10",
        settings,
        on_arrival=journal.on_arrival,
        on_line=journal.on_line,
        clock=clock,
        retry_after_s=(0.0,),
        open_line=open_line,
    )
    started(reader)
    journal.wait_for(
        lambda journal: any(k in (LineKind.ENDED, LineKind.FAILED) for k in journal.kinds)
    )
    assert reader.stop(1.0)
    assert all(line.closings == 1 for line in lines)
    return lines


def reader_on(journal: Any, source: str, settings: LineSettings | None = None) -> GaugeReader:
    return GaugeReader(
        source,
        settings or LineSettings(settle_s=0.05),
        on_arrival=journal.on_arrival,
        on_line=journal.on_line,
        retry_after_s=(0.01,),
    )


# --- arrivals ------------------------------------------------------------------------------------


def test_arrivals_are_numbered_and_carry_the_time_of_the_clock(
    journal: Any, started: Start
) -> None:
    play(journal, started, [b"1.5\r", 0.5, b"911\r2.5\r"])
    assert [arrival.number for arrival in journal.arrivals] == [1, 2, 3]
    assert journal.values == ["1.5", None, "2.5"]
    first, second, third = journal.arrivals
    assert first.utc == START
    assert second.utc == third.utc == START + timedelta(seconds=0.5)
    assert second.monotonic_s - first.monotonic_s == pytest.approx(0.5, abs=1e-9)  # s


def test_numbers_go_on_over_a_loss(journal: Any, started: Start) -> None:
    lost = PortLostError("COM10")
    play(journal, started, [b"1.5\r", lost], [b"2.5\r"])
    assert [(a.number, a.content.text) for a in journal.arrivals] == [(1, "1.5"), (2, "2.5")]


def test_burst_of_a_thousand_frames_arrives_whole(journal: Any, started: Start) -> None:
    frames = [f"01A+00{n:03d}.{n:03d}\r".encode("ascii") for n in range(1000)]
    stream = b"".join(frames)
    play(journal, started, [stream[at : at + 17] for at in range(0, len(stream), 17)])
    assert [a.content.raw for a in journal.arrivals] == frames
    assert [a.number for a in journal.arrivals] == list(range(1, 1001))


def test_bytes_that_are_nonsense_are_refused_and_reading_goes_on(
    journal: Any, started: Start
) -> None:
    play(journal, started, [b"--1.80\r", b"", b"\xff\x00\r\n", b"x" * 600 + b"\r", b"2.5\r"])
    assert journal.values == [None, None, None, None, None, "2.5"]


def test_frame_that_broke_off_is_not_joined_to_the_next(journal: Any, started: Start) -> None:
    play(journal, started, [b"1", 1.2, b"24.350\r", 0.5, b"24.351\r"])
    assert journal.values == [None, None, "24.351"]
    assert "broke off" in journal.reasons[0]
    assert "may be the rest of it" in journal.reasons[1]


def test_bytes_that_trickle_are_one_frame(journal: Any, started: Start) -> None:
    trickle = [step for byte in b"24.350\r" for step in (bytes([byte]), 0.9)]
    play(journal, started, trickle)
    assert journal.values == ["24.350"]


# --- settling ------------------------------------------------------------------------------------


def test_what_was_sent_before_opening_is_dropped_and_counted(journal: Any, started: Start) -> None:
    play(
        journal,
        started,
        [b"01A+00024.35\r", 0.2, b"01A+00024.36\r", 0.3, b"01A+00024.37\r"],
        settings=LineSettings(settle_s=0.3),
    )
    assert journal.values == ["24.37"]
    connected = journal.states[1]
    assert connected.kind is LineKind.CONNECTED
    assert connected.dropped_bytes == 26
    assert "26 bytes sent earlier were dropped" in connected.sentence


def test_silence_at_opening_drops_nothing_and_says_nothing(journal: Any, started: Start) -> None:
    play(journal, started, [0.3, b"1.5\r"], settings=LineSettings(settle_s=0.3))
    assert journal.values == ["1.5"]
    assert journal.states[1].dropped_bytes == 0
    assert "dropped" not in journal.states[1].sentence


def test_settling_happens_again_after_a_loss(journal: Any, started: Start) -> None:
    play(
        journal,
        started,
        [0.3, b"1.5\r", PortLostError("COM10")],
        [b"7.7\r", 0.3, b"2.5\r"],
        settings=LineSettings(settle_s=0.3),
    )
    assert journal.values == ["1.5", "2.5"]
    assert [s.dropped_bytes for s in journal.states if s.kind is LineKind.CONNECTED] == [0, 4]


def test_stream_without_a_pause_is_read_from_its_second_frame(journal: Any, started: Start) -> None:
    # Ten readings a second never leave 0.3 s of silence; each is cut in the middle of its frame.
    streaming = [step for n in range(30) for step in (f"35\r+{n:02d}.".encode("ascii"), 0.1)]
    play(journal, started, streaming, settings=LineSettings(settle_s=0.3, settle_limit_s=2.0))
    assert journal.states[1].kind is LineKind.CONNECTED
    assert journal.values[0] is None
    assert "beginning may be missing" in journal.reasons[0]
    assert journal.values[1:4] == ["20.35", "21.35", "22.35"]
    assert journal.states[1].dropped_bytes == len(b"35\r+00.") * 20


# --- the states of a line ------------------------------------------------------------------------


def test_states_of_a_loss_and_return_are_told_once_each(journal: Any, started: Start) -> None:
    missing = PortMissingError("COM10")
    play(
        journal,
        started,
        missing,
        missing,
        missing,
        [b"1.5\r", PortLostError("COM10")],
        missing,
        missing,
        [b"2.5\r"],
    )
    assert journal.kinds == [
        LineKind.CONNECTING,  # opening
        LineKind.CONNECTING,  # not there
        LineKind.CONNECTED,
        LineKind.LOST,  # gone
        LineKind.LOST,  # not there
        LineKind.CONNECTED,
        LineKind.ENDED,
    ]
    assert journal.states[1].error is missing
    assert "plug the gauge in" in journal.states[1].sentence
    assert all(state.source == "COM10" for state in journal.states)


def test_half_frame_of_a_pulled_plug_is_told_as_a_refusal(journal: Any, started: Start) -> None:
    play(journal, started, [b"01A+0001", PortLostError("COM10")], [b"2.34\r"])
    refused, read = journal.arrivals
    assert isinstance(refused.content, Refusal)
    assert refused.content.raw == b"01A+0001"
    assert read.content.text == "2.34"


def test_source_that_cannot_work_fails_without_trying_again(journal: Any, started: Start) -> None:
    lines = play(journal, started, SourceError("COM10", "it is no serial port."), [b"1.5\r"])
    assert lines == []
    assert journal.kinds == [LineKind.CONNECTING, LineKind.FAILED]
    assert "no serial port" in journal.states[-1].sentence
    assert isinstance(journal.states[-1].error, SourceError)


def test_attempts_become_rarer_and_begin_anew_after_a_connection(
    journal: Any, started: Start, monkeypatch: pytest.MonkeyPatch
) -> None:
    waits: list[float] = []
    clock = FakeClock()
    busy = PortBusyError("COM10")
    lost = PortLostError("COM10")
    # Held for 3 s the line was got back; the second time it was gone at once.
    outcomes: list[Any] = [busy, busy, busy, busy, [3.0, lost], busy, [lost], busy, []]

    def open_line(source: str, settings: LineSettings) -> FakeLine:
        outcome = outcomes.pop(0)
        if isinstance(outcome, DeviceError):
            raise outcome
        return FakeLine(clock, outcome)

    reader = GaugeReader(
        "COM10",
        SETTLED,
        on_arrival=journal.on_arrival,
        on_line=journal.on_line,
        clock=clock,
        retry_after_s=(0.2, 0.5, 1.0),
        open_line=open_line,
    )
    monkeypatch.setattr(reader._stopping, "wait", waits.append)
    started(reader)
    journal.wait_for_kind(LineKind.ENDED)
    assert waits == [0.2, 0.5, 1.0, 1.0, 0.2, 0.5, 1.0, 1.0]


@pytest.mark.parametrize("where", ["open", "read", "arrival"])
def test_fault_in_the_program_ends_in_a_sentence_and_a_traceback(
    where: str, journal: Any, started: Start, caplog: pytest.LogCaptureFixture
) -> None:
    fault = ZeroDivisionError("ours")
    lines: list[FakeLine] = []

    def open_line(source: str, settings: LineSettings) -> FakeLine:
        if where == "open":
            raise fault
        lines.append(FakeLine(FakeClock(), [fault if where == "read" else b"1.5\r"]))
        return lines[-1]

    def on_arrival(arrival: Arrival) -> None:
        raise fault

    reader = GaugeReader(
        "COM10", SETTLED, on_arrival=on_arrival, on_line=journal.on_line, open_line=open_line
    )
    with caplog.at_level(logging.ERROR):
        started(reader)
        journal.wait_for_kind(LineKind.FAILED)
        assert reader.stop(1.0)
    assert journal.kinds[-1] is LineKind.FAILED
    assert "a fault in this program" in journal.states[-1].sentence
    (record,) = [r for r in caplog.records if r.exc_info]
    assert record.exc_info is not None
    assert record.exc_info[1] is fault
    assert all(line.closings == 1 for line in lines)


def test_fault_in_the_listener_to_states_does_not_leave_the_thread(
    started: Start, caplog: pytest.LogCaptureFixture
) -> None:
    def on_line(state: LineState) -> None:
        raise ZeroDivisionError(state.kind)

    reader = GaugeReader("COM10", SETTLED, on_arrival=lambda _: None, on_line=on_line)
    started(reader)
    assert reader.stop(1.0)
    told = [str(r.exc_info[1]) for r in caplog.records if r.exc_info]
    assert told == ["connecting", "failed"]


# --- starting and stopping -----------------------------------------------------------------------


def test_stop_before_start_is_nothing(journal: Any) -> None:
    assert reader_on(journal, "COM10").stop(0.0)


def test_stop_from_a_callback_ends_the_thread_afterwards(journal: Any, started: Start) -> None:
    answers: list[bool] = []

    def on_arrival(arrival: Arrival) -> None:
        answers.append(reader.stop(1.0))

    line = FakeLine(FakeClock(), [b"1.5\r", b"2.5\r", b"3.5\r"])
    reader = GaugeReader(
        "COM10",
        SETTLED,
        on_arrival=on_arrival,
        on_line=journal.on_line,
        open_line=lambda _source, _settings: line,
    )
    started(reader)
    journal.wait_for_kind(LineKind.CLOSED)
    assert answers == [False]
    assert reader.stop(1.0)
    assert line.closings == 1


def test_stop_says_when_the_system_holds_the_thread_up(journal: Any) -> None:
    release, opening = threading.Event(), threading.Event()

    def open_line(source: str, settings: LineSettings) -> FakeLine:
        opening.set()
        assert release.wait(5.0)
        return FakeLine(FakeClock(), [b"1.5\r"])

    reader = GaugeReader(
        "COM10",
        SETTLED,
        on_arrival=journal.on_arrival,
        on_line=journal.on_line,
        open_line=open_line,
    )
    reader.start()
    assert opening.wait(5.0)
    assert not reader.stop(0.01)
    release.set()
    assert reader.stop(5.0)
    assert journal.kinds[-1] is LineKind.CLOSED
    assert journal.arrivals == []


def test_unknown_format_is_told_and_no_waits_are_a_mistake_of_ours(journal: Any) -> None:
    callbacks: dict[str, Any] = {"on_arrival": journal.on_arrival, "on_line": journal.on_line}
    with pytest.raises(FormatError, match="no format is called so"):
        GaugeReader("COM10", SETTLED, format_name="guess", **callbacks)
    with pytest.raises(ValueError, match="between attempts"):
        GaugeReader("COM10", SETTLED, retry_after_s=(), **callbacks)


def test_system_clock_is_in_utc() -> None:
    clock = SystemClock()
    before = clock.monotonic_s()
    assert clock.utc().utcoffset() == timedelta(0)
    assert clock.monotonic_s() >= before


# --- capture files -------------------------------------------------------------------------------


def test_capture_file_is_read_at_once_and_ends(
    journal: Any, started: Start, tmp_path: Path
) -> None:
    path = tmp_path / "capture.bin"
    path.write_bytes(b"01A+00024.35\r01A+00024.36\r\n911\r01A+0001")
    started(reader_on(journal, f"file:{path}", LineSettings(settle_s=60)))
    journal.wait_for_kind(LineKind.ENDED)
    assert journal.kinds == [LineKind.CONNECTING, LineKind.CONNECTED, LineKind.ENDED]
    assert journal.values == ["24.35", "24.36", None, None]
    assert journal.arrivals[-1].content.raw == b"01A+0001"


def test_capture_file_that_is_missing_fails(journal: Any, started: Start, tmp_path: Path) -> None:
    started(reader_on(journal, f"file:{tmp_path / 'none'}"))
    journal.wait_for_kind(LineKind.FAILED)
    assert "No such file" in journal.states[-1].sentence


# --- end to end ----------------------------------------------------------------------------------


@pytest.fixture(
    params=[pytest.param(False, id="pty", marks=posix_only), pytest.param(True, id="tcp")]
)
def line(request: pytest.FixtureRequest, tmp_path: Path) -> Any:
    # By a link, that is gone with its line: the system gives the terminal's name to the next who
    # asks, and a reader that is stopped later would open it.
    link = None if request.param else tmp_path / "port"
    with SimulatedLine(tcp=request.param, link=link) as line:
        yield line


def test_presses_reach_the_reader_over_a_real_line(
    line: SimulatedLine, journal: Any, started: Start
) -> None:
    started(reader_on(journal, line.source))
    journal.wait_for_kind(LineKind.CONNECTED)
    for press in (b"01A+00110.012\r", b"-", b"1.23\r\n", b"+5.6", b"7 mm\r"):
        line.send(press)
    journal.wait_for_arrivals(3)
    assert journal.values == ["110.012", "-1.23", "5.67"]
    assert isinstance(journal.arrivals[0].content, Reading)
    assert journal.arrivals[0].content.value == Decimal("110.012")
    assert journal.arrivals[0].content.channel == "01A"


def test_unplugging_is_told_and_replugging_mends_it(
    line: SimulatedLine, journal: Any, started: Start, tmp_path: Path
) -> None:
    source = line.source
    if not source.startswith("socket"):
        line.close()
        line = SimulatedLine(link=tmp_path / "gauge")
        source = line.source
    with line:
        started(reader_on(journal, source))
        for times in (1, 2, 3):
            journal.wait_for_kind(LineKind.CONNECTED, times)
            line.send(f"{times}.5\r".encode("ascii"))
            journal.wait_for_arrivals(times)
            line.unplug()
            journal.wait_for(lambda j: j.states[-1].kind is LineKind.LOST)
            line.replug()
            assert line.source == source
        journal.wait_for_kind(LineKind.CONNECTED, 4)
    assert journal.values == ["1.5", "2.5", "3.5"]


@posix_only
def test_press_while_unplugged_never_arrives(journal: Any, started: Start, tmp_path: Path) -> None:
    with SimulatedLine(link=tmp_path / "gauge") as line:
        started(reader_on(journal, line.source))
        journal.wait_for_kind(LineKind.CONNECTED)
        line.unplug()
        assert not line.send(b"6.6\r")
        journal.wait_for_kind(LineKind.LOST)
        line.replug()
        journal.wait_for_kind(LineKind.CONNECTED, 2)
        assert line.send(b"7.7\r")
        journal.wait_for_arrivals(1)
    assert journal.values == ["7.7"]


@posix_only
def test_plug_pulled_in_the_middle_of_a_frame(journal: Any, started: Start, tmp_path: Path) -> None:
    with SimulatedLine(link=tmp_path / "gauge") as line:
        started(reader_on(journal, line.source))
        journal.wait_for_kind(LineKind.CONNECTED)
        line.send(b"7.7\r01A+0001")
        journal.wait_for_arrivals(1)
        line.unplug()
        journal.wait_for_arrivals(2)
        line.replug()
        journal.wait_for_kind(LineKind.CONNECTED, 2)
        line.send(b"2.34\r")
        journal.wait_for_arrivals(3)
    assert journal.values == ["7.7", None, "2.34"]


@posix_only
def test_presses_from_before_the_opening_never_arrive(
    journal: Any, started: Start, tmp_path: Path
) -> None:
    with SimulatedLine(link=tmp_path / "port") as line:
        line.send(b"24.35\r24.36\r")
        started(reader_on(journal, line.source))
        journal.wait_for_kind(LineKind.CONNECTED)
        line.send(b"24.37\r")
        journal.wait_for_arrivals(1)
    assert journal.values == ["24.37"]


def test_late_delivery_of_an_adapter_is_dropped(journal: Any, started: Start) -> None:
    with SimulatedLine(tcp=True) as line:
        opened = threading.Event()

        def open_line(source: str, settings: LineSettings) -> Any:
            from seatproof.devices.transport import open_transport

            transport = open_transport(source, settings)
            line.send(b"24.35\r24.36\r")  # the port has flushed its buffers; this comes after
            opened.set()
            return transport

        reader = GaugeReader(
            line.source,
            LineSettings(settle_s=0.1),
            on_arrival=journal.on_arrival,
            on_line=journal.on_line,
            open_line=open_line,
        )
        started(reader)
        journal.wait_for_kind(LineKind.CONNECTED)
        line.send(b"24.37\r")
        journal.wait_for_arrivals(1)
    assert journal.values == ["24.37"]
    assert journal.states[1].dropped_bytes == 12


def test_stop_while_the_line_is_silent_takes_less_than_a_second(
    line: SimulatedLine, journal: Any
) -> None:
    reader = reader_on(journal, line.source)
    reader.start()
    journal.wait_for_kind(LineKind.CONNECTED)
    assert reader.stop(1.0)
    assert journal.kinds[-1] is LineKind.CLOSED


def test_stop_while_settling_and_while_waiting_to_try_again(journal: Any) -> None:
    with SimulatedLine(tcp=True) as line:
        settling = reader_on(journal, line.source, LineSettings(settle_s=60, settle_limit_s=60))
        settling.start()
        journal.wait_for_kind(LineKind.CONNECTING)
        assert settling.stop(1.0)
    waiting = GaugeReader(
        "/dev/no-such-port",
        SETTLED,
        on_arrival=journal.on_arrival,
        on_line=journal.on_line,
        retry_after_s=(60.0,),
    )
    waiting.start()
    journal.wait_for_kind(LineKind.CONNECTING, 3)
    assert waiting.stop(1.0)
    assert LineKind.CONNECTED not in journal.kinds
    assert journal.kinds[-1] is LineKind.CLOSED


def test_dead_port_is_lost_and_found_again_with_real_exceptions(
    journal: Any, started: Start
) -> None:
    play(
        journal,
        started,
        [b"1.5\r", PortLostError("COM10", f"OSError({errno.EIO})")],
        PortBusyError("COM10"),
        [b"2.5\r"],
    )
    assert journal.values == ["1.5", "2.5"]
    assert LineKind.LOST in journal.kinds

"""What the reader tells beside readings: doubts, symptoms, requests, streams and the wire log."""

import json
import os
import subprocess
import sys
from collections.abc import Callable, Iterable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from seatproof.devices.arrival import Arrival, Doubt, DoubtFinder
from seatproof.devices.asking import Asking
from seatproof.devices.declared.format import GaugeFormat
from seatproof.devices.declared.framing import Quiet
from seatproof.devices.declared.pressing import Pressing
from seatproof.devices.declared.request import Request
from seatproof.devices.declared.text import TextLayout
from seatproof.devices.errors import EndOfSource, PortLostError, SourceError
from seatproof.devices.gauge import GaugeReader
from seatproof.devices.line_state import LineKind, Symptom
from seatproof.devices.picking import Picker, Take
from seatproof.devices.simulated.line import SimulatedLine
from seatproof.devices.transport import LineSettings
from seatproof.devices.wire_log import WireEntry

Start = Callable[[GaugeReader], GaugeReader]
Step = bytes | float | Exception | Callable[[], None]


class Clock:
    def __init__(self) -> None:
        self.now_s = 1000.0

    def utc(self) -> datetime:
        return datetime(2031, 5, 6, tzinfo=UTC) + timedelta(seconds=self.now_s)

    def monotonic_s(self) -> float:
        return self.now_s


class Line:
    """Plays bytes, silences, exceptions and acts of a person; then it ends."""

    description = "scripted line"
    is_live = keeps_time = True
    port_name = None
    skipped_s = 0.0

    def __init__(self, clock: Clock, script: Iterable[Step]) -> None:
        self.clock, self.script = clock, list(script)
        self.sent: list[bytes] = []

    def read(self, timeout_s: float) -> bytes:
        while self.script and callable(self.script[0]):
            act = self.script.pop(0)
            act()  # type: ignore[operator]  # just seen to be callable
        if not self.script:
            raise EndOfSource("script")
        step = self.script[0]
        if isinstance(step, float):
            passed_s = min(step, timeout_s)
            self.clock.now_s += passed_s
            self.script[0] = step - passed_s
            if step - passed_s < 1e-9:
                self.script.pop(0)
            return b""
        self.script.pop(0)
        if isinstance(step, Exception):
            raise step
        assert isinstance(step, bytes)
        return step

    def write(self, data: bytes) -> None:
        self.sent.append(data)

    def close(self) -> None: ...


class Desk:
    """A reader on a scripted line."""

    def __init__(self, journal: Any, started: Start) -> None:
        self.journal, self.started = journal, started
        self.clock = Clock()
        self.samples: list[Arrival] = []
        self.line = Line(self.clock, [])
        self.reader: GaugeReader | None = None

    def play(self, *script: Step, settle_s: float = 0.0, **options: Any) -> GaugeReader:
        self.line.script = list(script)
        reader = self.reader = GaugeReader(
            "COM10",
            LineSettings(settle_s=settle_s),
            on_arrival=self.journal.on_arrival,
            on_line=self.journal.on_line,
            on_sample=self.samples.append,
            clock=self.clock,
            retry_after_s=(0.0,),
            open_line=lambda _source, _settings: self.line,
            **options,
        )
        self.started(reader)
        self.journal.wait_for_kind(LineKind.ENDED)
        return reader

    def press(self) -> None:
        assert self.reader is not None
        self.reader.press()

    def ask(self) -> None:
        assert self.reader is not None
        self.reader.ask()

    def take(self) -> None:
        assert self.reader is not None
        self.reader.take()

    def symptoms(self) -> list[Symptom]:
        return [state.symptom for state in self.journal.states if state.symptom is not None]


@pytest.fixture
def desk(journal: Any, started: Start) -> Desk:
    return Desk(journal, started)


def test_bounce_and_burst_are_marked_and_nothing_is_dropped(desk: Desk) -> None:
    desk.play(b"24.350\r", 0.004, b"24.350\r", 0.5, b"24.351\r24.352\r", 0.5, b"24.352\r")
    assert desk.journal.values == ["24.350", "24.350", "24.351", "24.352", "24.352"]
    assert [arrival.doubts for arrival in desk.journal.arrivals] == [
        (), (Doubt.REPEATED, Doubt.BURST), (), (Doubt.BURST,), (),
    ]  # fmt: skip


def test_silence_after_connecting_is_told_once_and_ends_nothing(desk: Desk) -> None:
    desk.play(30.0, b"1.5\r", 60.0, silence_s=20.0)
    assert desk.symptoms() == [Symptom.SILENCE]
    assert desk.journal.values == ["1.5"]
    assert desk.journal.states[-2].sentence == "Values come from COM10."
    assert desk.journal.states[-2].symptom is None
    assert {s.kind for s in desk.journal.states if s.symptom} == {LineKind.CONNECTED}


def test_flood_is_told_once_and_costs_nothing_but_itself(desk: Desk) -> None:
    flood: list[Step] = [b"\x9e\x86\x00" * 40, 0.1] * 40
    desk.play(*flood, b"\r24.350\r")
    assert desk.symptoms() == [Symptom.FLOOD]
    assert desk.journal.states[-2].symptom is None, "it is over when values come"
    assert desk.journal.values[-1] == "24.350"
    assert set(desk.journal.values[:-1]) == {None}


def test_request_is_sent_when_asked_and_its_answer_is_no_doubt(desk: Desk) -> None:
    request = Request(octets=b"1\r", interval_s=1.0, answer_s=2.0)
    desk.play(
        0.5, desk.ask, 0.1, b"1.5\r", 2.0, desk.ask, 5.0, b"2.5\r", 0.5, b"3.5\r",
        asking=Asking(request),
    )  # fmt: skip
    assert desk.line.sent == [b"1\r", b"1\r"]
    assert desk.journal.values == ["1.5", "2.5", "3.5"]
    assert [arrival.doubts for arrival in desk.journal.arrivals] == [
        (), (Doubt.UNASKED,), (Doubt.UNASKED,),
    ]  # fmt: skip
    assert desk.symptoms() == [Symptom.NO_ANSWER]
    log = desk.reader.wire_log.entries if desk.reader else ()
    assert [entry.data for entry in log if entry.direction == "out"] == [b"1\r", b"1\r"]


def test_timer_asks_at_its_interval(desk: Desk) -> None:
    desk.play(
        3.5, asking=Asking(Request(octets=b"\x02", interval_s=1.0, answer_s=0.5), every_s=1.0)
    )
    assert desk.line.sent == [b"\x02"] * 4


def test_largest_value_of_a_window_is_the_press_and_the_rest_are_samples(desk: Desk) -> None:
    stream: list[Step] = []
    for text in (b"24.1", b"24.5", b"24.9", b"24.7", b"24.2"):
        stream += [text + b"\r", 0.2]
    desk.play(
        b"99.9\r", 0.2, desk.press, 0.1, *stream, 3.0, b"98.9\r",
        picker=Picker(Take.MAXIMUM, window_s=2.0),
    )  # fmt: skip
    assert desk.journal.values == ["24.9"]
    assert len(desk.samples) == 7
    assert all(arrival.doubts == () for arrival in desk.samples), "a stream is no burst"


def test_window_that_a_capture_ends_within_still_gives_its_value(desk: Desk) -> None:
    desk.play(0.1, desk.press, 0.1, b"24.1\r", 0.1, b"24.3\r", picker=Picker(Take.MAXIMUM))
    assert desk.journal.values == ["24.3"]


def test_window_without_a_value_is_told_until_one_is_taken(desk: Desk) -> None:
    desk.play(
        0.2, desk.press, 3.0, b"1.5\r", 0.1, b"1.5\r", 0.1, desk.press, 0.1, b"1.5\r", 3.0,
        picker=Picker(Take.MAXIMUM, window_s=1.0),
    )  # fmt: skip
    connected = [s for s in desk.journal.states if s.kind is LineKind.CONNECTED]
    assert [state.symptom for state in connected] == [None, Symptom.NOTHING_TAKEN, None]
    assert "No value came" in connected[1].sentence
    assert desk.journal.values == ["1.5"]


def test_gauge_that_is_off_is_told_once_however_often_the_timer_asks(desk: Desk) -> None:
    request = Request(octets=b"1", interval_s=0.1, answer_s=0.5)
    desk.play(9.0, b"1.5\r", 9.0, asking=Asking(request, every_s=1.0))
    connected = [s for s in desk.journal.states if s.kind is LineKind.CONNECTED]
    assert [state.symptom for state in connected] == [
        None, Symptom.NO_ANSWER, None, Symptom.NO_ANSWER,
    ]  # fmt: skip


# --- as the format declares ----------------------------------------------------------------------


def declared(**fields: Any) -> GaugeFormat:
    return GaugeFormat(name="declared", layout=TextLayout(), **fields)


def test_gauge_is_asked_as_its_format_says_by_the_one_key_for_all_gauges(desk: Desk) -> None:
    form = declared(request=Request(octets=b"?", answer_s=1.0))
    reader = desk.play(
        0.5, b"0.5\r", 0.5, desk.take, 0.1, b"1.5\r", 0.5, desk.take, 3.0, frame_format=form
    )
    assert reader.wants_key
    assert (reader.how_taken, reader.window_s) == (Take.EACH, None)
    assert desk.line.sent == [b"?", b"?"]
    assert desk.journal.values == ["0.5", "1.5"]
    assert [a.doubts for a in desk.journal.arrivals] == [(Doubt.UNASKED,), ()]


def test_gauge_that_also_sends_at_its_button_is_not_doubted_for_it(desk: Desk) -> None:
    form = declared(request=Request(octets=b"?", also_unasked=True))
    desk.play(0.5, b"0.5\r", 0.5, frame_format=form)
    assert [a.doubts for a in desk.journal.arrivals] == [()]


def test_gauge_is_not_asked_where_that_is_chosen(desk: Desk) -> None:
    form = declared(request=Request(octets=b"?"))
    reader = desk.play(0.1, desk.take, 0.5, b"0.5\r", frame_format=form, asking=None)
    assert not reader.wants_key
    assert desk.line.sent == []
    assert [a.doubts for a in desk.journal.arrivals] == [()]


def test_stream_is_taken_as_its_format_says(desk: Desk) -> None:
    form = declared(pressing=Pressing(take=Take.MAXIMUM, window_s=1.0))
    reader = desk.play(
        b"9.5\r", 0.1, desk.take, 0.1, b"1.5\r", 0.2, b"2.5\r", 0.2, b"1.5\r", 2.0,
        frame_format=form,
    )  # fmt: skip
    assert reader.wants_key
    assert (reader.how_taken, reader.window_s) == (Take.MAXIMUM, 1.0)
    assert desk.journal.values == ["2.5"]


def test_thirty_presses_a_second_are_no_burst_where_the_format_says_so(desk: Desk) -> None:
    quick = Pressing(repeat_window_s=0.01, burst_window_s=0.01)
    script: list[Step] = [step for _ in range(30) for step in (b"24.350\r", 0.033)]
    desk.play(*script, frame_format=declared(pressing=quick))
    assert [a.doubts for a in desk.journal.arrivals] == [()] * 30
    usual = Desk(type(desk.journal)(), desk.started)
    usual.play(*script, frame_format=declared())
    assert [bool(a.doubts) for a in usual.journal.arrivals] == [False] + [True] * 29
    own = Desk(type(desk.journal)(), desk.started)
    own.play(*script, doubts=DoubtFinder(repeat_window_s=0.01, burst_window_s=0.01))
    assert [a.doubts for a in own.journal.arrivals] == [()] * 30


def test_wire_log_is_saved_with_one_call_and_says_what_it_is_of(desk: Desk, tmp_path: Path) -> None:
    reader = desk.play(b"1.5\r", 0.25, b"2.5\r")
    reader.save_wire_log(tmp_path / "wire")
    head, *entries = (tmp_path / "wire").read_text("utf-8").splitlines()
    assert json.loads(head) == {
        "seatproof wire log": 1, "source": "COM10", "settings": "9600 8N1", "format": "auto",
        "saved": "2031-05-06T00:16:40+00:00", "lost bytes": 0,
    }  # fmt: skip
    assert [json.loads(entry) for entry in entries] == [
        {"t": 0.0, "in": "31 2e 35 0d"}, {"t": 0.25, "in": "32 2e 35 0d"},
    ]  # fmt: skip
    assert [path.name for path in tmp_path.iterdir()] == ["wire"]
    with pytest.raises(SourceError, match="cannot be written"):
        reader.save_wire_log(tmp_path / "missing" / "wire")


def test_confirm_flag_of_a_stream_is_a_press(desk: Desk) -> None:
    packets = [bytes.fromhex(f"aa 56 34 12 {flags}") for flags in ("00", "04", "04", "00")]
    steps: list[Step] = [step for packet in packets for step in (packet, 0.1)]
    desk.play(*steps, format_name="five bytes packed digits", picker=Picker(Take.CONFIRMED))
    assert desk.journal.values == ["12.3456"]
    assert len(desk.samples) == 3


def test_quiet_gap_of_a_format_ends_its_frames(desk: Desk) -> None:
    desk.play(b"1.2", 0.02, b"3,", 0.2, b"-0.5,", format_name="value ended by comma")
    assert desk.journal.values == ["1.23", "-0.5"]


def test_value_that_was_held_up_within_is_doubted_where_silence_alone_ends_it(desk: Desk) -> None:
    quiet = GaugeFormat(name="quiet", framing=Quiet(), layout=TextLayout())
    script: list[Step] = [b"24.350", 1.0, b"1", 0.15, b"24.351", 1.0, b"24.352", 1.0]
    desk.play(*script, frame_format=quiet)
    assert desk.journal.values == ["24.350", None, "24.351", "24.352"]
    assert [a.doubts for a in desk.journal.arrivals] == [(), (), (Doubt.AFTER_DAMAGE,), ()]


def test_warm_up_drops_what_an_interface_says_before_it_is_ready(desk: Desk) -> None:
    reader = GaugeReader(
        "COM10",
        LineSettings(settle_s=0.3, warm_up_s=2.0),
        on_arrival=desk.journal.on_arrival,
        on_line=desk.journal.on_line,
        clock=desk.clock,
        open_line=lambda _source, _settings: desk.line,
    )
    desk.line.script = [0.5, b"00000-00\r\n", 1.0, b"1.5\r", 1.0, b"2.5\r"]
    desk.started(reader)
    desk.journal.wait_for_kind(LineKind.ENDED)
    assert desk.journal.values == ["2.5"]


def test_every_byte_is_in_the_wire_log_even_those_dropped(desk: Desk, tmp_path: Path) -> None:
    reader = desk.play(b"old\r", 0.3, b"1.5\r", 0.5, b"9", settle_s=0.3)
    entries = reader.wire_log.entries
    assert [entry.data for entry in entries] == [b"old\r", b"1.5\r", b"9"]
    assert entries[1] == WireEntry(1000.3, "in", b"1.5\r")


def test_timed_capture_shows_the_same_doubts_as_the_line_did(
    desk: Desk, journal: Any, started: Start, tmp_path: Path
) -> None:
    reader = desk.play(
        b"24.350\r", 0.004, b"24.350\r", 0.5, b"24.350\r", 2.0, b"24", 1.5, b".350\r"
    )
    live = [(a.content, a.doubts) for a in journal.arrivals]
    reader.wire_log.save(tmp_path / "wire")
    journal.arrivals.clear()
    started(
        GaugeReader(
            f"file:{tmp_path / 'wire'}",
            LineSettings(),
            on_arrival=journal.on_arrival,
            on_line=journal.on_line,
        )
    )
    journal.wait_for_kind(LineKind.ENDED, 2)
    assert [(a.content, a.doubts) for a in journal.arrivals] == live
    assert len(live) == 5


def test_raw_capture_has_no_times_and_so_doubts_about_the_digits_alone(
    journal: Any, started: Start, tmp_path: Path
) -> None:
    (tmp_path / "raw").write_bytes(b"1.50\r1.50\r1.5\r")
    started(
        GaugeReader(
            f"file:{tmp_path / 'raw'}",
            LineSettings(),
            on_arrival=journal.on_arrival,
            on_line=journal.on_line,
        )
    )
    journal.wait_for_kind(LineKind.ENDED)
    assert [arrival.doubts for arrival in journal.arrivals] == [(), (), (Doubt.CHANGED,)]


def test_half_frame_at_a_loss_is_a_refusal_in_every_framing(desk: Desk) -> None:
    desk.play(b"1.23", PortLostError("COM10"), format_name="value ended by comma")
    assert desk.journal.values == [None]


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="asks Linux's process table")
def test_second_reader_of_the_port_is_named(journal: Any, started: Start, tmp_path: Path) -> None:
    hold = (
        "import os, sys; os.open(sys.argv[1], os.O_RDWR | os.O_NOCTTY); print(flush=True);"
        "sys.stdin.read()"
    )
    with (
        SimulatedLine(link=tmp_path / "port") as line,
        subprocess.Popen(
            [sys.executable, "-c", hold, os.path.realpath(line.source)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        ) as other,
    ):
        assert other.stdout is not None
        other.stdout.readline()
        started(
            GaugeReader(
                line.source,
                LineSettings(settle_s=0.05),
                on_arrival=journal.on_arrival,
                on_line=journal.on_line,
            )
        )
        journal.wait_for(lambda j: any(s.symptom is Symptom.SHARED for s in j.states))
        assert f"(process {other.pid})" in journal.states[-1].sentence
        other.communicate("")

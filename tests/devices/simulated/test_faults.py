"""Every fault, played through a real pseudo-terminal to a reader."""

import json
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from seatproof.devices.arrival import Doubt
from seatproof.devices.formats import Reading, Refusal
from seatproof.devices.gauge import GaugeReader
from seatproof.devices.line_state import LineKind, Symptom
from seatproof.devices.simulated.faults import (
    EXPLAINED,
    Cable,
    Fault,
    Faults,
    Pause,
    Send,
    Undelivered,
)
from seatproof.devices.simulated.gauge import SimulatedMicrometer
from seatproof.devices.simulated.line import SimulatedLine
from seatproof.devices.simulated.shaft import GaugeTraits, SeatForm, SyntheticShaft
from seatproof.devices.transport import LineSettings

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="needs a pseudo-terminal")

SHAFT = SyntheticShaft(
    seats={"A": SeatForm(z_from_mm=0, z_to_mm=60, mean_diameter_mm=110.012)},
    gauge=GaugeTraits(repeatability_um=2.0),
)


class Bench:
    """A faulty gauge on a pseudo-terminal, and a reader of it."""

    def __init__(self, fault: Fault, journal: Any, link: Path) -> None:
        self.journal = journal
        self.micrometer = SimulatedMicrometer(SHAFT, seed=3)
        self.micrometer.aim("A", 30, 0)
        self.faults = Faults([fault], seed=4)
        self.line = SimulatedLine(link=link)
        self.shown: list[str] = []
        self.undelivered: list[str] = []
        self.reader = GaugeReader(
            self.line.source,
            LineSettings(settle_s=0.05),
            on_arrival=journal.on_arrival,
            on_line=journal.on_line,
            retry_after_s=(0.01,),
        )
        self.reader.start()
        journal.wait_for_kind(LineKind.CONNECTED)

    def press(self, times: int) -> None:
        for _ in range(times):
            n_press = len(self.shown) + 1
            self.faults.prepare(self.micrometer, n_press)
            frame = self.micrometer.press()
            self.shown.append(str(float(frame[3:-1])))
            self._play(self.faults.steps(frame, n_press))

    def finish(self) -> None:
        self._play(self.faults.rest())

    def _play(self, steps: Any) -> None:
        for step in steps:
            match step:
                case Send(data):
                    assert self.line.send(data)
                case Pause(seconds):
                    time.sleep(seconds)  # the fault's own time; nothing is waited for
                case Cable("unplug"):
                    self.line.unplug()
                case Cable():
                    connected = self.journal.kinds.count(LineKind.CONNECTED)
                    self.line.replug(renamed=True)
                    self.journal.wait_for_kind(LineKind.CONNECTED, connected + 1)
                case Undelivered(reason):
                    self.undelivered.append(reason)

    def close(self) -> None:
        assert self.reader.stop(2.0)
        self.line.close()

    @property
    def read(self) -> list[str]:
        return [str(float(value)) for value in self.journal.values if value is not None]


@pytest.fixture
def bench(journal: Any, tmp_path: Path) -> Iterator[Callable[[Fault], Bench]]:
    made: list[Bench] = []

    def make(fault: Fault) -> Bench:
        made.append(Bench(fault, journal, tmp_path / "gauge"))
        return made[-1]

    yield make
    for one in made:
        one.close()


def test_chunking_changes_nothing(bench: Callable[[Fault], Bench], journal: Any) -> None:
    desk = bench(Fault.CHUNKING)
    desk.press(4)
    journal.wait_for_arrivals(4)
    assert desk.read == desk.shown
    assert len(desk.reader.wire_log.entries) > 12, "they did come in pieces"


def test_glued_frames_are_two_readings_of_which_the_second_is_doubtful(
    bench: Callable[[Fault], Bench], journal: Any
) -> None:
    desk = bench(Fault.GLUED_FRAMES)
    desk.press(5)
    desk.finish()
    journal.wait_for_arrivals(5)
    assert desk.read == desk.shown
    assert Doubt.BURST in journal.arrivals[1].doubts
    assert Doubt.BURST in journal.arrivals[3].doubts


@pytest.mark.parametrize("fault", [Fault.LOST_BYTE, Fault.PARITY_DAMAGE])
def test_damaged_frame_is_refused_and_the_next_press_is_read(
    fault: Fault, bench: Callable[[Fault], Bench], journal: Any
) -> None:
    desk = bench(fault)
    desk.press(6)
    journal.wait_for_arrivals(8)
    undoubted = [
        a
        for a in journal.arrivals
        if isinstance(a.content, Reading) and Doubt.CHANGED not in a.doubts
    ]
    assert [str(float(a.content.value)) for a in undoubted] == desk.shown
    # What lost a digit may still look like a number; then it is marked.
    others = [a for a in journal.arrivals if a not in undoubted]
    assert len(others) == 2
    assert all(isinstance(a.content, Refusal) or Doubt.CHANGED in a.doubts for a in others)


def test_wrong_speed_gives_no_value_and_names_the_settings(
    bench: Callable[[Fault], Bench], journal: Any
) -> None:
    desk = bench(Fault.WRONG_SPEED)
    for n in range(3):
        desk.press(1)
        journal.wait_for_arrivals(n + 1)
    assert desk.read == []
    assert all("broke off" in r or "wrong speed" in r or "data bits" in r for r in journal.reasons)


def test_banner_is_refused_and_the_first_value_read(
    bench: Callable[[Fault], Bench], journal: Any
) -> None:
    desk = bench(Fault.BANNER)
    desk.press(2)
    journal.wait_for_arrivals(4)
    assert journal.values[:2] == [None, None]
    assert desk.read == desk.shown


def test_status_codes_are_never_values(bench: Callable[[Fault], Bench], journal: Any) -> None:
    desk = bench(Fault.STATUS_CODES)
    desk.press(5)
    journal.wait_for_arrivals(10)
    assert desk.read == desk.shown
    assert len(journal.reasons) == 5


def test_double_press_is_marked_as_a_repeat(bench: Callable[[Fault], Bench], journal: Any) -> None:
    desk = bench(Fault.DOUBLE_PRESS)
    for n in range(2):
        desk.press(1)
        journal.wait_for_arrivals(2 * n + 2)
        time.sleep(0.35)  # a person's pause, longer than the window of a repeat
    assert desk.read == [value for shown in desk.shown for value in (shown, shown)]
    repeats = [Doubt.REPEATED in arrival.doubts for arrival in journal.arrivals]
    assert repeats == [False, True, False, True]


def test_stalled_frame_is_never_put_together(bench: Callable[[Fault], Bench], journal: Any) -> None:
    desk = bench(Fault.STALL)
    desk.press(3)
    journal.wait_for_arrivals(5)
    assert desk.read == desk.shown
    assert "broke off" in journal.reasons[0]
    assert "may be the rest of it" in journal.reasons[1]


def test_replugging_under_another_name_is_followed_by_the_link(
    bench: Callable[[Fault], Bench], journal: Any
) -> None:
    desk = bench(Fault.REPLUG)
    before = desk.line.path_of_port
    desk.press(3)
    assert desk.line.path_of_port != before
    assert desk.undelivered == ["the plug was pulled"]
    desk.press(1)
    journal.wait_for_arrivals(4)
    assert desk.read == [*desk.shown[:2], desk.shown[3]]
    assert LineKind.LOST in journal.kinds


def test_flood_is_told_and_leaves_the_value_after_it(
    bench: Callable[[Fault], Bench], journal: Any
) -> None:
    desk = bench(Fault.FLOOD)
    desk.press(1)
    journal.wait_for(lambda j: j.values and j.values[-1] is not None)
    assert desk.read == desk.shown
    assert Symptom.FLOOD in [state.symptom for state in journal.states]


def test_inch_switch_shows_in_the_decimals_and_is_converted_by_nobody(
    bench: Callable[[Fault], Bench], journal: Any
) -> None:
    desk = bench(Fault.INCH_SWITCH)
    desk.press(5)
    journal.wait_for_arrivals(5)
    decimals = [value.partition(".")[2] for value in journal.values]
    assert [len(text) for text in decimals] == [3, 3, 3, 5, 5]
    assert float(journal.values[4]) == pytest.approx(110.012 / 25.4, abs=0.0005)  # in
    assert all(arrival.content.unit is None for arrival in journal.arrivals)
    assert Doubt.CHANGED in journal.arrivals[3].doubts


def test_drift_moves_the_values_by_a_micrometre_a_press(
    bench: Callable[[Fault], Bench], journal: Any
) -> None:
    desk = bench(Fault.DRIFT)
    desk.press(12)
    journal.wait_for_arrivals(12)
    assert desk.read == desk.shown
    moved = float(desk.read[-1]) - float(desk.read[0])
    assert moved == pytest.approx(0.011, abs=0.008)  # mm; noise of 2 µm at either end


def test_dying_battery_ends_in_refusals_and_silence(
    bench: Callable[[Fault], Bench], journal: Any
) -> None:
    desk = bench(Fault.DYING_BATTERY)
    desk.press(7)
    journal.wait_for_arrivals(6)
    assert desk.read[:3] == desk.shown[:3]
    assert journal.values[4:] == [None, None], "eights and a code"
    assert "eights" in journal.reasons[0]
    assert len(desk.undelivered) == 2


def test_every_fault_is_explained_and_tested_here() -> None:
    assert set(EXPLAINED) == set(Fault)
    source = Path(__file__).read_text("utf-8")
    assert all(f"Fault.{fault.name}" in source for fault in Fault)


def test_same_seed_gives_the_same_faults() -> None:
    def steps(seed: int) -> str:
        faults = Faults(list(Fault), seed=seed)
        frame = b"01A+00110.012\r"
        return json.dumps([str(s) for n in range(1, 7) for s in faults.steps(frame, n)])

    assert steps(1) == steps(1)
    assert steps(1) != steps(2)

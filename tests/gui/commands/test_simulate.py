import argparse
import io
import os
import re
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from seatproof.core.files import example
from seatproof.core.plan.file import load_plan
from seatproof.core.units import Unit, to_mm
from seatproof.devices.errors import SimulationError
from seatproof.devices.formats import Reading, read_frame
from seatproof.devices.framing import LineFramer
from seatproof.devices.simulated.faults import Fault, Faults
from seatproof.devices.simulated.gauge import SimulatedMicrometer
from seatproof.devices.simulated.indicator import true_movement_mm
from seatproof.devices.simulated.line import SimulatedLine
from seatproof.devices.simulated.shaft import SyntheticShaft, load_shaft
from seatproof.devices.transport import LineSettings, Transport, open_transport
from seatproof.gui.commands import simulate
from seatproof.gui.commands.errors import CommandError
from seatproof.gui.commands.simulated_person import SimulatedPerson

posix_only = pytest.mark.skipif(os.name != "posix", reason="needs a pseudo-terminal and signals")
PROGRAM = [sys.executable, "-m", "seatproof.gui.main"]

Command = Callable[..., int]


@pytest.fixture
def command() -> Command:
    parser = argparse.ArgumentParser(prog="seatproof")
    simulate.add_parser(parser.add_subparsers(required=True))

    def call(*words: str) -> int:
        args = parser.parse_args(["simulate", *words])
        status: int = args.run(args)
        return status

    return call


class Desk:
    """A simulated person, what they said, and a program that listens."""

    def __init__(self, plan: str = "kiln_fan", shaft: SyntheticShaft | None = None) -> None:
        self.plan = load_plan(example(f"{plan}.toml"))
        self.shaft = shaft or load_shaft(example(f"{plan}_shaft.toml"))
        self.said: list[str] = []
        self.line = SimulatedLine(tcp=True)
        self.listener: Transport | None = None
        try:
            micrometer = SimulatedMicrometer(self.shaft, seed=5)
            self.person = SimulatedPerson(self.plan, micrometer, self.line, say=self.said.append)
        except BaseException:
            self.line.close()
            raise

    def listen(self) -> None:
        self.listener = open_transport(self.line.source, LineSettings())

    def received(self, count: int) -> list[Reading]:
        assert self.listener is not None
        framer, readings = LineFramer(trust_first=True), []
        while len(readings) < count:
            data = self.listener.read(5.0)
            assert data, f"silence after {readings}"
            readings += [read_frame(frame) for frame in framer.feed(data)]
        assert all(isinstance(reading, Reading) for reading in readings)
        return [reading for reading in readings if isinstance(reading, Reading)]

    def close(self) -> None:
        if self.listener is not None:
            self.listener.close()
        self.line.close()


@pytest.fixture
def desk() -> Iterator[Desk]:
    desk = Desk()
    desk.listen()
    yield desk
    desk.close()


def test_walk_measures_the_plans_points_in_their_order(desk: Desk) -> None:
    points = desk.plan.points()
    went_on = [desk.person.press() for _ in points]
    assert went_on == [True] * (len(points) - 1) + [False]
    for point, reading in zip(points, desk.received(len(points)), strict=True):
        true_mm = desk.shaft.true_diameter_mm(point.seat_id, point.z_mm, point.angle_deg)
        # Noise 4·0.5 µm, expansion 1.3 µm, zero error 0.4 µm, half a step 0.5 µm.
        assert float(reading.value) == pytest.approx(true_mm, abs=0.0043)  # mm
    assert "last point" in desk.said[-1]


def test_every_point_is_measured_as_often_as_the_plan_repeats_it() -> None:
    desk = Desk("screw_pump")
    desk.listen()
    try:
        points = desk.plan.points()
        repeats = desk.plan.seat("L").repeats
        assert repeats > 1
        presses = 1
        while desk.person.press():
            presses += 1
        assert presses == repeats * len(points)
        readings = desk.received(presses)
        assert all(0 < to_mm(r.value, Unit.INCH) - 99 < 2 for r in readings)
        assert re.search(r" at L, z 1\.75 in, 0°$", desk.said[0])
        assert desk.said[0][-16:] == desk.said[1][-16:]
    finally:
        desk.close()


def test_back_measures_a_point_again_and_stops_at_the_first(desk: Desk) -> None:
    desk.person.obey(["back"])
    for words in (["press"], [], ["back"], ["press"], []):
        assert desk.person.obey(words)
    desk.received(4)
    places = [said.split(" at ")[1] for said in desk.said if " at " in said]
    first, second, again, third = places
    assert again == second
    assert len({first, second, third}) == 3


def test_press_elsewhere_does_not_move_the_walk(desk: Desk) -> None:
    desk.person.obey(["at", "B", "850", "90"])
    desk.person.press()
    desk.person.press()
    elsewhere, first = desk.received(2)
    assert float(elsewhere.value) == pytest.approx(100.0, abs=0.03)  # mm
    assert float(first.value) == pytest.approx(110.0, abs=0.03)  # mm
    assert "B, z 850, 90°" in desk.said[1]


@pytest.mark.parametrize(
    "words", [["at", "A", "x", "0"], ["at", "A", "nan", "0"], ["at", "A", "180", "inf"]]
)
def test_place_that_is_no_number_is_told(desk: Desk, words: list[str]) -> None:
    assert desk.person.obey(words)
    assert "numbers" in desk.said[-1]


def test_place_beside_the_shaft_is_refused_and_the_walk_stays(desk: Desk) -> None:
    with pytest.raises(SimulationError, match="not on it"):
        desk.person.obey(["at", "A", "300", "0"])
    with pytest.raises(SimulationError, match="no such seat"):
        desk.person.obey(["at", "C", "300", "0"])
    desk.person.press()
    assert " at A, " in desk.said[-1]


def test_press_that_nobody_receives_is_not_counted() -> None:
    desk = Desk()
    try:
        assert desk.person.press()
        assert "nobody listens" in desk.said[-1]
        desk.person.obey(["unplug"])
        assert desk.person.press()
        assert "cable is out" in desk.said[-1]
        desk.person.obey(["replug"])
        assert desk.line.source in desk.said[-1]
        desk.listen()
        desk.person.press()
        point = desk.plan.points()[0]
        assert f"at {point.seat_id}, z 158, 0°" in desk.said[-1]
    finally:
        desk.close()


def test_words_that_mean_nothing_are_told_and_quit_ends(desk: Desk) -> None:
    assert desk.person.obey(["dance", "A"])
    assert '"dance A" is not understood' in desk.said[-1]
    assert desk.person.obey(["help"])
    assert "unplug, replug" in desk.said[-1]
    assert not desk.person.obey(["quit"])


def test_plan_with_a_point_beside_the_shaft_is_refused_at_the_start() -> None:
    kiln = load_shaft(example("kiln_fan_shaft.toml"))
    with pytest.raises(SimulationError, match='seat "B"'):
        Desk(shaft=SyntheticShaft(seats={"A": kiln.seats["A"]}))


# --- the command ---------------------------------------------------------------------------------


def test_command_reads_its_words_from_standard_input(
    command: Command, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "stdin", io.StringIO("press\nat A 999 0\ndance\nquit\npress\n"))
    assert command("--tcp") == 0
    lines = capsys.readouterr().out.splitlines()
    assert re.fullmatch(r"Port to open: socket://127\.0\.0\.1:\d+", lines[0])
    assert lines[2] == "Next: A, z 158, 0°"
    assert lines[3] == "Not sent: nobody listens."
    assert "999 mm is not on it" in lines[4]
    assert "dance" in lines[5]
    assert len(lines) == 6


def test_missing_files_are_told_with_what_to_do(command: Command, tmp_path: Path) -> None:
    plan = tmp_path / "mine.toml"
    plan.write_text(example("kiln_fan.toml").read_text("utf-8"), encoding="utf-8")
    with pytest.raises(CommandError, match="--shaft"):
        command("--plan", str(plan))
    with pytest.raises(SimulationError, match="No such file"):
        command("--plan", str(plan), "--shaft", str(tmp_path / "none.toml"))
    (tmp_path / "mine_shaft.toml").write_text("nothing = 1", encoding="utf-8")
    with pytest.raises(SimulationError, match="fault at"):
        command("--plan", str(plan))


@pytest.mark.parametrize("seconds", ["0", "-1", "nan", "x", "1e9"])
def test_time_between_presses_is_a_sensible_time(
    command: Command, seconds: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as caught:
        command("--every", seconds)
    assert caught.value.code == 2
    assert "--every" in capsys.readouterr().err


@posix_only
def test_timer_walks_to_the_end_without_a_keyboard(
    command: Command, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "stdin", io.StringIO(""))
    threads = threading.active_count()
    assert command("--every", "0.01") == 0
    lines = capsys.readouterr().out.splitlines()
    n_points = len(load_plan(example("kiln_fan.toml")).points())
    assert len([line for line in lines if line.startswith("01A+")]) == n_points
    assert threading.active_count() == threads


def test_faults_are_done_to_the_line_and_told(desk: Desk) -> None:
    faults = Faults([Fault.DOUBLE_PRESS], seed=1)
    micrometer = SimulatedMicrometer(desk.shaft, seed=5)
    person = SimulatedPerson(desk.plan, micrometer, desk.line, say=desk.said.append, faults=faults)
    person.press()
    first, second = desk.received(2)
    assert first == second


def test_press_that_a_fault_ate_is_not_counted(desk: Desk) -> None:
    faults = Faults([Fault.DYING_BATTERY], seed=1)
    micrometer = SimulatedMicrometer(desk.shaft, seed=5)
    person = SimulatedPerson(desk.plan, micrometer, desk.line, say=desk.said.append, faults=faults)
    for _ in range(5):
        person.press()
    sixth = desk.plan.points()[5]
    for _ in range(2):
        person.press()
        assert desk.said[-1] == "Not sent: the gauge's battery is empty."
    desk.person = person
    person.obey(["back"])
    person.obey(["dance"])
    assert sixth != desk.plan.points()[4]
    assert f"{desk.plan.points()[4].z_mm:g}" in desk.said[-2]


@posix_only
def test_fault_is_taken_by_name_and_what_was_held_back_comes_at_the_end(tmp_path: Path) -> None:
    link = tmp_path / "gauge"
    with subprocess.Popen(
        [*PROGRAM, "simulate", "--link", str(link), "--fault", "glued-frames"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    ) as process:
        assert process.stdin is not None
        assert process.stdout is not None
        process.stdout.readline()
        transport = open_transport(str(link), LineSettings())
        try:
            process.stdin.write("\n\n\nquit\n")
            process.stdin.flush()
            data = b""
            while data.count(b"\r") < 3:
                more = transport.read(10.0)
                assert more
                data += more
        finally:
            transport.close()
        process.communicate(timeout=10)
        assert process.returncode == 0


def test_fault_that_does_not_exist_is_told_with_those_that_do(
    command: Command, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit):
        command("--fault", "gremlins")
    complaint = capsys.readouterr().err
    assert "chunking" in complaint
    assert "dying-battery" in complaint


@posix_only
@pytest.mark.parametrize("ending", ["quit", "end of input", "terminated"])
def test_program_is_a_gauge_on_a_port_until_it_ends(ending: str, tmp_path: Path) -> None:
    link = tmp_path / "gauge"
    with subprocess.Popen(
        [*PROGRAM, "simulate", "--link", str(link), "--seed", "3"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    ) as process:
        assert process.stdin is not None
        assert process.stdout is not None
        assert process.stdout.readline() == f"Port to open: {link}\n"
        transport = open_transport(str(link), LineSettings())
        try:
            process.stdin.write("\n")
            process.stdin.flush()
            data = b""
            while not data.endswith(b"\r"):
                more = transport.read(10.0)
                assert more
                data += more
        finally:
            transport.close()
        assert re.fullmatch(rb"01A\+00110\.0[01]\d\r", data)
        said = ""
        while data.decode("ascii").strip() not in said:
            told = process.stdout.readline()
            assert told, said
            said += told
        if ending == "terminated":
            process.terminate()
        _, complaints = process.communicate("quit\n" if ending == "quit" else None, timeout=10)
        assert complaints == ""
        assert process.returncode == 0
    assert not link.is_symlink()


VEE_SET = """
[[seat]]
id = "AV"
name = "seat A in a vee"
same_seat_as = "A"
method = "vee"
vee_angle_deg = 90
from = 150
length = 60
nominal = 110
stations = 1
orientations = 24

[[seat]]
id = "AR"
name = "seat A by an indicator"
same_seat_as = "A"
method = "radial"
from = 150
length = 60
nominal = 110
stations = 1
orientations = 24
"""


def test_sets_of_an_indicator_are_measured_with_one_on_the_same_shaft(tmp_path: Path) -> None:
    file = tmp_path / "fan.toml"
    file.write_text(example("kiln_fan.toml").read_text("utf-8") + VEE_SET, encoding="utf-8")
    plan = load_plan(file)
    shaft = load_shaft(example("kiln_fan_shaft.toml"))
    said: list[str] = []
    with SimulatedLine(tcp=True) as line:
        listener = open_transport(line.source, LineSettings())
        try:
            micrometer = SimulatedMicrometer(shaft, seed=5)
            person = SimulatedPerson(plan, micrometer, line, say=said.append)
            while person.press():
                pass
            framer, readings = LineFramer(trust_first=True), []
            while len(readings) < len(plan.points()):
                readings += [read_frame(frame) for frame in framer.feed(listener.read(5.0))]
        finally:
            listener.close()
    traits = shaft.indicator
    for point, reading in zip(plan.points(), readings, strict=True):
        assert isinstance(reading, Reading)
        method = plan.seat(point.seat_id).method
        assert reading.channel == ("01A" if method == "two-point" else "02A")
        if method == "vee":
            expected_mm = true_movement_mm(
                shaft, "A", point.z_mm, point.angle_deg, vee_angle_deg=90
            )
            assert float(reading.value) == pytest.approx(
                traits.zero_mm + expected_mm, abs=0.0001
            )  # mm
    assert any("AV, z 180, 0° (vee)" in sentence for sentence in said), said

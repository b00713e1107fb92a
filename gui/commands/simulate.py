"""``seatproof simulate``: a simulated micrometer on a port of its own, pressed by hand or timer."""

import argparse
import math
import signal
import sys
import threading
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from types import FrameType
from typing import TYPE_CHECKING, Final

from seatproof.core import figures
from seatproof.core.files import example
from seatproof.core.plan.file import load_plan
from seatproof.core.plan.model import Plan
from seatproof.core.units import Unit
from seatproof.devices.errors import DeviceError
from seatproof.devices.simulated.faults import (
    EXPLAINED,
    Cable,
    Fault,
    Faults,
    Pause,
    Send,
    Step,
    Undelivered,
)
from seatproof.devices.simulated.gauge import SimulatedMicrometer
from seatproof.devices.simulated.line import HAS_PTY, SimulatedLine
from seatproof.devices.simulated.shaft import load_shaft
from seatproof.gui.commands.errors import CommandError

if TYPE_CHECKING:
    from argparse import _SubParsersAction

_DESCRIPTION: Final = """\
Simulate a micrometer that measures the points of a plan in their order on a shaft of known form.
It prints the port to open. Enter presses its button; words on standard input do more, as below."""

_HELP: Final = """\
  press, or Enter alone   measure at the point shown, send it, go on to the next
  back                    return to the point before
  at SEAT Z ANGLE         measure elsewhere with the next press: z in mm, angle in degrees
  unplug, replug          pull the cable, put it back
  quit                    end; so do Ctrl-C and the end of the input"""

_FAULTS: Final = "faults:\n" + "\n".join(f"  {fault:<16} {EXPLAINED[fault]}" for fault in Fault)


def add_parser(subparsers: "_SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add this command to the command line."""
    parser = subparsers.add_parser(
        "simulate",
        help="be a micrometer on a port of its own",
        description=_DESCRIPTION,
        epilog=f"words:\n{_HELP}\n\n{_FAULTS}",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument(
        "--plan",
        metavar="FILE",
        type=Path,
        default=example("kiln_fan.toml"),
        help="the plan whose points are measured (the kiln fan's unless stated)",
    )
    parser.add_argument(
        "--shaft",
        metavar="FILE",
        type=Path,
        help="the shaft's true form; beside the plan, under its name with _shaft, unless stated",
    )
    parser.add_argument("--link", metavar="PATH", type=Path, help="a name for the port that stays")
    parser.add_argument(
        "--every", metavar="SECONDS", type=_seconds, help="press by itself, so often"
    )
    parser.add_argument(
        "--tcp", action="store_true", help="use a network port of this computer instead"
    )
    parser.add_argument(
        "--seed", metavar="N", type=int, default=1, help="start of the noise (1 unless stated)"
    )
    parser.add_argument(
        "--fault",
        metavar="NAME",
        action="append",
        default=[],
        type=_fault,
        help="misbehave; may be given several times, see the list below",
    )
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Simulate until told to end; return the exit status.

    Raises
    ------
    PlanError
        The plan cannot be used.
    DeviceError
        The shaft file cannot be used, lacks a point of the plan, or there is no line.
    """
    plan = load_plan(args.plan)
    micrometer = SimulatedMicrometer(load_shaft(_shaft_file(args)), seed=args.seed)
    with (
        _ended_by_signal(),
        SimulatedLine(link=args.link, tcp=args.tcp or not HAS_PTY) as line,
    ):
        try:
            faults = Faults(args.fault, seed=args.seed)
            person = SimulatedPerson(plan, micrometer, line, say=_say, faults=faults)
            _simulate(person, args.every)
        except KeyboardInterrupt:
            return 0
    return 0


class SimulatedPerson:
    """Who holds the simulated micrometer: walks the plan's points, presses, pulls the cable.

    Every method may be called from any thread, one call at a time being carried out.
    """

    def __init__(
        self,
        plan: Plan,
        micrometer: SimulatedMicrometer,
        line: SimulatedLine,
        *,
        say: Callable[[str], None],
        faults: Faults | None = None,
    ) -> None:
        self._faults = Faults((), seed=0) if faults is None else faults
        self._n_presses = 0
        self._unit = plan.unit
        self._visits = tuple(
            (point.seat_id, point.z_mm, point.angle_deg)
            for point in plan.points()
            for _ in range(plan.seat(point.seat_id).repeats)
        )
        for seat, z_mm, _ in self._visits:
            micrometer.shaft.seat_at(seat, z_mm)  # better refused now than at the last point
        self._micrometer = micrometer
        self._line = line
        self._say = say
        self._next = 0
        self._elsewhere: tuple[str, float, float] | None = None
        self._one_at_a_time = threading.Lock()

    def introduce(self) -> None:
        """Say which port to open, and where the walk begins."""
        self._say(f"Port to open: {self._line.source}")
        self._say(f"{len(self._visits)} presses in this walk; help lists what can be done.")
        self._say_next()

    def press(self) -> bool:
        """Measure and send; return whether the walk has a point left.

        A press that nobody could receive is not counted: a person would press again.
        """
        with self._one_at_a_time:
            visit = self._elsewhere or self._visits[min(self._next, len(self._visits) - 1)]
            self._micrometer.aim(*visit)
            self._faults.prepare(self._micrometer, self._n_presses + 1)
            frame = self._micrometer.press()
            self._n_presses += 1
            failure = self._play(self._faults.steps(frame, self._n_presses))
            if failure is not None:
                self._say(f"Not sent: {failure}.")
                return True
            self._say(f"{frame.decode('ascii').strip():<16} at {self._where(visit)}")
            if self._elsewhere is not None:
                self._elsewhere = None
            else:
                self._next = min(self._next + 1, len(self._visits))
                if self._next == len(self._visits):
                    self._say("That was the last point; another press is one more there.")
            return self._next < len(self._visits)

    def finish(self) -> None:
        """Let out what a faulty line still holds back."""
        with self._one_at_a_time:
            self._play(self._faults.rest())

    def _play(self, steps: Iterable[Step]) -> str | None:
        """Do what happens on the line; return why the value was not sent, None if it was."""
        for step in steps:
            match step:
                case Send(data):
                    if not self._line.send(data):
                        return "nobody listens" if self._line.is_plugged else "the cable is out"
                case Pause(seconds):
                    time.sleep(seconds)
                case Cable("unplug"):
                    self._line.unplug()
                case Cable():
                    self._line.replug(renamed=True)
                    self._say(f"Port to open: {self._line.source}")
                case Undelivered(reason):
                    return reason
        return None

    def obey(self, words: Sequence[str]) -> bool:
        """Do what a line of input says; return whether to go on."""
        match words:
            case [] | ["press"]:
                self.press()
            case ["back"]:
                with self._one_at_a_time:
                    self._next, self._elsewhere = max(0, self._next - 1), None
                    self._say_next()
            case ["at", seat, z, angle]:
                with self._one_at_a_time:
                    self._aim_elsewhere(seat, z, angle)
            case ["unplug"]:
                with self._one_at_a_time:
                    self._line.unplug()
                    self._say("The cable is out.")
            case ["replug"]:
                with self._one_at_a_time:
                    self._line.replug()
                    self._say(f"Port to open: {self._line.source}")
            case ["help"]:
                self._say(_HELP)
            case ["quit"]:
                return False
            case _:
                self._say(f'"{" ".join(words)}" is not understood; help lists what can be done.')
        return True

    def _aim_elsewhere(self, seat: str, z: str, angle: str) -> None:
        try:
            visit = (seat, float(z), float(angle))
        except ValueError:
            visit = (seat, math.nan, math.nan)
        if not all(map(math.isfinite, visit[1:])):
            self._say("Z and ANGLE are numbers, as in: at A 180 30")
            return
        self._micrometer.shaft.seat_at(seat, visit[1])
        self._elsewhere = visit
        self._say(f"The next press is at {self._where(visit)}.")

    def _say_next(self) -> None:
        if self._next < len(self._visits):
            self._say(f"Next: {self._where(self._visits[self._next])}")

    def _where(self, visit: tuple[str, float, float]) -> str:
        seat, z_mm, angle_deg = visit
        unit = "" if self._unit is Unit.MM else f" {self._unit.sign}"
        return f"{seat}, z {figures.position(z_mm, self._unit)}{unit}, {figures.angle(angle_deg)}"


def _simulate(person: SimulatedPerson, every_s: float | None) -> None:
    person.introduce()
    stopping = threading.Event()
    timer = threading.Thread(target=_press_by_time, args=(person, every_s, stopping))
    if every_s is not None:
        timer.start()
    try:
        for line in sys.stdin:
            try:
                if not person.obey(line.split()):
                    return
            except DeviceError as error:
                _say(str(error))
        # Without a keyboard, as in a script, the timer alone walks to the end.
        while timer.is_alive():
            timer.join(1.0)
    finally:
        stopping.set()
        if every_s is not None:
            timer.join()
        person.finish()


def _press_by_time(person: SimulatedPerson, every_s: float, stopping: threading.Event) -> None:
    while not stopping.wait(every_s) and person.press():
        pass


def _say(sentence: str) -> None:
    print(sentence, flush=True)


def _shaft_file(args: argparse.Namespace) -> Path:
    if args.shaft is not None:
        return Path(args.shaft)
    beside = args.plan.with_name(f"{args.plan.stem}_shaft.toml")
    if not beside.exists():
        raise CommandError(
            f"There is no shaft file {beside} beside the plan; name one with --shaft."
        )
    return Path(beside)


@contextmanager
def _ended_by_signal() -> Iterator[None]:
    """Let a request to end clean up as Ctrl-C does: the link to the port must not stay behind."""

    def interrupt(number: int, frame: FrameType | None) -> None:
        del number, frame
        raise KeyboardInterrupt

    if threading.current_thread() is not threading.main_thread():
        yield  # only the main thread may set a signal's handler
        return
    numbers = [signal.SIGTERM] + ([signal.SIGHUP] if sys.platform != "win32" else [])
    before = {number: signal.signal(number, interrupt) for number in numbers}
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


def _seconds(text: str) -> float:
    try:
        seconds = float(text)
    except ValueError:
        seconds = 0.0
    if not 0.01 <= seconds <= 3600:
        raise argparse.ArgumentTypeError(f"{text!r}: write seconds from 0.01 to 3600")
    return seconds


def _fault(text: str) -> Fault:
    try:
        return Fault(text)
    except ValueError:
        names = ", ".join(Fault)
        raise argparse.ArgumentTypeError(f"{text!r} is no fault; there are: {names}") from None

"""``seatproof simulate``: a simulated micrometer on a port of its own, pressed by hand or timer."""

import argparse
import sys
import threading
from pathlib import Path
from typing import TYPE_CHECKING, Final

from seatproof.core.files import example
from seatproof.core.plan.file import load_plan
from seatproof.devices.errors import DeviceError
from seatproof.devices.simulated.faults import (
    EXPLAINED,
    Fault,
    Faults,
)
from seatproof.devices.simulated.gauge import SimulatedMicrometer
from seatproof.devices.simulated.indicator import SimulatedIndicator
from seatproof.devices.simulated.line import HAS_PTY, SimulatedLine
from seatproof.devices.simulated.shaft import load_shaft
from seatproof.gui.commands.endings import ended_by_signal
from seatproof.gui.commands.errors import CommandError
from seatproof.gui.commands.simulated_person import HELP, SimulatedPerson

if TYPE_CHECKING:
    from argparse import _SubParsersAction

_DESCRIPTION: Final = """\
Simulate a micrometer that measures the points of a plan in their order on a shaft of known form.
It prints the port to open. Enter presses its button; words on standard input do more, as below."""

_FAULTS: Final = "faults:\n" + "\n".join(f"  {fault:<16} {EXPLAINED[fault]}" for fault in Fault)


def add_parser(subparsers: "_SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add this command to the command line."""
    parser = subparsers.add_parser(
        "simulate",
        help="be a micrometer on a port of its own",
        description=_DESCRIPTION,
        epilog=f"words:\n{HELP}\n\n{_FAULTS}",
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
        ended_by_signal(),
        SimulatedLine(link=args.link, tcp=args.tcp or not HAS_PTY) as line,
    ):
        try:
            faults = Faults(args.fault, seed=args.seed)
            indicator = SimulatedIndicator(micrometer.shaft, seed=args.seed)
            person = SimulatedPerson(
                plan, micrometer, line, say=_say, faults=faults, indicator=indicator
            )
            _simulate(person, args.every)
        except KeyboardInterrupt:
            return 0
    return 0


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

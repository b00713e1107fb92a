"""``seatproof walkthrough``: the whole job once, on a simulated gauge, without a display."""

import argparse
import queue
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING, Final

from seatproof.core.archive.file import Archive
from seatproof.core.cautions import CAUTIONS, DEFERENCE
from seatproof.core.evaluation.evaluate import evaluate
from seatproof.core.files import example
from seatproof.core.plan.file import parse_plan, read_plan_text
from seatproof.core.plan.points import Point
from seatproof.core.record.file import write_record
from seatproof.core.record.inspection import Inspection
from seatproof.core.record.kinds import Identification
from seatproof.core.record.state import LoggedReading
from seatproof.core.sheet.compose import compose
from seatproof.core.sheet.content import SheetContent
from seatproof.core.sheet.document import write_sheet
from seatproof.core.version import PROGRAM
from seatproof.devices.formats import Refusal
from seatproof.devices.gauge import Arrival, GaugeReader, LineKind, LineState
from seatproof.devices.transport import LineSettings
from seatproof.gui.commands.errors import CommandError
from seatproof.gui.intake import press_of
from seatproof.gui.simulation import SimulatedGauge, SteadyHand, sheet_number
from seatproof.gui.workplace import ARCHIVE_SUFFIX, local_now

if TYPE_CHECKING:
    from argparse import _SubParsersAction

DEFAULT_FOLDER: Final = Path("seatproof-walkthrough")
STATEMENT: Final = "A simulated gauge was pressed as recorded here; no shaft was measured."
INSPECTOR: Final = "Walkthrough (simulated)"
_PATIENCE_S: Final = 10.0  # far longer than a press takes; then something is wrong


def add_parser(subparsers: "_SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add this command to the command line."""
    parser = subparsers.add_parser(
        "walkthrough",
        help="do the whole job once, on a simulated gauge, without a display",
        description="Measure the kiln fan's shaft with a simulated gauge over a real line, seal "
        "the inspection and write its sheet and record. Nothing is measured in truth.",
    )
    parser.add_argument(
        "--out",
        metavar="DIR",
        type=Path,
        default=DEFAULT_FOLDER,
        help=f"where sheet.pdf, record.json and the archive go ({DEFAULT_FOLDER} unless stated)",
    )
    parser.add_argument(
        "--screens", action="store_true", help="also take pictures of the window at work"
    )
    parser.set_defaults(run=run)


@dataclass(frozen=True, slots=True)
class Done:
    """What came of the job: the files written, and what the sheet says."""

    sheet: Path
    record: Path
    archive: Path
    content: SheetContent


def run(args: argparse.Namespace) -> int:
    """Do the job, say what is done, and return the exit status."""
    folder: Path = args.out
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise CommandError(
            f"The folder {folder} cannot be made ({error.strerror}); name another with --out."
        ) from error
    done = do_the_job(example("kiln_fan.toml"), folder)
    _say_results(done.content)
    print(f"\nSheet:   {done.sheet}\nRecord:  {done.record}\nArchive: {done.archive}")
    if args.screens:
        from seatproof.gui.pictures import take_pictures

        for picture in take_pictures(folder):
            print(f"Picture: {picture}")
    print("The gauge was simulated: no shaft was measured.")
    return 0


def do_the_job(plan_file: Path, folder: Path) -> Done:
    """Measure the shaft beside a plan, seal, and write sheet and record into a folder.

    Raises
    ------
    PlanError, ArchiveError, DeviceError, CommandError, RecordError, SheetError
        It cannot be done; what was logged until then is in the folder's archive.
    """
    plan_toml = read_plan_text(plan_file)
    with Archive.open(folder / f"archive{ARCHIVE_SUFFIX}") as archive:
        inspection = Inspection.create(
            archive,
            plan_toml=plan_toml,
            identification=Identification(
                sheet_number=sheet_number(local_now()),
                asset=parse_plan(plan_toml).heading.title,
                shaft_serial="demonstration",
                work_order="demonstration",
            ),
            actor=INSPECTOR,
            clock=local_now,
        )
        _say_cautions(inspection)
        gauge = SimulatedGauge.for_plan(plan_file)
        try:
            _measure(inspection, gauge)
        finally:
            gauge.close()
        content = compose(inspection.state, evaluate(inspection.state), PROGRAM)
        inspection.seal(content.model_dump(mode="json"), STATEMENT)
        record_file = write_record(
            archive.events(inspection.state.inspection), folder / "record.json"
        )
        sheet_file = write_sheet(inspection.state, folder / "sheet.pdf")
        return Done(sheet_file, record_file, archive.path, content)


def _measure(inspection: Inspection, gauge: SimulatedGauge) -> None:
    """Press every point, one of them once more, through the gauge's real line."""
    inspection.put_in_service(gauge.in_service())
    shaft = gauge.shaft
    inspection.note_temperatures(
        Decimal(str(shaft.temperature_c)), Decimal(str(shaft.gauge.temperature_c))
    )
    arrivals: queue.Queue[Arrival] = queue.Queue()
    lines: queue.Queue[LineState] = queue.Queue()
    reader = GaugeReader(gauge.source, LineSettings(), on_arrival=arrivals.put, on_line=lines.put)
    reader.start()
    try:
        _await_connection(lines)
        points = inspection.state.plan.points()
        print(f"Measuring {len(points)} points over {gauge.source}:")
        redone = points[len(points) // 4]
        hand = SteadyHand(gauge)
        for point in points:
            gauge.aim(point)
            _press_point(inspection, hand, point, arrivals)
            if point == redone:
                inspection.aim(point.key, reason="micrometer was not held square")
                _press_point(inspection, hand, point, arrivals)
                print(f"  point {point.key} measured again; the first value is kept beside it")
        print(f"  {len(inspection.state.readings)} presses logged")
    finally:
        reader.stop()


def _await_connection(lines: "queue.Queue[LineState]") -> None:
    while True:
        try:
            state = lines.get(timeout=_PATIENCE_S)
        except queue.Empty:
            raise CommandError("The simulated gauge's line does not open; try again.") from None
        if state.kind is LineKind.CONNECTED:
            return
        if state.kind is LineKind.FAILED:
            raise CommandError(state.sentence)


def _press_point(
    inspection: Inspection,
    hand: SteadyHand,
    point: Point,
    arrivals: "queue.Queue[Arrival]",
) -> None:
    """Press as often as the plan asks for at this point."""
    for _ in range(inspection.state.plan.seat(point.seat_id).repeats):
        hand.press()
        try:
            arrival = arrivals.get(timeout=_PATIENCE_S)
        except queue.Empty:
            raise CommandError(f"No press arrived for point {point.key}; try again.") from None
        press = press_of(arrival)
        if press is None:
            assert isinstance(arrival.content, Refusal)
            raise CommandError(
                f"The press for point {point.key} came damaged: {arrival.content.reason}"
            )
        outcome = inspection.take(press)
        if not isinstance(outcome, LoggedReading) or outcome.key != point.key:
            raise CommandError(f"The press for point {point.key} did not reach its point.")


def _say_cautions(inspection: Inspection) -> None:
    state = inspection.state
    print(f"{PROGRAM}: {state.plan.heading.title}, sheet {state.identification.sheet_number}\n")
    print("On a real machine, before anything else:")
    for caution in CAUTIONS:
        print(f"  - {caution}")
    print(f"  {DEFERENCE}\n")
    inspection.acknowledge_cautions(CAUTIONS)


def _say_results(content: SheetContent) -> None:
    for seat in content.seats:
        print(f"\n{seat.heading}")
        for fact in seat.facts:
            print(f"  {fact.label}: {fact.value}")
        for line in content.requirements:
            if line.seat == seat.seat_id:
                print(
                    f"  {line.characteristic} ({line.sense}) {line.limits}: {line.value}, "
                    f"U {line.uncertainty}: {line.verdict.upper()}"
                )
                for reason in line.reasons:
                    print(f"      {reason}")
    print(f"\nAll requirements together: {content.verdict.upper()}")
    print(f"What this cannot see: {content.blindness}")

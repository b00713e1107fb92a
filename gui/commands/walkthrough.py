"""``seatproof walkthrough``: the whole job once, on a simulated gauge, without a display."""

import argparse
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Final

from seatproof.core.archive.file import Archive
from seatproof.core.cautions import CAUTIONS, DEFERENCE
from seatproof.core.evaluation.evaluate import evaluate_fully
from seatproof.core.files import example
from seatproof.core.plan.file import parse_plan, read_plan_text
from seatproof.core.record.file import write_record
from seatproof.core.record.inspection import Inspection
from seatproof.core.record.kinds import Identification
from seatproof.core.sheet.compose import compose
from seatproof.core.sheet.document import write_sheet
from seatproof.core.version import PROGRAM
from seatproof.core.wording.content import SheetContent
from seatproof.gui.commands.errors import CommandError
from seatproof.gui.simulated_person import SimulatedPerson
from seatproof.gui.simulation import SimulatedGauge, sheet_number
from seatproof.gui.workplace import ARCHIVE_SUFFIX, local_now

if TYPE_CHECKING:
    from argparse import _SubParsersAction

DEFAULT_FOLDER: Final = Path("seatproof-walkthrough")
STATEMENT: Final = "A simulated gauge was pressed as recorded here; no shaft was measured."
INSPECTOR: Final = "Walkthrough (simulated)"


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
    done = do_the_job(example("kiln_fan_whole_job.toml"), folder)
    _say_results(done.content)
    print(f"\nSheet:   {done.sheet}\nRecord:  {done.record}\nArchive: {done.archive}")
    if args.screens:
        from seatproof.gui.pictures import take_pictures

        for picture in take_pictures(folder):
            print(f"Picture: {picture}")
    print("The gauge was simulated: no shaft was measured.")
    return 0


def do_the_job(plan_file: Path, folder: Path) -> Done:
    """Do all that a plan asks for until the seal, and write sheet and record into a folder.

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
            with SimulatedPerson(inspection, gauge) as person:
                _measure(inspection, person)
        finally:
            gauge.close()
        content = compose(inspection.state, evaluate_fully(inspection.state), PROGRAM)
        inspection.seal(content.model_dump(mode="json"), STATEMENT)
        record_file = write_record(
            archive.events(inspection.state.inspection), folder / "record.json"
        )
        sheet_file = write_sheet(inspection.state, folder / "sheet.pdf")
        return Done(sheet_file, record_file, archive.path, content)


def _measure(inspection: Inspection, person: SimulatedPerson) -> None:
    """Prepare what the plan asks for, press every point, one of them once more, and check again."""
    plan = inspection.state.plan
    person.look_at_the_seats()
    person.put_in_service()
    if plan.checks.opening:
        print(f"  opening check: {person.check_the_gauge('opening', 'start')}")
    else:
        person.note_temperatures()
    points = plan.points()
    print(f"Measuring {len(points)} points over {person.source}:")
    redone = points[len(points) // 4]
    for point in points:
        person.measure(point)
        if point == redone:
            inspection.aim(point.key, reason="micrometer was not held square")
            person.measure(point)
            print(f"  point {point.key} measured again; the first value is kept beside it")
    print(f"  {len(inspection.state.readings)} presses logged")
    if plan.checks.closing:
        print(f"  closing check: {person.check_the_gauge('closing', 'end')}")


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

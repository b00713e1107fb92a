"""``seatproof form``: every form result of a file of points, to read or as JSON."""

import argparse
import json
import sys
import threading
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Final, Self

from seatproof.core.form.errors import FormError
from seatproof.gui.commands.errors import CommandError
from seatproof.gui.commands.form_file import read_form_file
from seatproof.gui.commands.form_points import Kind
from seatproof.gui.commands.form_results import results
from seatproof.gui.commands.form_text import as_text
from seatproof.gui.commands.form_two_point import two_point_results, two_point_text

if TYPE_CHECKING:
    # argparse gives the type of its own return value no public name.
    from argparse import _SubParsersAction

_DESCRIPTION: Final = (
    "Evaluate points of a section (x, y or angle, radius), of a seat (x, y, z), of a line along it "
    "(z, value), or diameters round a section (angle, diameter). A CSV file begins with a line of "
    "headings with units: angle [deg], radius [mm]. Lengths may be in mm, um, in or mil, angles in "
    "deg or rad; commas, semicolons or tabs stand between the columns, and decimal commas are read "
    "where semicolons or tabs do."
)
_CAUTION: Final = (
    "Take radial readings with the drive locked out: turn the shaft by hand and read each value at "
    "rest. Never measure a turning shaft."
)
_QUIET_S: Final = 1.0


def add_parser(subparsers: "_SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add this command to the command line."""
    parser = subparsers.add_parser(
        "form",
        help="evaluate roundness, cylindricity, straightness or diameters from a file",
        description=_DESCRIPTION,
        epilog=_CAUTION,
    )
    parser.add_argument("file", metavar="FILE", type=Path, help="JSON or CSV file of points")
    parser.add_argument(
        "--repeatability",
        metavar="S",
        type=_positive,
        help="standard deviation of one reading, in the unit of the file: shows what noise alone "
        "would read",
    )
    parser.add_argument(
        "--json", action="store_true", help="print one JSON object, in the unit of the file"
    )
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Print the results of a file and return the exit status.

    Raises
    ------
    CommandError
        The file cannot be read, or no result exists for its points.
    """
    file = read_form_file(args.file)
    try:
        with _Progress() as progress:
            if file.kind is Kind.DIAMETERS:
                two_point = two_point_results(file, args.repeatability)
                print(
                    json.dumps({"unit": file.unit, **two_point}, allow_nan=False)
                    if args.json
                    else two_point_text(args.file.name, file, two_point, args.repeatability)
                )
                return 0
            found = results(file, progress.enter)
            if args.json:
                print(json.dumps({"unit": file.unit, **found}, allow_nan=False))
                return 0
            progress.enter("what few readings and noise do")
            print(as_text(args.file.name, file, found, args.repeatability))
    except FormError as error:
        raise CommandError(str(error)) from error
    return 0


class _Progress:
    """Says on standard error what is under way, once the work takes longer than a second."""

    def __init__(self) -> None:
        self._stage = "the points"
        self._shown = threading.Event()
        self._timer = threading.Timer(_QUIET_S, self._show_first)
        self._timer.daemon = True

    def __enter__(self) -> Self:
        self._timer.start()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._timer.cancel()
        self._timer.join()

    def enter(self, stage: str) -> None:
        """Note the next stage of the work."""
        self._stage = stage
        if self._shown.is_set():
            self._write()

    def _show_first(self) -> None:
        self._shown.set()
        self._write()

    def _write(self) -> None:
        sys.stderr.write(f"seatproof: working on {self._stage} …\n")
        sys.stderr.flush()


def _positive(text: str) -> float:
    value = float(text)
    if not 0.0 < value < float("inf"):
        raise argparse.ArgumentTypeError(f"{text} is not greater than zero")
    return value

"""``seatproof sheet``: make the inspection sheet of a record again."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from seatproof.core.record.file import read_record
from seatproof.core.record.state import fold

if TYPE_CHECKING:
    from argparse import _SubParsersAction


def add_parser(subparsers: "_SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add this command to the command line."""
    parser = subparsers.add_parser(
        "sheet",
        help="make the inspection sheet of a record",
        description="Make the inspection sheet (PDF) of a sealed record. The same record always "
        "gives the same file, byte for byte.",
    )
    parser.add_argument("record", metavar="RECORD", type=Path, help="a record file (JSON)")
    parser.add_argument(
        "-o",
        "--output",
        metavar="FILE",
        type=Path,
        required=True,
        help="the PDF to write; an existing file is kept and a free name beside it is taken",
    )
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Write the sheet and return the exit status."""
    # Drawing a PDF brings large libraries along: they are loaded once the record has been read.
    state = fold(read_record(args.record))
    from seatproof.core.sheet.document import write_sheet

    print(f"Sheet written to {write_sheet(state, args.output)}.")
    return 0

"""``seatproof sheet``: make the inspection sheet of a record again."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Final

from seatproof.core.archive.file import Archive
from seatproof.core.record.events import Event, check_chain
from seatproof.core.record.file import read_record
from seatproof.core.record.state import fold
from seatproof.gui.commands.errors import CommandError

if TYPE_CHECKING:
    from argparse import _SubParsersAction

_DATABASE: Final = b"SQLite format 3\x00"  # how every SQLite file begins


def add_parser(subparsers: "_SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add this command to the command line."""
    parser = subparsers.add_parser(
        "sheet",
        help="make the inspection sheet of a record",
        description="Make the inspection sheet (PDF) of a sealed inspection, from its record file "
        "or from an archive. The same record always gives the same file, byte for byte.",
    )
    parser.add_argument(
        "record", metavar="RECORD", type=Path, help="a record file (JSON), or an archive"
    )
    parser.add_argument(
        "-o",
        "--output",
        metavar="FILE",
        type=Path,
        required=True,
        help="the PDF to write; an existing file is kept and a free name beside it is taken",
    )
    parser.add_argument(
        "--number", metavar="TEXT", help="with an archive: the sheet number of the inspection"
    )
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Write the sheet and return the exit status."""
    path: Path = args.record
    events = _from_archive(path, args.number) if _is_archive(path) else read_record(path)
    # Drawing a PDF brings large libraries along: they are loaded once the record has been read.
    from seatproof.core.sheet.document import write_sheet

    print(f"Sheet written to {write_sheet(fold(events), args.output)}.")
    return 0


def _is_archive(path: Path) -> bool:
    try:
        with path.open("rb") as stream:
            return stream.read(len(_DATABASE)) == _DATABASE
    except OSError:
        return False  # reading it as a record says what is wrong with it


def _from_archive(path: Path, number: str | None) -> tuple[Event, ...]:
    with Archive.open(path) as archive:
        sealed = [entry for entry in archive.entries() if entry.sealed]
        for entry in sealed:
            if entry.sheet_number == number:
                events = archive.events(entry.inspection)
                check_chain(events)
                return events
    known = ", ".join(entry.sheet_number for entry in sealed[:10]) or "none"
    raise CommandError(
        f"Name a sealed inspection of {path} by its sheet number with --number; there are: {known}."
    )

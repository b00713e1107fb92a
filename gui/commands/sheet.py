"""``seatproof sheet``: make the inspection sheet of a record again, and its data for others."""

import argparse
import getpass
from pathlib import Path
from typing import TYPE_CHECKING, Final

from seatproof.core.archive.file import Archive
from seatproof.core.archive.query import Query
from seatproof.core.placing import NotPlacedError, place
from seatproof.core.record.events import Event, check_chain
from seatproof.core.record.file import read_record
from seatproof.core.record.state import InspectionState, fold
from seatproof.gui.commands.errors import CommandError

if TYPE_CHECKING:
    from argparse import _SubParsersAction

_DATABASE: Final = b"SQLite format 3\x00"  # how every SQLite file begins
_SHOWN: Final = 10  # sheet numbers to choose from in a message


def add_parser(subparsers: "_SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add this command to the command line."""
    parser = subparsers.add_parser(
        "sheet",
        help="make the inspection sheet of a record, and its readings and results as data",
        description="Make the inspection sheet (PDF/A-3) of an inspection, from its record file "
        "or from an archive. The same record always gives the same file, byte for byte. An "
        "inspection that is not sealed yet gives a draft, which says so on every page.",
    )
    parser.add_argument(
        "record", metavar="RECORD", type=Path, help="a record file (JSON), or an archive"
    )
    parser.add_argument(
        "-o",
        "--output",
        metavar="FILE",
        type=Path,
        help="the PDF to write; an existing file is kept and a free name beside it is taken",
    )
    parser.add_argument(
        "--number", metavar="TEXT", help="with an archive: the sheet number of the inspection"
    )
    parser.add_argument(
        "--csv", metavar="FILE", type=Path, help="also write the readings as CSV (RFC 4180)"
    )
    parser.add_argument(
        "--spreadsheet",
        action="store_true",
        help="write the CSV for spreadsheets that use a comma before the decimals",
    )
    parser.add_argument(
        "--json",
        metavar="FILE",
        type=Path,
        help="also write results and readings as JSON (its schema comes with the program)",
    )
    parser.add_argument(
        "--sign",
        metavar="CERTIFICATE",
        type=Path,
        help="sign the PDF with an organisation's certificate (PKCS#12, PAdES) for outsiders; "
        "the passphrase is asked for",
    )
    parser.add_argument(
        "--passphrase-file",
        metavar="FILE",
        type=Path,
        help="with --sign: take the passphrase from the first line of a file",
    )
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Write what was asked for and return the exit status."""
    if args.output is None and args.csv is None and args.json is None:
        raise CommandError("Say what to write: -o FILE.pdf, --csv FILE or --json FILE.")
    path: Path = args.record
    events = _from_archive(path, args.number) if _is_archive(path) else read_record(path)
    state = fold(events)
    if args.output is not None:
        print(f"Sheet written to {_write_sheet(state, args)}.")
    if args.csv is not None:
        print(f"Readings written to {_write_csv(state, args.csv, args.spreadsheet)}.")
    if args.json is not None:
        print(f"Results written to {_write_json(state, args.json)}.")
    return 0


def _write_sheet(state: InspectionState, args: argparse.Namespace) -> Path:
    # Drawing a PDF brings large libraries along: they are loaded once the record is read.
    from seatproof.core.sheet.document import build_sheet, write_sheet

    output: Path = args.output
    if args.sign is None:
        return write_sheet(state, output)
    from seatproof.core.sheet.signature import sign_sheet

    try:
        certificate = args.sign.read_bytes()
        passphrase = _passphrase(args.passphrase_file)
    except (OSError, UnicodeDecodeError) as error:
        raise CommandError(f"The certificate or its passphrase cannot be read: {error}.") from error
    return _placed(sign_sheet(build_sheet(state), certificate, passphrase), output)


def _passphrase(path: Path | None) -> str:
    if path is None:
        return getpass.getpass("Passphrase of the certificate: ")
    first, _, _ = path.read_text(encoding="utf-8").partition("\n")
    return first.rstrip("\r")


def _write_csv(state: InspectionState, path: Path, for_spreadsheet: bool) -> Path:
    from seatproof.core.exports.readings_csv import EXCHANGE, SPREADSHEET, readings_csv

    return _placed(readings_csv(state, SPREADSHEET if for_spreadsheet else EXCHANGE), path)


def _write_json(state: InspectionState, path: Path) -> Path:
    from seatproof.core.exports.results_json import NotSealedError, results_json

    try:
        return _placed(results_json(state), path)
    except NotSealedError as error:
        raise CommandError(str(error)) from error


def _placed(data: bytes, path: Path) -> Path:
    try:
        return place(data, path)
    except NotPlacedError as error:
        raise CommandError(str(error)) from error


def _is_archive(path: Path) -> bool:
    try:
        with path.open("rb") as stream:
            return stream.read(len(_DATABASE)) == _DATABASE
    except OSError:
        return False  # reading it as a record says what is wrong with it


def _from_archive(path: Path, number: str | None) -> tuple[Event, ...]:
    with Archive.read(path) as archive:
        if number is not None:
            found = archive.find(Query(sheet_number=number))
            if found.entries:
                events = archive.events(found.entries[0].inspection)
                check_chain(events)
                return events
        known = [entry.sheet_number for entry in archive.find(Query(), size=_SHOWN).entries]
    raise CommandError(
        f"Name an inspection of {path} by its sheet number with --number; there are: "
        f"{', '.join(known) or 'none'}."
    )

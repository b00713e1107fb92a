"""``seatproof verify``: whether a record, an archive or a sheet still is what was sealed."""

import argparse
import json
import sys
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Final

from seatproof.core.archive.errors import ArchiveError
from seatproof.core.archive.file import Archive
from seatproof.core.contents import contents
from seatproof.core.people.key_list import KeyList, read_key_list, write_key_list
from seatproof.core.people.register import PeopleRegister
from seatproof.core.verification.archive import REGISTERS, verify_archive
from seatproof.core.verification.findings import Finding, Outcome, Verification, Weight
from seatproof.core.verification.heads import HeadList, read_head_list, write_head_list
from seatproof.core.verification.record import verify_record
from seatproof.core.verification.words import lines
from seatproof.gui.commands.errors import CommandError

if TYPE_CHECKING:
    from argparse import _SubParsersAction

_DATABASE: Final = b"SQLite format 3\x00"  # how every SQLite file begins
_PDF: Final = b"%PDF-"


def add_parser(subparsers: "_SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add this command to the command line."""
    parser = subparsers.add_parser(
        "verify",
        help="check that a record, an archive or a sheet was not altered",
        description="Check a record file, an archive or a sheet (PDF): its chain of events, its "
        "signatures, and the figures under its seal. Exit status: 0 all holds, 1 altered, 2 "
        "unreadable.",
    )
    parser.add_argument(
        "target", metavar="TARGET", type=Path, help="a record file, an archive, or a sheet"
    )
    parser.add_argument(
        "--keys", metavar="FILE", type=Path, help="a list of public keys, to say who signed"
    )
    parser.add_argument(
        "--heads",
        metavar="FILE",
        type=Path,
        help="with an archive: an earlier list of heads, to find what was removed or cut short",
    )
    parser.add_argument(
        "--chains-only",
        action="store_true",
        help="do not work out the figures under the seals again",
    )
    parser.add_argument(
        "--write-keys",
        metavar="FILE",
        type=Path,
        help="with an archive that holds: write its list of public keys",
    )
    parser.add_argument(
        "--write-heads",
        metavar="FILE",
        type=Path,
        help="with an archive that holds: write its list of heads, to be kept elsewhere",
    )
    parser.add_argument("--json", action="store_true", help="print the findings as JSON")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Verify the target and return the exit status."""
    target: Path = args.target
    keys = None if args.keys is None else read_key_list(args.keys)
    try:
        with target.open("rb") as stream:
            beginning = stream.read(len(_DATABASE))
    except OSError as error:
        verification = _unreadable(target, f"{target} cannot be read ({error.strerror}).")
    else:
        is_archive = beginning == _DATABASE
        if not is_archive and (args.heads or args.write_heads or args.write_keys):
            raise CommandError(
                f"{target} is no archive; lists of heads and keys belong to an archive."
            )
        if is_archive:
            verification = _verify_archive(target, keys, args)
        else:
            verification = _verify_file(target, keys, figures=not args.chains_only)
    if args.json:
        print(json.dumps(verification.as_json(), ensure_ascii=False, indent=2))
    else:
        print("\n".join(lines(verification)))
    return verification.exit_status


def _unreadable(target: Path, sentence: str) -> Verification:
    return Verification(str(target), "file", findings=(Finding(Weight.UNREADABLE, sentence),))


def _verify_file(target: Path, keys: KeyList | None, *, figures: bool) -> Verification:
    try:
        content = contents(target)
    except OSError as error:
        return _unreadable(target, f"{target} cannot be read ({error.strerror}).")
    if content.startswith(_PDF):
        # Reading a PDF brings large libraries along: a record does without them.
        from seatproof.core.verification.sheet import verify_sheet

        return verify_sheet(content, target, keys, figures=figures)
    return verify_record(content, target, keys, figures=figures)


def _verify_archive(target: Path, keys: KeyList | None, args: argparse.Namespace) -> Verification:
    heads = None if args.heads is None else read_head_list(args.heads)
    show = sys.stderr.isatty()

    def progress(done: int, total: int) -> None:
        if show and (done % 100 == 0 or done == total):
            end = "\n" if done == total else ""
            sys.stderr.write(f"\r{done} of {total} inspections{end}")

    try:
        with Archive.read(target) as archive:
            verification = verify_archive(
                archive,
                keys,
                heads,
                figures=not args.chains_only,
                unreadable=ArchiveError,
                progress=progress,
            )
            if verification.outcome is Outcome.HOLDS:
                _write_lists(archive, args)
    except ArchiveError as error:
        return Verification(
            str(target), "archive", findings=(Finding(Weight.UNREADABLE, str(error)),)
        )
    return verification


def _write_lists(archive: Archive, args: argparse.Namespace) -> None:
    now = datetime.now(UTC)
    if args.write_keys is not None:
        register = PeopleRegister.open(archive, lambda: now)
        path = write_key_list(KeyList.of(register, now), args.write_keys)
        sys.stderr.write(f"List of public keys written to {path}.\n")
    if args.write_heads is not None:
        registers = {name: archive.register_events(name) for name in REGISTERS}
        heads = HeadList.of(
            archive.heads(),
            [
                (name, events[-1].seq, events[-1].hash)
                for name, events in registers.items()
                if events
            ],
            now,
        )
        path = write_head_list(heads, args.write_heads)
        sys.stderr.write(f"List of heads written to {path}.\n")

"""``seatproof archive``: copy an archive, check it, save what is left of it, move inspections."""

import argparse
import json
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Final

from seatproof.core.archive.backup import back_up
from seatproof.core.archive.file import Archive
from seatproof.core.archive.health import check
from seatproof.core.archive.query import Query
from seatproof.core.archive.salvage import salvage
from seatproof.core.archive.transfer import TRANSFER_SUFFIX, export, import_from
from seatproof.gui.commands.archive_options import add_archive, archive_of, told
from seatproof.gui.commands.errors import CommandError

if TYPE_CHECKING:
    from argparse import _SubParsersAction

_NOT_SO: Final = 1  # exit status: the archive does not hold, or not everything was taken
_MOST_NAMED: Final = 20


def add_parser(subparsers: "_SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add this command to the command line."""
    parser = subparsers.add_parser(
        "archive",
        help="copy, check or save an archive, and move inspections between archives",
        description="Look after an archive, and move inspections between archives.",
    )
    jobs = parser.add_subparsers(metavar="JOB", title="jobs", required=True)

    job = jobs.add_parser(
        "backup",
        help="make a verified copy, also while the archive is in use",
        description="Copy an archive as it is at this moment, and verify every event of the copy.",
    )
    job.add_argument("copy", metavar="COPY", type=Path, help="the copy; replaced once it holds")
    add_archive(job)
    job.set_defaults(run=_backup)

    job = jobs.add_parser(
        "check",
        help="check every page, event and photo of an archive",
        description="Check every page, event and photo. Exit status: 0 all holds, 1 it does not.",
    )
    job.add_argument(
        "named",
        metavar="ARCHIVE",
        type=Path,
        nargs="?",
        default=None,
        help="the archive; that which the window opens unless stated",
    )
    add_archive(job)
    job.add_argument("--json", action="store_true", help="print one JSON document")
    job.set_defaults(run=_check)

    job = jobs.add_parser(
        "export",
        help="write inspections to a file for another archive",
        description="Write inspections, with their photos, to one file that another archive "
        "imports.",
    )
    job.add_argument("numbers", metavar="SHEET", nargs="*", help="sheet numbers of the inspections")
    job.add_argument("--all", action="store_true", help="every inspection of the archive")
    job.add_argument(
        "-o",
        "--output",
        metavar="FILE",
        type=Path,
        required=True,
        help=f"the file to write, usually ending in {TRANSFER_SUFFIX}",
    )
    add_archive(job)
    job.set_defaults(run=_export)

    job = jobs.add_parser(
        "import",
        help="take inspections from a file of another archive",
        description="Verify a file of inspections from its first to its last byte, then take them. "
        "Doing so twice changes nothing. Exit status: 0 all are here, 1 some were refused.",
    )
    job.add_argument("file", metavar="FILE", type=Path, help="what export has written")
    add_archive(job)
    job.add_argument("--json", action="store_true", help="print one JSON document")
    job.set_defaults(run=_import)

    job = jobs.add_parser(
        "salvage",
        help="save what is left of a damaged archive into a new one",
        description="Gather every event that is left in a damaged archive, and store each chain in "
        "a new archive as far as it is whole. The damaged file is only read.",
    )
    job.add_argument("damaged", metavar="DAMAGED", type=Path, help="the damaged archive")
    job.add_argument("new", metavar="NEW", type=Path, help="the archive to make")
    job.add_argument("--json", action="store_true", help="print one JSON document")
    job.set_defaults(run=_salvage)


def _backup(args: argparse.Namespace) -> int:
    done = back_up(archive_of(args), args.copy, told("Copied and verified"))
    health = done.health
    print(
        f"Copied to {done.path}: {_so_many(health.inspections, 'inspection')}, "
        f"{_so_many(health.events, 'event')}, "
        f"{done.n_bytes / 1e6:.1f} MB; every event of the copy was verified."
    )
    return 0


def _check(args: argparse.Namespace) -> int:
    path = archive_of(args) if args.named is None else args.named
    health = check(path, told("Checked"))
    if args.json:
        print(json.dumps(asdict(health) | {"holds": health.holds}, ensure_ascii=False, indent=2))
    elif health.holds:
        print(
            f"The archive {path} holds: {_so_many(health.inspections, 'inspection')}, "
            f"{_so_many(health.events, 'event')}, {_so_many(health.attachments, 'attachment')}."
        )
    else:
        print(f"The archive {path} does not hold:")
        for broken in health.broken[:_MOST_NAMED]:
            print(f"  {broken.sentence}")
        if len(health.broken) > _MOST_NAMED:
            print(f"  and {len(health.broken) - _MOST_NAMED} more.")
    return 0 if health.holds else _NOT_SO


def _export(args: argparse.Namespace) -> int:
    if args.all == bool(args.numbers):
        raise CommandError("Name the inspections by their sheet numbers, or take them --all.")
    with Archive.read(archive_of(args)) as archive:
        inspections = archive.inspections() if args.all else _named(archive, tuple(args.numbers))
        file = export(archive, inspections, args.output, told("Written"))
    were = "was" if len(inspections) == 1 else "were"
    print(f"{_so_many(len(inspections), 'inspection')} {were} written to {file}.")
    return 0


def _named(archive: Archive, numbers: tuple[str, ...]) -> tuple[str, ...]:
    found: list[str] = []
    for number in numbers:
        entries = archive.find(Query(sheet_number=number)).entries
        if not entries:
            raise CommandError(f"The archive {archive.path} has no inspection {number}.")
        found += [entry.inspection for entry in entries]
    return tuple(dict.fromkeys(found))


def _import(args: argparse.Namespace) -> int:
    with Archive.open(archive_of(args)) as archive:
        done = import_from(archive, args.file, told("Verified and taken"))
    if args.json:
        print(json.dumps(asdict(done), ensure_ascii=False, indent=2))
    else:
        print(
            f"Taken: {len(done.added)} new, {len(done.continued)} carried on, "
            f"{len(done.already)} there already, {len(done.refused)} refused."
        )
        for refused in done.refused:
            print(f"  {refused.sentence}")
    return _NOT_SO if done.refused else 0


def _salvage(args: argparse.Namespace) -> int:
    done = salvage(args.damaged, args.new, told("Looked through"))
    if args.json:
        print(json.dumps(asdict(done), ensure_ascii=False, indent=2, default=str))
        return 0
    print(f"Saved into {done.path}, with {_so_many(done.attachments, 'attachment')}:")
    for chain in (*done.inspections, *done.registers):
        print(f"  {chain.sentence}")
    for digest in done.missing_attachments:
        print(f"  Attachment {digest} is lost.")
    if done.loose_events is not None:
        print(f"What follows on nothing any longer was laid aside in {done.loose_events}.")
    return 0


def _so_many(count: int, noun: str) -> str:
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"

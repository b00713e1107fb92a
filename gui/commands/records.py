"""``seatproof records``: find inspections in an archive."""

import argparse
import json
from collections.abc import Sequence
from dataclasses import asdict
from datetime import date
from typing import TYPE_CHECKING, Any, Final

from seatproof.core import figures
from seatproof.core.archive.file import Archive
from seatproof.core.archive.finding import PAGE
from seatproof.core.archive.index import STATES
from seatproof.core.archive.query import Entry, GaugeUse, Query
from seatproof.core.archive.results import SeatResult
from seatproof.core.units import Unit
from seatproof.core.verdict.rule import Verdict
from seatproof.gui.commands.archive_options import add_archive, archive_of
from seatproof.gui.commands.errors import CommandError

if TYPE_CHECKING:
    from argparse import _SubParsersAction

_EXACT: Final = {
    "asset": "the asset, as it was written",
    "shaft": "the shaft's serial number",
    "work-order": "the work order",
    "sheet-number": "the number of the sheet",
    "seat": "the id of a seat, such as A",
    "inspector": "somebody who measured",
    "gauge": "the inventory number of a gauge, setting standard or tool",
}


def add_parser(subparsers: "_SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add this command to the command line."""
    parser = subparsers.add_parser(
        "records",
        help="find inspections in an archive",
        description="Find inspections, newest first. Everything that is given must hold.",
    )
    parser.add_argument(
        "text",
        metavar="TEXT",
        nargs="*",
        help="words, or their beginnings, that stand anywhere in the inspection",
    )
    add_archive(parser)
    for name, words in _EXACT.items():
        parser.add_argument(f"--{name}", metavar="TEXT", default="", help=words)
    parser.add_argument("--verdict", choices=[str(verdict) for verdict in Verdict], default="")
    parser.add_argument("--state", choices=STATES, default="", help="how far it is")
    sealed = parser.add_mutually_exclusive_group()
    sealed.add_argument("--sealed", action="store_true", help="only sealed ones")
    sealed.add_argument("--unsealed", action="store_true", help="only those that are not sealed")
    parser.add_argument("--from", metavar="DAY", dest="first", type=_day, help="opened on or after")
    parser.add_argument("--to", metavar="DAY", dest="last", type=_day, help="opened on or before")
    parser.add_argument(
        "--count", metavar="N", type=int, default=PAGE, help=f"how many to list ({PAGE})"
    )
    parser.add_argument("--page", metavar="PAGE", type=int, help="the page that the last one named")
    other = parser.add_mutually_exclusive_group()
    other.add_argument(
        "--trend",
        action="store_true",
        help="what every inspection of one seat found; with --seat, and --asset or --shaft",
    )
    other.add_argument(
        "--in-service",
        action="store_true",
        help="the inspections in which a gauge was in service between two days; with --gauge, "
        "--from and --to",
    )
    parser.add_argument("--json", action="store_true", help="print one JSON document")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Print what was found and return the exit status."""
    with Archive.read(archive_of(args)) as archive:
        if args.trend:
            return _trend(archive, args)
        if args.in_service:
            return _in_service(archive, args)
        page = archive.find(_query(args), args.page, args.count)
    if args.json:
        _print_json({"entries": [asdict(one) for one in page.entries], "page": page.next_page})
        return 0
    if not page.entries:
        print("No inspection was found.")
        return 0
    _print_table(_ENTRY_HEADS, [_entry_line(entry) for entry in page.entries])
    if page.next_page is not None:
        print(f"\nThere are more; they follow with: --page {page.next_page}")
    return 0


def _query(args: argparse.Namespace) -> Query:
    return Query(
        text=" ".join(args.text),
        asset=args.asset,
        shaft=args.shaft,
        work_order=args.work_order,
        sheet_number=args.sheet_number,
        seat=args.seat,
        inspector=args.inspector,
        gauge=args.gauge,
        verdict=args.verdict,
        state=args.state,
        opened_from=args.first,
        opened_to=args.last,
        sealed=True if args.sealed else False if args.unsealed else None,
    )


# --- one seat, one gauge --------------------------------------------------------------------------


def _trend(archive: Archive, args: argparse.Namespace) -> int:
    if not args.seat or not (args.asset or args.shaft):
        raise CommandError("A trend is of one seat: name it with --seat, and --asset or --shaft.")
    trend = archive.seat_trend(args.seat, asset=args.asset, shaft=args.shaft)
    if args.json:
        _print_json([{"entry": asdict(entry), "result": asdict(one)} for entry, one in trend])
    elif not trend:
        print("No sealed inspection of that seat was found.")
    else:
        _print_table(_TREND_HEADS, [_trend_line(entry, result) for entry, result in trend])
    return 0


def _in_service(archive: Archive, args: argparse.Namespace) -> int:
    if not args.gauge or args.first is None or args.last is None:
        raise CommandError("Name the gauge with --gauge, and the days with --from and --to.")
    uses: list[GaugeUse] = []
    page = args.page
    while True:  # whoever asks this wants all of them
        answer = archive.gauge_uses(args.gauge, args.first, args.last, page)
        uses += answer.uses
        page = answer.next_page
        if page is None:
            break
    if args.json:
        _print_json([asdict(use) for use in uses])
    elif not uses:
        print(f"The gauge {args.gauge} was not in service between these days.")
    else:
        _print_table(_USE_HEADS, [_use_line(use) for use in uses])
    return 0


# --- tables ---------------------------------------------------------------------------------------

_ENTRY_HEADS: Final = ("Opened", "Sheet", "Shaft or asset", "Work order", "State", "Verdict", "By")
_USE_HEADS: Final = ("First day", "Last day", "Readings", "Sheet", "Shaft or asset", "State")
_TREND_HEADS: Final = (
    "Opened",
    "Sheet",
    "Mean",
    "Smallest",
    "Largest",
    "Roundness (radial)",
    "Two-point ovality",
    "Taper",
    "Verdict",
)


def _entry_line(entry: Entry) -> tuple[str, ...]:
    state = "superseded" if entry.superseded_by else entry.state
    return (
        entry.opened_day,
        entry.sheet_number,
        entry.thing,
        entry.work_order,
        state,
        entry.verdict,
        ", ".join(entry.inspectors),
    )


def _use_line(use: GaugeUse) -> tuple[str, ...]:
    entry, readings = use.entry, str(use.readings)
    named = (entry.sheet_number, entry.thing, entry.state)
    return (use.first_day, use.last_day, readings, *named)


def _trend_line(entry: Entry, result: SeatResult) -> tuple[str, ...]:
    unit = Unit(result.unit)
    sizes = (result.mean_mm, result.smallest_mm, result.largest_mm)
    superseded = f" (superseded by {entry.superseded_by[:8]})" if entry.superseded_by else ""
    return (
        entry.opened_day,
        entry.sheet_number,
        *(figures.size_unit(size, unit) for size in sizes),
        figures.small(result.roundness_um, unit),
        figures.small(result.ovality_um, unit),
        figures.small(result.taper_um, unit, sign=True),
        f"{result.verdict}{superseded}",
    )


def _print_table(heads: Sequence[str], lines: Sequence[tuple[str, ...]]) -> None:
    table = [tuple(heads), *lines]
    widths = [max(len(line[column]) for line in table) for column in range(len(heads))]
    for line in table:
        print(
            "  ".join(cell.ljust(width) for cell, width in zip(line, widths, strict=True)).rstrip()
        )


def _print_json(value: Any) -> None:
    print(json.dumps(value, ensure_ascii=False, indent=2))


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError as error:
        raise argparse.ArgumentTypeError(
            f'"{text}" is not a day; write it as year-month-day, such as 2024-05-17'
        ) from error

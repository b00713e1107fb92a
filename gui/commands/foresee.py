"""``seatproof foresee``: what a plan will be able to prove, and with how few readings."""

import argparse
import json
from dataclasses import asdict
from math import inf
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from seatproof.core.evaluation.requirement import Characteristic
from seatproof.core.foresight.ahead import GaugeAhead
from seatproof.core.foresight.design import Design
from seatproof.core.foresight.errors import ForesightError
from seatproof.core.foresight.outlook import Outlook, foresee
from seatproof.core.foresight.prospect import Prospect
from seatproof.core.foresight.smallest import DEFAULT_SHARE, smallest_design
from seatproof.core.plan.file import parse_plan, read_plan_text
from seatproof.core.plan.model import Plan
from seatproof.core.quantities import parse_length
from seatproof.core.units import UM_PER_MM, to_mm
from seatproof.core.verdict.errors import VerdictError
from seatproof.core.verdict.limits import Limits
from seatproof.core.verdict.risk import GlobalRisks, Prior, global_risks
from seatproof.gui.commands.errors import CommandError
from seatproof.gui.commands.foresee_gauge import add_gauge_options, gauge_from
from seatproof.gui.commands.foresee_record import UnderWay, read_under_way
from seatproof.gui.commands.foresee_text import Foreseen, as_text

if TYPE_CHECKING:
    from argparse import _SubParsersAction

_DESCRIPTION: Final = (
    "Say before measuring what uncertainty to expect, whether the tolerances of a plan can be "
    "proven with it at all, and with how few readings. Of the record of an inspection under way, "
    "say also which reading to take next."
)
_CAUTION: Final = (
    "A forecast for a perfect seat in the middle of its limits; what is found decides. Lengths are "
    "in the plan's unit."
)


def add_parser(subparsers: "_SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add this command to the command line."""
    parser = subparsers.add_parser(
        "foresee",
        help="say what a plan can prove, and with how few readings",
        description=_DESCRIPTION,
        epilog=_CAUTION,
    )
    add = parser.add_argument
    add("file", metavar="FILE", type=Path, help="a plan (TOML), or the record of an inspection")
    add("--seat", metavar="ID", help="one seat only")
    add("--stations", metavar="N", type=int, help="so many stations instead of the plan's")
    add("--orientations", metavar="N", type=int, help="so many orientations instead")
    add("--repeats", metavar="N", type=int, help="so many readings at each point instead")
    add(
        "--share",
        metavar="PERCENT",
        type=float,
        default=100.0 * DEFAULT_SHARE,
        help="part of every tolerance that the smallest set is to leave for the seat itself "
        f"({100.0 * DEFAULT_SHARE:.0f} unless stated)",
    )
    add(
        "--process",
        nargs=2,
        metavar=("MEAN", "SD"),
        help="mean size and standard deviation of the seats as they are made: how many of them "
        "would be judged wrongly",
    )
    add_gauge_options(parser)
    add("--json", action="store_true", help="print one JSON document, in mm and µm")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Print the forecast and return the exit status.

    Raises
    ------
    CommandError
        Nothing can be foreseen with what was given.
    """
    if not 0.0 <= args.share < 100.0:
        raise CommandError("--share is a percentage from 0 to below 100.")
    under_way = read_under_way(args.file)
    try:
        plan = under_way.plan if under_way else _plan(args.file)
        found = [_seat(plan, seat_id, args, under_way) for seat_id in _seats(plan, args.seat)]
    except (ForesightError, VerdictError) as error:
        raise CommandError(str(error)) from error
    if args.json:
        print(json.dumps({"plan": plan.heading.title, "seats": [_as_json(one) for one in found]}))
    else:
        print(as_text(plan, found))
    return 0


def _plan(path: Path) -> Plan:
    return parse_plan(read_plan_text(path), source=str(path))


def _seats(plan: Plan, wanted: str | None) -> tuple[str, ...]:
    if wanted is not None:
        return (wanted,)
    able = tuple(seat.id for seat in plan.seats if seat.has_size)
    if not able:
        raise CommandError("No seat of this plan is measured by diameters; nothing is foreseen.")
    return able


def _seat(
    plan: Plan, seat_id: str, args: argparse.Namespace, under_way: UnderWay | None
) -> Foreseen:
    gauge = _gauge(plan, seat_id, args, under_way)
    outlook = foresee(plan, seat_id, gauge, _design(plan, seat_id, args))
    return Foreseen(
        outlook=outlook,
        smallest=smallest_design(plan, seat_id, gauge, args.share / 100.0),
        advice=under_way.advice(seat_id) if under_way else (),
        risks=None if args.process is None else _risks(plan, outlook, args.process),
    )


def _risks(plan: Plan, outlook: Outlook, process: tuple[str, str]) -> GlobalRisks | None:
    """Return how many seats of a process would be judged wrongly by size; None without a U."""
    mean_mm, spread_mm = (to_mm(parse_length(text), plan.unit) for text in process)
    nominal_mm = plan.seat(outlook.seat_id).nominal_mm
    prior = Prior(float(mean_mm - nominal_mm) * UM_PER_MM, float(spread_mm) * UM_PER_MM)
    size = next(one for one in outlook.prospects if one.characteristic is Characteristic.SIZE)
    if size.standard_um is None:
        return None
    return global_risks(
        prior,
        Limits.of(size.lower_um, size.upper_um),
        size.zone if size.provable else None,
        size.standard_um,
        inf if size.degrees_of_freedom is None else size.degrees_of_freedom,
    )


def _gauge(
    plan: Plan, seat_id: str, args: argparse.Namespace, under_way: UnderWay | None
) -> GaugeAhead | None:
    stated = gauge_from(args, plan.unit)
    if stated is None and under_way is not None:
        return under_way.gauge(seat_id)
    return stated


def _design(plan: Plan, seat_id: str, args: argparse.Namespace) -> Design | None:
    given = (args.stations, args.orientations, args.repeats)
    if all(number is None for number in given):
        return None
    for seat in plan.seats:
        if seat.id == seat_id:
            own = Design.of(seat)
            return Design(
                own.stations if args.stations is None else args.stations,
                own.orientations if args.orientations is None else args.orientations,
                own.repeats if args.repeats is None else args.repeats,
            )
    return None  # foreseeing a seat that is not there says so


def _as_json(foreseen: Foreseen) -> dict[str, Any]:
    outlook, smallest = foreseen.outlook, foreseen.smallest
    found = smallest.found
    return {
        "seat": outlook.seat_id,
        "design": _numbers(outlook.design),
        "provable": outlook.provable,
        "requirements": [_requirement(prospect) for prospect in outlook.prospects],
        "lacking": list(outlook.lacking),
        "assumptions": list(outlook.assumptions),
        "grades": [asdict(grade) for grade in outlook.grades],
        "smallest": {
            "share": smallest.share,
            "design": None if found is None else _numbers(found.design),
            "best_share": smallest.best.share,
            "best_design": _numbers(smallest.best.design),
        },
        "risks": None if foreseen.risks is None else asdict(foreseen.risks),
        "next": [
            {
                "station": one.key.station,
                "orientation": one.key.orientation,
                "for": one.aim.name.lower(),
                "chance": one.chance,
                "standard_now_um": one.standard_now_um,
                "standard_then_um": one.standard_then_um,
            }
            for one in foreseen.advice
        ],
    }


def _numbers(design: Design) -> dict[str, int]:
    return {**asdict(design), "readings": design.readings}


def _requirement(prospect: Prospect) -> dict[str, Any]:
    told = asdict(prospect)
    zone = told.pop("zone")
    told["characteristic"] = prospect.characteristic.value
    told["zone_um"] = None if zone is None else [zone["lower"], zone["upper"]]
    return told

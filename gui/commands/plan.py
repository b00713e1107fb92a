"""``seatproof plan``: check a plan, show what it asks for, and make a new version of it."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from seatproof.core import figures
from seatproof.core.plan.errors import PlanError
from seatproof.core.plan.fields import length_text
from seatproof.core.plan.file import parse_plan, read_plan_text, save_plan
from seatproof.core.plan.model import Plan
from seatproof.core.plan.seat import FormTolerance, Seat
from seatproof.gui.commands.errors import CommandError

if TYPE_CHECKING:
    from argparse import _SubParsersAction


def add_parser(subparsers: "_SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add this command to the command line."""
    parser = subparsers.add_parser(
        "plan",
        help="check a plan and show what it asks for",
        description="Check a plan, list everything that must be mended, and show what it asks for.",
    )
    parser.add_argument("file", metavar="FILE", type=Path, help="a plan file (TOML)")
    parser.add_argument(
        "--copy-to",
        metavar="NEW",
        type=Path,
        help="also write the plan, comments kept, to a new file as its next version",
    )
    parser.add_argument(
        "--plan-version", metavar="TEXT", help="the version of the copy; next number unless stated"
    )
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Print the plan and return the exit status; `PlanError` where it cannot be used."""
    if args.plan_version is not None and args.copy_to is None:
        raise CommandError(
            "--plan-version is the version of a copy; say with --copy-to where to write it."
        )
    text = read_plan_text(args.file)
    try:
        plan = parse_plan(text, source=str(args.file))
    except PlanError as error:
        if len(error.problems) > 1:
            for problem in error.problems:
                print(problem)
        raise
    print(describe(plan))
    if args.copy_to is not None:
        stated = args.plan_version
        following = _with_version(
            plan, _next_version(plan, args.file) if stated is None else stated
        )
        save_plan(following, args.copy_to, original=text)
        print(f"Written to {args.copy_to} as version {following.heading.version}.")
    return 0


def describe(plan: Plan) -> str:
    """Say in a few lines what a plan asks for."""
    heading, shaft = plan.heading, plan.shaft
    lines = [
        f"{heading.title}, version {heading.version}",
        f"  drawing {heading.drawing or 'not named'}; working unit {plan.unit}",
        f"  {shaft.name}: {length_text(shaft.length_mm, plan.unit)} long; lengths from the "
        f"{shaft.datum_face}, angles from the {shaft.angular_datum}",
    ]
    for seat in plan.seats:
        lines += _describe_seat(plan, seat)
    lines.append(f"  {len(plan.points())} points in all, {plan.walk}")
    return "\n".join(lines)


def _describe_seat(plan: Plan, seat: Seat) -> list[str]:
    unit = plan.unit
    lower, upper = figures.limits(*seat.limits_mm, unit)
    tolerance_class = f" {seat.tolerance_class}" if seat.tolerance_class else ""
    stations = ", ".join(figures.position(z_mm, unit) for z_mm in seat.stations_mm)
    angles = ", ".join(figures.angle(angle) for angle in seat.orientations_deg)
    lines = [
        f"  seat {seat.id}, {seat.name}: ⌀ {length_text(seat.nominal_mm, unit)}{tolerance_class}, "
        f"{lower} {unit} to {upper} {unit}, judged by {seat.judged}",
        f"    stations at {stations} {unit}; orientations {angles}; {seat.repeats} reading(s) each",
    ]
    named = (
        ("roundness", seat.roundness),
        ("cylindricity", seat.cylindricity),
        ("taper", seat.taper),
    )
    for name, form in named:
        if form is not None:
            lines.append(f"    {name} {_tolerance(plan, seat, form)}")
    return lines


def _tolerance(plan: Plan, seat: Seat, form: FormTolerance) -> str:
    limit = figures.tolerance(form.limit_um(seat.nominal_mm), plan.unit)
    origin = f" = {form.tolerance}" if isinstance(form.tolerance, str) else ""
    return f"within {limit}{origin} ({form.sense})"


def _next_version(plan: Plan, file: Path) -> str:
    version = plan.heading.version
    if not version.isdecimal():
        raise PlanError.single(
            str(file), f'version "{version}" is no number, so name the next with --plan-version'
        )
    return str(int(version) + 1)


def _with_version(plan: Plan, version: str) -> Plan:
    heading = plan.heading.model_copy(update={"version": version.strip()})
    return plan.model_copy(update={"heading": heading})

"""``seatproof plan``: check a plan, show what it asks for, and make a new version of it."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from seatproof.core import figures
from seatproof.core.placing import NotPlacedError, place
from seatproof.core.plan.errors import PlanError
from seatproof.core.plan.fields import length_text
from seatproof.core.plan.file import parse_plan, read_plan_text, save_plan
from seatproof.core.plan.model import Plan
from seatproof.core.plan.seat import FormTolerance, Seat
from seatproof.core.plan.uncertainty import BudgetUncertainty
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
    parser.add_argument(
        "--strips",
        metavar="PDF",
        type=Path,
        help="write marking strips at full size: round every seat and along it",
    )
    parser.add_argument(
        "--blank",
        metavar="PDF",
        type=Path,
        help="write a sheet to fill in by hand where there is no computer",
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
    # Imported here: describing a plan need not wait for what makes a PDF.
    if args.strips is not None:
        from seatproof.core.workshop.strip import build_strips

        print(f"Marking strips: {_placed(build_strips(plan), args.strips)}")
        print("  Print them at actual size, and measure the line of 100 mm before use.")
    if args.blank is not None:
        from seatproof.core.workshop.blank import build_blank

        print(f"Sheet to fill in: {_placed(build_blank(plan), args.blank)}")
    return 0


def _placed(data: bytes, path: Path) -> Path:
    try:
        return place(data, path)
    except NotPlacedError as error:
        raise CommandError(str(error)) from error


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
    walk = f"{plan.walk}, there and back" if plan.there_and_back else plan.walk
    lines.append(f"  {len(plan.points())} points in all, {walk}")
    lines += _describe_rules(plan)
    return "\n".join(lines)


def _describe_seat(plan: Plan, seat: Seat) -> list[str]:
    unit = plan.unit
    stations = ", ".join(figures.position(z_mm, unit) for z_mm in seat.stations_mm)
    angles = ", ".join(figures.angle(angle) for angle in seat.orientations_deg)
    readings = f"{seat.repeats} {'reading' if seat.repeats == 1 else 'readings'}"
    lines = [
        f"  seat {seat.id}, {seat.name}: ⌀ {length_text(seat.nominal_mm, unit)}"
        f"{_size_asked(plan, seat)}",
        f"    stations at {stations} {unit}; orientations {angles}; {readings} each",
    ]
    named = (
        ("roundness", seat.roundness),
        ("cylindricity", seat.cylindricity),
        ("taper", seat.taper),
        ("circular run-out", seat.run_out),
        ("total run-out", seat.total_run_out),
    )
    for name, form in named:
        if form is not None:
            lines.append(f"    {name} {_tolerance(plan, seat, form)}")
    return lines


def _size_asked(plan: Plan, seat: Seat) -> str:
    if seat.has_size:
        lower, upper = figures.limits(*seat.limits_mm, plan.unit)
        tolerance_class = f" {seat.tolerance_class}" if seat.tolerance_class else ""
        return (
            f"{tolerance_class}, {lower} {plan.unit} to {upper} {plan.unit}, "
            f"judged by {seat.judged}"
        )
    method = f"in a vee of {seat.vee_angle_deg:f}°" if seat.method == "vee" else seat.method
    further = f", a further set on seat {seat.same_seat_as}" if seat.same_seat_as else ""
    return f", {method}{further}"


def _describe_rules(plan: Plan) -> list[str]:
    lines = []
    if isinstance(plan.uncertainty, BudgetUncertainty):
        lines.append("  uncertainty from a budget, worked out with the gauge and its checks")
    checks = plan.checks
    asked = [name for name in ("opening", "closing") if getattr(checks, name)]
    if asked:
        where = "on a setting standard" if checks.standard else "on a standard or at zero"
        drift = (
            f", drift at most {length_text(checks.drift_mm, plan.unit)}" if checks.drift_mm else ""
        )
        lines.append(f"  reference check {' and '.join(asked)} {where}{drift}")
    if plan.conditions:
        lines.append(f"  condition of every seat: {', '.join(plan.conditions)}")
    if plan.signing.signatures:
        lines.append("  the seal must be signed")
    if plan.fitting:
        lines.append(f"  fitting steps: {', '.join(step.text for step in plan.fitting)}")
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

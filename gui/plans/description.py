"""What a kept plan asks for, in a few lines in the window's language; without Qt."""

from decimal import Decimal

from seatproof.core import figures
from seatproof.core.plan.fields import length_text
from seatproof.core.plan.model import Plan
from seatproof.core.plan.seat import FormTolerance, Seat
from seatproof.core.plan.uncertainty import BudgetUncertainty
from seatproof.core.units import Unit
from seatproof.gui.plans.numerals import joined
from seatproof.gui.shared.saying import again, say, wording

_FORMS = {
    "roundness": wording("Roundness"),
    "cylindricity": wording("Cylindricity"),
    "taper": wording("Taper"),
    "run_out": wording("Circular run-out"),
    "total_run_out": wording("Total run-out"),
}


def description(plan: Plan) -> str:
    """Say what a plan asks for, line by line."""
    heading = plan.heading
    lines = [f"{heading.title}, {say('version')} {heading.version}"]
    if heading.drawing:
        lines.append(f"{say('Drawing')}: {heading.drawing}")
    lines.append(
        say(
            "{shaft}: {length} long; lengths from: {face}; angles from: {mark}",
            shaft=plan.shaft.name,
            length=_length(plan.shaft.length_mm, plan.unit),
            face=plan.shaft.datum_face,
            mark=plan.shaft.angular_datum,
        )
    )
    for seat in plan.seats:
        lines += ["", *_seat(plan, seat)]
    return "\n".join([*lines, "", *_round(plan), *_rules(plan)])


def _seat(plan: Plan, seat: Seat) -> list[str]:
    unit = plan.unit
    head = f"{say('Seat {seat}', seat=seat.id)}, {seat.name}"
    lines = [f"{head}: ⌀ {_length(seat.nominal_mm, unit)} {seat.tolerance_class or ''}".rstrip()]
    if seat.has_size:
        lower, upper = figures.limits(*seat.limits_mm, unit)
        limits = say("{low} to {high}", low=f"{lower} {unit}", high=f"{upper} {unit}")
        lines.append(say("{limits}, judged by: {judged}", limits=limits, judged=again(seat.judged)))
    else:
        lines.append(_method(seat))
    if seat.same_seat_as:
        lines.append(say("a further set on seat {seat}", seat=seat.same_seat_as))
    lines += [
        say(
            "stations at: {stations} {unit}",
            stations=joined(figures.position(z_mm, unit) for z_mm in seat.stations_mm),
            unit=str(unit),
        ),
        say(
            "orientations: {angles}",
            angles="  ".join(again(figures.angle(angle)) for angle in seat.orientations_deg),
        ),
        say("1 reading at every point")
        if seat.repeats == 1
        else say("{count} readings at every point", count=str(seat.repeats)),
    ]
    for key, name in _FORMS.items():
        form: FormTolerance | None = getattr(seat, key)
        if form is not None:
            limit = again(figures.tolerance(form.limit_um(seat.nominal_mm), unit))
            origin = f"{form.tolerance} = " if isinstance(form.tolerance, str) else ""
            lines.append(f"{say(name)}: {origin}{limit} ({again(form.sense)})")
    return [lines[0], *(f"    {line}" for line in lines[1:])]


def _method(seat: Seat) -> str:
    if seat.method == "vee":
        return say("indicator over a vee of {angle}°", angle=f"{seat.vee_angle_deg:f}")
    if seat.method == "radial":
        return say("indicator against the shaft")
    return say("two-point: diameters")


def _round(plan: Plan) -> list[str]:
    count = len(plan.points())
    points = say("1 point") if count == 1 else say("{points} points", points=str(count))
    walk = again(plan.walk)
    return [f"{points}; {walk}, {say('there and back')}" if plan.there_and_back else
            f"{points}; {walk}"]  # fmt: skip


def _rules(plan: Plan) -> list[str]:
    lines = []
    if isinstance(plan.uncertainty, BudgetUncertainty):
        lines.append(say("Uncertainty from a budget, worked out with the gauge and its checks"))
    checks = plan.checks
    asked = [
        word
        for is_asked, word in (
            (checks.opening, say("before the readings")),
            (checks.closing, say("after them")),
        )
        if is_asked
    ]
    if asked:
        where = say("on a setting standard") if checks.standard else say("on a standard or at zero")
        lines.append(say("Check of the gauge {when}, {where}", when=", ".join(asked), where=where))
        if checks.drift_mm:
            lines.append(say("Drift: {drift} at most", drift=_length(checks.drift_mm, plan.unit)))
    if plan.conditions:
        what = ", ".join(plan.conditions)
        lines.append(f"{say('Condition of every seat')}: {what}")
    if plan.signing.signatures:
        lines.append(say("The seal must be signed"))
    if plan.fitting:
        lines.append(f"{say('Fitting steps')}: {', '.join(step.text for step in plan.fitting)}")
    return lines


def _length(length_mm: Decimal, unit: Unit) -> str:
    return again(length_text(length_mm, unit))

"""How ``seatproof foresee`` tells a forecast."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from seatproof.core import figures
from seatproof.core.evaluation.requirement import Characteristic
from seatproof.core.foresight.design import Design
from seatproof.core.foresight.next_reading import NextReading
from seatproof.core.foresight.outlook import Outlook
from seatproof.core.foresight.prospect import Prospect
from seatproof.core.foresight.smallest import Smallest
from seatproof.core.plan.model import Plan
from seatproof.core.plan.seat import Seat
from seatproof.core.units import UM_PER_MM, Unit
from seatproof.core.verdict.risk import GlobalRisks

_NAME_WIDTH: Final = 13


@dataclass(frozen=True, slots=True)
class Foreseen:
    """Everything that was foreseen of one seat.

    `advice` is empty without a record, and `risks` None without a process.
    """

    outlook: Outlook
    smallest: Smallest
    advice: tuple[NextReading, ...]
    risks: GlobalRisks | None


def as_text(plan: Plan, found: Sequence[Foreseen]) -> str:
    """Write what was foreseen of each seat, in the plan's unit."""
    lines = [f"{plan.heading.title}, version {plan.heading.version}: what it can prove"]
    for foreseen in found:
        lines += _seat(plan, foreseen)
    lines.append(
        "A forecast for a perfect seat in the middle of its limits; what is found decides."
    )
    return "\n".join(lines)


def _seat(plan: Plan, foreseen: Foreseen) -> list[str]:
    outlook = foreseen.outlook
    seat, unit = plan.seat(outlook.seat_id), plan.unit
    lines = [f"seat {seat.id}, {seat.name}: {_design(outlook.design)}"]
    for prospect in outlook.prospects:
        lines += _prospect(seat, prospect, unit)
    lines += [f"  ! {sentence}" for sentence in (*outlook.lacking, *outlook.assumptions)]
    for grade in outlook.grades:
        u = figures.uncertainty(grade.expanded_um, unit)
        beside = " (in use)" if grade.in_use else ""
        if grade.assumption:
            beside = f" (assuming {grade.assumption})"
        lines.append(f"  U of a local size by {grade.evidence}: {u}{beside}")
    if not outlook.lacking:
        lines += _smallest(foreseen.smallest)
    if foreseen.risks is not None:
        lines.append(_risks(foreseen.risks))
    lines += [f"  {_next(seat, one, unit)}" for one in foreseen.advice]
    return lines


def _risks(risks: GlobalRisks) -> str:
    outside, consumer, producer = (
        f"{100.0 * share:.2f}" for share in (risks.outside, risks.consumer, risks.producer)
    )
    return (
        f"  of 100 seats of that process {outside} are outside the limits of size; {consumer} "
        f"would be accepted though outside, {producer} not accepted though inside"
    )


def _prospect(seat: Seat, prospect: Prospect, unit: Unit) -> list[str]:
    name = f"  {prospect.characteristic:<{_NAME_WIDTH}}"
    if prospect.zone is None or not prospect.provable:
        return [f"{name} cannot be proven. {prospect.why_not}"]
    uncertain = ""
    if prospect.expanded_um is not None and prospect.coverage_factor is not None:
        u = figures.uncertainty(prospect.expanded_um, unit)
        uncertain = f"U {u} (k = {prospect.coverage_factor:.2f}); "
    left = f"{100.0 * prospect.share:.0f} % of the tolerance is left for the seat itself"
    return [f"{name} {uncertain}{_zone(seat, prospect, unit)}; {left}"]


def _zone(seat: Seat, prospect: Prospect, unit: Unit) -> str:
    zone = prospect.zone
    assert zone is not None  # the caller looked
    if prospect.characteristic is Characteristic.SIZE:
        nominal_mm = float(seat.nominal_mm)
        lower, upper = (
            figures.size(nominal_mm + edge / UM_PER_MM, unit) for edge in (zone.lower, zone.upper)
        )
        return f"{seat.judged} accepted from {lower} to {upper} {unit}"
    limit = figures.tolerance(prospect.upper_um, unit)
    upper = figures.small(zone.upper, unit)
    return f"accepted up to {upper} of {limit} ({prospect.sense})"


def _smallest(smallest: Smallest) -> list[str]:
    share = f"{100.0 * smallest.share:.0f} %"
    if smallest.found is None:
        best = smallest.best
        return [
            f"  no set of points that was looked at leaves {share} of every tolerance; the best, "
            f"{_design(best.design)}, leaves {100.0 * best.share:.0f} %"
        ]
    least = smallest.least
    return [
        f"  fewest readings that leave {share} of every tolerance: "
        f"{_design(smallest.found.design)}",
        f"    (fewer than {least.stations} stations or {least.orientations} orientations show too "
        "little of the form to be proposed)",
    ]


def _design(design: Design) -> str:
    return (
        f"{_many(design.stations, 'station')} × {_many(design.orientations, 'orientation')} × "
        f"{_many(design.repeats, 'reading')} = {design.readings}"
    )


def _many(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"


def _next(seat: Seat, one: NextReading, unit: Unit) -> str:
    z = figures.position(seat.stations_mm[one.key.station - 1], unit)
    angle = figures.angle(seat.orientations_deg[one.key.orientation - 1])
    place = f"next: station {one.key.station} ({z} {unit}) at {angle}, for {one.aim}"
    if one.standard_now_um is None or one.standard_then_um is None:
        return place
    now = figures.small_number(one.standard_now_um, unit)
    then = figures.small(one.standard_then_um, unit)
    return f"{place}: settles it with {100.0 * one.chance:.0f} % (u from {now} to {then})"

"""The requirement on the size of a seat, by the statistic that its plan names."""

from typing import Final

from seatproof.core.evaluation.doubts import Doubts
from seatproof.core.evaluation.requirement import (
    Characteristic,
    Requirement,
    finite_or_none,
    inner_guard_um,
    rule_of,
    too_uncertain,
)
from seatproof.core.evaluation.sizes import LocalSize, StationResult, mean
from seatproof.core.evaluation.uncertain import SeatUncertainty, Uncertain
from seatproof.core.plan.model import Plan
from seatproof.core.plan.points import PointKey
from seatproof.core.plan.seat import Judged, Seat
from seatproof.core.units import UM_PER_MM
from seatproof.core.verdict.knowledge import Estimate
from seatproof.core.verdict.limits import Limits
from seatproof.core.verdict.parts import Effort, Statistic
from seatproof.core.verdict.rule import Rule, Verdict
from seatproof.core.verdict.settling import what_would_settle
from seatproof.core.verdict.wording import settlement_sentences

_JUDGED: Final[dict[Judged, str]] = {
    "local sizes": "every local size",
    "station means": "the mean of every station",
    "overall mean": "the mean of all stations",
}


def size_requirement(
    plan: Plan,
    seat: Seat,
    sizes: tuple[LocalSize, ...],
    stations: tuple[StationResult, ...],
    uncertain: SeatUncertainty | None,
    doubts: Doubts,
) -> Requirement:
    """Judge the size of a seat; without an uncertainty nothing can be proven."""
    rule = rule_of(plan)
    nominal_mm = float(seat.nominal_mm)
    lower_mm, upper_mm = (float(limit) for limit in seat.limits_mm)
    values, decisive = _judged_sizes(seat, sizes, stations)
    extremes = (min(values), max(values)) if values else None
    known = None if uncertain is None else uncertain.of_judged()
    verdict = Verdict.NOT_PROVEN
    reasons: tuple[str, ...] = ("No readings yet.",)
    probability = None
    if extremes is not None:
        verdict, reasons = _judged(rule, extremes, known, (lower_mm, upper_mm))
        probability = _probability(seat, extremes, known, uncertain)
        if rule.by_distribution and verdict is Verdict.CONFORMS:
            verdict, reasons = by_probability(rule, probability, doubt=0.0)
    settle: tuple[str, ...] = ()
    if extremes and known and uncertain and verdict is Verdict.NOT_PROVEN and not doubts.sentences:
        settle = _what_would_settle(plan, seat, extremes, known, uncertain)
    verdict, reasons = doubts.applied(verdict, reasons)

    def departure_um(value_mm: float) -> float:
        return (value_mm - nominal_mm) * UM_PER_MM

    return Requirement(
        seat_id=seat.id,
        characteristic=Characteristic.SIZE,
        sense="diametral",
        judged=_JUDGED[seat.judged],
        lower_um=float(seat.limits_mm[0] - seat.nominal_mm) * UM_PER_MM,
        upper_um=float(seat.limits_mm[1] - seat.nominal_mm) * UM_PER_MM,
        smallest_um=None if extremes is None else departure_um(extremes[0]),
        largest_um=None if extremes is None else departure_um(extremes[1]),
        expanded_um=None if extremes is None or known is None else known.expanded_um,
        coverage_factor=None if known is None else known.coverage_factor,
        guard_um=(
            0.0
            if known is None
            else inner_guard_um(
                rule, known.standard_um, (upper_mm - lower_mm) * UM_PER_MM, known.dof
            )
        ),
        verdict=verdict,
        decisive=decisive,
        reasons=reasons,
        standard_um=None if extremes is None or known is None else known.standard_um,
        degrees_of_freedom=None if known is None else finite_or_none(known.dof),
        probability=probability,
        settle=settle,
    )


def _what_would_settle(
    plan: Plan,
    seat: Seat,
    extremes: tuple[float, float],
    known: Uncertain,
    uncertain: SeatUncertainty,
) -> tuple[str, ...]:
    """Say what would prove a verdict on the value that is nearest to its limit."""
    nominal_mm = float(seat.nominal_mm)
    lower_um, upper_um = (float(limit - seat.nominal_mm) * UM_PER_MM for limit in seat.limits_mm)
    low_um, high_um = ((value - nominal_mm) * UM_PER_MM for value in extremes)
    settlement = what_would_settle(
        low_um if low_um - lower_um < upper_um - high_um else high_um,
        Limits.of(lower_um, upper_um),
        rule_of(plan),
        uncertain.parts(),
        Effort(len(seat.stations_mm), len(seat.orientations_deg), seat.repeats),
        Statistic(seat.judged),
        alternatives=uncertain.alternatives(),
        degrees_of_freedom=known.dof,
    )
    return settlement_sentences(settlement, plan.unit)


def _judged(
    rule: Rule,
    extremes: tuple[float, float],
    known: Uncertain | None,
    limits_mm: tuple[float, float],
) -> tuple[Verdict, tuple[str, ...]]:
    if known is None:
        return Verdict.NOT_PROVEN, ()
    refused = too_uncertain(rule, known.expanded_um)
    if refused:
        return Verdict.NOT_PROVEN, refused
    # Compared in mm, not as departures, so that a reading on the limit is on the limit.
    verdict = rule.judge(
        *extremes,
        known.standard_um / UM_PER_MM,
        lower=limits_mm[0],
        upper=limits_mm[1],
        degrees_of_freedom=known.dof,
    )
    return verdict, ()


def by_probability(
    rule: Rule, probability: float | None, doubt: float
) -> tuple[Verdict, tuple[str, ...]]:
    """Judge values that each conform by the probability that all of them do together.

    `doubt` is by how much that probability may be off.
    """
    if probability is None or probability < rule.probability + doubt:
        return Verdict.NOT_PROVEN, (_NOT_TOGETHER,)
    return Verdict.CONFORMS, ()


_NOT_TOGETHER: Final = (
    "Each value conforms alone, but all of them together are not probable enough."
)


def _probability(
    seat: Seat,
    extremes: tuple[float, float],
    known: Uncertain | None,
    uncertain: SeatUncertainty | None,
) -> float | None:
    """Return the probability that all that is judged lies inside the limits together."""
    if known is None or uncertain is None:
        return None
    if seat.judged == "local sizes":
        joint = uncertain.joint_probability()
        if joint is not None:
            return joint
    lower_mm, upper_mm = (float(limit) for limit in seat.limits_mm)
    standard_mm, dof = known.standard_um / UM_PER_MM, known.dof
    # At both ends of what is judged the probability is a bound of that of all together where they
    # err alike; which is what a stated uncertainty says of them.
    outside = Estimate(extremes[0], standard_mm, dof).below(lower_mm)
    outside += Estimate(extremes[1], standard_mm, dof).beyond(upper_mm)
    return min(max(1.0 - outside, 0.0), 1.0)


def _judged_sizes(
    seat: Seat, sizes: tuple[LocalSize, ...], stations: tuple[StationResult, ...]
) -> tuple[list[float], tuple[PointKey, ...]]:
    if seat.judged == "station means":
        return [station.mean_mm for station in stations], ()
    if seat.judged == "overall mean":
        return ([mean([station.mean_mm for station in stations])] if stations else []), ()
    if not sizes:
        return [], ()
    smallest = min(sizes, key=lambda size: size.size_mm)
    largest = max(sizes, key=lambda size: size.size_mm)
    return [size.size_mm for size in sizes], (smallest.key, largest.key)

"""The requirement on the taper of a seat over its length."""

from typing import Final

from seatproof.core.evaluation.doubts import Doubts
from seatproof.core.evaluation.requirement import (
    Characteristic,
    Requirement,
    finite_or_none,
    inner_guard_um,
    rule_of,
    stated_tolerance,
    too_uncertain,
)
from seatproof.core.evaluation.uncertain import SeatUncertainty
from seatproof.core.form.taper import TaperFit
from seatproof.core.plan.model import Plan
from seatproof.core.plan.seat import Seat
from seatproof.core.verdict.knowledge import Estimate
from seatproof.core.verdict.rule import Verdict

_DIGITS: Final = 8  # of a micrometre: far below any reading, far above the fit's rounding


def taper_requirement(
    plan: Plan,
    seat: Seat,
    taper: TaperFit | None,
    uncertain: SeatUncertainty | None,
    doubts: Doubts,
) -> Requirement:
    """Judge the taper over the length of the seat."""
    rule = rule_of(plan)
    limit_um = stated_tolerance(seat.taper).diametral_um(seat.nominal_mm)
    verdict = Verdict.NOT_PROVEN
    reasons: tuple[str, ...] = ("Readings at two stations at least are needed.",)
    value_um, known, probability = None, None, None
    if taper is not None:
        value_um = taper.over(float(seat.length_mm))
        reasons = (f"Larger at the end {taper.larger_end}.",) if value_um else ()
        if uncertain is not None:
            known = uncertain.of_taper(taper)
            # The line is fitted in binary fractions: what lies on the limit but for their last
            # digits is on the limit.
            at_um = round(value_um, _DIGITS)
            # A taper either way is limited on both sides, which are near where the limit is small.
            verdict = rule.judge(
                at_um,
                at_um,
                known.standard_um,
                lower=-limit_um,
                upper=limit_um,
                degrees_of_freedom=known.dof,
            )
            refused = too_uncertain(rule, known.expanded_um)
            if refused:
                verdict, reasons = Verdict.NOT_PROVEN, (*reasons, *refused)
            estimate = Estimate(value_um, known.standard_um, known.dof)
            probability = estimate.inside(-limit_um, limit_um)
    verdict, reasons = doubts.applied(verdict, reasons)
    return Requirement(
        seat_id=seat.id,
        characteristic=Characteristic.TAPER,
        sense="diametral",
        judged="the least-squares line through the station means, over the length of the seat",
        lower_um=None,
        upper_um=limit_um,
        smallest_um=value_um,
        largest_um=value_um,
        expanded_um=None if known is None else known.expanded_um,
        coverage_factor=None if known is None else known.coverage_factor,
        guard_um=(
            0.0
            if known is None
            else inner_guard_um(rule, known.standard_um, 2.0 * limit_um, known.dof)
        ),
        verdict=verdict,
        decisive=(),
        reasons=reasons,
        standard_um=None if known is None else known.standard_um,
        degrees_of_freedom=None if known is None else finite_or_none(known.dof),
        probability=probability,
    )

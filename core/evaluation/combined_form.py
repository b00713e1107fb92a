"""Roundness from several set-ups together: diameters and readings over vee blocks. *Radial*."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from seatproof.core.evaluation.assumptions import missed_form_said, missed_form_um
from seatproof.core.evaluation.doubts import Doubts
from seatproof.core.evaluation.requirement import (
    Characteristic,
    Requirement,
    rule_of,
    stated_tolerance,
    too_uncertain,
)
from seatproof.core.form.combination import ReadingSet, combine
from seatproof.core.form.errors import FormError
from seatproof.core.form.undulation import CombinedProfile
from seatproof.core.plan.model import Plan
from seatproof.core.plan.seat import Seat
from seatproof.core.verdict.rule import Verdict

_UP_TO: Final = "Up to {highest} undulations per revolution; finer lobes are not in it."


@dataclass(frozen=True, slots=True)
class CombinedStation:
    """One station's profile from all set-ups together; None where they do not give it."""

    z_mm: float
    sets: tuple[str, ...]
    profile: CombinedProfile | None
    why_not: str


def combined_stations(
    sets: Mapping[str, Mapping[float, ReadingSet]],
) -> tuple[CombinedStation, ...]:
    """Combine the readings of all set-ups, station by station; `sets` are by id and position."""
    found = []
    for z_mm in sorted({z_mm for stations in sets.values() for z_mm in stations}):
        here = {name: stations[z_mm] for name, stations in sets.items() if z_mm in stations}
        try:
            profile, why = combine(list(here.values())), ""
        except FormError as error:
            profile, why = None, str(error)
        found.append(CombinedStation(z_mm, tuple(here), profile, why))
    return tuple(found)


def roundness_from_setups(
    plan: Plan,
    seat: Seat,
    stations: tuple[CombinedStation, ...],
    doubts: Doubts,
) -> Requirement:
    """Judge the roundness of the profiles that several set-ups give together."""
    rule = rule_of(plan)
    limit_um = stated_tolerance(seat.roundness).radial_um(seat.nominal_mm)
    known = [(one, one.profile) for one in stations if one.profile is not None]
    verdict = Verdict.NOT_PROVEN
    reasons: tuple[str, ...] = tuple(one.why_not for one in stations if one.why_not)[:1]
    value_um: float | None = None
    expanded_um: float | None = None
    if known:
        confidence = 2.0 * rule.probability - 1.0  # one side of it is what the rule asks
        worst = max(known, key=lambda pair: pair[1].roundness_um)
        value_um = worst[1].roundness_um
        share = 1.0 - (1.0 - confidence) / len(known)
        ends = [profile.roundness_interval_um(share) for _, profile in known]
        if all(end is not None for end in ends):
            low_um = max(end[0] for end in ends if end is not None)
            high_um = max(end[1] for end in ends if end is not None)
            expanded_um = high_um - value_um
            if not rule.guarded:
                low_um = high_um = value_um
            blind = sorted({number for _, profile in known for number in profile.invisible})
            refused = too_uncertain(rule, expanded_um)
            if refused:
                reasons = (*reasons, *refused)
            elif low_um > limit_um:
                verdict = Verdict.DOES_NOT_CONFORM
            elif blind:
                lobes = ", ".join(str(number) for number in blind)
                reasons = (
                    *reasons,
                    f"None of the set-ups shows {lobes} lobes; add another set-up that does.",
                )
            elif high_um + missed_form_um(plan) <= limit_um and len(known) == len(stations):
                verdict = Verdict.CONFORMS
        else:
            reasons = (*reasons, "Nothing is left over to say how sure the profile is.")
        highest = min(profile.highest for _, profile in known)
        reasons = (*reasons, _UP_TO.format(highest=highest), *missed_form_said(plan))
    verdict, reasons = doubts.applied(verdict, reasons)
    return Requirement(
        seat_id=seat.id,
        characteristic=Characteristic.ROUNDNESS,
        sense="radial",
        judged="the profile of every station from all set-ups together, least squares",
        lower_um=None,
        upper_um=limit_um,
        smallest_um=value_um,
        largest_um=value_um,
        expanded_um=expanded_um,
        coverage_factor=None,
        guard_um=expanded_um if rule.guarded and expanded_um is not None else 0.0,
        verdict=verdict,
        decisive=(),
        reasons=reasons,
    )

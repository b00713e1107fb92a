"""Form and run-out from an indicator's readings: roundness, cylindricity, run-out.

All lengths are *radial*. What the noise of the readings can do to such a figure is bounded for any
true shape:

- The points that hold the true zone do so with positive weights that add to one outside and to one
  inside. The same weights bound the zone found from below, so the truth exceeds it by no more than
  one error outside minus one inside: √2 standard deviations of a point at most.
- The zone found exceeds the truth by no more than the range of the errors.
"""

from dataclasses import dataclass
from math import hypot, inf, sqrt
from typing import Final

import numpy as np

from seatproof.core.evaluation.assumptions import missed_form_said, missed_form_um
from seatproof.core.evaluation.doubts import Doubts
from seatproof.core.evaluation.profiles import (
    StationProfile,
    indicator_repeatability,
    points_mm,
)
from seatproof.core.evaluation.requirement import (
    Characteristic,
    Requirement,
    finite_or_none,
    rule_of,
    stated_tolerance,
    too_uncertain,
)
from seatproof.core.form.errors import FormError
from seatproof.core.form.lsq_cylinder import least_squares_cylinder
from seatproof.core.form.quantiles import range_quantile
from seatproof.core.form.zone_cylinder import minimum_zone_cylinder
from seatproof.core.plan.model import Plan
from seatproof.core.plan.points import PointKey
from seatproof.core.plan.seat import Seat
from seatproof.core.plan.uncertainty import BudgetUncertainty
from seatproof.core.uncertainty.contribution import Distribution
from seatproof.core.uncertainty.coverage import Coverage, effective_dof, student_quantile
from seatproof.core.uncertainty.repeatability import Repeatability
from seatproof.core.units import UM_PER_MM
from seatproof.core.verdict.limits import exact
from seatproof.core.verdict.rule import Rule, Verdict

_NOTHING: Final = "No radial readings yet."
_NO_REPEATABILITY: Final = (
    "No point was read twice and the plan states no repeatability; read some points twice."
)
_UNBOUNDED: Final = (
    "Nothing bounds the error of the indicator; enter its permissible error of indication."
)
_LEAST_SQUARES: Final = (
    "About the least-squares cylinder, which is never narrower than the minimum zone; that one is "
    "found before the seal."
)
_UNFILTERED: Final = (
    "Unfiltered, {count} readings a station: a lower bound, for finer lobes lie between them."
)


@dataclass(frozen=True, slots=True)
class _Figure:
    """A radial figure of form: its value, the errors it may have, and what gave it."""

    value_um: float
    points: int  # in the largest group of which an extreme was taken
    groups: int
    worth: float
    decisive: tuple[PointKey, ...]


@dataclass(frozen=True, slots=True)
class _Noise:
    """How readings scatter, one value does, and a difference errs with the indicator; µm."""

    found: Repeatability
    point_um: float
    indicated_um: float


def roundness_from_radii(
    plan: Plan, seat: Seat, profiles: tuple[StationProfile, ...], doubts: Doubts
) -> Requirement:
    """Judge the roundness of every station about its reference circle."""
    known = [one for one in profiles if one.roundness_um is not None]
    figure = None
    if known:
        worst = max(known, key=lambda one: one.roundness_um or 0.0)
        assert worst.circle is not None  # it has a roundness
        holding = (*worst.circle.contacts_out, *worst.circle.contacts_in)
        figure = _Figure(
            value_um=worst.circle.zone * UM_PER_MM,
            points=max(len(one.keys) for one in known),
            groups=len(known),
            worth=min(one.worth for one in known),
            decisive=tuple(worst.keys[index] for index in holding),
        )
    without = [one.why_no_circle for one in profiles if one.circle is None]
    judged = f"every station about its {seat.reference_circle} circle"
    return _requirement(
        plan,
        seat,
        Characteristic.ROUNDNESS,
        profiles,
        figure,
        judged,
        tuple(without[:1]),
        doubts,
        is_whole=not without,
    )


def run_out_requirement(
    plan: Plan,
    seat: Seat,
    profiles: tuple[StationProfile, ...],
    doubts: Doubts,
    *,
    total: bool,
) -> Requirement:
    """Judge the run-out about the axis on which the shaft was turned."""
    figure = None
    known = [one for one in profiles if len(one.keys) > 1]
    if known and total:
        pairs = [
            (value, key)
            for one in known
            for value, key in zip(one.reading_um, one.keys, strict=True)
        ]
        figure = _Figure(
            float(exact(max(pairs)[0]) - exact(min(pairs)[0])),
            len(pairs),
            1,
            min(one.worth for one in known),
            (min(pairs)[1], max(pairs)[1]),
        )
    elif known:
        worst = max(known, key=lambda one: one.run_out_um)
        values = worst.reading_um
        low, high = values.index(min(values)), values.index(max(values))
        figure = _Figure(
            worst.run_out_um,
            max(len(one.keys) for one in known),
            len(known),
            min(one.worth for one in known),
            (worst.keys[low], worst.keys[high]),
        )
    characteristic = Characteristic.TOTAL_RUN_OUT if total else Characteristic.RUN_OUT
    where = "on the seat, the indicator's zero unchanged" if total else "of every station"
    judged = f"the range of the readings {where}, about the axis of turning"
    return _requirement(plan, seat, characteristic, profiles, figure, judged, (), doubts)


def cylindricity_from_radii(
    plan: Plan,
    seat: Seat,
    profiles: tuple[StationProfile, ...],
    doubts: Doubts,
    *,
    fully: bool,
) -> Requirement:
    """Judge the cylindricity of the seat; the minimum zone takes longer and comes fully only."""
    least_squares = seat.reference_circle == "least squares" or not fully
    figure = None
    said: tuple[str, ...] = ()
    if profiles:
        keys = tuple(key for one in profiles for key in one.keys)
        points = np.vstack(
            [
                np.column_stack([points_mm(seat, one), np.full(len(one.keys), one.z_mm)])
                for one in profiles
            ]
        )
        try:
            fit = (
                least_squares_cylinder(points)
                if least_squares
                else minimum_zone_cylinder(points).cylinder
            )
        except FormError as error:
            said = (str(error),)
        else:
            figure = _Figure(
                fit.zone * UM_PER_MM,
                len(keys),
                1,
                min(one.worth for one in profiles),
                tuple(keys[index] for index in (*fit.contacts_out, *fit.contacts_in)),
            )
    provisional = least_squares and seat.reference_circle == "minimum zone"
    if provisional and figure is not None:
        said = (*said, _LEAST_SQUARES)
    kind = "least-squares" if least_squares else "minimum zone"
    return _requirement(
        plan,
        seat,
        Characteristic.CYLINDRICITY,
        profiles,
        figure,
        f"all stations about their {kind} cylinder",
        said,
        doubts,
        # A least-squares zone beyond the limit does not prove that the minimum zone is.
        may_fail=not provisional,
    )


def _requirement(
    plan: Plan,
    seat: Seat,
    characteristic: Characteristic,
    profiles: tuple[StationProfile, ...],
    figure: _Figure | None,
    judged: str,
    reasons: tuple[str, ...],
    doubts: Doubts,
    *,
    may_fail: bool = True,
    is_whole: bool = True,
) -> Requirement:
    rule = rule_of(plan)
    limit_um = _limit_um(seat, characteristic)
    found = indicator_repeatability(plan, profiles)
    verdict = Verdict.NOT_PROVEN
    standard_um: float | None = None
    factor: float | None = None
    dof: float | None = None
    guard_um = 0.0
    said = reasons
    if figure is None:
        said = said or (_NOTHING,)
    elif found is None:
        said = (*said, _NO_REPEATABILITY)
    else:
        point_um = found.standard_um / sqrt(figure.worth)
        scatter_um = sqrt(2.0) * point_um
        error_um = _error_of_indication_um(plan, profiles)
        if error_um is None:
            doubts = doubts.and_also(Doubts((_UNBOUNDED,)))
        indicated_um = (error_um or 0.0) / Distribution.RECTANGULAR.divisor
        standard_um = hypot(scatter_um, indicated_um)
        dof = effective_dof([(scatter_um, found.dof), (indicated_um, inf)])
        factor = _coverage(plan).factor(dof)
        guard_um = rule.guard_band(standard_um, dof)
        noise = _Noise(found, point_um, indicated_um)
        verdict = _verdict(plan, rule, figure, noise, limit_um, guard_um)
        if verdict is Verdict.DOES_NOT_CONFORM and not may_fail:
            verdict = Verdict.NOT_PROVEN
        if not is_whole:
            verdict = verdict.and_also(Verdict.NOT_PROVEN)
        refused = too_uncertain(rule, factor * standard_um)
        if refused:
            verdict, said = Verdict.NOT_PROVEN, (*said, *refused)
        count = min(len(one.keys) for one in profiles)
        said = (*said, _UNFILTERED.format(count=count), *missed_form_said(plan))
    verdict, said = doubts.applied(verdict, said)
    value_um = None if figure is None else figure.value_um
    return Requirement(
        seat_id=seat.id,
        characteristic=characteristic,
        sense="radial",
        judged=judged,
        lower_um=None,
        upper_um=limit_um,
        smallest_um=value_um,
        largest_um=value_um,
        expanded_um=None if standard_um is None or factor is None else factor * standard_um,
        coverage_factor=factor,
        guard_um=guard_um,
        verdict=verdict,
        decisive=() if figure is None else tuple(dict.fromkeys(figure.decisive)),
        reasons=said,
        standard_um=standard_um,
        degrees_of_freedom=None if dof is None else finite_or_none(dof),
    )


def _verdict(
    plan: Plan,
    rule: Rule,
    figure: _Figure,
    noise: _Noise,
    limit_um: float,
    guard_um: float,
) -> Verdict:
    above_um = 0.0
    if rule.guarded:
        # The worst of several stations is taken, so each must hold with a share of the risk.
        confidence = 1.0 - (1.0 - rule.probability) / figure.groups
        wider = student_quantile(0.975, noise.found.dof) / student_quantile(0.975, inf)
        above_um = hypot(
            wider * range_quantile(figure.points, confidence) * noise.point_um,
            rule.guard_band(noise.indicated_um),
        )
    if figure.value_um > limit_um + above_um:
        return Verdict.DOES_NOT_CONFORM
    if figure.value_um + guard_um + missed_form_um(plan) <= limit_um:
        return Verdict.CONFORMS
    return Verdict.NOT_PROVEN


def _error_of_indication_um(plan: Plan, profiles: tuple[StationProfile, ...]) -> float | None:
    """Return what a difference of two readings may be off by, half-width; None if nothing says.

    The limit of a dial gauge (ISO 463) is one of such a difference: that between the highest and
    the lowest point of its curve. A plan that states its U has this in it.
    """
    if not isinstance(plan.uncertainty, BudgetUncertainty):
        return 0.0
    known = [one.permissible_error_um for one in profiles]
    if any(error is None for error in known):
        return None
    return max(error for error in known if error is not None)


def _limit_um(seat: Seat, characteristic: Characteristic) -> float:
    tolerance = {
        Characteristic.ROUNDNESS: seat.roundness,
        Characteristic.CYLINDRICITY: seat.cylindricity,
        Characteristic.RUN_OUT: seat.run_out,
        Characteristic.TOTAL_RUN_OUT: seat.total_run_out,
    }[characteristic]
    return stated_tolerance(tolerance).radial_um(seat.nominal_mm)


def _coverage(plan: Plan) -> Coverage:
    stated = plan.uncertainty
    if isinstance(stated, BudgetUncertainty):
        fixed = stated.coverage_factor
        return Coverage(float(stated.coverage_probability), None if fixed is None else float(fixed))
    return Coverage(fixed_factor=float(stated.coverage_factor))

"""What two-point data say of roundness and cylindricity: a lower bound, and what may be hidden."""

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
from seatproof.core.evaluation.sizes import LocalSize, StationResult, difference_um
from seatproof.core.evaluation.uncertain import RangeNoise, SeatUncertainty
from seatproof.core.form.quantiles import normal_quantile
from seatproof.core.form.twopoint import ovality_standard_error_um
from seatproof.core.plan.fields import length_text
from seatproof.core.plan.model import Plan
from seatproof.core.plan.points import PointKey
from seatproof.core.plan.seat import FormTolerance, Seat
from seatproof.core.units import UM_PER_MM
from seatproof.core.verdict.rule import Verdict

_BOUND: Final = "The diameters alone differ by more than the tolerance allows."
_NEVER: Final = (
    "Two-point readings cannot prove {characteristic}: odd lobes are invisible to them, and the "
    "plan assumes nothing about them."
)

_FEWEST_STATIONS: Final = 3  # two make a line through which any barrel or waist passes unseen
_TOO_SHORT: Final = (
    "So few stations show no barrel or waist; measure at three or more along the seat."
)
_TOO_FEW: Final = (
    "An ovality can lie between so few orientations unseen; measure at three or more, spread over "
    "half a turn."
)


def roundness_from_diameters(
    plan: Plan,
    seat: Seat,
    stations: tuple[StationResult, ...],
    uncertain: SeatUncertainty | None,
    doubts: Doubts,
) -> Requirement:
    """Say what two-point data can of the roundness of every station."""
    groups = tuple(station.sizes for station in stations)
    return _form(plan, seat, stations, groups, Characteristic.ROUNDNESS, uncertain, doubts)


def cylindricity_from_diameters(
    plan: Plan,
    seat: Seat,
    stations: tuple[StationResult, ...],
    uncertain: SeatUncertainty | None,
    doubts: Doubts,
) -> Requirement:
    """Say what two-point data can of the cylindricity of the seat."""
    sizes = tuple(size for station in stations for size in station.sizes)
    groups = (sizes,) if sizes else ()
    return _form(plan, seat, stations, groups, Characteristic.CYLINDRICITY, uncertain, doubts)


def _form(
    plan: Plan,
    seat: Seat,
    stations: tuple[StationResult, ...],
    groups: tuple[tuple[LocalSize, ...], ...],
    characteristic: Characteristic,
    uncertain: SeatUncertainty | None,
    doubts: Doubts,
) -> Requirement:
    """Judge form by half the range of diameters, which bounds it from below.

    A shaft whose diameters differ by 2·h is out of round by at least h, except for the noise of the
    readings; so a half-range beyond that bound proves non-conformity; conformity needs what the
    plan assumes of odd lobes, and what the fitted ovality may add where its axes lie between the
    orientations.
    """
    tolerance = _tolerance(seat, characteristic)
    rule = rule_of(plan)
    limit_um = tolerance.radial_um(seat.nominal_mm)
    found = [group for group in groups if len(group) >= 2]
    verdict = Verdict.NOT_PROVEN
    reasons: tuple[str, ...] = ("Readings at two orientations at least are needed.",)
    value_um: float | None = None
    noise: RangeNoise | None = None
    decisive: tuple[PointKey, ...] = ()
    if found:
        value_um, decisive = max(_half_range(group) for group in found)
        reasons = ()
    if found and value_um is not None and uncertain is not None:
        noise = uncertain.range_noise(tuple(found), rule.probability)
        above_um, below_um = (
            (noise.above_um / 2.0, noise.below_um / 2.0) if rule.guarded else (0.0, 0.0)
        )
        refused = too_uncertain(rule, noise.above_um / 2.0)
        if refused:
            reasons = refused
        elif value_um > limit_um + above_um:
            verdict, reasons = Verdict.DOES_NOT_CONFORM, (_BOUND,)
        elif seat.odd_lobes is None:
            reasons = (_NEVER.format(characteristic=characteristic),)
        elif any(station.ovality is None for station in stations):
            reasons = (_TOO_FEW,)
        elif (
            characteristic is Characteristic.CYLINDRICITY
            and len(seat.stations_mm) < _FEWEST_STATIONS
        ):
            reasons = (_TOO_SHORT,)
        else:
            confidence = 1.0 - (1.0 - rule.probability) / len(found)
            hidden_um = max(
                hidden_form_um(station, uncertain, confidence, guarded=rule.guarded)
                for station in stations
            )
            assumed_um, assumption = assumed_form_um(plan, seat, characteristic)
            inside = value_um + below_um + hidden_um + assumed_um <= limit_um
            verdict = Verdict.CONFORMS if inside else Verdict.NOT_PROVEN
            reasons = assumption
    verdict, reasons = doubts.applied(verdict, reasons)
    where = "of each station" if characteristic is Characteristic.ROUNDNESS else "on the seat"
    expanded_um = None if noise is None else noise.above_um / 2.0
    return Requirement(
        seat_id=seat.id,
        characteristic=characteristic,
        sense="radial",
        judged=f"half the range of the local sizes {where}: a lower bound from two-point data",
        lower_um=None,
        upper_um=limit_um,
        smallest_um=value_um,
        largest_um=value_um,
        expanded_um=expanded_um,
        coverage_factor=None,
        guard_um=expanded_um if rule.guarded and expanded_um is not None else 0.0,
        verdict=verdict,
        decisive=decisive,
        reasons=reasons,
    )


def _tolerance(seat: Seat, characteristic: Characteristic) -> FormTolerance:
    is_roundness = characteristic is Characteristic.ROUNDNESS
    return stated_tolerance(seat.roundness if is_roundness else seat.cylindricity)


def assumed_form_um(
    plan: Plan, seat: Seat, characteristic: Characteristic
) -> tuple[float, tuple[str, ...]]:
    """Return what the plan has one assume of form that was not seen (µm, radial), and say it."""
    assert seat.odd_lobes is not None  # the caller looked
    axis = ", and a straight axis" if characteristic is Characteristic.CYLINDRICITY else ""
    said = (
        f"Assumes odd lobes of at most {length_text(seat.odd_lobes.at_most_mm, plan.unit)} "
        f"(radial){axis}: {seat.odd_lobes.basis}."
    )
    assumed_um = float(seat.odd_lobes.at_most_mm) * UM_PER_MM + missed_form_um(plan)
    return assumed_um, (said, *missed_form_said(plan))


def hidden_form_um(
    station: StationResult, uncertain: SeatUncertainty, confidence: float, *, guarded: bool
) -> float:
    """Return how much more (radial) the ovality may be than the range with its noise tells.

    What the fit finds beyond the range as read counts in any case. Beyond that, both are bounded
    from above at the stated confidence: the range by its noise, the ovality by its standard error.
    Evenly spread orientations leave little or nothing; bunched ones leave much, because an axis can
    lie far from all of them.
    """
    if station.ovality is None:
        raise ValueError("an ovality that is not determined bounds nothing")
    found_um = station.ovality.ovality_um - station.range_um
    if not guarded:
        return max(found_um, 0.0) / 2.0
    angles = [size.point.angle_deg for size in station.sizes]
    noise = uncertain.range_noise((station.sizes,), confidence)
    range_at_most_um = station.range_um + noise.below_um
    ovality_at_most_um = station.ovality.ovality_um + normal_quantile(
        confidence
    ) * ovality_standard_error_um(noise.scatter_um, angles)
    return max(found_um, ovality_at_most_um - range_at_most_um, 0.0) / 2.0


def _half_range(sizes: tuple[LocalSize, ...]) -> tuple[float, tuple[PointKey, PointKey]]:
    smallest = min(sizes, key=lambda size: size.size_mm)
    largest = max(sizes, key=lambda size: size.size_mm)
    half_um = difference_um(largest.size_mm, smallest.size_mm) / 2.0
    return half_um, (smallest.key, largest.key)

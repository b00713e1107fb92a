"""What can be proved of one requirement, whatever the seat turns out to be."""

from dataclasses import dataclass
from math import inf, isfinite, sqrt
from typing import Final

from seatproof.core.evaluation.requirement import (
    Characteristic,
    Sense,
    finite_or_none,
    stated_tolerance,
    too_uncertain,
)
from seatproof.core.evaluation.two_point_form import assumed_form_um, hidden_form_um
from seatproof.core.evaluation.uncertain import SeatUncertainty, Uncertain
from seatproof.core.foresight.ahead import SeatAhead
from seatproof.core.form.quantiles import normal_quantile, range_quantile
from seatproof.core.form.taper import fit_taper
from seatproof.core.plan.model import Plan
from seatproof.core.plan.seat import Seat
from seatproof.core.units import UM_PER_MM
from seatproof.core.verdict.knowledge import one_sided_factor
from seatproof.core.verdict.limits import Limits, Zone
from seatproof.core.verdict.rule import Rule

_HALF: Final = 0.5
_ODD_LOBES: Final = (
    "Odd lobes are invisible to two-point readings, and the plan assumes nothing about them."
)
_TOO_FEW: Final = (
    "An ovality can lie between so few orientations unseen; measure at three or more, spread over "
    "half a turn."
)
_TOO_SHORT: Final = (
    "So few stations show no barrel or waist; measure at three or more along the seat."
)
_ONE_STATION: Final = "A taper needs two stations at least."
_TOO_UNCERTAIN: Final = (
    "The uncertainty leaves no value that could be accepted; a better gauge, a better known "
    "temperature or more readings are needed."
)


@dataclass(frozen=True, slots=True)
class Prospect:
    """What can be proved of one requirement, in µm of its sense; sizes as departures from nominal.

    Attributes
    ----------
    characteristic : Characteristic
    sense : "diametral" or "radial"
    lower_um, upper_um : float or None
        The limits.
    standard_um, expanded_um, coverage_factor, degrees_of_freedom : float or None
        Of what is judged; None where nothing bounds them, and for two-point form, which is bounded
        by the range of reading noise instead. Degrees of freedom are None where infinite, too.
    zone : Zone or None
        Values that will be accepted; None where none will.
    stray_um : float
        How far what is judged strays outward by the scatter of readings alone: half of all perfect
        seats look worse than that. More points catch more of the form and stray farther.
    share : float
        Part of the tolerance that is left for the seat itself: the zone less what is strayed.
    needed_um : float or None
        The largest standard uncertainty with which any value at all could be accepted.
    provable : bool
    in_reach : bool
        Whether any number of readings of this kind could prove it.
    why_not : str
    """

    characteristic: Characteristic
    sense: Sense
    lower_um: float | None
    upper_um: float
    standard_um: float | None
    expanded_um: float | None
    coverage_factor: float | None
    degrees_of_freedom: float | None
    zone: Zone | None
    stray_um: float
    share: float
    needed_um: float | None
    provable: bool
    in_reach: bool
    why_not: str


def size_prospect(seat: Seat, rule: Rule, ahead: SeatAhead) -> Prospect:
    """Say what can be proved of the size of a seat."""
    lower_um, upper_um = (float(limit - seat.nominal_mm) * UM_PER_MM for limit in seat.limits_mm)
    uncertain = ahead.uncertain
    if uncertain is None:
        return _unknown(Characteristic.SIZE, "diametral", lower_um, upper_um, ahead)
    known = uncertain.of_judged()
    limits = Limits.of(lower_um, upper_um)
    zone = rule.acceptance_zone(limits, known.standard_um, known.dof)
    stray_um = _size_stray_um(seat, ahead, uncertain)
    return _prospect(
        Characteristic.SIZE,
        known,
        rule,
        limits,
        zone,
        stray_um,
        _largest_um(rule, upper_um - lower_um, known.dof),
    )


def _size_stray_um(seat: Seat, ahead: SeatAhead, uncertain: SeatUncertainty) -> float:
    """Return how far the most extreme of what is judged strays, by the median."""
    of_mean_um = max(uncertain.station_errors_um())
    if seat.judged == "overall mean":
        return 0.0
    if seat.judged == "station means":
        return _extreme(len(ahead.stations)) * of_mean_um
    return _extreme(len(ahead.sizes)) * of_mean_um * sqrt(len(ahead.stations[0].sizes))


def _extreme(count: int) -> float:
    """Return the median of the largest of so many standard normal values."""
    return normal_quantile(_HALF ** (1.0 / count))


def taper_prospect(seat: Seat, rule: Rule, ahead: SeatAhead) -> Prospect:
    """Say what can be proved of its taper."""
    limit_um = stated_tolerance(seat.taper).diametral_um(seat.nominal_mm)
    uncertain = ahead.uncertain
    if uncertain is None:
        return _unknown(Characteristic.TAPER, "diametral", None, limit_um, ahead)
    if len(ahead.stations) < 2:
        return _refused(Characteristic.TAPER, "diametral", limit_um, _ONE_STATION)
    line = fit_taper(
        [station.z_mm for station in ahead.stations],
        [station.mean_mm for station in ahead.stations],
        uncertain.station_errors_um(),
    )
    known = uncertain.of_taper(line)
    limits = Limits.of(upper=limit_um)
    # The taper is shown without its sign, and limited either way.
    zone = rule.acceptance_zone(Limits.of(-limit_um, limit_um), known.standard_um, known.dof)
    return _prospect(
        Characteristic.TAPER,
        known,
        rule,
        limits,
        None if zone is None or zone.upper < 0.0 else Zone(0.0, zone.upper),
        normal_quantile(0.75) * known.standard_um,  # the median of the size of a normal error
        _largest_um(rule, 2.0 * limit_um, known.dof),
    )


def form_prospect(
    plan: Plan, rule: Rule, ahead: SeatAhead, characteristic: Characteristic
) -> Prospect:
    """Say what two-point data will be able to prove of roundness or cylindricity."""
    seat = ahead.seat
    is_roundness = characteristic is Characteristic.ROUNDNESS
    tolerance = stated_tolerance(seat.roundness if is_roundness else seat.cylindricity)
    limit_um = tolerance.radial_um(seat.nominal_mm)
    uncertain = ahead.uncertain
    if uncertain is None:
        return _unknown(characteristic, "radial", None, limit_um, ahead)
    why_not = ""
    if seat.odd_lobes is None:
        why_not = _ODD_LOBES
    elif any(station.ovality is None for station in ahead.stations):
        why_not = _TOO_FEW
    elif not is_roundness and len(ahead.stations) < 3:
        why_not = _TOO_SHORT
    if why_not:
        return _refused(characteristic, "radial", limit_um, why_not)
    groups = tuple(s.sizes for s in ahead.stations) if is_roundness else (ahead.sizes,)
    noise = uncertain.range_noise(groups, rule.probability)
    confidence = 1.0 - (1.0 - rule.probability) / len(groups)
    hidden_um = max(
        hidden_form_um(station, uncertain, confidence, guarded=rule.guarded)
        for station in ahead.stations
    )
    below_um = noise.below_um / 2.0 if rule.guarded else 0.0
    assumed_um, _ = assumed_form_um(plan, seat, characteristic)
    edge_um = limit_um - below_um - hidden_um - assumed_um
    widest = max(len(group) for group in groups)
    stray_um = range_quantile(widest, _HALF ** (1.0 / len(groups))) * noise.scatter_um / 2.0
    share = max(0.0, edge_um - stray_um) / limit_um
    why_not = "" if share > 0.0 else _TOO_UNCERTAIN
    refused = too_uncertain(rule, noise.above_um / 2.0)
    if refused:
        share, why_not = 0.0, refused[0]
    return Prospect(
        characteristic=characteristic,
        sense="radial",
        lower_um=None,
        upper_um=limit_um,
        standard_um=None,
        expanded_um=None,
        coverage_factor=None,
        degrees_of_freedom=None,
        zone=Zone(0.0, edge_um) if edge_um >= 0.0 else None,
        stray_um=stray_um,
        share=share,
        needed_um=None,
        provable=not why_not,
        in_reach=limit_um > assumed_um,
        why_not=why_not,
    )


def _prospect(
    characteristic: Characteristic,
    known: Uncertain,
    rule: Rule,
    limits: Limits,
    zone: Zone | None,
    stray_um: float,
    needed_um: float | None,
) -> Prospect:
    lower_um, upper_um = limits.as_floats
    tolerance_um = upper_um - (lower_um if isfinite(lower_um) else 0.0)
    sides = 2.0 if isfinite(lower_um) else 1.0
    usable_um = -inf if zone is None else zone.width - sides * stray_um
    share = max(0.0, usable_um) / tolerance_um
    why_not = "" if share > 0.0 else _TOO_UNCERTAIN
    refused = too_uncertain(rule, known.expanded_um)
    if refused:
        share, why_not = 0.0, refused[0]
    return Prospect(
        characteristic=characteristic,
        sense="diametral",
        lower_um=lower_um if isfinite(lower_um) else None,
        upper_um=upper_um,
        standard_um=known.standard_um,
        expanded_um=known.expanded_um,
        coverage_factor=known.coverage_factor,
        degrees_of_freedom=finite_or_none(known.dof),
        zone=zone,
        stray_um=stray_um,
        share=share,
        needed_um=needed_um,
        provable=not why_not,
        in_reach=True,
        why_not=why_not,
    )


def _largest_um(rule: Rule, tolerance_um: float, dof: float) -> float | None:
    """Return the standard uncertainty at which the acceptance zone shrinks to a single value."""
    if not rule.guarded:
        return None
    factor = 2.0 * one_sided_factor((1.0 + rule.probability) / 2.0, dof)
    return tolerance_um / factor if factor > 0.0 else None


def _unknown(
    characteristic: Characteristic,
    sense: Sense,
    lower_um: float | None,
    upper_um: float,
    ahead: SeatAhead,
) -> Prospect:
    return _nothing(characteristic, sense, (lower_um, upper_um), " ".join(ahead.lacking))


def _refused(
    characteristic: Characteristic, sense: Sense, upper_um: float, why_not: str
) -> Prospect:
    in_reach = why_not != _ODD_LOBES
    return _nothing(characteristic, sense, (None, upper_um), why_not, in_reach=in_reach)


def _nothing(
    characteristic: Characteristic,
    sense: Sense,
    limits_um: tuple[float | None, float],
    why_not: str,
    *,
    in_reach: bool = True,
) -> Prospect:
    return Prospect(
        characteristic=characteristic,
        sense=sense,
        lower_um=limits_um[0],
        upper_um=limits_um[1],
        standard_um=None,
        expanded_um=None,
        coverage_factor=None,
        degrees_of_freedom=None,
        zone=None,
        stray_um=0.0,
        share=0.0,
        needed_um=None,
        provable=False,
        in_reach=in_reach,
        why_not=why_not,
    )

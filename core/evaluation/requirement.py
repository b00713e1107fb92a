"""Requirements on a seat and their verdicts: size, taper, and what two-point data say of form."""

from dataclasses import dataclass
from enum import StrEnum
from math import sqrt
from typing import Final, Literal

from seatproof.core import figures
from seatproof.core.evaluation.sizes import LocalSize, StationResult, mean, readings_behind
from seatproof.core.form.quantiles import normal_quantile, range_quantile
from seatproof.core.form.taper import TaperFit
from seatproof.core.form.twopoint import ovality_standard_error_um
from seatproof.core.plan.fields import length_text
from seatproof.core.plan.model import Plan
from seatproof.core.plan.points import PointKey
from seatproof.core.plan.seat import FormTolerance, Seat
from seatproof.core.units import UM_PER_MM
from seatproof.core.verdict.rule import Rule, Verdict

BLIND: Final = (
    "Two-point measurement sees even lobes only: a shaft with 3, 5 or 7 lobes looks round to it. "
    "It also cannot see whether the axis is straight, nor what lies between the points, such as "
    "lobes finer than the orientations are spaced."
)


# Repeats that lie so far apart by chance once in a thousand points are worth another look.
_DISAGREEMENT: Final = 0.999


class Characteristic(StrEnum):
    """What a requirement is about."""

    SIZE = "size"
    ROUNDNESS = "roundness"
    CYLINDRICITY = "cylindricity"
    TAPER = "taper"


Sense = Literal["diametral", "radial"]


@dataclass(frozen=True, slots=True)
class Requirement:
    """One requirement of a seat, with the value found, its uncertainty and the verdict.

    Attributes
    ----------
    smallest_um, largest_um : float or None
        The value, in micrometres of `sense`: for size the extremes of what is judged, as
        departures from the nominal size; for form one figure, twice; None without enough readings.
    expanded_um : float or None
        Expanded uncertainty of it, with `coverage_factor`; for two-point form, where None stands
        for the factor, half the range that reading noise stays below at the rule's probability.
    guard_um : float
        Width of the guard band that the decision rule lays inside (and outside) the limits.
    lower_um, upper_um : float or None
        The limits in the same terms.
    judged : str
        What was compared with the limits, in words.
    decisive : tuple of PointKey
        The points that gave the value.
    reasons : tuple of str
        Sentences that say why the verdict is what it is, and what it rests on.
    """

    seat_id: str
    characteristic: Characteristic
    sense: Sense
    judged: str
    lower_um: float | None
    upper_um: float | None
    smallest_um: float | None
    largest_um: float | None
    expanded_um: float | None
    coverage_factor: float | None
    guard_um: float
    verdict: Verdict
    decisive: tuple[PointKey, ...]
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Uncertainties:
    """Standard uncertainties (µm, diametral) that follow from what the plan states.

    `common_um` is the part that all readings share (setting standard, zero, temperature): it
    cancels in differences. `repeatability_um` is of one reading.
    """

    common_um: float
    repeatability_um: float
    coverage_factor: float

    @classmethod
    def stated(cls, plan: Plan, repeats: int) -> "Uncertainties":
        """Split the stated U of one local size into its common and its random part."""
        stated = plan.stated_uncertainty
        local_um = float(stated.expanded_mm) * UM_PER_MM / float(stated.coverage_factor)
        repeatability_um = float(stated.repeatability_mm) * UM_PER_MM
        common_variance = max(local_um**2 - repeatability_um**2 / repeats, 0.0)
        return cls(sqrt(common_variance), repeatability_um, float(stated.coverage_factor))

    def of_mean(self, readings: float) -> float:
        """Return the standard uncertainty of a mean: averaging thins the random part only."""
        return sqrt(self.common_um**2 + self.repeatability_um**2 / readings)


def rule_of(plan: Plan) -> Rule:
    """Return the decision rule that the plan names."""
    return Rule(
        guarded=plan.decision.rule == "guard band", probability=float(plan.decision.probability)
    )


def size_requirement(
    plan: Plan, seat: Seat, sizes: tuple[LocalSize, ...], stations: tuple[StationResult, ...]
) -> Requirement:
    """Judge the size of a seat by the statistic that its plan names."""
    uncertain = Uncertainties.stated(plan, seat.repeats)
    rule = rule_of(plan)
    nominal_mm = float(seat.nominal_mm)
    lower_mm, upper_mm = (float(limit) for limit in seat.limits_mm)
    values, decisive = _judged_sizes(seat, sizes, stations)
    smallest, largest = (min(values), max(values)) if values else (None, None)
    standard_um = uncertain.of_mean(_fewest_readings(seat, sizes, stations))
    verdict = Verdict.NOT_PROVEN
    reasons: tuple[str, ...] = ("No readings yet.",)
    if smallest is not None and largest is not None:
        # Compared in mm, not as departures, so that a reading on the limit is on the limit.
        verdict = rule.judge(
            smallest, largest, standard_um / UM_PER_MM, lower=lower_mm, upper=upper_mm
        )
        reasons = ()
    verdict, reasons = _with_doubts(plan, seat, sizes, verdict, reasons)

    def departure_um(value_mm: float | None) -> float | None:
        return None if value_mm is None else (value_mm - nominal_mm) * UM_PER_MM

    return Requirement(
        seat_id=seat.id,
        characteristic=Characteristic.SIZE,
        sense="diametral",
        judged={
            "local sizes": "every local size",
            "station means": "the mean of every station",
            "overall mean": "the mean of all stations",
        }[seat.judged],
        lower_um=float(seat.limits_mm[0] - seat.nominal_mm) * UM_PER_MM,
        upper_um=float(seat.limits_mm[1] - seat.nominal_mm) * UM_PER_MM,
        smallest_um=departure_um(smallest),
        largest_um=departure_um(largest),
        expanded_um=uncertain.coverage_factor * standard_um if values else None,
        coverage_factor=uncertain.coverage_factor,
        guard_um=rule.guard_band(standard_um),
        verdict=verdict,
        decisive=decisive,
        reasons=reasons,
    )


def taper_requirement(
    plan: Plan, seat: Seat, sizes: tuple[LocalSize, ...], taper: TaperFit | None
) -> Requirement:
    """Judge the taper over the length of the seat."""
    tolerance = _stated(seat.taper)
    uncertain = Uncertainties.stated(plan, seat.repeats)
    rule = rule_of(plan)
    limit_um = tolerance.diametral_um(seat.nominal_mm)
    verdict = Verdict.NOT_PROVEN
    reasons: tuple[str, ...] = ("Readings at two stations at least are needed.",)
    value_um, standard_um = None, None
    if taper is not None:
        length_mm = float(seat.length_mm)
        value_um = taper.over(length_mm)
        assert taper.slope_se_um_per_mm is not None  # the fit was given the stated errors
        standard_um = taper.slope_se_um_per_mm * length_mm
        verdict = rule.judge(abs(value_um), abs(value_um), standard_um, upper=limit_um)
        reasons = (f"Larger at the end {taper.larger_end}.",) if value_um else ()
    verdict, reasons = _with_doubts(plan, seat, sizes, verdict, reasons)
    return Requirement(
        seat_id=seat.id,
        characteristic=Characteristic.TAPER,
        sense="diametral",
        judged="the least-squares line through the station means, over the length of the seat",
        lower_um=None,
        upper_um=limit_um,
        smallest_um=value_um,
        largest_um=value_um,
        expanded_um=None if standard_um is None else uncertain.coverage_factor * standard_um,
        coverage_factor=uncertain.coverage_factor,
        guard_um=0.0 if standard_um is None else rule.guard_band(standard_um),
        verdict=verdict,
        decisive=(),
        reasons=reasons,
    )


def roundness_requirement(
    plan: Plan, seat: Seat, sizes: tuple[LocalSize, ...], stations: tuple[StationResult, ...]
) -> Requirement:
    """Say what two-point data can of the roundness of every station."""
    groups = tuple(station.sizes for station in stations)
    return _two_point_form(plan, seat, stations, groups, Characteristic.ROUNDNESS, seat.roundness)


def cylindricity_requirement(
    plan: Plan, seat: Seat, sizes: tuple[LocalSize, ...], stations: tuple[StationResult, ...]
) -> Requirement:
    """Say what two-point data can of the cylindricity of the seat."""
    groups = (sizes,) if sizes else ()
    return _two_point_form(
        plan, seat, stations, groups, Characteristic.CYLINDRICITY, seat.cylindricity
    )


def _two_point_form(
    plan: Plan,
    seat: Seat,
    stations: tuple[StationResult, ...],
    groups: tuple[tuple[LocalSize, ...], ...],
    characteristic: Characteristic,
    stated: FormTolerance | None,
) -> Requirement:
    """Judge form by half the range of diameters, which is a lower bound of the radial figure.

    In a zone of radial width t diameters differ by 2t at most, so t is at least half the true
    range. The range read is off by less than the range of the reading noise, which stays below
    `range_quantile` times the repeatability with the rule's probability. More than the tolerance
    beyond that bound proves non-conformity; conformity needs what the plan assumes of odd lobes,
    and what the fitted ovality may add where its axes lie between the orientations.
    """
    sizes = tuple(size for station in stations for size in station.sizes)
    tolerance = _stated(stated)
    uncertain = Uncertainties.stated(plan, seat.repeats)
    rule = rule_of(plan)
    limit_um = tolerance.radial_um(seat.nominal_mm)
    found = [_half_range(group) for group in groups if len(group) >= 2]
    verdict = Verdict.NOT_PROVEN
    reasons: tuple[str, ...] = ("Readings at two orientations at least are needed.",)
    value_um: float | None = None
    noise_um: float | None = None
    decisive: tuple[PointKey, ...] = ()
    if found:
        value_um, decisive = max(found)
        # The worst of several groups is judged, so each must hold with a share of the risk.
        confidence = 1.0 - (1.0 - rule.probability) / len(found)
        widest = max(len(group) for group in groups)
        scatter_um = uncertain.repeatability_um / sqrt(min(size.readings for size in sizes))
        noise_um = range_quantile(widest, confidence) * scatter_um / 2.0
        guard_um = noise_um if rule.guarded else 0.0
        if value_um > limit_um + guard_um:
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
            odd_um = float(seat.odd_lobes.at_most_mm) * UM_PER_MM
            spread_um = scatter_um if rule.guarded else 0.0
            hidden_um = max(_hidden_um(station, spread_um, confidence) for station in stations)
            inside = value_um + guard_um + hidden_um + odd_um <= limit_um
            verdict = Verdict.CONFORMS if inside else Verdict.NOT_PROVEN
            axis = ", and a straight axis" if characteristic is Characteristic.CYLINDRICITY else ""
            reasons = (
                f"Assumes odd lobes of at most "
                f"{length_text(seat.odd_lobes.at_most_mm, plan.unit)} (radial){axis}: "
                f"{seat.odd_lobes.basis}.",
            )
    verdict, reasons = _with_doubts(plan, seat, sizes, verdict, reasons)
    where = "of each station" if characteristic is Characteristic.ROUNDNESS else "on the seat"
    return Requirement(
        seat_id=seat.id,
        characteristic=characteristic,
        sense="radial",
        judged=f"half the range of the local sizes {where}: a lower bound from two-point data",
        lower_um=None,
        upper_um=limit_um,
        smallest_um=value_um,
        largest_um=value_um,
        expanded_um=noise_um,
        coverage_factor=None,
        guard_um=noise_um if rule.guarded and noise_um is not None else 0.0,
        verdict=verdict,
        decisive=decisive,
        reasons=reasons,
    )


def _hidden_um(station: StationResult, scatter_um: float, confidence: float) -> float:
    """Return how much more (radial) the ovality may be than the range with its noise tells.

    What the fit finds beyond the range as read counts in any case. Beyond that, both are bounded
    from above at the stated confidence: the range by the range of the noise, the ovality by its
    standard error. Evenly spread orientations leave little or nothing; bunched ones leave much,
    because an axis can lie far from all of them.
    """
    if station.ovality is None:
        raise ValueError("an ovality that is not determined bounds nothing")
    angles = [size.point.angle_deg for size in station.sizes]
    range_at_most_um = station.range_um + range_quantile(len(angles), confidence) * scatter_um
    ovality_at_most_um = station.ovality.ovality_um + normal_quantile(
        confidence
    ) * ovality_standard_error_um(scatter_um, angles)
    found_um = station.ovality.ovality_um - station.range_um
    return max(found_um, ovality_at_most_um - range_at_most_um, 0.0) / 2.0


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


def _half_range(sizes: tuple[LocalSize, ...]) -> tuple[float, tuple[PointKey, PointKey]]:
    smallest = min(sizes, key=lambda size: size.size_mm)
    largest = max(sizes, key=lambda size: size.size_mm)
    half_um = (largest.size_mm - smallest.size_mm) * UM_PER_MM / 2.0
    return half_um, (smallest.key, largest.key)


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


def _fewest_readings(
    seat: Seat, sizes: tuple[LocalSize, ...], stations: tuple[StationResult, ...]
) -> float:
    """Return how many readings stand behind what is judged; behind the weakest of several."""
    if not sizes:
        of_station = float(seat.repeats * len(seat.orientations_deg))
        return {
            "local sizes": float(seat.repeats),
            "station means": of_station,
            "overall mean": of_station * len(seat.stations_mm),
        }[seat.judged]
    if seat.judged == "station means":
        return min(station.readings for station in stations)
    if seat.judged == "overall mean":
        return readings_behind([station.readings for station in stations])
    return float(min(size.readings for size in sizes))


def _with_doubts(
    plan: Plan,
    seat: Seat,
    sizes: tuple[LocalSize, ...],
    verdict: Verdict,
    reasons: tuple[str, ...],
) -> tuple[Verdict, tuple[str, ...]]:
    """Take a proof away where the readings do not carry it, and say why.

    Points are missing or short of readings, repeats disagree by more than the stated repeatability
    allows, or the correction to 20 °C is larger than the stated uncertainty can answer for.
    """
    if not sizes:
        return verdict, reasons
    doubts = (*_gaps(seat, sizes), *_disagreeing(plan, sizes), *_too_warm(plan, sizes))
    return (verdict.and_also(Verdict.NOT_PROVEN) if doubts else verdict), (*reasons, *doubts)


def _gaps(seat: Seat, sizes: tuple[LocalSize, ...]) -> tuple[str, ...]:
    doubts = []
    missing = len(seat.stations_mm) * len(seat.orientations_deg) - len(sizes)
    if missing:
        points = "1 point is" if missing == 1 else f"{missing} points are"
        doubts.append(f"{points} not measured.")
    short = sum(size.readings < seat.repeats for size in sizes)
    if short:
        points = "1 point has" if short == 1 else f"{short} points have"
        doubts.append(f"{points} fewer readings than the plan asks for.")
    return tuple(doubts)


def _disagreeing(plan: Plan, sizes: tuple[LocalSize, ...]) -> tuple[str, ...]:
    """Say where repeats lie further apart than their repeatability explains once in a thousand."""
    repeatability_um = float(plan.stated_uncertainty.repeatability_mm) * UM_PER_MM
    for size in sizes:
        if size.readings < 2:
            continue
        allowed_um = range_quantile(size.readings, _DISAGREEMENT) * repeatability_um
        if size.spread_um > allowed_um:
            spread = figures.small(size.spread_um, plan.unit)
            return (
                f"The readings at {size.key} lie {spread} apart, more than the stated "
                "repeatability explains; measure there again.",
            )
    return ()


def _too_warm(plan: Plan, sizes: tuple[LocalSize, ...]) -> tuple[str, ...]:
    expanded_um = float(plan.stated_uncertainty.expanded_mm) * UM_PER_MM
    largest_um = max((size.correction_um for size in sizes), key=abs)
    if abs(largest_um) <= expanded_um:
        return ()
    correction = figures.small(largest_um, plan.unit, sign=True)
    return (
        f"The correction to 20 °C, {correction}, is larger than the stated U answers for; let "
        "shaft and gauge come closer to one temperature, and to 20 °C.",
    )


def _stated(tolerance: FormTolerance | None) -> FormTolerance:
    if tolerance is None:
        raise ValueError("the seat states no such tolerance")
    return tolerance

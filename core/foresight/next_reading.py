"""Which reading to take next: what one more reading at each point would be worth."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import inf, sqrt
from typing import Final

import numpy as np

from seatproof.core.evaluation.evaluate import SeatEvaluation
from seatproof.core.evaluation.requirement import Characteristic, rule_of
from seatproof.core.evaluation.sizes import worth_of
from seatproof.core.foresight.measured import MeasuredSeat
from seatproof.core.plan.model import Plan
from seatproof.core.plan.points import PointKey
from seatproof.core.plan.seat import Seat
from seatproof.core.units import UM_PER_MM
from seatproof.core.verdict.judge import judge
from seatproof.core.verdict.knowledge import Estimate
from seatproof.core.verdict.limits import Limits
from seatproof.core.verdict.rule import Rule, Verdict

LEAST_CHANCE: Final = 0.01  # below this a reading is no advice


class Aim(StrEnum):
    """What a next reading is for."""

    MISSING = "a point without all the readings that the plan asks for"
    SIZE = "the size"
    TAPER = "the taper"


@dataclass(frozen=True, slots=True)
class NextReading:
    """One more reading at one point, and what it would be worth.

    Attributes
    ----------
    key : PointKey
    aim : Aim
    chance : float
        Probability that the requirement it is for will be proved, one way or the other, once this
        reading is in; 1 for a point without which nothing can be.
    standard_now_um, standard_then_um : float or None
        Standard uncertainty of what is judged there, now and with the reading.
    """

    key: PointKey
    aim: Aim
    chance: float
    standard_now_um: float | None
    standard_then_um: float | None


def chance_to_settle(
    value: float,
    uncertainty_now: float,
    uncertainty_then: float,
    limits: Limits,
    rule: Rule,
    degrees_of_freedom: float = inf,
) -> float:
    """Return the probability that a verdict will be proved with a smaller uncertainty.

    The better value will lie elsewhere: from what is known now it is spread about the present one
    with the variance that is going to be gained. The chance is the probability that it falls into
    the acceptance zone, or beyond the limits by the guard band, that go with the smaller one.

    Parameters
    ----------
    value, uncertainty_now, uncertainty_then : float
        In the unit of the limits; the last not above the one before.
    limits : Limits
    rule : Rule
    degrees_of_freedom : float
    """
    zones = judge(Estimate(value, uncertainty_then, degrees_of_freedom), limits, rule)
    moved = Estimate(value, sqrt(max(uncertainty_now**2 - uncertainty_then**2, 0.0)))
    refused = zones.refusal
    chance = moved.below(refused.lower) + moved.beyond(refused.upper)
    if zones.acceptance is not None:
        chance += moved.inside(zones.acceptance.lower, zones.acceptance.upper)
    return min(chance, 1.0)


def owed_readings(plan: Plan, result: SeatEvaluation) -> tuple[NextReading, ...]:
    """Return the points of a seat that have fewer readings than the plan asks for, as walked."""
    seat = result.seat
    return tuple(
        NextReading(point.key, Aim.MISSING, 1.0, None, None)
        for point in plan.points_of(seat.id)
        if point.key not in result.size_at or result.size_at[point.key].readings < seat.repeats
    )


def next_readings(
    plan: Plan, result: SeatEvaluation, measured: MeasuredSeat
) -> tuple[NextReading, ...]:
    """Rank the points of a seat by what one more reading there would be worth.

    First come those whose reading is likeliest to settle what is not proven. Form from two-point
    data is left out: no single reading settles it.

    Parameters
    ----------
    plan : Plan
    result : SeatEvaluation
        As the inspection stands.
    measured : MeasuredSeat
        How sure its local sizes are.

    Returns
    -------
    tuple of NextReading
        Empty where everything is settled, or where no single reading has a chance worth naming.
    """
    found: list[NextReading] = []
    for requirement in result.requirements:
        if requirement.verdict is not Verdict.NOT_PROVEN:
            continue
        if requirement.characteristic is Characteristic.SIZE:
            found += _for_size(rule_of(plan), result, measured)
        elif requirement.characteristic is Characteristic.TAPER:
            assert requirement.upper_um is not None  # a taper has an upper limit, always
            limits = Limits.of(-requirement.upper_um, requirement.upper_um)
            found += _for_taper(rule_of(plan), result, measured, limits)
    worthwhile = [one for one in found if one.chance >= LEAST_CHANCE]
    return tuple(sorted(worthwhile, key=lambda one: -one.chance))


def _for_size(rule: Rule, result: SeatEvaluation, measured: MeasuredSeat) -> list[NextReading]:
    seat = result.seat
    nominal_mm = float(seat.nominal_mm)
    lower_um, upper_um = (float(limit - seat.nominal_mm) * UM_PER_MM for limit in seat.limits_mm)
    limits = Limits.of(lower_um, upper_um)
    sizes_um = (np.array([size.size_mm for size in measured.sizes]) - nominal_mm) * UM_PER_MM
    found = []
    for weights in _judged_weights(seat, measured):
        known = Estimate(float(weights @ sizes_um), *measured.of(weights))
        found += _at_each_point(Aim.SIZE, seat, measured, weights, known, limits, rule)
    return found


def _for_taper(
    rule: Rule, result: SeatEvaluation, measured: MeasuredSeat, limits: Limits
) -> list[NextReading]:
    if result.taper is None:
        return []
    seat = result.seat
    z_mm = np.array([station.z_mm for station in result.stations])
    weight = 1.0 / np.array(measured.station_errors_um) ** 2  # as the line was fitted
    arm_mm = z_mm - np.average(z_mm, weights=weight)
    share = weight * arm_mm / np.sum(weight * arm_mm**2) * float(seat.length_mm)
    weights = np.zeros(len(measured.sizes))
    for per_station, station in zip(share.tolist(), result.stations, strict=True):
        here = [measured.place[size.key] for size in station.sizes]
        weights[here] = per_station / len(here)
    known = Estimate(result.taper.over(float(seat.length_mm)), *measured.of(weights))
    return _at_each_point(Aim.TAPER, seat, measured, weights, known, limits, rule)


def _judged_weights(seat: Seat, measured: MeasuredSeat) -> Iterator[np.ndarray]:
    """Yield the weights of the local sizes in every value that the plan has judged."""
    count = len(measured.sizes)
    if seat.judged == "local sizes":
        yield from np.eye(count)
        return
    stations: dict[int, list[int]] = {}
    for index, size in enumerate(measured.sizes):
        stations.setdefault(size.key.station, []).append(index)
    means = np.zeros((len(stations), count))
    for row, here in enumerate(stations.values()):
        means[row, here] = 1.0 / len(here)
    if seat.judged == "station means":
        yield from means
    else:
        yield np.mean(means, axis=0)


def _at_each_point(
    aim: Aim,
    seat: Seat,
    measured: MeasuredSeat,
    weights: np.ndarray,
    known: Estimate,
    limits: Limits,
    rule: Rule,
) -> list[NextReading]:
    if judge(known, limits, rule).verdict is not Verdict.NOT_PROVEN:
        return []  # what stands in the way is a doubt, not the uncertainty
    value, now = float(known.value), known.standard_uncertainty
    found = []
    for index, size in enumerate(measured.sizes):
        if weights[index] == 0.0:
            continue
        more = worth_of(seat.repeat_value, size.readings + 1)
        thinner = measured.reading_um**2 * max(1.0 / size.worth - 1.0 / more, 0.0)
        then = sqrt(max(now**2 - weights[index] ** 2 * thinner, 0.0))
        chance = chance_to_settle(value, now, then, limits, rule, known.degrees_of_freedom)
        found.append(NextReading(size.key, aim, chance, now, then))
    return found


def best_per_point(readings: Sequence[NextReading], most: int) -> tuple[NextReading, ...]:
    """Return the best advice at each point, of so many points at most, in the order given."""
    first: dict[PointKey, NextReading] = {}
    for reading in readings:
        first.setdefault(reading.key, reading)
    return tuple(first.values())[:most]

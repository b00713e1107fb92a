"""A seat as it would be found if it were perfect, and how sure its results would be."""

from dataclasses import dataclass, replace
from math import sqrt
from typing import Final

import numpy as np

from seatproof.core.evaluation.budget import SeatBudget
from seatproof.core.evaluation.doubts import Doubts
from seatproof.core.evaluation.sizes import LocalSize, StationResult, station_results, worth_of
from seatproof.core.evaluation.uncertain import SeatUncertainty, StatedUncertainties
from seatproof.core.plan.model import Plan
from seatproof.core.plan.points import Point, PointKey
from seatproof.core.plan.seat import Seat
from seatproof.core.plan.uncertainty import BudgetUncertainty
from seatproof.core.uncertainty.checks import drift_effect, spans
from seatproof.core.uncertainty.contribution import Contribution, Sharing, half_width
from seatproof.core.uncertainty.coverage import Coverage
from seatproof.core.uncertainty.effect import Effect, Layout, spread
from seatproof.core.uncertainty.gauge import (
    GaugeFacts,
    Grade,
    grades,
    indication,
    standard_contribution,
)
from seatproof.core.uncertainty.linear import LinearResults
from seatproof.core.uncertainty.propagation import Propagation
from seatproof.core.uncertainty.repeatability import (
    REFERENCE_STEP,
    Repeatability,
    largest_contribution,
    reading_contribution,
)
from seatproof.core.uncertainty.temperature import Body
from seatproof.core.uncertainty.temperature import contributions as temperature_contributions
from seatproof.core.units import REFERENCE_TEMPERATURE_C, UM_PER_MM

_NO_GAUGE: Final = (
    "The plan works with a budget, and nothing was said of the gauge: state its step and its "
    "permissible error, or its certificate."
)
_NO_REPEATABILITY: Final = (
    "The plan states no repeatability, so it will be pooled from the repeats of the inspection; "
    "here half a step of the gauge stands for it, which may be too little."
)
_NO_DRIFT: Final = (
    "Neither the plan nor its checks say what the gauge may drift; nothing was counted for it."
)


@dataclass(frozen=True, slots=True)
class GaugeAhead:
    """The gauge that will be used, and the temperatures to be expected.

    Attributes
    ----------
    facts : GaugeFacts
    expansion_per_kelvin : float
        Of the gauge.
    shaft_c, gauge_c : float
        As they will be while measuring.
    """

    facts: GaugeFacts
    expansion_per_kelvin: float = 11.5e-6
    shaft_c: float = REFERENCE_TEMPERATURE_C
    gauge_c: float = REFERENCE_TEMPERATURE_C


@dataclass(frozen=True, slots=True)
class SeatAhead:
    """A perfect seat in the middle of its limits, measured to the plan without any error.

    Attributes
    ----------
    seat : Seat
    sizes, stations
        As they would be found.
    uncertain : SeatUncertainty or None
        How sure the results would be; None where nothing bounds that.
    lacking : tuple of str
        What has to be known before anything can be proven.
    assumptions : tuple of str
        What was taken for granted.
    grades : tuple of Grade
        What U of a local size would be with each grade of evidence of the gauge.
    """

    seat: Seat
    sizes: tuple[LocalSize, ...]
    stations: tuple[StationResult, ...]
    uncertain: SeatUncertainty | None
    lacking: tuple[str, ...]
    assumptions: tuple[str, ...]
    grades: tuple[Grade, ...]


def look_ahead(plan: Plan, seat: Seat, gauge: GaugeAhead | None = None) -> SeatAhead:
    """Work out how sure the results of a seat will be, before it is measured.

    Parameters
    ----------
    plan : Plan
    seat : Seat
        Of the plan, or measured otherwise (see `seat_with`); by diameters.
    gauge : GaugeAhead, optional
        Needed by plans that work with a budget.
    """
    sizes = _perfect_sizes(seat)
    stations = station_results(seat, sizes)
    stated = plan.uncertainty
    if not isinstance(stated, BudgetUncertainty):
        # The U that is stated is of a local size with the plan's own number of repeats.
        of_plan = StatedUncertainties.of(plan, plan.seat(seat.id))
        uncertain = replace(of_plan, seat=seat, sizes=sizes, stations=stations)
        return SeatAhead(seat, sizes, stations, uncertain, (), (), ())
    if gauge is None:
        return SeatAhead(seat, sizes, stations, None, (_NO_GAUGE,), (), ())
    return _with_budget(plan, seat, sizes, stations, stated, gauge)


def _with_budget(
    plan: Plan,
    seat: Seat,
    sizes: tuple[LocalSize, ...],
    stations: tuple[StationResult, ...],
    stated: BudgetUncertainty,
    gauge: GaugeAhead,
) -> SeatAhead:
    layout = Layout.of(
        [size.key.station - 1 for size in sizes], [1.0 / sqrt(size.worth) for size in sizes]
    )
    lacking: list[str] = []
    assumptions: list[str] = []
    repeatability = None
    if stated.repeatability_mm is None:
        assumptions.append(_NO_REPEATABILITY)
    else:
        repeatability = Repeatability.stated(
            float(stated.repeatability_mm) * UM_PER_MM, stated.repeatability_readings, stated.basis
        )
    facts = gauge.facts
    rows = [
        reading_contribution(repeatability, facts.step_um),
        half_width(REFERENCE_STEP, facts.step_um / 2.0),
    ]
    if seat.repeat_value == "largest":
        largest = largest_contribution(repeatability, seat.repeats)
        rows += [] if largest is None else [largest]
    if facts.standard is not None:
        rows.append(standard_contribution(facts.standard))
    shown = indication(facts, float(seat.nominal_mm))
    if shown.contribution is None:
        lacking.append(shown.lacking)
    else:
        rows.append(shown.contribution)
        if shown.lacking:
            assumptions.append(f"{shown.lacking} The maker's permissible error is used instead.")
    rows += _of_plan(plan, seat, stated, gauge)
    effects = [spread(row, layout) for row in rows]
    drift = _drift(plan, stated, len(sizes))
    if drift is None:
        assumptions.append(_NO_DRIFT)
    else:
        effects.append(drift)
    propagation = Propagation(layout, tuple(effects))
    fixed = stated.coverage_factor
    coverage = Coverage(float(stated.coverage_probability), None if fixed is None else float(fixed))
    results = LinearResults.of(
        propagation, [station.z_mm for station in stations], float(seat.length_mm)
    )
    error_um = 0.0 if shown.contribution is None else shown.contribution.standard_um
    rest_um = sqrt(max(results.size.standard_um**2 - error_um**2, 0.0))
    found = grades(facts, float(seat.nominal_mm), rest_um, results.size.factor(coverage))
    budget = SeatBudget(
        seat=seat,
        sizes=sizes,
        stations=stations,
        place={size.key: index for index, size in enumerate(sizes)},
        propagation=propagation,
        results=results,
        coverage=coverage,
        grades=found,
        doubts=Doubts(),
        notes=(),
        trials=stated.trials,
        difference_k=float(stated.temperature_kelvin),
    )
    return SeatAhead(
        seat,
        sizes,
        stations,
        None if lacking else budget,
        tuple(lacking),
        tuple(assumptions),
        found,
    )


def _of_plan(
    plan: Plan, seat: Seat, stated: BudgetUncertainty, gauge: GaugeAhead
) -> list[Contribution]:
    """Return the contributions that the plan states, at the temperatures to be expected."""
    rows = list(
        temperature_contributions(
            float(seat.nominal_mm),
            Body(gauge.shaft_c, float(plan.shaft.expansion_per_kelvin)),
            Body(gauge.gauge_c, gauge.expansion_per_kelvin),
            difference_k=float(stated.temperature_kelvin),
            expansion_per_kelvin=float(stated.expansion_kelvin),
        )
    )
    for name, value_mm, sharing in (
        ("measuring faces", stated.faces_mm, Sharing.ALL),
        ("measuring force", stated.force_mm, Sharing.ALL),
        ("alignment", stated.alignment_mm, Sharing.UNKNOWN),
    ):
        rows.append(half_width(name, float(value_mm) * UM_PER_MM, sharing=sharing, basis="plan"))
    return rows


def _drift(plan: Plan, stated: BudgetUncertainty, count: int) -> Effect | None:
    """Return what the zero may do between two checks, with the points taken evenly in between."""
    allowed_mm = stated.drift_mm if stated.drift_mm is not None else plan.checks.drift_mm
    if allowed_mm is None:
        return None
    span = spans((), float(allowed_mm) * UM_PER_MM)
    return drift_effect([span], np.zeros(count, dtype=np.intp), np.arange(float(count)))


def _perfect_sizes(seat: Seat) -> tuple[LocalSize, ...]:
    lower_mm, upper_mm = seat.limits_mm
    middle_mm = float((lower_mm + upper_mm) / 2)
    return tuple(
        LocalSize(
            point=Point(PointKey(seat.id, station, orientation), float(z_mm), float(angle_deg)),
            size_mm=middle_mm,
            readings=seat.repeats,
            spread_um=0.0,
            correction_um=0.0,
            worth=worth_of(seat.repeat_value, seat.repeats),
        )
        for station, z_mm in enumerate(seat.stations_mm, start=1)
        for orientation, angle_deg in enumerate(seat.orientations_deg, start=1)
    )

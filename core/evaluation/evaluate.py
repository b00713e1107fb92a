"""The evaluation of an inspection: one pure function from its state to every number shown."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from math import sqrt
from typing import Final

from seatproof.core.evaluation.requirement import (
    Characteristic,
    Requirement,
    Uncertainties,
    cylindricity_requirement,
    roundness_requirement,
    size_requirement,
    taper_requirement,
)
from seatproof.core.evaluation.sizes import (
    LocalSize,
    StationResult,
    local_sizes,
    mean,
    station_results,
)
from seatproof.core.form.taper import TaperFit, fit_taper
from seatproof.core.plan.points import PointKey
from seatproof.core.plan.seat import Seat
from seatproof.core.record.state import InspectionState
from seatproof.core.units import Unit
from seatproof.core.verdict.rule import Verdict

EVALUATION_VERSION: Final = 1  # raised whenever the same record would give other numbers


@dataclass(frozen=True, slots=True)
class SeatEvaluation:
    """All results of one seat; `None` stands for what the readings do not determine yet.

    `unit` is that in which they are shown. `mean_mm` is the mean of the station means. The taper
    line goes through the station means.
    """

    unit: Unit
    seat: Seat
    sizes: tuple[LocalSize, ...]
    stations: tuple[StationResult, ...]
    size_at: Mapping[PointKey, LocalSize] = field(compare=False, repr=False)
    smallest: LocalSize | None
    largest: LocalSize | None
    mean_mm: float | None
    taper: TaperFit | None
    requirements: tuple[Requirement, ...]

    @property
    def verdict(self) -> Verdict:
        """The worst verdict of the seat's requirements."""
        verdict = Verdict.CONFORMS
        for requirement in self.requirements:
            verdict = verdict.and_also(requirement.verdict)
        return verdict

    def requirement(self, characteristic: Characteristic) -> Requirement:
        """Return the requirement on a characteristic; `KeyError` where the seat has none."""
        for requirement in self.requirements:
            if requirement.characteristic is characteristic:
                return requirement
        raise KeyError(characteristic)

    @property
    def corrected(self) -> bool:
        """Whether any size was reduced to 20 °C."""
        return any(size.correction_um for size in self.sizes)


@dataclass(frozen=True, slots=True)
class Evaluation:
    """The results of all seats of an inspection, and the unit in which they are shown."""

    unit: Unit
    seats: tuple[SeatEvaluation, ...]

    def seat(self, seat_id: str) -> SeatEvaluation:
        """Return the results of a seat; `KeyError` where there is no such seat."""
        for result in self.seats:
            if result.seat.id == seat_id:
                return result
        raise KeyError(seat_id)

    @property
    def verdict(self) -> Verdict:
        """The worst verdict of all seats."""
        verdict = Verdict.CONFORMS
        for seat in self.seats:
            verdict = verdict.and_also(seat.verdict)
        return verdict


def evaluate(state: InspectionState) -> Evaluation:
    """Evaluate an inspection as far as it has gone; no clock, no randomness, no I/O."""
    return Evaluation(
        state.plan.unit, tuple(evaluate_seat(state, seat) for seat in state.plan.seats)
    )


def evaluate_further(before: Evaluation, state: InspectionState, seat_id: str) -> Evaluation:
    """Evaluate again after something happened at one seat; seats have no part in one another."""
    return replace(
        before,
        seats=tuple(
            evaluate_seat(state, result.seat) if result.seat.id == seat_id else result
            for result in before.seats
        ),
    )


def evaluate_seat(state: InspectionState, seat: Seat) -> SeatEvaluation:
    """Evaluate one seat."""
    plan = state.plan
    sizes = local_sizes(state, seat)
    stations = station_results(seat, sizes)
    taper = _taper(Uncertainties.stated(plan, seat.repeats), stations)
    requirements = [size_requirement(plan, seat, sizes, stations)]
    if seat.roundness is not None:
        requirements.append(roundness_requirement(plan, seat, sizes, stations))
    if seat.cylindricity is not None:
        requirements.append(cylindricity_requirement(plan, seat, sizes, stations))
    if seat.taper is not None:
        requirements.append(taper_requirement(plan, seat, sizes, taper))
    return SeatEvaluation(
        unit=plan.unit,
        seat=seat,
        sizes=sizes,
        stations=stations,
        size_at={size.key: size for size in sizes},
        smallest=min(sizes, key=lambda size: size.size_mm, default=None),
        largest=max(sizes, key=lambda size: size.size_mm, default=None),
        mean_mm=mean([station.mean_mm for station in stations]) if stations else None,
        taper=taper,
        requirements=tuple(requirements),
    )


def _taper(uncertain: Uncertainties, stations: tuple[StationResult, ...]) -> TaperFit | None:
    if len(stations) < 2:
        return None
    errors_um = [uncertain.repeatability_um / sqrt(station.readings) for station in stations]
    return fit_taper(
        [station.z_mm for station in stations],
        [station.mean_mm for station in stations],
        errors_um,
    )

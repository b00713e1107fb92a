"""The evaluation of an inspection: pure functions from its state to every number shown.

`evaluate` is quick enough for every press. `evaluate_fully` adds what takes longer, the Monte Carlo
simulation; it is what a seal rests on. Both give the same numbers for the same record.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Final

from seatproof.core.evaluation.budget import SeatBudget, seat_budget
from seatproof.core.evaluation.combined_form import CombinedStation
from seatproof.core.evaluation.doubts import Doubts, from_record
from seatproof.core.evaluation.form import Measured, form_requirements
from seatproof.core.evaluation.gathering import Repeats, repeats_of
from seatproof.core.evaluation.profiles import StationProfile
from seatproof.core.evaluation.requirement import Characteristic, Requirement
from seatproof.core.evaluation.simulation import simulate_budget, with_simulation
from seatproof.core.evaluation.size import size_requirement
from seatproof.core.evaluation.sizes import (
    LocalSize,
    StationResult,
    local_sizes,
    mean,
    station_results,
)
from seatproof.core.evaluation.taper import taper_requirement
from seatproof.core.evaluation.uncertain import SeatUncertainty, StatedUncertainties
from seatproof.core.form.barrel import BarrelFit, fit_barrel
from seatproof.core.form.taper import TaperFit, fit_taper
from seatproof.core.plan.points import PointKey
from seatproof.core.plan.seat import Seat
from seatproof.core.plan.uncertainty import BudgetUncertainty
from seatproof.core.record.gaps import Gap, doubted
from seatproof.core.record.state import InspectionState
from seatproof.core.uncertainty.budget import Budget
from seatproof.core.uncertainty.extremes import SeatSimulation
from seatproof.core.uncertainty.gauge import Grade
from seatproof.core.uncertainty.montecarlo import IsCancelled, OnProgress
from seatproof.core.units import Unit
from seatproof.core.verdict.rule import Verdict

EVALUATION_VERSION: Final = 2  # raised whenever the same record would give other numbers


@dataclass(frozen=True, slots=True)
class SeatEvaluation:
    """All results of one seat; `None` stands for what the readings do not determine yet.

    `unit` is that in which they are shown. `mean_mm` is the mean of the station means. The taper
    line, and the parabola of barrel or hollow, go through the station means. `budgets` (of a local
    size, the mean, taper, barrel), `grades` and `notes` are empty where the plan states its
    uncertainty; `simulation` is there after a full evaluation of a budget only.
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
    barrel: BarrelFit | None = None
    budgets: tuple[Budget, ...] = ()
    grades: tuple[Grade, ...] = ()
    notes: tuple[str, ...] = ()
    simulation: SeatSimulation | None = None
    profiles: tuple[StationProfile, ...] = ()
    combined: tuple[CombinedStation, ...] = ()

    @property
    def budget(self) -> Budget | None:
        """The budget of the local size that is known least well."""
        return self.budgets[0] if self.budgets else None

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
    """Evaluate an inspection as far as it has gone; no clock, no randomness, no I/O.

    It has the seats that are to be done, and all their sets of readings.
    """
    shared = _Shared.of(state, state.seats)
    return Evaluation(state.plan.unit, tuple(_live(state, seat, shared)[0] for seat in state.seats))


def evaluate_further(before: Evaluation, state: InspectionState, seat_id: str) -> Evaluation:
    """Evaluate again after something happened at one seat.

    Seats have no part in one another where the plan states the uncertainty and each seat is
    measured in one way. With a budget they have, by their repeats and by the time since the last
    check; with several sets of readings on a seat the others change too.
    """
    further = any(seat.same_seat_as is not None for seat in state.plan.seats)
    if further or isinstance(state.plan.uncertainty, BudgetUncertainty):
        return evaluate(state)
    shared = _Shared.of(state, (state.plan.seat(seat_id),))
    return replace(
        before,
        seats=tuple(
            _live(state, result.seat, shared)[0] if result.seat.id == seat_id else result
            for result in before.seats
        ),
    )


def evaluate_fully(
    state: InspectionState,
    on_progress: OnProgress | None = None,
    is_cancelled: IsCancelled | None = None,
) -> Evaluation:
    """Evaluate an inspection with everything a seal rests on; the same record, the same numbers.

    Parameters
    ----------
    state : InspectionState
    on_progress : callable, optional
        Told the part done, from 0 to 1.
    is_cancelled : callable, optional
        Asked now and then; true calls the evaluation off.

    Raises
    ------
    CancelledError
        It was called off.
    """
    shared = _Shared.of(state, state.seats)
    seats: list[SeatEvaluation] = []
    for number, seat in enumerate(state.seats):

        def told(part: float, done: int = number) -> None:
            if on_progress is not None:
                on_progress((done + part) / len(state.seats))

        result, budget = _live(state, seat, shared, fully=True)
        if budget is not None:
            simulation = simulate_budget(state, budget, told, is_cancelled)
            result = replace(
                result,
                simulation=simulation,
                requirements=tuple(
                    with_simulation(state.plan, seat, requirement, simulation)
                    for requirement in result.requirements
                ),
            )
        told(1.0)
        seats.append(result)
    return Evaluation(state.plan.unit, tuple(seats))


@dataclass(frozen=True, slots=True)
class _Shared:
    """What is found once for all seats of an inspection."""

    sizes: Mapping[str, tuple[LocalSize, ...]]
    gaps: Mapping[PointKey, tuple[Gap, ...]]
    repeats: Repeats | None

    @classmethod
    def of(cls, state: InspectionState, seats: tuple[Seat, ...]) -> "_Shared":
        stated = state.plan.uncertainty
        sizes = {seat.id: local_sizes(state, seat) for seat in seats}
        repeats = None
        if isinstance(stated, BudgetUncertainty):
            repeats = repeats_of(state, sizes.values(), stated)
        return cls(sizes, doubted(state), repeats)


def _live(
    state: InspectionState, seat: Seat, shared: _Shared, *, fully: bool = False
) -> tuple[SeatEvaluation, SeatBudget | None]:
    plan = state.plan
    sizes = shared.sizes[seat.id]
    stations = station_results(seat, sizes)
    uncertain, budget, doubts, notes = _uncertainty(state, seat, sizes, stations, shared)
    errors = uncertain.station_errors_um() if uncertain is not None else None
    taper, barrel = _along(seat, stations, errors)
    requirements = []
    if seat.has_size:
        requirements.append(size_requirement(plan, seat, sizes, stations, uncertain, doubts))
    measured = Measured(state, seat, stations, uncertain, doubts, shared.gaps)
    requirements.extend(form_requirements(measured, fully=fully))
    if seat.taper is not None:
        requirements.append(taper_requirement(plan, seat, taper, uncertain, doubts))
    result = SeatEvaluation(
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
        barrel=barrel,
        budgets=() if budget is None else budget.budgets(),
        grades=() if budget is None else budget.grades,
        notes=notes,
        profiles=measured.own_profiles,
        combined=measured.combined,
    )
    return result, budget


def _uncertainty(
    state: InspectionState,
    seat: Seat,
    sizes: tuple[LocalSize, ...],
    stations: tuple[StationResult, ...],
    shared: _Shared,
) -> tuple[SeatUncertainty | None, SeatBudget | None, Doubts, tuple[str, ...]]:
    plan = state.plan
    recorded, notes = from_record(state, [size.key for size in sizes], shared.gaps)
    if not isinstance(plan.uncertainty, BudgetUncertainty):
        stated = StatedUncertainties.of(plan, seat, sizes, stations)
        return stated, None, Doubts.of_stated(plan, seat, sizes).and_also(recorded), notes
    assert shared.repeats is not None  # gathered for every plan with a budget
    budget = seat_budget(state, seat, sizes, stations, plan.uncertainty, shared.repeats)
    if budget is None:
        return None, None, recorded, notes
    return budget, budget, budget.doubts.and_also(recorded), (*budget.notes, *notes)


def _along(
    seat: Seat, stations: tuple[StationResult, ...], errors_um: list[float] | None
) -> tuple[TaperFit | None, BarrelFit | None]:
    """Fit taper and barrel to the station means, which their own errors weight."""
    if len(stations) < 2:
        return None, None
    z_mm = [station.z_mm for station in stations]
    means_mm = [station.mean_mm for station in stations]
    taper = fit_taper(z_mm, means_mm, errors_um)
    if len(stations) < 3:
        return taper, None
    return taper, fit_barrel(z_mm, means_mm, float(seat.length_mm), errors_um)

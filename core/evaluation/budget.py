"""The uncertainty budget of a seat, from its plan and the record of its inspection."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import sqrt
from typing import Final

import numpy as np

from seatproof.core.evaluation.doubts import Doubts
from seatproof.core.evaluation.gathering import Gathering, Repeats
from seatproof.core.evaluation.sizes import LocalSize, StationResult, gauge_facts
from seatproof.core.evaluation.uncertain import RangeNoise, Uncertain
from seatproof.core.form.arrays import IndexArray
from seatproof.core.form.quantiles import normal_quantile, range_quantile
from seatproof.core.form.taper import TaperFit
from seatproof.core.plan.points import PointKey
from seatproof.core.plan.seat import Seat
from seatproof.core.plan.uncertainty import BudgetUncertainty
from seatproof.core.record.state import InspectionState
from seatproof.core.uncertainty.budget import Budget, budget_of_result, budget_of_size
from seatproof.core.uncertainty.contribution import Sharing
from seatproof.core.uncertainty.coverage import Coverage, student_quantile
from seatproof.core.uncertainty.effect import Effect, Layout
from seatproof.core.uncertainty.gauge import INDICATION, STANDARD_NEAR_MM, Evidence, Grade
from seatproof.core.uncertainty.linear import LinearResults
from seatproof.core.uncertainty.propagation import Combined, Propagation
from seatproof.core.uncertainty.temperature import DIFFERENCE
from seatproof.core.units import UM_PER_MM
from seatproof.core.verdict.joint import joint_probability
from seatproof.core.verdict.limits import Limits
from seatproof.core.verdict.parts import Part, Shared
from seatproof.core.verdict.settling import Alternative

WELL_KNOWN_KELVIN: Final = 0.3  # what a contact probe on a part that has come to rest reaches


@dataclass(frozen=True, slots=True)
class SeatBudget:
    """The uncertainty of the results of one seat, worked out from contributions.

    Attributes
    ----------
    sizes, stations
        What it belongs to; all arrays of the propagation are in the order of `sizes`.
    place : mapping of PointKey to int
        Where each point stands in `sizes`.
    propagation : Propagation
    results : LinearResults
    coverage : Coverage
    grades : tuple of Grade
        What U of a local size is, or would be, with each grade of evidence of the gauge.
    doubts : Doubts
        What takes every proof away.
    notes : tuple of str
        What the budget's reader should know of how it came about.
    trials : int
        With how many Monte Carlo trials a simulation begins.
    difference_k : float
        Within how many kelvin the difference of shaft and gauge temperature is known.
    """

    seat: Seat
    sizes: tuple[LocalSize, ...]
    stations: tuple[StationResult, ...]
    place: Mapping[PointKey, int]
    propagation: Propagation
    results: LinearResults
    coverage: Coverage
    grades: tuple[Grade, ...]
    doubts: Doubts
    notes: tuple[str, ...]
    trials: int
    difference_k: float

    # --- what a requirement asks ------------------------------------------------------------------

    def of_judged(self) -> Uncertain:
        match self.seat.judged:
            case "overall mean":
                return self._uncertain(self.results.mean)
            case "station means":
                return self._uncertain(max(self.results.stations, key=_standard_um))
            case _:
                return self._uncertain(self.results.size)

    def of_taper(self, taper: TaperFit) -> Uncertain:
        del taper  # its weights follow from the stations' errors, as the fit's did
        assert self.results.taper is not None  # there is one where a line was fitted
        return self._uncertain(self.results.taper)

    def station_errors_um(self) -> list[float]:
        return list(self.results.station_errors_um)

    def range_noise(
        self, groups: tuple[tuple[LocalSize, ...], ...], probability: float
    ) -> RangeNoise:
        dof = self.results.size.dof
        scatter_um = self.results.scatter_um
        confidence = 1.0 - (1.0 - probability) / len(groups)
        widest = max(len(group) for group in groups)
        # Few degrees of freedom widen the quantile of a range about as they widen Student's t.
        wider = 1.0
        if confidence > 0.5:
            wider = student_quantile(confidence, dof) / normal_quantile(confidence)
        pair_um = max(self.propagation.difference_um(self._indices(group)) for group in groups)
        # The truly largest and smallest size are two certain ones, whatever was read elsewhere: a
        # range falls short by no more than the error of one difference.
        return RangeNoise(
            above_um=max(wider, 1.0) * range_quantile(widest, confidence) * scatter_um
            + self.propagation.layout.grain_um / 2.0,
            below_um=student_quantile(probability, dof) * pair_um,
            scatter_um=scatter_um,
        )

    def joint_probability(self) -> float | None:
        lower_um, upper_um = (
            float(limit - self.seat.nominal_mm) * UM_PER_MM for limit in self.seat.limits_mm
        )
        nominal_mm = float(self.seat.nominal_mm)
        shared = np.zeros(len(self.sizes))
        for effect in self.propagation.effects:
            if effect.contribution.sharing is Sharing.ALL and not np.ptp(effect.groups[0]):
                shared += effect.amplitude_um**2
        common = float(np.min(shared))
        own = np.sqrt(np.maximum(self.propagation.standard_um**2 - common, 0.0))
        return joint_probability(
            [(size.size_mm - nominal_mm) * UM_PER_MM for size in self.sizes],
            own.tolist(),
            sqrt(common),
            Limits.of(lower_um, upper_um),
        ).probability

    def parts(self) -> tuple[Part, ...]:
        """Return the contributions to one reading at the point known least well."""
        return tuple(
            Part(row.name, self._of_one_reading(effect), _SHARED[row.sharing])
            for effect in self.propagation.effects
            for row in (effect.contribution,)
        )

    def alternatives(self) -> tuple[Alternative, ...]:
        """Return the budget with each better grade of evidence, and with better temperatures."""
        parts = self.parts()
        found = []
        used = next((grade for grade in self.grades if grade.in_use), None)
        for grade in self.grades:
            if used is not None and grade.standard_um < used.standard_um:
                gain = used.standard_um**2 - grade.standard_um**2
                found.append(Alternative(_BETTER[grade.evidence], _less(parts, INDICATION, gain)))
        now = next((p.standard_uncertainty for p in parts if p.name == DIFFERENCE), 0.0)
        if self.difference_k > WELL_KNOWN_KELVIN:
            then = now * WELL_KNOWN_KELVIN / self.difference_k
            name = f"knowing the temperatures of shaft and gauge within {WELL_KNOWN_KELVIN:g} K"
            found.append(Alternative(name, _less(parts, DIFFERENCE, now**2 - then**2)))
        return tuple(found)

    def _of_one_reading(self, effect: Effect) -> float:
        amplitude = abs(float(effect.amplitude_um[self.results.weakest]))
        if effect.contribution.sharing is not Sharing.READING:
            return amplitude
        return amplitude / float(self.propagation.layout.thinning[self.results.weakest])

    # --- budgets to be shown ----------------------------------------------------------------------

    def budgets(self) -> tuple[Budget, ...]:
        """Return the budgets of a local size, of the mean, and of taper and barrel."""
        results, coverage = self.results, self.coverage
        found = [
            budget_of_size(
                self.propagation, results.weakest, results.size, coverage, "one local size"
            )
        ]
        for combined, of in (
            (results.mean, "mean of all stations"),
            (results.taper, "taper over the length of the seat"),
            (results.barrel, "barrel over the length of the seat"),
        ):
            if combined is not None:
                found.append(budget_of_result(self.propagation, combined, coverage, of))
        return tuple(found)

    def _uncertain(self, combined: Combined) -> Uncertain:
        return Uncertain(combined.standard_um, combined.factor(self.coverage), combined.dof)

    def _indices(self, sizes: tuple[LocalSize, ...]) -> IndexArray:
        return np.array([self.place[size.key] for size in sizes], dtype=np.intp)


def _grain_um(state: InspectionState, seat: Seat, sizes: tuple[LocalSize, ...]) -> float:
    """Return the smallest difference that two of the sizes can show, the largest of several."""
    gauges = {}
    for size in sizes:
        gauge = state.readings_at(size.key)[-1].gauge
        gauges[gauge.inventory_number, gauge.resolution] = gauge
    step_um = max(gauge_facts(gauge).step_um for gauge in gauges.values())
    averaged = min(size.readings for size in sizes) if seat.repeat_value == "mean" else 1
    return step_um / averaged


_SHARED: Final = {
    Sharing.ALL: Shared.COMMON,
    Sharing.CHECKS: Shared.COMMON,
    Sharing.STATION: Shared.STATION,
    Sharing.POINT: Shared.STATION,
    Sharing.READING: Shared.READING,
    # Where it is not known what averages it, nothing is supposed to.
    Sharing.UNKNOWN: Shared.COMMON,
}
_BETTER: Final = {
    Evidence.PERMISSIBLE_ERROR: "relying on the maker's permissible error",
    Evidence.CERTIFICATE: "applying the error curve of a calibration certificate",
    Evidence.SETTING_STANDARD: f"a setting standard within {STANDARD_NEAR_MM:g} mm of the size",
}


def _less(parts: tuple[Part, ...], name: str, variance_um2: float) -> tuple[Part, ...]:
    """Return the parts with so much less variance in those of that name (of several gauges)."""
    return tuple(
        replace(
            part,
            standard_uncertainty=sqrt(max(part.standard_uncertainty**2 - variance_um2, 0.0)),
        )
        if part.name.startswith(name)
        else part
        for part in parts
    )


def _standard_um(combined: Combined) -> float:
    return combined.standard_um


def seat_budget(
    state: InspectionState,
    seat: Seat,
    sizes: tuple[LocalSize, ...],
    stations: tuple[StationResult, ...],
    stated: BudgetUncertainty,
    repeats: Repeats,
) -> SeatBudget | None:
    """Work out the budget of a seat; None where nothing was measured."""
    if not sizes:
        return None
    place = {station.station: index for index, station in enumerate(stations)}
    ordered = tuple(size for station in stations for size in station.sizes)
    layout = Layout.of(
        [place[size.key.station] for size in ordered],
        [1.0 / sqrt(size.worth) for size in ordered],
        _grain_um(state, seat, ordered),
    )
    gathering = Gathering(state, seat, ordered, layout, stated, repeats)
    effects = gathering.effects()
    propagation = Propagation(layout, effects)
    results = LinearResults.of(
        propagation, [station.z_mm for station in stations], float(seat.length_mm)
    )
    fixed = stated.coverage_factor
    coverage = Coverage(float(stated.coverage_probability), None if fixed is None else float(fixed))
    return SeatBudget(
        seat=seat,
        sizes=ordered,
        stations=stations,
        place={size.key: index for index, size in enumerate(ordered)},
        propagation=propagation,
        results=results,
        coverage=coverage,
        grades=gathering.grades(results.weakest, results.size, coverage),
        doubts=Doubts(tuple(dict.fromkeys(gathering.doubts))),
        notes=tuple(dict.fromkeys(gathering.notes)),
        trials=stated.trials,
        difference_k=float(stated.temperature_kelvin),
    )

"""What the plan and the record of an inspection say of the errors of a seat's local sizes."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from math import sqrt
from typing import Final

import numpy as np

from seatproof.core.evaluation.doubts import disagreeing_with_others, missing
from seatproof.core.evaluation.sizes import LocalSize, gauge_facts, noted_before
from seatproof.core.plan.seat import Seat
from seatproof.core.plan.uncertainty import BudgetUncertainty
from seatproof.core.record.entries import LoggedCheck
from seatproof.core.record.kinds import GaugeInService, StandardInService
from seatproof.core.record.state import InspectionState, LoggedReading
from seatproof.core.uncertainty.checks import Check, drift_effect, spans
from seatproof.core.uncertainty.contribution import Contribution, Sharing, half_width
from seatproof.core.uncertainty.coverage import Coverage
from seatproof.core.uncertainty.effect import Effect, Layout, spread
from seatproof.core.uncertainty.gauge import (
    Evidence,
    GaugeFacts,
    Grade,
    Indication,
    SettingStandard,
    grades,
    indication,
    standard_contribution,
)
from seatproof.core.uncertainty.propagation import Combined
from seatproof.core.uncertainty.repeatability import (
    REFERENCE_STEP,
    Repeatability,
    largest_contribution,
    pooled,
    reading_contribution,
)
from seatproof.core.uncertainty.temperature import Body, contributions
from seatproof.core.units import REFERENCE_TEMPERATURE_C, UM_PER_MM

_NO_TEMPERATURES: Final = (
    "No temperatures were noted, so the budget cannot answer for them; note those of shaft and "
    "gauge before measuring."
)
_NO_REPEATABILITY: Final = (
    "No point was read twice and the plan states no repeatability; read some points twice."
)
_NO_DRIFT: Final = (
    "What the gauge may have drifted is neither stated nor shown by a later check; check it once "
    "more."
)


@dataclass(frozen=True, slots=True)
class Repeats:
    """How well readings repeat, by gauge: stated by the plan, or pooled over the inspection."""

    stated: Repeatability | None
    by_gauge: Mapping[str, Repeatability]

    def of(self, gauge: str) -> Repeatability | None:
        return self.stated if self.stated is not None else self.by_gauge.get(gauge)


def repeats_of(
    state: InspectionState,
    sizes: Iterable[tuple[LocalSize, ...]],
    stated: BudgetUncertainty,
) -> Repeats:
    """Pool the repeats of the whole inspection, each gauge for itself."""
    by_gauge: dict[str, list[tuple[int, float]]] = {}
    for of_seat in sizes:
        for size in of_seat:
            if size.readings > 1:
                gauge = state.readings_at(size.key)[-1].received.gauge
                by_gauge.setdefault(gauge, []).append((size.readings, size.scatter_um2))
    found = {gauge: pooled(points, "repeats, pooled") for gauge, points in by_gauge.items()}
    return Repeats(
        _stated_repeatability(stated),
        {gauge: repeats for gauge, repeats in found.items() if repeats is not None},
    )


def _stated_repeatability(stated: BudgetUncertainty) -> Repeatability | None:
    if stated.repeatability_mm is None:
        return None
    return Repeatability.stated(
        float(stated.repeatability_mm) * UM_PER_MM, stated.repeatability_readings, stated.basis
    )


class Gathering:
    """Gathers the effects on the local sizes of one seat, and what is missing for them."""

    def __init__(
        self,
        state: InspectionState,
        seat: Seat,
        sizes: tuple[LocalSize, ...],
        layout: Layout,
        stated: BudgetUncertainty,
        repeats: Repeats,
    ) -> None:
        self._state = state
        self._plan = state.plan
        self._seat = seat
        self._sizes = sizes
        self._layout = layout
        self._stated = stated
        self._repeats = repeats
        self.doubts = list(missing(seat, [size.readings for size in sizes]))
        self.notes: list[str] = []
        # A size whose readings came from several gauges counts as the last one's.
        self._last: list[LoggedReading] = [state.readings_at(size.key)[-1] for size in sizes]
        numbers = [reading.gauge.inventory_number for reading in self._last]
        self._names = list(dict.fromkeys(numbers))
        self._gauge_of = np.array([self._names.index(name) for name in numbers], dtype=np.intp)
        self._gauges = [
            self._last[int(np.argmax(self._gauge_of == index))].gauge
            for index in range(len(self._names))
        ]
        self._facts = [gauge_facts(gauge, self._standard_of(gauge)) for gauge in self._gauges]

    def effects(self) -> tuple[Effect, ...]:
        """Return all effects; what takes a proof away is found on the way."""
        found: list[Effect] = []
        for index, facts in enumerate(self._facts):
            found.extend(self._of_gauge(index, facts))
        found.extend(self._drift())
        found.extend(self._temperatures())
        for name, value_mm, sharing in (
            ("measuring faces", self._stated.faces_mm, Sharing.ALL),
            ("measuring force", self._stated.force_mm, Sharing.ALL),
            ("alignment", self._stated.alignment_mm, Sharing.UNKNOWN),
        ):
            row = half_width(name, float(value_mm) * UM_PER_MM, sharing=sharing, basis="plan")
            found.append(spread(row, self._layout))
        return tuple(found)

    def grades(self, index: int, whole: Combined, coverage: Coverage) -> tuple[Grade, ...]:
        """Compare the grades of evidence of the gauge that a local size was taken with."""
        gauge = int(self._gauge_of[index])
        facts = self._facts[gauge]
        used = self._indication(gauge, facts)
        own = 0.0 if used.contribution is None else used.contribution.standard_um
        rest = sqrt(max(whole.standard_um**2 - own**2, 0.0))
        return grades(facts, self._size_mm(), rest, whole.factor(coverage), used)

    # --- gauge ------------------------------------------------------------------------------------

    def _of_gauge(self, index: int, facts: GaugeFacts) -> list[Effect]:
        gauge = self._names[index]
        repeatability = self._repeats.of(gauge)
        if repeatability is None:
            self.doubts.append(_NO_REPEATABILITY)
        elif self._repeats.stated is None:
            here = tuple(
                size for size, of in zip(self._sizes, self._gauge_of, strict=True) if of == index
            )
            self.doubts.extend(
                disagreeing_with_others(self._plan, here, repeatability, facts.step_um)
            )
        rows = [
            reading_contribution(repeatability, facts.step_um),
            half_width(REFERENCE_STEP, facts.step_um / 2.0, basis="half a step of the gauge"),
        ]
        if self._seat.repeat_value == "largest":
            most = max(size.readings for size in self._sizes)
            largest = largest_contribution(repeatability, most)
            rows += [] if largest is None else [largest]
        if facts.standard is not None:
            rows.append(standard_contribution(facts.standard))
        shown = self._indication(index, facts)
        if shown.contribution is None:
            self.doubts.append(shown.lacking)
        else:
            rows.append(shown.contribution)
            if shown.lacking:
                self.notes.append(f"{shown.lacking} The maker's permissible error is used instead.")
        return [self._masked(row, index) for row in rows]

    def _indication(self, index: int, facts: GaugeFacts) -> Indication:
        """Return the error of indication that holds for every size taken with a gauge.

        A reading beyond the certificate's last size was not corrected, though the nominal size may
        have a place on the curve; then the certificate bounds none of them.
        """
        shown = indication(facts, self._size_mm())
        if shown.evidence is not Evidence.CERTIFICATE:
            return shown
        taken = [
            float(last.value_mm)
            for last, of in zip(self._last, self._gauge_of, strict=True)
            if of == index
        ]
        ends = (indication(facts, size_mm) for size_mm in (min(taken), max(taken)))
        return next((one for one in ends if one.evidence is not Evidence.CERTIFICATE), shown)

    def _masked(self, row: Contribution, gauge: int) -> Effect:
        """Spread a row over the sizes taken with one of the gauges."""
        if len(self._names) == 1:
            return spread(row, self._layout)
        factors = np.where(self._gauge_of == gauge, row.sensitivity, 0.0)
        named = replace(row, name=f"{row.name} ({self._names[gauge]})")
        return spread(named, self._layout, sensitivity=factors, source=self._gauge_of)

    def _standard_of(self, gauge: GaugeInService) -> SettingStandard | None:
        """Return the standard that the gauge was checked on last, of those that say most here.

        One that is only at hand says nothing of the gauge.
        """
        on = [check.check.standard for check in self._checks_of(gauge.inventory_number)]
        standard = self._standards().get(on[-1]) if on else None
        if standard is None:
            return None
        return SettingStandard(
            float(standard.size_mm),
            float(standard.expanded_mm) * UM_PER_MM,
            float(standard.coverage_factor),
        )

    def _checks_of(self, gauge: str) -> tuple[LoggedCheck, ...]:
        """Return the checks of a gauge that say most of this seat.

        Those on the standard nearest in size of those that serve the seat; all of them where there
        was none on such a standard. Errors found on standards of different sizes are no drift.
        """
        checks = self._state.checks_of(gauge)
        standards = self._standards()
        apart_mm = {
            check.check.standard: abs(
                Decimal(standards[check.check.standard].size_mm) - self._seat.nominal_mm
            )
            for check in checks
            if check.check.standard in standards
        }
        if not apart_mm:
            return checks
        nearest = min(apart_mm, key=lambda number: apart_mm[number])
        return tuple(check for check in checks if check.check.standard == nearest)

    def _standards(self) -> dict[str, StandardInService]:
        """Return the standards in service for this seat, by inventory number."""
        of_seat = self._seat.same_seat_as or self._seat.id
        return {
            entry.payload.inventory_number: entry.payload
            for entry in self._state.standards
            if not entry.payload.seats or of_seat in entry.payload.seats
        }

    # --- time and temperature ---------------------------------------------------------------------

    def _drift(self) -> list[Effect]:
        allowed_mm = self._stated.drift_mm
        if allowed_mm is None:
            allowed_mm = self._plan.checks.drift_mm
        allowed_um = None if allowed_mm is None else float(allowed_mm) * UM_PER_MM
        by_gauge = [
            spans(
                [
                    Check(check.moment.timestamp(), float(check.deviation_mm) * UM_PER_MM)
                    for check in self._checks_of(gauge)
                ],
                allowed_um,
            )
            for gauge in self._names
        ]
        moments = np.array([reading.moment.timestamp() for reading in self._last])
        if allowed_um is None and not all(
            any(span.checked and span.holds(at) for span in by_gauge[of])
            for of, at in zip(self._gauge_of.tolist(), moments.tolist(), strict=True)
        ):
            self.doubts.append(_NO_DRIFT)
        effect = drift_effect(by_gauge, self._gauge_of, moments)
        return [] if effect is None else [effect]

    def _temperatures(self) -> list[Effect]:
        reference = (0, REFERENCE_TEMPERATURE_C, REFERENCE_TEMPERATURE_C)
        noted = []
        for reading in self._last:
            found = noted_before(self._state, reading.seq)
            noted.append(
                reference
                if found is None
                else (found[0], float(found[1].shaft_c), float(found[1].gauge_c))
            )
        if any(number == 0 for number, _, _ in noted):
            self.doubts.append(_NO_TEMPERATURES)
        shaft_expansion = float(self._plan.shaft.expansion_per_kelvin)
        rows_of = {
            (note, index): contributions(
                self._size_mm(),
                Body(note[1], shaft_expansion),
                Body(note[2], float(self._gauges[index].expansion_per_kelvin)),
                difference_k=float(self._stated.temperature_kelvin),
                expansion_per_kelvin=float(self._stated.expansion_kelvin),
            )
            for note, index in set(zip(noted, self._gauge_of.tolist(), strict=True))
        }
        each = [rows_of[pair] for pair in zip(noted, self._gauge_of.tolist(), strict=True)]
        notes = np.array([number for number, _, _ in noted], dtype=np.intp)
        # A thermometer read again has erred anew, as far as anyone knows; a coefficient has not.
        sources = (notes, np.zeros_like(notes), self._gauge_of)
        effects = []
        for row, source in enumerate(sources):
            sensitivity = np.array([rows[row].sensitivity for rows in each])
            largest = each[int(np.argmax(np.abs(sensitivity)))][row]
            effects.append(spread(largest, self._layout, sensitivity=sensitivity, source=source))
        return effects

    def _size_mm(self) -> float:
        return float(self._seat.nominal_mm)

"""A reference check in hand: presses on a setting standard or at zero, temperatures; no Qt."""

import re
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Final, Literal

from seatproof.core import figures
from seatproof.core.record.checks import expected_mm
from seatproof.core.record.commands.pressing import received_from
from seatproof.core.record.entries import LoggedCheck
from seatproof.core.record.errors import CommandRefusedError
from seatproof.core.record.inspection import Press
from seatproof.core.record.inspection_state import InspectionState
from seatproof.core.record.kinds import (
    GaugeInService,
    Occasion,
    Received,
    ReferenceCheck,
    StandardInService,
)
from seatproof.core.units import UM_PER_MM

Phase = Literal["opening", "between", "closing"]
THINGS: Final = ("shaft", "gauge", "standard")
_PLAIN: Final = re.compile(r"-?\d{1,3}(\.\d{1,3})?", re.ASCII)


@dataclass(slots=True)
class CheckDesk:
    """What is set down for a check before it is logged.

    `temperatures` are as typed, by thing; an empty text is one that was not noted.
    """

    phase: Phase = "opening"
    occasion: Occasion = "start"
    gauge: str = ""
    standard: str = ""
    temperatures: dict[str, str] = field(default_factory=lambda: dict.fromkeys(THINGS, ""))
    received: list[Received] = field(default_factory=list)

    def clear(self) -> None:
        """Forget the presses; nothing of them was logged."""
        self.received.clear()

    def begin(
        self, state: InspectionState, phase: Phase, occasion: Occasion, gauge: str = ""
    ) -> None:
        """Set up a check of a gauge; the standard is the one in service for its seats."""
        self.phase, self.occasion = phase, occasion
        self.clear()
        self.choose_gauge(state, gauge or self.gauge or _first_gauge(state))

    def choose_gauge(self, state: InspectionState, gauge: str) -> None:
        """Check this gauge, on the standard that serves its seats."""
        self.gauge = gauge
        self.clear()
        served = state.gauge_named(gauge)
        seats = [seat.id for seat in state.seats]
        if served is not None and served.seats:
            seats = [seat for seat in seats if seat in served.seats]
        found = (state.standard_for(seat) for seat in seats)
        standard = next((one for one in found if one is not None), None)
        self.standard = standard.inventory_number if standard is not None else ""

    def take(self, state: InspectionState, press: Press) -> None:
        """Take a press as one of the check's; it is no reading of the shaft."""
        gauge = state.gauge_named(press.gauge or self.gauge)
        if gauge is None:
            raise CommandRefusedError("Put a gauge in service before it is checked.")
        if gauge.inventory_number != self.gauge:
            self.choose_gauge(state, gauge.inventory_number)
        self.received.append(received_from(press, gauge))

    def take_back(self) -> None:
        """Forget the newest press."""
        if self.received:
            self.received.pop()

    # --- what it says ----------------------------------------------------------------------------

    def standard_in(self, state: InspectionState) -> StandardInService | None:
        """Return the standard that is chosen; None for a check at zero."""
        return next(
            (
                entry.payload
                for entry in reversed(state.standards)
                if entry.payload.inventory_number == self.standard
            ),
            None,
        )

    def expected_mm(self, state: InspectionState) -> Decimal:
        """Return what the gauge should show."""
        standard, gauge = self.standard_in(state), state.gauge_named(self.gauge)
        if standard is None or gauge is None:
            return Decimal(0)
        return expected_mm(standard, gauge, self._celsius("standard"), self._celsius("gauge"))

    def deviation_um(self, state: InspectionState) -> float | None:
        """Return the mean of what it showed minus what it should; None before the first press."""
        if not self.received:
            return None
        shown = [Decimal(received.value_mm) for received in self.received]
        mean_mm = sum(shown, Decimal(0)) / len(shown)
        return float(mean_mm - self.expected_mm(state)) * UM_PER_MM

    def problems(self, state: InspectionState) -> tuple[str, ...]:
        """Say what must be mended before the check can be logged."""
        found = []
        if not self.received:
            on = f"standard {self.standard}" if self.standard else "zero"
            found.append(f"Put the gauge on {on} and press its button, three times or more.")
        for thing in THINGS:
            text = self.temperatures[thing].strip()
            if text and _PLAIN.fullmatch(text) is None:
                found.append(
                    f"Give the temperature of the {thing} in °C with a point, such as 21.5."
                )
        needed = state.plan.checks.temperatures
        missing = [
            thing
            for thing in THINGS
            if not self.temperatures[thing].strip() and (thing != "standard" or self.standard)
        ]
        if needed and missing:
            found.append(f"The plan asks for the temperature of {' and '.join(missing)}.")
        if state.plan.checks.standard and not self.standard:
            found.append("The plan asks for a check on a setting standard; put one in service.")
        return tuple(found)

    def payload(self, state: InspectionState) -> ReferenceCheck:
        """Return the check as it goes into the record; ask for `problems` first."""
        celsius = {thing: self._celsius(thing) for thing in THINGS}
        return ReferenceCheck(
            phase=self.phase,
            occasion=self.occasion,
            gauge=self.gauge,
            standard=self.standard,
            expected_mm=str(self.expected_mm(state)),
            received=tuple(self.received),
            **{
                f"{thing}_c": None if value is None else str(value)
                for thing, value in celsius.items()
            },
        )

    def _celsius(self, thing: str) -> Decimal | None:
        text = self.temperatures[thing].strip()
        return Decimal(text) if _PLAIN.fullmatch(text) else None


def outcome_words(state: InspectionState, check: LoggedCheck) -> str:
    """Say what a logged check says of its gauge."""
    unit = state.plan.unit
    deviation = figures.small(float(check.deviation_mm) * UM_PER_MM, unit, sign=True)
    said = f"Gauge {check.gauge} shows {deviation} against what it should"
    if check.drift_mm is not None:
        drift = figures.small(float(check.drift_mm) * UM_PER_MM, unit, sign=True)
        said += f", {drift} since its last good check"
    if check.good:
        return f"{said}."
    return (
        f"{said}: beyond the plan's limit. Every reading since its last good check is in doubt; "
        "measure again, or record a deviation before the seal."
    )


def _first_gauge(state: InspectionState) -> str:
    gauge: GaugeInService | None = state.gauge
    return gauge.inventory_number if gauge is not None else ""

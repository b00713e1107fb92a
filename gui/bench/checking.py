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
from seatproof.gui.shared.saying import say, typed_number, wording

Phase = Literal["opening", "between", "closing"]
THINGS: Final = ("shaft", "gauge", "standard")
_MEND: Final = {
    "shaft": wording("Give the temperature of the shaft in °C with a point, such as 21.5."),
    "gauge": wording("Give the temperature of the gauge in °C with a point, such as 21.5."),
    "standard": wording("Give the temperature of the standard in °C with a point, such as 21.5."),
}
_ASKED: Final = {
    "shaft": wording("The plan asks for the temperature of the shaft."),
    "gauge": wording("The plan asks for the temperature of the gauge."),
    "standard": wording("The plan asks for the temperature of the standard."),
}
# What came of a check is kept, and said when it is shown.
_GOOD: Final = wording("Gauge {gauge} shows {deviation} against what it should.")
_GOOD_SINCE: Final = wording(
    "Gauge {gauge} shows {deviation} against what it should, {drift} since its last good check."
)
_BEYOND: Final = wording(
    "Gauge {gauge} shows {deviation} against what it should: beyond the plan's limit."
)
_BEYOND_SINCE: Final = wording(
    "Gauge {gauge} shows {deviation} against what it should, {drift} since its last good check: "
    "beyond the plan's limit."
)
_IN_DOUBT: Final = wording(
    "Every reading since its last good check is in doubt; measure again, or record a deviation "
    "before the seal."
)
_PLAIN: Final = re.compile(r"-?\d{1,3}(\.\d{1,3})?", re.ASCII)


PHASES: Final[dict[Phase, str]] = {
    "opening": "first check",
    "between": "check between readings",
    "closing": "last check",
}


@dataclass(slots=True)
class CheckDesk:
    """What is set down for a check before it is logged.

    Presses stay with the check that they were made for when another one, or another step, is taken
    in hand.

    Attributes
    ----------
    temperatures : dict
        As typed, by thing; an empty text is one that was not noted.
    is_filled_in : bool
        Whether the temperatures are those that were noted before.
    is_taken_up : bool
        Whether presses were held already when this check was taken in hand.
    """

    phase: Phase = "opening"
    occasion: Occasion = "start"
    gauge: str = ""
    standard: str = ""
    temperatures: dict[str, str] = field(default_factory=lambda: dict.fromkeys(THINGS, ""))
    is_filled_in: bool = False
    is_taken_up: bool = False
    _held: dict[tuple[Phase, str, str], list[Received]] = field(default_factory=dict)

    @property
    def received(self) -> list[Received]:
        """The presses of the check in hand, in their order."""
        return self._held.setdefault((self.phase, self.gauge, self.standard), [])

    @property
    def held(self) -> tuple[str, ...]:
        """What is held for checks that were not logged, in a sentence for each."""
        return tuple(
            f"Held for the {PHASES[phase]} of gauge {gauge} {_on(standard)}, and not logged: "
            f"{', '.join(f'{one.value} {one.unit}' for one in received)}."
            for (phase, gauge, standard), received in self._held.items()
            if received
        )

    def clear(self) -> None:
        """Forget the presses of the check in hand, which was logged."""
        self.received.clear()
        self.is_taken_up = False

    def clear_all(self) -> None:
        """Forget every press: each was logged, or noted."""
        self._held.clear()
        self.is_taken_up = False

    def begin(
        self, state: InspectionState, phase: Phase, occasion: Occasion, gauge: str = ""
    ) -> None:
        """Set up a check of a gauge; the standard is the one in service for its seats."""
        self.phase, self.occasion = phase, occasion
        self.choose_gauge(state, gauge or self.gauge or _first_gauge(state))
        self._fill_in(state)

    def choose_gauge(self, state: InspectionState, gauge: str) -> None:
        """Check this gauge, on the standard that serves its seats."""
        self.gauge = gauge
        served = state.gauge_named(gauge)
        seats = [seat.id for seat in state.seats]
        if served is not None and served.seats:
            seats = [seat for seat in seats if seat in served.seats]
        found = (state.standard_for(seat) for seat in seats)
        standard = next((one for one in found if one is not None), None)
        self.choose_standard(standard.inventory_number if standard is not None else "")

    def choose_standard(self, number: str) -> None:
        """Check on this standard, or at zero for an empty number."""
        self.standard = number
        self.is_taken_up = bool(self.received)

    def take(self, state: InspectionState, press: Press) -> None:
        """Take a press as one of the check's; it is no reading of the shaft."""
        gauge = state.gauge_named(press.gauge or self.gauge)
        if gauge is None:
            raise CommandRefusedError("Put a gauge in service before it is checked.")
        if gauge.inventory_number != self.gauge:
            self.choose_gauge(state, gauge.inventory_number)
        self.received.append(received_from(press, gauge))

    @property
    def place(self) -> str:
        """What is checked, said in words that follow "for"."""
        if not self.standard:
            return say("the check at zero with gauge {gauge}", gauge=self.gauge)
        return say(
            "the check on the standard {standard} with gauge {gauge}",
            standard=self.standard,
            gauge=self.gauge,
        )

    def take_back(self) -> None:
        """Forget the newest press."""
        if self.received:
            self.received.pop()

    def note_temperature(self, thing: str, text: str) -> None:
        """Take a temperature as typed."""
        self.temperatures[thing] = text
        self.is_filled_in = False

    def _fill_in(self, state: InspectionState) -> None:
        """Fill in what was noted before, so that it is asked for once."""
        noted: dict[str, str | None] = {}
        if state.checks:
            noted["standard"] = state.checks[-1].check.standard_c
        if state.temperatures:
            newest = state.temperatures[-1][1]
            noted |= {"shaft": newest.shaft_c, "gauge": newest.gauge_c}
        for thing, celsius in noted.items():
            if celsius and not self.temperatures[thing].strip():
                self.temperatures[thing] = celsius
        self.is_filled_in = any(text.strip() for text in self.temperatures.values())

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
        """Say, in the window's language, what must be mended before the check can be logged."""
        found = []
        if not self.received:
            found.append(
                say(
                    "Put the gauge on standard {standard} and press its button, three times or "
                    "more.",
                    standard=self.standard,
                )
                if self.standard
                else say("Put the gauge on zero and press its button, three times or more.")
            )
        found += [
            say(_MEND[thing])
            for thing in THINGS
            if self.temperatures[thing].strip() and self._celsius(thing) is None
        ]
        needed = state.plan.checks.temperatures
        missing = [
            thing
            for thing in THINGS
            if not self.temperatures[thing].strip() and (thing != "standard" or self.standard)
        ]
        if needed and missing:
            found += [say(_ASKED[thing]) for thing in missing]
        if state.plan.checks.standard and not self.standard:
            found.append(
                say("The plan asks for a check on a setting standard; put one in service.")
            )
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
        text = typed_number(self.temperatures[thing])
        return Decimal(text) if _PLAIN.fullmatch(text) else None


def outcome_words(state: InspectionState, check: LoggedCheck) -> str:
    """Say, in English, what a logged check says of its gauge."""
    unit = state.plan.unit
    gaps = {
        "gauge": check.gauge,
        "deviation": figures.small(float(check.deviation_mm) * UM_PER_MM, unit, sign=True),
    }
    if check.drift_mm is not None:
        gaps["drift"] = figures.small(float(check.drift_mm) * UM_PER_MM, unit, sign=True)
    if check.good:
        return (_GOOD_SINCE if "drift" in gaps else _GOOD).format(**gaps)
    beyond = (_BEYOND_SINCE if "drift" in gaps else _BEYOND).format(**gaps)
    return f"{beyond} {_IN_DOUBT}"


def _on(standard: str) -> str:
    return f"on the standard {standard}" if standard else "at zero"


def _first_gauge(state: InspectionState) -> str:
    gauge: GaugeInService | None = state.gauge
    return gauge.inventory_number if gauge is not None else ""

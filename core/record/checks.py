"""Reference checks: what one says of its gauge, and when the next is due."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal

from seatproof.core.record.entries import Entry, LoggedCheck
from seatproof.core.record.events import Event
from seatproof.core.record.inspection_state import InspectionState
from seatproof.core.record.kinds import (
    Attention,
    GaugeInService,
    Occasion,
    ReferenceCheck,
    StandardInService,
)
from seatproof.core.units import REFERENCE_TEMPERATURE_C

_REFERENCE_C = Decimal(str(REFERENCE_TEMPERATURE_C))

_TOLD: dict[Occasion, str] = {
    "knock": "was knocked",
    "battery": "has a new battery",
    "gauge": "was changed",
    "temperature": "is at another temperature",
}


@dataclass(frozen=True, slots=True)
class Due:
    """A reference check that is asked for now: of which gauge, on which occasion, in a sentence."""

    gauge: str
    occasion: Occasion
    sentence: str


def expected_mm(
    standard: StandardInService,
    gauge: GaugeInService,
    standard_c: Decimal | None = None,
    gauge_c: Decimal | None = None,
) -> Decimal:
    """Return what a gauge should show on a standard at these temperatures.

    x = L · [1 + α_standard·(t_standard − 20) − α_gauge·(t_gauge − 20)]; a temperature that was not
    noted is taken as 20 °C.
    """
    standard_part = Decimal(standard.expansion_per_kelvin) * (
        (_REFERENCE_C if standard_c is None else standard_c) - _REFERENCE_C
    )
    gauge_part = Decimal(gauge.expansion_per_kelvin) * (
        (_REFERENCE_C if gauge_c is None else gauge_c) - _REFERENCE_C
    )
    return Decimal(standard.size_mm) * (1 + standard_part - gauge_part)


def logged_check(state: InspectionState, event: Event, check: ReferenceCheck) -> LoggedCheck:
    """Judge a check against the last good one of the same gauge on the same standard."""
    shown = [Decimal(received.value_mm) for received in check.received]
    value_mm = sum(shown, Decimal(0)) / len(shown)
    deviation_mm = value_mm - Decimal(check.expected_mm)
    earlier = [
        other for other in state.checks_of(check.gauge) if other.check.standard == check.standard
    ]
    # After a check that was not good the gauge has been set anew, or should have been.
    drift_mm = deviation_mm - earlier[-1].deviation_mm if earlier and earlier[-1].good else None
    limit_mm = state.plan.checks.drift_mm
    judged_mm = deviation_mm if drift_mm is None else drift_mm
    return LoggedCheck(
        seq=event.seq,
        moment=event.moment,
        actor=event.actor,
        check=check,
        value_mm=value_mm,
        deviation_mm=deviation_mm,
        drift_mm=drift_mm,
        good=limit_mm is None or abs(judged_mm) <= limit_mm,
    )


def suffices(state: InspectionState, check: LoggedCheck) -> bool:
    """Tell whether a check is of the sort that the plan asks for."""
    return bool(check.check.standard) or not state.plan.checks.standard


def due(state: InspectionState, now: datetime) -> tuple[Due, ...]:
    """Return the checks that are asked for before the next press; none once it is sealed.

    A knock and the like are always followed by a check; the others as the plan has it.
    """
    if state.sealed is not None:
        return ()
    numbers = dict.fromkeys(gauge.inventory_number for gauge in _serving(state))
    found = [_due_of(state, number, now) for number in numbers]
    return tuple(item for item in found if item is not None)


def check_due(state: InspectionState, now: datetime) -> str | None:
    """Return why a reference check is due now, in a sentence, or None."""
    items = due(state, now)
    return items[0].sentence if items else None


def _serving(state: InspectionState) -> tuple[GaugeInService, ...]:
    """Return the gauges that serve a seat to be done; they alone need a check."""
    serving = (state.gauge_for(seat.id) for seat in state.seats)
    return tuple(gauge for gauge in serving if gauge is not None)


def _due_of(state: InspectionState, gauge: str, now: datetime) -> Due | None:
    plan = state.plan.checks
    checks = [check for check in state.checks_of(gauge) if suffices(state, check)]
    if not checks:
        if plan.opening:
            return Due(gauge, "start", f"Check gauge {gauge} before the first reading.")
        return _after_attention(state, gauge, 0)
    last = checks[-1]
    if not last.good:
        return Due(
            gauge,
            "other",
            f"The last check of gauge {gauge} was beyond the limit; set the gauge, then check it "
            "again.",
        )
    attention = _after_attention(state, gauge, last.seq)
    if attention is not None:
        return attention
    if plan.every_minutes is not None:
        age = now - last.moment
        if age >= timedelta(minutes=plan.every_minutes):
            return Due(
                gauge,
                "time",
                f"The last check of gauge {gauge} was {int(age.total_seconds() // 60)} minutes "
                f"ago; the plan asks for one every {plan.every_minutes} minutes.",
            )
    return _after_warming(state, gauge, last)


def _after_attention(state: InspectionState, gauge: str, since: int) -> Due | None:
    for entry in state.attentions:
        if entry.seq > since and entry.payload.gauge in ("", gauge):
            return Due(gauge, entry.payload.what, _attention_sentence(gauge, entry))
    if not (state.plan.checks.opening or state.plan.checks.closing):
        return None
    for change in state.changes:
        if change.seq > since > 0:
            return Due(
                gauge,
                "person",
                f"{change.payload.to_person} measures now; check gauge {gauge} again.",
            )
    for service in state.gauge_entries:
        if service.payload.inventory_number == gauge and service.seq > since > 0:
            return Due(gauge, "gauge", f"Gauge {gauge} was put in service anew; check it again.")
    return None


def _attention_sentence(gauge: str, entry: Entry[Attention]) -> str:
    told = _TOLD.get(entry.payload.what)
    if told is None:
        note = entry.payload.note.strip()
        if not note:
            return f"Something happened that asks for a check of gauge {gauge}; check it again."
        return (
            f"Something happened that asks for a check of gauge {gauge} ({note}); check it again."
        )
    return f"Gauge {gauge} {told}; check it again."


def _after_warming(state: InspectionState, gauge: str, last: LoggedCheck) -> Due | None:
    limit = state.plan.checks.temperature_change_kelvin
    if limit is None or not state.temperatures:
        return None
    at_check = [noted for seq, noted in state.temperatures if seq <= last.seq]
    if not at_check:
        return None
    before, after = at_check[-1], state.temperatures[-1][1]
    for what, then_c, now_c in (
        ("shaft", before.shaft_c, after.shaft_c),
        ("gauge", before.gauge_c, after.gauge_c),
    ):
        change = Decimal(now_c) - Decimal(then_c)
        if abs(change) >= limit:
            return Due(
                gauge,
                "temperature",
                f"The {what} has changed by {abs(change):f} K since the last check of gauge "
                f"{gauge}; check it again.",
            )
    return None

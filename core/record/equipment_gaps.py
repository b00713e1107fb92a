"""Gaps of equipment: checks, drift, standards, temperatures, calibration."""

from collections.abc import Callable, Iterable
from datetime import date, timedelta, timezone
from typing import Final

from seatproof.core import figures
from seatproof.core.plan.fields import length_text
from seatproof.core.plan.points import PointKey
from seatproof.core.record.calibration import is_expired
from seatproof.core.record.checks import suffices
from seatproof.core.record.entries import LoggedCheck, LoggedReading
from seatproof.core.record.gap import Gap, GapKind, measured_on
from seatproof.core.record.inspection_state import InspectionState
from seatproof.core.record.kinds import GaugeInService, StandardInService
from seatproof.core.units import UM_PER_MM


def _opening(state: InspectionState) -> Iterable[Gap]:
    if not state.plan.checks.opening:
        return
    for gauge, readings in _by_gauge(state).items():
        first = _first(state, gauge, lambda check: suffices(state, check))
        unchecked = [one for one in readings if first is None or one.seq < first.seq]
        if unchecked:
            yield Gap(
                GapKind.OPENING,
                f"{_readings(unchecked)} came from gauge {gauge} before it was checked"
                f"{_on(state)}.",
                _points(unchecked),
            )


def _closing(state: InspectionState) -> Iterable[Gap]:
    if not state.plan.checks.closing:
        return
    for gauge, readings in _by_gauge(state).items():
        checks = [check for check in state.checks_of(gauge) if suffices(state, check)]
        since = checks[-1].seq if checks else 0
        unchecked = [one for one in readings if one.seq > since]
        if unchecked:
            yield Gap(
                GapKind.CLOSING,
                f"{_readings(unchecked)} came from gauge {gauge} after its last check{_on(state)}; "
                "check it once more.",
                _points(unchecked),
            )


def _drift(state: InspectionState) -> Iterable[Gap]:
    """Find readings between good checks of a gauge with one that was not good between those."""
    limit_mm = state.plan.checks.drift_mm
    if limit_mm is None:
        return
    unit = state.plan.unit
    for gauge, readings in _by_gauge(state).items():
        for since, bad, until in _bad_stretches(state.checks_of(gauge)):
            doubtful = [
                one for one in readings if since < one.seq and (until is None or one.seq < until)
            ]
            if not doubtful:
                continue
            amount_mm = bad.deviation_mm if bad.drift_mm is None else bad.drift_mm
            amount = figures.small(float(amount_mm) * UM_PER_MM, unit, sign=True)
            yield Gap(
                GapKind.DRIFT,
                f"Gauge {gauge} was found off by {amount} at event {bad.seq}, and the plan allows "
                f"{length_text(limit_mm, unit)}; {_readings(doubtful)} without a good check before "
                "and after are in doubt: measure them again.",
                _points(doubtful),
            )


def _bad_stretches(
    checks: tuple[LoggedCheck, ...],
) -> Iterable[tuple[int, LoggedCheck, int | None]]:
    """Return the last good check before, the first bad one, and the next good one after."""
    since, bad = 0, None
    for check in checks:
        if check.good:
            if bad is not None:
                yield since, bad, check.seq
            since, bad = check.seq, None
        elif bad is None:
            bad = check
    if bad is not None:
        yield since, bad, None


def _after_attention(state: InspectionState) -> Iterable[Gap]:
    """Find readings between an event that asks for a check and the next check."""
    by_gauge = _by_gauge(state)
    for entry in state.attentions:
        for gauge in [entry.payload.gauge] if entry.payload.gauge else list(by_gauge):
            following = _first(
                state,
                gauge,
                lambda check, seq=entry.seq: check.seq > seq and suffices(state, check),  # type: ignore[misc]  # a default binds the loop's value
            )
            until = state.last.seq + 1 if following is None else following.seq
            between = [one for one in by_gauge.get(gauge, ()) if entry.seq < one.seq < until]
            # A good check afterwards shows that nothing had moved: only its absence is a gap.
            if between and (following is None or not following.good):
                yield Gap(
                    GapKind.CHECK,
                    f"{_readings(between)} came from gauge {gauge} after event {entry.seq} "
                    f"({entry.payload.what}) without a good check since.",
                    _points(between),
                )


def _standards(state: InspectionState) -> Iterable[Gap]:
    if not state.plan.checks.standard:
        return
    for seat in state.seats:
        points = measured_on(state, {seat.id})
        if points and seat.method == "two-point" and state.standard_for(seat.id) is None:
            yield Gap(
                GapKind.STANDARD,
                f"No setting standard was put in service for seat {seat.id}, which the plan asks "
                "for.",
                points,
            )


def _temperatures(state: InspectionState) -> Iterable[Gap]:
    if state.plan.checks.temperatures and not state.temperatures:
        yield Gap(
            GapKind.TEMPERATURES,
            "The temperatures of shaft and gauge were not noted, which the plan asks for.",
            measured_on(state, None),
        )


def _calibration(state: InspectionState) -> Iterable[Gap]:
    """Find readings from a gauge, and checks on a standard, past their calibration's date."""
    offset = timezone(timedelta(minutes=state.opened.offset_min))
    expired: dict[str, list[LoggedReading]] = {}
    judged: dict[tuple[int, date], bool] = {}
    for reading in _counting(state):
        day = reading.moment.astimezone(offset).date()
        mark = (id(reading.gauge), day)  # one gauge has thousands of readings on few days
        if mark not in judged:
            judged[mark] = _lapsed(reading.gauge, day)
        if judged[mark]:
            expired.setdefault(reading.gauge.inventory_number, []).append(reading)
    for gauge, readings in expired.items():
        yield Gap(
            GapKind.CALIBRATION,
            f"{_readings(readings)} came from gauge {gauge} after its calibration was due "
            f"({readings[0].gauge.calibration_due}).",
            _points(readings),
        )
    for entry in state.standards:
        standard = entry.payload
        days = [
            check.moment.astimezone(offset).date()
            for check in state.checks
            if check.check.standard == standard.inventory_number and check.seq > entry.seq
        ]
        if any(_lapsed(standard, day) for day in days):
            yield Gap(
                GapKind.CALIBRATION,
                f"A gauge was checked on setting standard {standard.inventory_number} after its "
                f"calibration was due ({standard.calibration_due}).",
                measured_on(state, set(standard.seats) or None),
            )


def _lapsed(thing: GaugeInService | StandardInService, day: date) -> bool:
    return not thing.override_reason.strip() and is_expired(thing, day)


# --- inside ---------------------------------------------------------------------------------------


def _counting(state: InspectionState) -> list[LoggedReading]:
    return [reading for reading in state.readings.values() if reading.replaced_by is None]


def _by_gauge(state: InspectionState) -> dict[str, list[LoggedReading]]:
    sorted_out: dict[str, list[LoggedReading]] = {}
    for reading in _counting(state):
        sorted_out.setdefault(reading.received.gauge, []).append(reading)
    return sorted_out


def _first(
    state: InspectionState, gauge: str, holds: Callable[[LoggedCheck], bool]
) -> LoggedCheck | None:
    return next((check for check in state.checks_of(gauge) if holds(check)), None)


def _points(readings: Iterable[LoggedReading]) -> tuple[PointKey, ...]:
    return tuple(dict.fromkeys(reading.key for reading in readings))


def _readings(readings: list[LoggedReading]) -> str:
    return "1 reading" if len(readings) == 1 else f"{len(readings)} readings"


def _on(state: InspectionState) -> str:
    return " on a setting standard" if state.plan.checks.standard else ""


EQUIPMENT_FINDERS: Final[tuple[Callable[[InspectionState], Iterable[Gap]], ...]] = (
    _opening,
    _closing,
    _drift,
    _after_attention,
    _standards,
    _temperatures,
    _calibration,
)

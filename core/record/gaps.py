"""What stands between a state and a clean seal, and which points it puts in doubt.

A gap is found from the record alone, without a clock, so that it is the same years later. What was
decided with a reason of its own (a point skipped, a press thrown away) is no gap.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta, timezone
from enum import StrEnum
from typing import Final

from seatproof.core import figures
from seatproof.core.plan.fields import length_text
from seatproof.core.plan.points import PointKey
from seatproof.core.record.calibration import is_expired
from seatproof.core.record.checks import suffices
from seatproof.core.record.entries import LoggedCheck, LoggedReading
from seatproof.core.record.inspection_state import InspectionState
from seatproof.core.record.kinds import GaugeInService, StandardInService
from seatproof.core.units import UM_PER_MM

_NAMED: Final = 6  # so many points are named in a sentence; the others are counted


class GapKind(StrEnum):
    """What is missing or in doubt."""

    GAUGE = "no gauge"
    CAUTIONS = "cautions not acknowledged"
    MISSING = "points not measured"
    PARKED = "parked presses undecided"
    OWED = "reason owed"
    REPEAT = "repeat not made"
    SPREAD = "repeats disagree"
    OPENING = "opening check missing"
    CLOSING = "closing check missing"
    DRIFT = "drift beyond the limit"
    CHECK = "check after an event missing"
    CONDITION = "condition not answered"
    STANDARD = "setting standard missing"
    TEMPERATURES = "temperatures missing"
    CALIBRATION = "calibration expired"
    FITTING = "fitting step open"


@dataclass(frozen=True, slots=True)
class Gap:
    """One thing that stands between an inspection and a clean seal.

    Attributes
    ----------
    kind : GapKind
    what : str
        A sentence that says what is open and how to mend it; no two gaps of a state share it.
    points : tuple of PointKey
        The points that are at best not proven while it stands, whatever reason is given.
    reason_may_close : bool
        Whether the part may be sealed all the same when a reason is given.
    """

    kind: GapKind
    what: str
    points: tuple[PointKey, ...] = ()
    reason_may_close: bool = True


def gaps(state: InspectionState) -> tuple[Gap, ...]:
    """Return what stands between an inspection and a clean seal, most elementary first.

    It does not ask whether the inspection is sealed: after a seal it is what stood open then.
    """
    return tuple(gap for find in _FINDERS for gap in find(state))


def doubted(state: InspectionState) -> Mapping[PointKey, tuple[Gap, ...]]:
    """Return, for each measured point that a gap touches, the gaps that touch it."""
    touched: dict[PointKey, tuple[Gap, ...]] = {}
    for find in _DOUBTING:
        for gap in find(state):
            for key in gap.points:
                if state.counting.get(key):
                    touched[key] = (*touched.get(key, ()), gap)
    return touched


# --- what was never begun -------------------------------------------------------------------------


def _gauge(state: InspectionState) -> Iterable[Gap]:
    if state.gauge is None:
        yield Gap(GapKind.GAUGE, "No gauge was put in service.")


def _cautions(state: InspectionState) -> Iterable[Gap]:
    if not state.cautions:
        yield Gap(GapKind.CAUTIONS, "The cautions were not acknowledged.", reason_may_close=False)


def _conditions(state: InspectionState) -> Iterable[Gap]:
    for seat in state.seats:
        if seat.same_seat_as is not None:
            continue
        open_checks = [
            check for check in state.plan.conditions if (seat.id, check) not in state.conditions
        ]
        if open_checks:
            named = "; ".join(open_checks)
            yield Gap(
                GapKind.CONDITION,
                f"The condition of seat {seat.id} was not answered: {named}.",
                _measured_on(state, {other.id for other in state.plan.sets_of(seat.id)}),
            )


# --- points and presses ---------------------------------------------------------------------------


def _missing(state: InspectionState) -> Iterable[Gap]:
    keys = tuple(
        point.key
        for point in state.open_points()
        if len(state.counting.get(point.key, ())) < state.plan.seat(point.seat_id).repeats
    )
    if len(keys) == 1:
        yield Gap(
            GapKind.MISSING,
            f"Point {keys[0]} is not measured; measure it, or skip it with a reason.",
            keys,
        )
    elif keys:
        yield Gap(
            GapKind.MISSING,
            f"{len(keys)} points are not measured ({_names(keys)}); "
            "measure them, or skip each with a reason.",
            keys,
        )


def _parked(state: InspectionState) -> Iterable[Gap]:
    waiting = len(state.waiting_presses())
    if waiting:
        presses = "1 parked press waits" if waiting == 1 else f"{waiting} parked presses wait"
        yield Gap(GapKind.PARKED, f"{presses} for a decision.")


def _owed(state: InspectionState) -> Iterable[Gap]:
    for owed in state.owed.values():
        yield Gap(
            GapKind.OWED,
            f"A reason is owed for event {owed.seq}: {owed.what}; give it.",
            reason_may_close=False,
        )


def _repeats(state: InspectionState) -> Iterable[Gap]:
    for key in state.repeats:
        wanted = state.repeats_wanted(key)
        count = len(state.counting.get(key, ()))
        if wanted and count >= state.plan.seat(key.seat_id).repeats and not state.is_complete(key):
            yield Gap(
                GapKind.REPEAT,
                f"Point {key} was to be measured once more, and was not: {wanted[-1].why}",
                (key,),
            )


def _spread(state: InspectionState) -> Iterable[Gap]:
    limited = {
        seat.id: seat.repeat_spread_mm for seat in state.seats if seat.repeat_spread_mm is not None
    }
    if not limited:
        return
    unit = state.plan.unit
    for key, seqs in state.counting.items():
        limit_mm = limited.get(key.seat_id)
        if limit_mm is None or len(seqs) < 2:
            continue
        values_mm = [state.readings[seq].value_mm for seq in seqs]
        spread_mm = max(values_mm) - min(values_mm)
        if spread_mm > limit_mm:
            spread = figures.small(float(spread_mm) * UM_PER_MM, unit)
            yield Gap(
                GapKind.SPREAD,
                f"The readings at {key} differ by {spread}, and the plan allows "
                f"{figures.tolerance(float(limit_mm) * UM_PER_MM, unit)}; measure again, or take "
                "back the one that is wrong.",
                (key,),
            )


# --- checks, standards, temperatures --------------------------------------------------------------


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
        points = _measured_on(state, {seat.id})
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
            _measured_on(state, None),
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
                _measured_on(state, set(standard.seats) or None),
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


def _measured_on(state: InspectionState, seats: set[str] | None) -> tuple[PointKey, ...]:
    return tuple(
        key for key, seqs in state.counting.items() if seqs and (seats is None or key[0] in seats)
    )


def _readings(readings: list[LoggedReading]) -> str:
    return "1 reading" if len(readings) == 1 else f"{len(readings)} readings"


def _on(state: InspectionState) -> str:
    return " on a setting standard" if state.plan.checks.standard else ""


def _names(keys: tuple[PointKey, ...]) -> str:
    names = ", ".join(str(key) for key in keys[:_NAMED])
    return f"{names} and {len(keys) - _NAMED} more" if len(keys) > _NAMED else names


_Finder = Callable[[InspectionState], Iterable[Gap]]
_DOUBTING: Final[tuple[_Finder, ...]] = (
    _repeats,
    _spread,
    _opening,
    _closing,
    _drift,
    _after_attention,
    _conditions,
    _standards,
    _temperatures,
    _calibration,
)
_FINDERS: Final[tuple[_Finder, ...]] = (
    _gauge,
    _cautions,
    _missing,
    _parked,
    _owed,
    *_DOUBTING,
)

"""The readings of an inspection as rows: every press, whatever became of it; without Qt."""

from dataclasses import dataclass
from datetime import datetime, timedelta, timezone

from seatproof.core import figures
from seatproof.core.record.calibration import due_date
from seatproof.core.record.inspection_state import InspectionState
from seatproof.core.record.kinds import GaugeInService, StandardInService

HEADS = ("event", "time", "point", "value", "as received", "state", "reason", "gauge", "by")


@dataclass(frozen=True, slots=True)
class ReadingRow:
    """One press: its texts by column; `seq` of a reading that counts and may be left out."""

    texts: tuple[str, ...]
    seq: int
    counts: bool


def reading_rows(state: InspectionState) -> tuple[ReadingRow, ...]:
    """Return all readings, parked presses and reference checks in the order of the record."""
    offset = timezone(timedelta(minutes=state.opened.offset_min))
    rows = [*_readings(state, offset), *_parked(state, offset), *_checks(state, offset)]
    return tuple(sorted(rows, key=lambda row: row.seq))


def equipment_lines(state: InspectionState) -> tuple[str, ...]:
    """Say for every gauge and standard what was known of its calibration when it was used."""
    lines = []
    things: list[tuple[str, datetime, GaugeInService | StandardInService]] = [
        ("Gauge", entry.moment, entry.payload) for entry in state.gauge_entries
    ]
    things += [("Setting standard", entry.moment, entry.payload) for entry in state.standards]
    offset = timezone(timedelta(minutes=state.opened.offset_min))
    for word, moment, thing in things:
        due = due_date(thing.calibration_due)
        if due is None:
            known = "no day until which its calibration holds is recorded"
        elif moment.astimezone(offset).date() > due:
            known = f"its calibration had run out on {due}"
        else:
            known = f"calibrated, good until {due}"
        certificate = f", certificate {thing.certificate}" if thing.certificate else ""
        reason = f" Used all the same: {thing.override_reason}" if thing.override_reason else ""
        lines.append(f"{word} {thing.inventory_number}: {known}{certificate}.{reason}")
    return tuple(lines)


def _readings(state: InspectionState, offset: timezone) -> list[ReadingRow]:
    rows = []
    for reading in state.readings.values():
        key = reading.key
        repeats = state.counting.get(key, ())
        if not reading.counts:
            word, why = f"withdrawn by event {reading.replaced_by}", reading.fate
        elif len(repeats) > 1:
            word = f"counts, {repeats.index(reading.seq) + 1} of {len(repeats)}"
            why = reading.reason
        else:
            word, why = "counts", reading.reason
        if reading.from_parked is not None:
            word += f", parked first (event {reading.from_parked})"
        if reading.received.by_hand:
            word += ", typed by hand"
        rows.append(
            ReadingRow(
                (
                    str(reading.seq),
                    _time(reading.moment, offset),
                    f"{key.seat_id} {key.station}/{key.orientation}",
                    f"{figures.received(reading.received.value)} {reading.received.unit}",
                    reading.received.text,
                    word,
                    why,
                    reading.gauge.inventory_number,
                    reading.actor,
                ),
                reading.seq,
                reading.counts,
            )
        )
    return rows


def _parked(state: InspectionState, offset: timezone) -> list[ReadingRow]:
    rows = []
    for press in state.parked.values():
        decided = "parked, undecided" if press.waits else f"parked; {press.decision}"
        where = "" if press.key is None else str(press.key)
        rows.append(
            ReadingRow(
                (
                    str(press.seq),
                    _time(press.moment, offset),
                    where,
                    f"{figures.received(press.received.value)} {press.received.unit}",
                    press.received.text,
                    decided,
                    press.finding,
                    press.received.gauge,
                    "",
                ),
                press.seq,
                counts=False,
            )
        )
    return rows


def _checks(state: InspectionState, offset: timezone) -> list[ReadingRow]:
    rows = []
    unit = state.plan.unit
    for check in state.checks:
        drift = (
            ""
            if check.drift_mm is None
            else f"drift {figures.small(float(check.drift_mm) * 1000.0, unit, sign=True)}"
        )
        deviation = figures.small(float(check.deviation_mm) * 1000.0, unit, sign=True)
        raw = ", ".join(received.text for received in check.check.received)
        rows.append(
            ReadingRow(
                (
                    str(check.seq),
                    _time(check.moment, offset),
                    check.check.standard or "at zero",
                    f"deviation {deviation}",
                    raw,
                    f"{check.check.phase} check, {'good' if check.good else 'beyond the limit'}",
                    "; ".join(part for part in (drift, check.check.note) if part),
                    check.gauge,
                    check.actor,
                ),
                check.seq,
                counts=False,
            )
        )
    return rows


def _time(moment: datetime, offset: timezone) -> str:
    return f"{moment.astimezone(offset):%H:%M:%S}"

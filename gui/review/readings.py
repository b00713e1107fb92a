"""The readings of an inspection as rows, in the language of the window; without Qt.

Every press has its row, whatever became of it.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta, timezone

from seatproof.core import figures
from seatproof.core.record.calibration import due_date
from seatproof.core.record.inspection_state import InspectionState
from seatproof.core.record.kinds import GaugeInService, StandardInService
from seatproof.gui.shared.saying import again, say, wording

HEADS = (
    wording("event"),
    wording("time"),
    wording("point"),
    wording("value"),
    wording("as received"),
    wording("state"),
    wording("reason"),
    wording("gauge"),
    wording("by"),
)


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
        (wording("Gauge {number}"), entry.moment, entry.payload) for entry in state.gauge_entries
    ]
    things += [
        (wording("Setting standard {number}"), entry.moment, entry.payload)
        for entry in state.standards
    ]
    offset = timezone(timedelta(minutes=state.opened.offset_min))
    for word, moment, thing in things:
        due = due_date(thing.calibration_due)
        if due is None:
            known = say("no day until which its calibration holds is recorded")
        elif moment.astimezone(offset).date() > due:
            known = say("its calibration had run out on {day}", day=str(due))
        else:
            known = say("calibrated, good until {day}", day=str(due))
        if thing.certificate:
            known = f"{known}, {say('certificate {number}', number=thing.certificate)}"
        line = f"{say(word, number=thing.inventory_number)}: {known}."
        if thing.override_reason:
            line = f"{line} {say('Used all the same: {reason}', reason=thing.override_reason)}"
        lines.append(line)
    return tuple(lines)


def _readings(state: InspectionState, offset: timezone) -> list[ReadingRow]:
    rows = []
    for reading in state.readings.values():
        key = reading.key
        repeats = state.counting.get(key, ())
        if not reading.counts:
            by = str(reading.replaced_by)
            said, why = [say("withdrawn by event {number}", number=by)], reading.fate
        elif len(repeats) > 1:
            number, total = str(repeats.index(reading.seq) + 1), str(len(repeats))
            said = [say("counts, {number} of {total}", number=number, total=total)]
            why = reading.reason
        else:
            said, why = [say("counts")], reading.reason
        if reading.from_parked is not None:
            said.append(say("parked first (event {number})", number=str(reading.from_parked)))
        if reading.received.by_hand:
            said.append(say("typed by hand"))
        rows.append(
            ReadingRow(
                (
                    str(reading.seq),
                    _time(reading.moment, offset),
                    f"{key.seat_id} {key.station}/{key.orientation}",
                    again(f"{figures.received(reading.received.value)} {reading.received.unit}"),
                    reading.received.text,
                    ", ".join(said),
                    again(why),
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
        decided = (
            say("parked, undecided")
            if press.waits
            else say("parked; {decision}", decision=again(press.decision))
        )
        where = "" if press.key is None else str(press.key)
        rows.append(
            ReadingRow(
                (
                    str(press.seq),
                    _time(press.moment, offset),
                    where,
                    again(f"{figures.received(press.received.value)} {press.received.unit}"),
                    press.received.text,
                    decided,
                    again(press.finding),
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
        drift = ""
        if check.drift_mm is not None:
            moved = figures.small(float(check.drift_mm) * 1000.0, unit, sign=True)
            drift = f"{say('drift')} {again(moved)}"
        deviation = figures.small(float(check.deviation_mm) * 1000.0, unit, sign=True)
        raw = ", ".join(received.text for received in check.check.received)
        rows.append(
            ReadingRow(
                (
                    str(check.seq),
                    _time(check.moment, offset),
                    check.check.standard or say("at zero"),
                    f"{say('deviation')} {again(deviation)}",
                    raw,
                    _check_words(check.check.phase, good=check.good),
                    "; ".join(part for part in (drift, check.check.note) if part),
                    check.gauge,
                    check.actor,
                ),
                check.seq,
                counts=False,
            )
        )
    return rows


def _check_words(phase: str, *, good: bool) -> str:
    if good:
        return say("{phase} check, good", phase=again(phase))
    return say("{phase} check, beyond the limit", phase=again(phase))


def _time(moment: datetime, offset: timezone) -> str:
    return f"{moment.astimezone(offset):%H:%M:%S}"

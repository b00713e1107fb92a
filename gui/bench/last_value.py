"""The last press in words and figures: what came, what became of it, where it lies; without Qt."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from seatproof.core import figures
from seatproof.core.evaluation.sizes import local_size_at
from seatproof.core.record.inspection import Press
from seatproof.core.record.state import InspectionState, LoggedReading, ParkedPress
from seatproof.core.units import UM_PER_MM
from seatproof.devices.formats import Refusal
from seatproof.gui.bench.points import PointMark, mark_at
from seatproof.gui.shared.saying import wording


class ValueKind(StrEnum):
    """What became of the press that came last; the value is the word shown beside it."""

    NONE = wording("no press yet")
    LOGGED = wording("logged")
    HELD = wording("held for the check, not logged yet")
    PARKED = wording("parked: decide below")
    REFUSED = wording("not understood: press again")
    NOT_STORED = wording("NOT logged")


@dataclass(frozen=True, slots=True)
class LastValue:
    """The last press in large figures.

    `figures` is the value as the gauge sent it; `note` says, in English, where it lies or why it
    did not count.
    """

    kind: ValueKind
    figures: str
    unit: str
    place: str
    note: str
    mark: PointMark | None


_LIES: Final = wording("{departure} from nominal")
_LIES_AT_20: Final = wording("{departure} from nominal at 20 °C ({correction} for temperature)")
_OF_SEVERAL: Final = wording("{said}; {count} readings, {spread} apart")

NO_VALUE: Final = LastValue(ValueKind.NONE, figures.NOTHING, "", "", "", None)


def logged_value(state: InspectionState, reading: LoggedReading) -> LastValue:
    """Say where the size at a reading's point lies, now that the reading is part of it."""
    seat, unit = state.plan.seat(reading.key.seat_id), state.plan.unit
    size = local_size_at(state, reading.key) if seat.has_size else None
    note, mark = "", None
    if size is not None:
        mark = mark_at(state, reading.key)
        departure_um = (size.size_mm - float(seat.nominal_mm)) * UM_PER_MM
        departure = figures.small(departure_um, unit, sign=True)
        correction = figures.small(size.correction_um, unit, sign=True)
        note = (_LIES_AT_20 if size.correction_um else _LIES).format(
            departure=departure, correction=correction
        )
        if size.readings > 1:
            spread = figures.small(size.spread_um, unit)
            note = _OF_SEVERAL.format(said=note, count=size.readings, spread=spread)
    return LastValue(
        kind=ValueKind.LOGGED,
        figures=figures.received(reading.received.value),
        unit=reading.received.unit,
        place=f"{reading.key}",
        note=note,
        mark=None if mark is PointMark.OPEN else mark,
    )


def held_value(press: Press) -> LastValue:
    """Say that a press belongs to the check in hand."""
    unit = press.unit.value if press.unit is not None else ""
    return LastValue(ValueKind.HELD, figures.received(str(press.value)), unit, "", "", None)


def parked_value(press: ParkedPress) -> LastValue:
    """Say what was found against a press."""
    return LastValue(
        kind=ValueKind.PARKED,
        figures=figures.received(press.received.value),
        unit=press.received.unit,
        place="",
        note=press.finding,
        mark=None,
    )


def refused_value(refusal: Refusal) -> LastValue:
    """Say why a frame is no value."""
    return LastValue(ValueKind.REFUSED, refusal.text, "", "", refusal.reason, None)


def not_stored_value(value: str, why: str) -> LastValue:
    """Say why a press is not part of the record."""
    return LastValue(ValueKind.NOT_STORED, figures.received(value), "", "", why, None)


def last_value_of(state: InspectionState) -> LastValue:
    """Return the newest value that counts."""
    reading = state.last_reading()
    return NO_VALUE if reading is None else logged_value(state, reading)

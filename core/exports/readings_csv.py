"""The readings of an inspection as CSV (RFC 4180): one reading a row, oldest first.

Everything in a row is from the record as it was written, nothing is worked out: readings that count
no longer stand among the others and say what became of them.
"""

import csv
import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta, timezone
from decimal import Decimal
from io import StringIO
from typing import Final

from seatproof.core.quantities import plain_text
from seatproof.core.record.state import InspectionState

_ANGLE_STEP: Final = Decimal("0.000001")
_POSITION_STEP: Final = Decimal("0.000000001")

# What a spreadsheet would take for a formula, or would strip to find one.
_FORMULA_STARTS: Final = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")

# Names that a spreadsheet would change: it drops leading zeros and late digits, and takes 3/4 for a
# day and 12E5 for a number.
_CHANGED_BY_SPREADSHEETS: Final = re.compile(
    r"0\d[\d.,]*|\d{1,4}[-/:.]\d{1,4}([-/:.]\d{1,4})?|\d[\d.,]*[eE][+-]?\d+|\d{16,}", re.ASCII
)


@dataclass(frozen=True, slots=True)
class CsvForm:
    """How numbers and columns are written; `mark` says with a byte order mark that it is UTF-8."""

    separator: str
    decimal: str
    mark: bool


EXCHANGE: Final = CsvForm(",", ".", mark=False)
SPREADSHEET: Final = CsvForm(";", ",", mark=True)  # where the comma is the decimal sign

HEADER: Final = (
    "sheet number",
    "inspection",
    "event",
    "time",
    "inspector",
    "seat",
    "station",
    "orientation",
    "z (mm)",
    "angle (degrees)",
    "value as received",
    "unit",
    "value (mm)",
    "typed by hand",
    "counts",
    "what became of it",
    "gauge",
    "gauge serial number",
    "arrival",
    "format",
    "bytes (hexadecimal)",
)


def readings_csv(state: InspectionState, form: CsvForm = EXCHANGE) -> bytes:
    """Return the readings as CSV with a header row, in UTF-8, lines ended by CR LF.

    Parameters
    ----------
    state : InspectionState
    form : CsvForm
        `EXCHANGE` is the same wherever it is read; `SPREADSHEET` suits one that writes decimals
        with a comma.
    """
    out = StringIO()
    writer = csv.writer(out, delimiter=form.separator, lineterminator="\r\n")
    writer.writerow(HEADER)
    for row in _rows(state, form):
        writer.writerow(row)
    text = out.getvalue()
    return text.encode("utf-8-sig" if form.mark else "utf-8")


def plain(text: str, form: CsvForm = EXCHANGE) -> str:
    """Return a text that no spreadsheet takes for a formula: an apostrophe stands before it.

    One that is for a spreadsheet also guards names that look like numbers or days.

    >>> plain("=1+1"), plain("M-014"), plain("007123"), plain("007123", SPREADSHEET)
    ("'=1+1", 'M-014', '007123', "'007123")
    """
    changed = form is SPREADSHEET and _CHANGED_BY_SPREADSHEETS.fullmatch(text)
    return f"'{text}" if changed or text.startswith(_FORMULA_STARTS) else text


def _rows(state: InspectionState, form: CsvForm) -> Iterable[tuple[str, ...]]:
    offset = timezone(timedelta(minutes=state.opened.offset_min))
    places = {point.key: point for point in state.plan.points()}
    for reading in state.readings.values():
        seat = state.plan.seat(reading.key.seat_id)
        point = places[reading.key]
        z_mm = seat.stations_mm[point.station - 1].quantize(_POSITION_STEP)
        angle = seat.orientations_deg[point.orientation - 1].quantize(_ANGLE_STEP)
        received = reading.received
        yield (
            plain(state.identification.sheet_number, form),
            state.inspection,
            str(reading.seq),
            _time(reading.moment, offset),
            plain(reading.actor, form),
            plain(reading.key.seat_id, form),
            str(reading.key.station),
            str(reading.key.orientation),
            _number(plain_text(z_mm), form),
            _number(plain_text(angle), form),
            _number(received.value, form),
            received.unit,
            _number(received.value_mm, form),
            "yes" if received.by_hand else "no",
            "yes" if reading.counts else "no",
            plain(reading.fate, form),
            plain(received.gauge, form),
            plain(reading.gauge.serial_number, form),
            str(received.arrival),
            plain(received.format, form),
            # In groups, so that digits around an e are not taken for a number with an exponent.
            bytes.fromhex(received.raw_hex).hex(" "),
        )


def _time(moment: datetime, offset: timezone) -> str:
    return moment.astimezone(offset).isoformat(timespec="milliseconds")


def _number(text: str, form: CsvForm) -> str:
    return text if form.decimal == "." else text.replace(".", form.decimal)

"""The readings as CSV: read back with the standard library's own reader."""

import csv
from collections.abc import Callable
from datetime import datetime
from decimal import Decimal
from io import StringIO
from typing import Any

import pytest

from seatproof.core.exports.readings_csv import (
    EXCHANGE,
    HEADER,
    SPREADSHEET,
    CsvForm,
    plain,
    readings_csv,
)
from seatproof.core.record.inspection import Press


def table(data: bytes, form: CsvForm) -> list[dict[str, str]]:
    text = data.decode("utf-8-sig" if form.mark else "utf-8")
    return list(csv.DictReader(StringIO(text, newline=""), delimiter=form.separator, strict=True))


@pytest.fixture(scope="module")
def measured(bench_of: Callable[..., Any]) -> Any:
    bench = bench_of(stations=[10, 30, 50], orientations=[0, 22.5, 90])
    bench.fill(lambda point: f"99.9{point.station}{point.orientation}0")
    return bench.state


@pytest.mark.parametrize("form", [EXCHANGE, SPREADSHEET], ids=["exchange", "spreadsheet"])
def test_every_reading_comes_back(measured: Any, form: CsvForm) -> None:
    rows = table(readings_csv(measured, form), form)
    assert len(rows) == len(measured.readings) == 9
    for row, reading in zip(rows, measured.readings.values(), strict=True):
        assert row["seat"] == reading.key.seat_id
        assert (int(row["station"]), int(row["orientation"])) == reading.key[1:]
        assert int(row["event"]) == reading.seq
        assert Decimal(row["value (mm)"].replace(form.decimal, ".")) == reading.value_mm
        assert abs(datetime.fromisoformat(row["time"]) - reading.moment).microseconds <= 1000
        assert bytes.fromhex(row["bytes (hexadecimal)"]).decode().strip() == reading.received.text
        assert row["counts"] == "yes"


def test_rows_say_what_was_pressed_where(measured: Any) -> None:
    """By hand: station 2 at orientation 3 was given 99.9230."""
    rows = table(readings_csv(measured), EXCHANGE)
    (row,) = [row for row in rows if (row["station"], row["orientation"]) == ("2", "3")]
    assert row["z (mm)"] == "30"
    assert row["angle (degrees)"] == "90"
    assert row["value as received"] == "99.9230"
    assert row["unit"] == "mm"
    assert {row["angle (degrees)"] for row in rows} == {"0", "22.5", "90"}


def test_lines_end_as_the_standard_asks(measured: Any) -> None:
    data = readings_csv(measured)
    assert data.count(b"\r\n") == data.count(b"\n") == 10
    assert not data.startswith(b"\xef\xbb\xbf")
    assert readings_csv(measured, SPREADSHEET).startswith(b"\xef\xbb\xbf")


def test_texts_that_would_be_formulas_are_guarded(bench_of: Callable[..., Any]) -> None:
    bench = bench_of()
    bench.press("99.99")
    bench.inspection.take_back('@SUM(A1) ; "quoted"\nand, a second line')
    bench.inspection.actor = '=HYPERLINK("http://x","y")'
    bench.press("99.98")
    first, second = table(readings_csv(bench.state), EXCHANGE)
    assert first["counts"] == "no"
    assert first["what became of it"].endswith('@SUM(A1) ; "quoted"\nand, a second line')
    assert second["inspector"] == '\'=HYPERLINK("http://x","y")'
    assert second["counts"] == "yes"


def test_negative_values_of_an_indicator_stay_numbers(bench_of: Callable[..., Any]) -> None:
    bench = bench_of(limits='method = "radial"')
    bench.press("-0.004")
    (row,) = table(readings_csv(bench.state), EXCHANGE)
    assert row["value as received"] == row["value (mm)"] == "-0.004"
    assert plain("-0.004") == "'-0.004"  # as a name it would be guarded


def test_value_that_was_typed_says_so(bench_of: Callable[..., Any]) -> None:
    bench = bench_of()
    bench.press("99.99")
    press = Press(Decimal("99.98"), None, "99.98", b"", "typed", 2, by_hand=True)
    bench.inspection.take(press)
    rows = table(readings_csv(bench.state), EXCHANGE)
    assert [row["typed by hand"] for row in rows] == ["no", "yes"]


@pytest.mark.parametrize("text", ["007123", "3/4", "12E5", "1234567890123456", "2024-05-17"])
def test_names_that_a_spreadsheet_would_change_are_guarded(text: str) -> None:
    assert plain(text, SPREADSHEET) == f"'{text}"
    assert plain(text, EXCHANGE) == text


@pytest.mark.parametrize("text", ["M-014", "WO 40512", "A", "12", "LB-1187"])
def test_other_names_stay_as_they_are(text: str) -> None:
    assert plain(text, SPREADSHEET) == text


def test_header_names_a_unit_for_every_length() -> None:
    assert [name for name in HEADER if "(mm)" in name] == ["z (mm)", "value (mm)"]
    assert len(set(HEADER)) == len(HEADER)

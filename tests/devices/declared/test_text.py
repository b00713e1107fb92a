from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from seatproof.core.units import Unit
from seatproof.devices.declared.check import CheckRule, check_text
from seatproof.devices.declared.text import Found, TextLayout
from seatproof.devices.declared.text_check import TextCheck

SIX = TextLayout(sign="always", gap=b"\0", min_digits=6, max_digits=6, mark=b"", decimals=3)
CHANNEL = TextLayout(channel="99A", sign="always", min_digits=7, max_digits=7, decimals=2)
FILLED = TextLayout(sign="always", fill=b" ", width=10, decimals=4)
RIGHT = TextLayout(plus=b" ", sign="always", fill=b" ", fill_first=True, width=9, decimals=3)
COMMA = TextLayout(mark=b",", max_digits=8)
UNIT = TextLayout(units={b"mm": Unit.MM, b'"': Unit.INCH}, unit_blanks=1, max_digits=8)
SUMMED = TextLayout(
    sign="always", min_digits=5, max_digits=5, decimals=3, check=TextCheck(rule=CheckRule.SUM)
)


@pytest.mark.parametrize(
    ("layout", "data", "value"),
    [
        (SIX, b"-\x00009891", "-9.891"),
        (SIX, b"-\x00000000", "0.000"),
        (CHANNEL, b"01A+00024.35", "24.35"),
        (FILLED, b"-   1.2345", "-1.2345"),
        (FILLED, b"+ 123.2345", "123.2345"),
        (RIGHT, b"    1.234", "1.234"),
        (RIGHT, b"   -1.234", "-1.234"),
        (COMMA, b"-0,50", "-0.50"),
        (UNIT, b"1.23 mm", "1.23"),
        (SUMMED, b"+24.350" + check_text(CheckRule.SUM, "hex", b"+24.350"), "24.350"),
    ],
)
def test_layout_finds_the_value(layout: TextLayout, data: bytes, value: str) -> None:
    found = layout.find(data)
    assert isinstance(found, Found), found
    assert str(found.value) == value


@pytest.mark.parametrize(
    ("layout", "data", "word"),
    [
        (SIX, b"\x00009891", "7 bytes"),
        (SIX, b"009891", "bytes where"),
        (SIX, b"-\x0000989", "lost"),
        (CHANNEL, b"01A+0024.35", "lost"),
        (CHANNEL, b"01A 00024.35", "layout"),
        (CHANNEL, b"0A1+00024.35", "layout"),
        (FILLED, b"    1.2345", "layout"),
        (FILLED, b"-  1.2345", "bytes where"),
        (RIGHT, b"    1,234", "layout"),
        (COMMA, b"1.234,5", "layout"),
        (COMMA, b"0.50", "layout"),
        (COMMA, b"123456789,5", "10 digits"),
        (UNIT, b"1.23", "layout"),
        (UNIT, b"1.23 m", "layout"),
        (SUMMED, b"+24.35100", "check characters"),
    ],
)
def test_layout_refuses_what_differs_in_one_byte(
    layout: TextLayout, data: bytes, word: str
) -> None:
    reason = layout.find(data)
    assert isinstance(reason, str)
    assert word in reason


def test_unit_and_channel_are_found() -> None:
    inch = UNIT.find(b'0.5"')
    assert isinstance(inch, Found)
    assert inch.unit is Unit.INCH
    found = TextLayout(channel="9:", sign="always").find(b"3:+0012.46")
    assert isinstance(found, Found)
    assert found.channel == "3"


def test_exact_length_is_known_where_there_is_one() -> None:
    lengths = {layout.exact_length: layout for layout in (SIX, CHANNEL, FILLED, RIGHT, SUMMED)}
    assert set(lengths) == {8, 12, 10, 9} - set()
    assert COMMA.exact_length is None
    assert UNIT.exact_length is None


@pytest.mark.parametrize(
    "fields",
    [
        {"mark": b"", "decimals": None},
        {"mark": b".", "decimals": 0},
        {"mark": b";"},
        {"min_digits": 5, "max_digits": 4},
        {"fill": b"0"},
        {"plus": b"-"},
        {"minus": b"1"},
        {"gap": b"0"},
        {"channel": "99"},
        {"lead": b"1"},
        {"surprise": 1},
    ],
)
def test_layout_that_could_misread_is_refused_when_it_is_declared(fields: dict[str, Any]) -> None:
    with pytest.raises(ValidationError):
        TextLayout(**fields)


@given(st.binary(max_size=30), st.sampled_from([SIX, CHANNEL, FILLED, RIGHT, COMMA, UNIT, SUMMED]))
def test_any_bytes_give_a_value_or_a_sentence(data: bytes, layout: TextLayout) -> None:
    found = layout.find(data)
    if isinstance(found, str):
        assert found.endswith(".")
        return
    parts = layout.parts(data)
    assert [part.stop for part in parts[:-1]] == [part.start for part in parts[1:]]
    assert parts[0].start == 0
    assert parts[-1].stop == len(data)
    (digits,) = [data[p.start : p.stop] for p in parts if p.meaning == "value"]
    number = digits.replace(b",", b".").decode()
    expected = Decimal(number) if layout.mark else Decimal(number).scaleb(-(layout.decimals or 0))
    assert abs(found.value) == expected


@given(st.integers(-9_999_999, 9_999_999))
def test_one_lost_byte_never_makes_another_value(n: int) -> None:
    data = f"01A{'-' if n < 0 else '+'}{abs(n):07d}".encode()
    data = data[:9] + b"." + data[9:]
    whole = CHANNEL.find(data)
    assert isinstance(whole, Found)
    assert whole.value == Decimal(n).scaleb(-2)
    for at in range(len(data)):
        assert isinstance(CHANNEL.find(data[:at] + data[at + 1 :]), str)

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from seatproof.core.quantities import QuantityError, parse_length, plain_text

CASES = {
    "110": "110",
    "110.5": "110.5",
    "0": "0",
    "007": "7",
    ".5005": "0.5005",
    " 110 ": "110",
    "3 15/16": "3.9375",
    "3  15/16": "3.9375",
    "15/16": "0.9375",
    "7/128": "0.0546875",
    "1 2/5": "1.4",
    "1 3/6": "1.5",
    "123456789.123456789012": "123456789.123456789012",
    "123456789 4095/4096": "123456789.999755859375",
}


@pytest.mark.parametrize(("text", "expected"), CASES.items())
def test_parse_length(text, expected):
    assert parse_length(text) == Decimal(expected)


REFUSALS = {
    "": "nothing was entered",
    "   ": "nothing was entered",
    "110,5": "a point before the decimals",
    "1,250": "no thousands separator",
    "1.250,5": "a point before the decimals",
    "1 250": "leave out the thousands separator",
    "1'250.5": "leave out the thousands separator",
    "1_250": "leave out the thousands separator",
    "1e2": "without an exponent",
    "1.5E-3": "without an exponent",
    "nan": "finite",
    "-inf": "finite",
    "Infinity": "finite",
    "-5": "without a sign",
    "+5": "without a sign",
    "−5": "without a sign",
    "3-15/16": "a space, not a dash",
    "110 mm": "leave out the unit",
    '3.5"': "leave out the unit",
    "3 15/16 in": "leave out the unit",
    "3 16/15": "smaller than the one below",
    "16/16": "smaller than the one below",
    "0/0": "smaller than the one below",
    "1/0": "smaller than the one below",
    "1/3": "no exact decimal",
    "1234567890": "at most 9 digits",
    "1.1234567890123": "at most 9 digits before and 12 after",
    "5.": "such as 110.5",
    ".": "such as 110.5",
    "1.2.3": "such as 110.5",
    "3/": "such as 110.5",
    "3 1.5/16": "such as 110.5",
    "3 ½": "such as 110.5",
    "١١٠": "such as 110.5",
    "0x10": "such as 110.5",
    "k6": "such as 110.5",
    "110\n5": "such as 110.5",
}


@pytest.mark.parametrize(("text", "reason"), REFUSALS.items())
def test_parse_length_refuses(text, reason):
    with pytest.raises(QuantityError, match=reason) as caught:
        parse_length(text)
    assert caught.value.text == text
    assert caught.value.reason in str(caught.value)


@given(st.integers(0, 10**9 - 1), st.integers(0, 9999), st.integers(0, 13))
def test_binary_fraction_is_exact(whole, part, power):
    parts = 2**power
    part %= parts
    assert Fraction(parse_length(f"{whole} {part}/{parts}")) == whole + Fraction(part, parts)


@given(st.decimals(min_value=0, max_value=999_999_999, places=12))
def test_plain_text_is_read_back(value):
    assert parse_length(plain_text(value)) == value


@pytest.mark.parametrize(
    ("value", "expected"),
    {
        "1.1E+2": "110",
        "100.01250": "100.0125",
        "100": "100",
        "0.000": "0",
        "1E-7": "0.0000001",
        "-12.50": "-12.5",
        "NaN": "NaN",
        "1E+900000": "1E+900000",
    }.items(),
)
def test_plain_text(value, expected):
    assert plain_text(Decimal(value)) == expected


@given(st.text(max_size=12))
def test_any_text_is_read_or_refused(text):
    try:
        value = parse_length(text)
    except QuantityError:
        return
    assert value.is_finite()
    assert value >= 0

"""Numbers as people read them."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from seatproof.core import figures
from seatproof.core.units import Unit, to_mm

MM, INCH = Unit.MM, Unit.INCH
units = st.sampled_from([MM, INCH])


def number(text):
    """Read a figure back: its number without unit, with an ordinary minus sign."""
    return Decimal(text.partition(" ")[0].replace(figures.MINUS, "-"))


@pytest.mark.parametrize(
    ("written", "text"),
    [
        (figures.size(110.01234, MM), "110.0123"),
        (figures.size(Decimal("110.01236"), MM), "110.0124"),
        (figures.size(110.0, MM), "110.0000"),
        (figures.size(100.0125, INCH), "3.937500"),
        (figures.size(None, MM), "–"),
        (figures.size_unit(110.0, MM), "110.0000 mm"),
        (figures.size_unit(25.4, INCH), "1.000000 in"),
        (figures.size_unit(None, INCH), "–"),
        (figures.small(2.345, MM), "2.3 µm"),
        (figures.small(-2.35, MM), "−2.4 µm"),
        (figures.small(2.0, MM, sign=True), "+2.0 µm"),
        (figures.small(-0.04, MM), "0.0 µm"),  # no sign before nothing
        (figures.small(0.04, MM, sign=True), "0.0 µm"),
        (figures.small(-0.0, MM, sign=True), "0.0 µm"),
        (figures.small(-2.54, INCH), "−0.000100 in"),
        (figures.small(0.01, INCH, sign=True), "0.000000 in"),
        (figures.small(None, MM), "–"),
        (figures.small_number(-12.0, MM), "−12.0"),
        (figures.small_number(None, INCH), "–"),
        (figures.small_unit(MM), "µm"),
        (figures.small_unit(INCH), "in"),
        (figures.tolerance(7.5, MM), "7.5 µm"),
        (figures.tolerance(10.0, MM), "10 µm"),
        (figures.tolerance(15.24, INCH), "0.0006 in"),
        (figures.uncertainty(2.0, MM), "2.0 µm"),
        (figures.uncertainty(2.0000001, MM), "2.1 µm"),
        (figures.uncertainty(3.0000000000000004, MM), "3.0 µm"),
        (figures.uncertainty(0.1 + 0.2, MM), "0.3 µm"),
        (figures.uncertainty(3.81, INCH), "0.000150 in"),
        (figures.uncertainty(3.8101, INCH), "0.000151 in"),
        (figures.uncertainty(None, MM), "–"),
        (figures.angle(30.0), "30°"),
        (figures.angle(Decimal("22.5")), "22.5°"),
        (figures.angle(0), "0°"),
        (figures.position(158.0, MM), "158"),
        (figures.position(Decimal("158.25"), MM), "158.25"),
        (figures.position(39.6875, INCH), "1.5625"),  # 1 9/16 in keeps its last digit
        (figures.position(0, MM), "0"),
        (figures.received("-0.0120"), "−0.0120"),
        (figures.limits(Decimal("110.003"), Decimal("110.025"), MM), ("110.003", "110.025")),
        (figures.limits(Decimal("1E+2"), Decimal("100.0250"), MM), ("100", "100.025")),
        # 3 15/16 in h7, by hand: 99.9775 / 25.4 = 3.93612204..., 100.0375 / 25.4 = 3.93848425...
        (figures.limits(Decimal("99.9775"), Decimal("100.0375"), INCH), ("3.936123", "3.938484")),
        (
            figures.limits(to_mm(Decimal("3.9366"), INCH), to_mm(Decimal("3.93705"), INCH), INCH),
            ("3.9366", "3.93705"),
        ),
    ],
)
def test_figures_are_written_so(written, text):
    assert written == text


sizes = st.decimals(min_value=Decimal("0.1"), max_value=Decimal(3150), places=5)


@given(sizes, units)
def test_size_is_off_by_half_its_last_digit_at_most(size_mm, unit):
    step = Decimal("0.0001") if unit is MM else Decimal("0.000001")
    exact = size_mm / unit.in_mm
    assert abs(number(figures.size(size_mm, unit)) - exact) <= step * Decimal("0.5000001")


@given(st.floats(-5000, 5000), units, st.booleans())
def test_small_length_has_the_sign_of_its_value_or_none(length_um, unit, sign):
    text = figures.small(length_um, unit, sign=sign)
    shown = number(text)
    exact = Decimal(length_um) if unit is MM else Decimal(length_um) / 25400
    step = Decimal("0.1") if unit is MM else Decimal("0.000001")
    assert abs(shown - exact) <= step * Decimal("0.5000001")
    assert "-" not in text
    assert text.startswith(figures.MINUS) == (shown < 0)
    assert text.startswith("+") == (sign and shown > 0)


@given(st.floats(0.0, 1000.0), units)
def test_uncertainty_is_never_understated_nor_padded(expanded_um, unit):
    shown = number(figures.uncertainty(expanded_um, unit))
    exact = Decimal(expanded_um) if unit is MM else Decimal(expanded_um) / 25400
    step = Decimal("0.1") if unit is MM else Decimal("0.000001")
    # A billionth of a micrometre (of an inch) counts as the noise of binary arithmetic.
    assert shown >= exact - Decimal("1e-9")
    assert shown < exact + step


@given(sizes, sizes, units)
def test_limits_are_never_rounded_outward(a, b, unit):
    lower_mm, upper_mm = min(a, b), max(a, b)
    lower, upper = map(Decimal, figures.limits(lower_mm, upper_mm, unit))
    assert lower * unit.in_mm >= lower_mm
    assert upper * unit.in_mm <= upper_mm
    if unit is MM:
        assert (lower, upper) == (lower_mm, upper_mm)
    assert lower * unit.in_mm - lower_mm < Decimal("0.0000255")  # mm, a millionth of an inch

"""Torques converted by the definitions of pound, foot and standard gravity."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from seatproof.core.fitting.torque_unit import TORQUE_UNITS, convert_torque, torque_text


@pytest.mark.parametrize(
    ("value", "unit", "to", "expected"),
    [
        # 0.45359237 kg × 9.80665 m/s² × 0.3048 m, multiplied out by hand (NIST SP 811, B.8)
        ("1", "lbf ft", "N m", "1.3558179483314004"),
        ("12", "lbf in", "N m", "1.3558179483314004"),
        ("30", "lbf ft", "lbf in", "360"),
        ("100", "lbf in", "lbf ft", "8.33333333333"),
        ("100", "N m", "lbf ft", "73.7562149277"),  # NIST: 7.375 621 E-01 the other way round
        ("20.4", "N m", "N m", "20.4"),
    ],
)
def test_torque_is_converted(value, unit, to, expected):
    assert convert_torque(Decimal(value), unit, to) == Decimal(expected)


@given(
    st.decimals("0.01", "9999", places=2),
    st.sampled_from(TORQUE_UNITS),
    st.sampled_from(TORQUE_UNITS),
)
def test_there_and_back_is_what_it_was(value, unit, other):
    back = convert_torque(convert_torque(value, unit, other), other, unit)
    assert abs(back - value) <= value * Decimal("1e-11")


def test_torque_is_written_plainly():
    assert torque_text(Decimal("40.674538449942012")) == "40.67"
    assert torque_text(Decimal("20.0")) == "20.0"
    assert torque_text(convert_torque(Decimal("1000"), "lbf ft", "lbf in")) == "12000"

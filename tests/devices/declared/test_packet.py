from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from seatproof.core.units import Unit
from seatproof.devices.declared.check import CheckRule
from seatproof.devices.declared.packet import Constant, Flags, Number, PacketCheck, PacketLayout
from seatproof.devices.declared.text import Found

FIVE = PacketLayout(
    fields=(
        Constant(octets=b"\xaa"),
        Number(packing="digits", octets=3, low_first=True, decimals=4, inch_decimals=5),
        Flags(inch=0, negative=1, confirmed=2),
    )
)
SIGNED = PacketLayout(
    fields=(
        Constant(octets=b"\x55"),
        Number(packing="signed integer", octets=4, decimals=3),
        PacketCheck(rule=CheckRule.XOR),
    )
)


def value_of(layout: PacketLayout, data: bytes) -> tuple[str, Unit | None]:
    found = layout.find(data)
    assert isinstance(found, Found), found
    return str(found.value), found.unit


def test_flags_say_sign_unit_and_button() -> None:
    assert value_of(FIVE, bytes.fromhex("aa 56 34 12 00")) == ("12.3456", Unit.MM)
    assert value_of(FIVE, bytes.fromhex("aa 56 34 12 02")) == ("-12.3456", Unit.MM)
    assert value_of(FIVE, bytes.fromhex("aa 56 34 12 01")) == ("1.23456", Unit.INCH)
    assert value_of(FIVE, bytes.fromhex("aa 00 00 00 02")) == ("0.0000", Unit.MM)


@pytest.mark.parametrize(
    ("data", "word"),
    [
        ("aa 5a 34 12 00", "no digit"),
        ("aa 56 34 12 08", "flag"),
        ("ab 56 34 12 00", "always the same"),
        ("aa 56 34 12", "4 bytes"),
    ],
)
def test_packet_that_differs_is_refused(data: str, word: str) -> None:
    reason = FIVE.find(bytes.fromhex(data))
    assert isinstance(reason, str)
    assert word in reason


def test_inches_are_refused_where_it_is_not_known_how_they_are_sent() -> None:
    layout = PacketLayout(fields=(Number(packing="integer", octets=1, decimals=1), Flags(inch=7)))
    reason = layout.find(b"\x05\x80")
    assert isinstance(reason, str)
    assert "inches" in reason


@given(st.integers(-(2**31), 2**31 - 1), st.integers(0, 47))
def test_one_flipped_bit_never_makes_another_value(n: int, bit: int) -> None:
    body = b"\x55" + n.to_bytes(4, "big", signed=True)
    check = body[0] ^ body[1] ^ body[2] ^ body[3] ^ body[4]
    data = body + bytes([check])
    found = SIGNED.find(data)
    assert isinstance(found, Found)
    assert found.value * 1000 == n
    flipped = bytearray(data)
    flipped[bit // 8] ^= 1 << bit % 8
    assert isinstance(SIGNED.find(bytes(flipped)), str)


@given(st.binary(max_size=8))
def test_any_bytes_give_a_value_or_a_sentence(data: bytes) -> None:
    for layout in (FIVE, SIGNED):
        found = layout.find(data)
        assert isinstance(found, Found) or found.endswith(".")
        parts = layout.parts(data)
        assert not parts or parts[-1].stop == len(data)


@pytest.mark.parametrize(
    "fields",
    [
        [{"kind": "constant", "octets": "x"}],
        [{"kind": "number", "packing": "integer", "octets": 1, "decimals": 0}] * 2,
        [
            {"kind": "check", "rule": "sum"},
            {"kind": "number", "packing": "integer", "octets": 1, "decimals": 0},
        ],
        [{"kind": "flags"}, {"kind": "flags"}],
    ],
)
def test_packet_that_means_nothing_is_refused(fields: Any) -> None:
    with pytest.raises(ValidationError):
        PacketLayout.model_validate({"fields": fields})

"""Bits and half bytes: captured dialects, and what is none of them."""

import json
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from pydantic import ValidationError

from seatproof.core.units import Unit
from seatproof.devices.declared.bit_fields import (
    ConfirmedBit,
    ConstantBits,
    DigitBits,
    HalfBit,
    IntegerBits,
    SignBits,
    UnitBits,
)
from seatproof.devices.declared.bits import BitsLayout
from seatproof.devices.declared.file import load_format, save_format
from seatproof.devices.declared.format import GaugeFormat
from seatproof.devices.declared.known import find_format
from seatproof.devices.declared.text import Found
from seatproof.devices.derive.show import show_frame
from seatproof.devices.formats import Reading, Refusal
from seatproof.devices.framing import Frame

SAMPLES = {
    sample["id"]: sample
    for sample in json.loads(
        (Path(__file__).parents[1] / "data" / "samples.json").read_text("utf-8")
    )
}


def read(form: Any, line: bytes) -> Reading | Refusal:
    framer = form.framer(trust_first=True)
    (frame,) = framer.feed(line + b"\r\n")
    found: Reading | Refusal = form.read(frame)
    return found


def in_bits(sample_id: str) -> bytes:
    return str(SAMPLES[sample_id]["bits"]).encode()


@pytest.mark.parametrize("sample_id", ["w141", "w142", "w144", "w145"])
def test_captured_half_bytes_are_read(sample_id: str) -> None:
    sample = SAMPLES[sample_id]
    for line in (sample["hex"].encode(), sample["hex"].upper().encode()):
        reading = read(find_format("thirteen half bytes"), line)
        assert isinstance(reading, Reading), reading
        assert str(reading.value) == sample["meaning"]["value"]
        assert reading.unit == sample["meaning"]["unit"]


@pytest.mark.parametrize("sample_id", ["w147", "w148", "w150"])
def test_damaged_half_bytes_are_refused(sample_id: str) -> None:
    result = read(find_format("thirteen half bytes"), SAMPLES[sample_id]["hex"].encode())
    assert isinstance(result, Refusal)


@pytest.mark.parametrize(
    ("line", "reason"),
    [
        (b"ffff401234530", "sign"),
        (b"ffff001234560", "decimals"),
        (b"ffff001234532", "unit"),
        (b"ffff0012345300", "places"),
        (b"ffff00123453g", "something else"),
        (b"ffff\xb901234530"[:13], "something else"),
    ],
)
def test_half_byte_that_cannot_be_is_named(line: bytes, reason: str) -> None:
    result = read(find_format("thirteen half bytes"), line)
    assert isinstance(result, Refusal)
    assert reason in result.reason


def test_value_beyond_sixteen_bits_and_minus_zero() -> None:
    form = find_format("thirteen half bytes")
    for line, value in ((b"ffff003276830", "32.768"), (b"ffff800000030", "0.000")):
        reading = read(form, line)
        assert isinstance(reading, Reading)
        assert str(reading.value) == value


@pytest.mark.parametrize(("sample_id", "unit"), [("w154", Unit.MM), ("w155", Unit.INCH)])
def test_captured_bits_are_read(sample_id: str, unit: Unit) -> None:
    reading = read(find_format("twenty bits sign and unit"), in_bits(sample_id))
    assert isinstance(reading, Reading), reading
    assert str(reading.value) == SAMPLES[sample_id]["meaning"]["value"]
    assert reading.unit is unit


def test_frame_that_lost_a_clock_is_refused() -> None:
    result = read(find_format("twenty bits sign and unit"), in_bits("w157"))
    assert isinstance(result, Refusal)
    assert "23 places" in result.reason


def test_start_bit_is_declared_and_minus_zero_is_zero() -> None:
    layout = BitsLayout(fields=(ConstantBits(bits="1"), IntegerBits(n=16, step=Decimal("0.01"))))
    found = layout.find(in_bits("w151"))
    assert isinstance(found, Found)
    assert (str(found.value), found.unit) == ("9.81", None)
    assert isinstance(layout.find(b"0" + in_bits("w151")[1:]), str)
    checked = BitsLayout(
        fields=(IntegerBits(n=20, step=Decimal("0.01")), SignBits(), ConstantBits(bits="001"))
    )
    zero = checked.find(in_bits("w152"))
    assert isinstance(zero, Found)
    assert str(zero.value) == "0.00"


def test_half_digit_and_lowest_digit_first() -> None:
    # The digits of w158, lowest first, and a half byte of flags: half, then three that are off.
    layout = BitsLayout(
        written="half bytes",
        fields=(
            DigitBits(n=6, low_first=True, decimals=3), HalfBit(), SignBits(), ConfirmedBit(),
            UnitBits(mm="0", inch="1"),
        ),
    )  # fmt: skip
    data = bytes(int(c, 16) for c in SAMPLES["w158"]["hex"].replace(" ", "")) + b"\x09"
    found = layout.find(data)
    assert isinstance(found, Found)
    assert str(found.value) == SAMPLES["w158"]["meaning"]["value"]
    assert (found.unit, found.confirmed) == (Unit.INCH, False)
    assert isinstance(layout.find(b"\x1a" + data[1:]), str)


def test_two_complement_and_bits_that_were_not_turned_round() -> None:
    layout = BitsLayout(
        written="bytes",
        lowest_first=True,
        fields=(IntegerBits(n=16, signed=True, step=Decimal("0.001")),),
    )
    for value, text in ((-50, "-0.050"), (12345, "12.345"), (-32768, "-32.768")):
        sent = bytes(int(f"{byte:08b}"[::-1], 2) for byte in (value & 0xFFFF).to_bytes(2, "little"))
        turned = bytes(int(f"{byte:08b}"[::-1], 2) for byte in sent)
        found = layout.find(turned)
        assert isinstance(found, Found)
        assert str(found.value) == text


def test_inch_is_refused_where_its_step_is_not_known() -> None:
    layout = BitsLayout(fields=(IntegerBits(n=4, step=Decimal("0.01")), UnitBits()))
    found = layout.find(b"10001")
    assert isinstance(found, str)
    assert "inches" in found


@pytest.mark.parametrize(
    ("fields", "fault"),
    [
        ([{"kind": "sign"}], "exactly one number"),
        ([{"kind": "digits", "n": 1}], "must be declared"),
        ([{"kind": "digits", "n": 1, "decimals": 1}, {"kind": "decimals"}], "not both"),
        ([{"kind": "integer", "n": 4, "step": "0.01"}, {"kind": "half"}], "goes with digits"),
        ([{"kind": "integer", "n": 4, "step": "0.01"}, {"kind": "decimals"}], "not both"),
        ([{"kind": "integer", "n": 4, "step": "0.01", "signed": True}, {"kind": "sign"}], "two's"),
        ([{"kind": "digits", "n": 1, "decimals": 0}] + [{"kind": "sign"}] * 2, "at most one"),
        ([{"kind": "digits", "n": 1, "decimals": 0}, {"kind": "sign", "plus": "00"}], "as long"),
    ],
)
def test_layout_that_cannot_be_read_is_refused(fields: list[Any], fault: str) -> None:
    with pytest.raises(ValidationError, match=fault):
        BitsLayout.model_validate({"fields": fields})


def test_places_that_are_not_filled_are_refused() -> None:
    with pytest.raises(ValidationError, match="fills up"):
        BitsLayout(written="bytes", fields=(DigitBits(n=3, decimals=1),))


def test_format_of_bits_is_saved_and_shown(tmp_path: Path) -> None:
    form = find_format("twenty bits sign and unit")
    assert isinstance(form, GaugeFormat)
    for name in ("g.toml", "g.json"):
        save_format(form, tmp_path / name)
        assert load_format(tmp_path / name) == form
    words = form.in_words()
    assert "24 bits written as bits" in words
    assert "in steps of 0.01, or of 0.0005 in" in words
    shown = show_frame(form, Frame(in_bits("w154"), in_bits("w154") + b"\r"))
    assert [line.rsplit("^ ")[-1].strip() for line in shown.splitlines()[2:]] == [
        "value", "sign", "always the same", "unit", "end",
    ]  # fmt: skip

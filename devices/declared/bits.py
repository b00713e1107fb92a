"""Frames of single bits and half bytes, as boards hand them on that read a gauge's data line.

The line of such a gauge has a clock of its own, so a board stands between it and the port, and
writes the bits as characters, hexadecimal digits or bytes. There are dialects that look alike and
differ by a factor of two: a layout of this kind is always declared, never searched for, and is to
be tried on two known sizes, zero and a setting standard, before it counts.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated, Final, Literal, Self

from pydantic import Field, model_validator

from seatproof.core.units import Unit
from seatproof.devices.declared.base import Declared, Part
from seatproof.devices.declared.bit_fields import (
    HALF_BYTE,
    BitsField,
    ConfirmedBit,
    ConstantBits,
    DecimalsBits,
    DigitBits,
    HalfBit,
    IntegerBits,
    SignBits,
    UnitBits,
)
from seatproof.devices.declared.text import Found

Written = Literal["bits", "hex digits", "half bytes", "bytes"]

_BITS_A_PLACE: Final[Mapping[Written, int]] = {
    "bits": 1, "hex digits": 4, "half bytes": 4, "bytes": 8,
}  # fmt: skip
_MEANINGS: Final = {
    "constant": "always the same", "integer": "value", "digits": "value", "decimals": "decimals",
    "sign": "sign", "unit": "unit", "half": "half a step", "confirmed": "confirmed",
}  # fmt: skip
_ONLY_ONCE: Final = ("decimals", "sign", "unit", "half", "confirmed")


@dataclass(slots=True)
class _Seen:
    """What the fields of a frame have told so far."""

    count: int = 0
    digits: str = ""
    decimals: int | None = None
    is_negative: bool = False
    is_inch: bool | None = None
    is_half: bool = False
    confirmed: bool | None = None


class BitsLayout(Declared):
    """Fields of bits that follow one another without a gap; exactly one of them is the number.

    Attributes
    ----------
    written : str
        How the board writes the bits: ``bits``, a character 0 or 1 each; ``hex digits`` and
        ``half bytes``, four in a character or in a byte from 00 to 0F; ``bytes``, eight in each.
    lowest_first : bool
        Whether the bits of each half byte or byte have come lowest first and were not turned round.
    fields : tuple
        What the bits mean, in the order in which they come.
    """

    kind: Literal["bits"] = "bits"
    written: Written = "bits"
    lowest_first: bool = False
    fields: Annotated[tuple[BitsField, ...], Field(min_length=1)]

    @model_validator(mode="after")
    def _is_readable(self) -> Self:
        for fault in self._faults():
            raise ValueError(fault)
        return self

    def _faults(self) -> Iterator[str]:
        kinds = [field.kind for field in self.fields]
        if kinds.count("integer") + kinds.count("digits") != 1:
            yield "a frame has exactly one number"
        for kind in _ONLY_ONCE:
            if kinds.count(kind) > 1:
                yield f"a frame has at most one field that is {kind}"
        if self.n_bits % _BITS_A_PLACE[self.written]:
            yield (
                f"the fields have {self.n_bits} bits, which are no whole number of places; declare "
                "what fills up the last one as a constant"
            )
        declared = [field.decimals for field in self.fields if isinstance(field, DigitBits)]
        told = "decimals" in kinds
        if "decimals" in kinds and declared != [None]:
            yield "the decimals are told by a field or declared with the digits, not both"
        if declared == [None] and not told:
            yield "the decimals of the digits must be declared, or told by a field"
        if "half" in kinds and not declared:
            yield "half a step goes with digits"
        if any(isinstance(f, IntegerBits) and f.signed for f in self.fields) and "sign" in kinds:
            yield "a sign and two's complement do not go together"

    @property
    def n_bits(self) -> int:
        """Bits of every frame."""
        return sum(field.n_bits for field in self.fields)

    @property
    def exact_length(self) -> int:
        """Bytes of every frame."""
        return self.n_bits // _BITS_A_PLACE[self.written]

    def find(self, data: bytes) -> Found | str:
        """Return what the frame says, or why it does not have this layout, as a sentence."""
        if len(data) != self.exact_length:
            return (
                f"The frame has {len(data)} places where this gauge's have {self.exact_length}, so "
                "some were lost or added on the way: press again."
            )
        bits = self._bits_of(data)
        if bits is None:
            return "A place of the frame holds something else than it should: press again."
        seen = _Seen()
        at = 0
        for field in self.fields:
            fault = _take(field, bits[at : at + field.n_bits], seen)
            if fault is not None:
                return fault
            at += field.n_bits
        return self._value(seen)

    def parts(self, data: bytes) -> tuple[Part, ...]:
        """Return the pieces of a frame that has this length; none where it has not.

        A place that holds bits of several fields is captioned with all of them.
        """
        if len(data) != self.exact_length:
            return ()
        size = _BITS_A_PLACE[self.written]
        names = [_MEANINGS[field.kind] for field in self.fields for _ in range(field.n_bits)]
        parts: list[Part] = []
        for place in range(len(data)):
            meaning = ", ".join(dict.fromkeys(names[place * size : (place + 1) * size]))
            if parts and parts[-1].meaning == meaning:
                parts[-1] = Part(start=parts[-1].start, stop=place + 1, meaning=meaning)
            else:
                parts.append(Part(start=place, stop=place + 1, meaning=meaning))
        return tuple(parts)

    def in_words(self) -> list[str]:
        """Return the layout as clauses for a person."""
        order = ", the bits of each lowest first" if self.lowest_first else ""
        return [f"it holds {self.n_bits} bits written as {self.written}{order}"] + [
            _in_words(field) for field in self.fields
        ]

    # --- inside ----------------------------------------------------------------------------------

    def _bits_of(self, data: bytes) -> str | None:
        size = _BITS_A_PLACE[self.written]
        places = []
        for byte in data:
            value = byte
            if self.written in ("bits", "hex digits"):
                digit = bytes([byte])
                if not digit.isalnum() or not (digit.isdigit() or digit.upper() <= b"F"):
                    return None
                value = int(digit, 16)
            if value >= 1 << size:
                return None
            bits = f"{value:0{size}b}"
            places.append(bits[::-1] if self.lowest_first else bits)
        return "".join(places)

    def _value(self, seen: _Seen) -> Found | str:
        number = next(f for f in self.fields if isinstance(f, IntegerBits | DigitBits))
        if isinstance(number, IntegerBits):
            step = number.inch_step if seen.is_inch else number.step
            if step is None:
                return (
                    "The gauge is set to inches, and how it sends them is not known: set it to "
                    "millimetres."
                )
            value = seen.count * step
        else:
            decimals = number.decimals if seen.decimals is None else seen.decimals
            assert decimals is not None
            value = Decimal(seen.count).scaleb(-decimals)
            if seen.is_half:
                value += Decimal(5).scaleb(-decimals - 1)
        unit = None if seen.is_inch is None else (Unit.INCH if seen.is_inch else Unit.MM)
        return Found(
            value=-value if seen.is_negative and not value.is_zero() else value,
            digits=seen.digits.encode("ascii"),
            unit=unit,
            channel=None,
            confirmed=seen.confirmed,
        )


def _take(field: BitsField, bits: str, seen: _Seen) -> str | None:
    """Note what a field tells; return why it cannot be."""
    match field:
        case ConstantBits():
            if bits != field.bits:
                return "Bits that are always the same in this gauge's frames differ: press again."
        case IntegerBits():
            ordered = bits[::-1] if field.low_first else bits
            seen.count = int(ordered, 2)
            if field.signed and ordered[0] == "1":
                seen.count -= 1 << field.n
        case DigitBits():
            digits = [int(bits[at : at + 4], 2) for at in range(0, len(bits), HALF_BYTE)]
            if max(digits) > 9:
                return "A place of the number holds no digit: press again."
            ordered = "".join(map(str, digits[::-1] if field.low_first else digits))
            seen.count, seen.digits = int(ordered), ordered
        case DecimalsBits():
            seen.decimals = int(bits, 2)
            if seen.decimals > field.most:
                return "The place of the decimals holds more than a gauge has: press again."
        case SignBits():
            is_negative = field.is_second(bits)
            if is_negative is None:
                return "The place of the sign holds no sign: press again."
            seen.is_negative = is_negative
        case UnitBits():
            seen.is_inch = field.is_second(bits)
            if seen.is_inch is None:
                return "The place of the unit holds no unit: press again."
        case HalfBit():
            seen.is_half = bits == "1"
        case ConfirmedBit():
            seen.confirmed = bits == "1"
    return None


def _in_words(field: BitsField) -> str:
    match field:
        case ConstantBits():
            return f"the bits {field.bits}"
        case IntegerBits():
            order = "lowest first" if field.low_first else "highest first"
            sign = " in two's complement" if field.signed else ""
            inch = "" if field.inch_step is None else f", or of {field.inch_step} in"
            return f"the number in {field.n} bits{sign}, {order}, in steps of {field.step}{inch}"
        case DigitBits():
            order = "lowest first" if field.low_first else "highest first"
            decimals = "" if field.decimals is None else f", {field.decimals} of them decimals"
            return f"{field.n} digits of four bits, {order}{decimals}"
        case DecimalsBits():
            return f"the number of decimals, at most {field.most}"
        case SignBits():
            return f"the sign, {field.plus} for plus and {field.minus} for minus"
        case UnitBits():
            return f"the unit, {field.mm} for mm and {field.inch} for inch"
        case HalfBit():
            return "a bit for half of the last digit"
        case ConfirmedBit():
            return "a bit that is set at the gauge's button"

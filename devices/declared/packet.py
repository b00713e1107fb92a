"""Frames of one length with a meaning at every place: packed digits, flags, check bytes."""

from collections.abc import Iterator
from decimal import Decimal
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from seatproof.core.units import Unit
from seatproof.devices.declared.base import Declared, Octets, Part
from seatproof.devices.declared.check import CheckRule, check_byte
from seatproof.devices.declared.text import MAX_DECIMALS, Found

Coding = Literal["byte", "hex"]
_Bit = Annotated[int, Field(ge=0, le=7)]


class _Field(Declared):
    """`coding`: a byte as it is, or as two hexadecimal digits."""

    coding: Coding = "byte"

    @property
    def n_bytes(self) -> int:
        raise NotImplementedError

    @property
    def n_places(self) -> int:
        """Bytes of the frame that the field takes."""
        return self.n_bytes * (2 if self.coding == "hex" else 1)

    def decode(self, places: bytes) -> bytes | None:
        """Return the field's bytes; None where they are not hexadecimal digits."""
        if self.coding == "byte":
            return places
        try:
            return bytes.fromhex(places.decode("ascii")) if b" " not in places else None
        except ValueError:
            return None


class Constant(_Field):
    """Bytes that are always the same."""

    kind: Literal["constant"] = "constant"
    octets: Annotated[Octets, Field(min_length=1)]

    @property
    def n_bytes(self) -> int:
        return len(self.octets)


class Number(_Field):
    """The value, as packed decimal digits or as a binary integer.

    Attributes
    ----------
    packing : str
        ``digits``: two decimal digits a byte; ``integer``; ``signed integer`` (two's complement).
    low_first : bool
        Whether the byte of lowest weight comes first.
    decimals : int
        How many of the digits are decimals.
    inch_decimals : int or None
        The same while the inch flag is set; a frame with the flag is refused where it is not known.
    most : int or None
        The largest integer that is believed. Above it, a frame is refused: it may be a negative
        value in two's complement, as long as nobody has seen one.
    """

    kind: Literal["number"] = "number"
    packing: Literal["digits", "integer", "signed integer"]
    octets: Annotated[int, Field(ge=1, le=8)]
    low_first: bool = False
    decimals: Annotated[int, Field(ge=0, le=MAX_DECIMALS)]
    inch_decimals: Annotated[int, Field(ge=0, le=MAX_DECIMALS)] | None = None
    most: Annotated[int, Field(ge=1)] | None = None

    @property
    def n_bytes(self) -> int:
        return self.octets

    def integer(self, data: bytes) -> int | None:
        """Return the digits as an integer; None where a half byte is no digit."""
        ordered = data[::-1] if self.low_first else data
        if self.packing == "digits":
            text = ordered.hex()
            return int(text) if text.isdigit() else None
        return int.from_bytes(ordered, "big", signed=self.packing == "signed integer")


class Flags(_Field):
    """One byte of flags; a bit without a meaning must be as `others` says.

    Attributes
    ----------
    negative, inch, confirmed : int or None
        Number of the bit, 0 for the lowest.
    others : int
        The byte with all known flags off.
    """

    kind: Literal["flags"] = "flags"
    negative: _Bit | None = None
    inch: _Bit | None = None
    confirmed: _Bit | None = None
    others: Annotated[int, Field(ge=0, le=255)] = 0

    @property
    def n_bytes(self) -> int:
        return 1

    @property
    def known(self) -> int:
        """Mask of the bits that have a meaning."""
        bits = {bit for bit in (self.negative, self.inch, self.confirmed) if bit is not None}
        return sum(1 << bit for bit in bits)


class PacketCheck(_Field):
    """A check byte over the fields before it, from the field number `from_field` (0 for all)."""

    kind: Literal["check"] = "check"
    rule: CheckRule
    from_field: Annotated[int, Field(ge=0)] = 0

    @property
    def n_bytes(self) -> int:
        return 1


PacketField = Annotated[Constant | Number | Flags | PacketCheck, Field(discriminator="kind")]


class PacketLayout(Declared):
    """Fields that follow one another without a gap; exactly one of them is the number."""

    kind: Literal["packet"] = "packet"
    fields: Annotated[tuple[PacketField, ...], Field(min_length=1)]

    @model_validator(mode="after")
    def _is_readable(self) -> Self:
        if sum(isinstance(field, Number) for field in self.fields) != 1:
            raise ValueError("a packet has exactly one number")
        if sum(isinstance(field, Flags) for field in self.fields) > 1:
            raise ValueError("a packet has at most one byte of flags")
        for at, field in enumerate(self.fields):
            if isinstance(field, PacketCheck) and field.from_field >= at:
                raise ValueError("a check byte covers fields that stand before it")
        return self

    @property
    def exact_length(self) -> int:
        """Bytes of every frame."""
        return sum(field.n_places for field in self.fields)

    def find(self, data: bytes) -> Found | str:
        """Return what the frame says, or why it does not have this layout, as a sentence."""
        if len(data) != self.exact_length:
            return (
                f"The frame has {len(data)} bytes where this gauge's have {self.exact_length}, so "
                "some were lost or added on the way: press again."
            )
        decoded: list[bytes] = []
        for field, places in self._places(data):
            octets = field.decode(places)
            if octets is None:
                return "A place of the frame holds no hexadecimal digit: press again."
            fault = self._fault(field, octets, decoded)
            if fault is not None:
                return fault
            decoded.append(octets)
        return self._value(decoded)

    def parts(self, data: bytes) -> tuple[Part, ...]:
        """Return the pieces of a frame that has this length; none where it has not."""
        if len(data) != self.exact_length:
            return ()
        parts, at = [], 0
        for field, places in self._places(data):
            meaning = {
                "constant": "always the same", "number": "value", "flags": _flags_meaning(field),
                "check": "check characters",
            }[field.kind]  # fmt: skip
            parts.append(Part(start=at, stop=at + len(places), meaning=meaning))
            at += len(places)
        return tuple(parts)

    def in_words(self) -> list[str]:
        """Return the layout as clauses for a person."""
        return [_in_words(field) for field in self.fields]

    # --- inside ----------------------------------------------------------------------------------

    def _places(self, data: bytes) -> "Iterator[tuple[PacketField, bytes]]":
        at = 0
        for field in self.fields:
            yield field, data[at : at + field.n_places]
            at += field.n_places

    def _fault(self, field: PacketField, octets: bytes, before: list[bytes]) -> str | None:
        match field:
            case Constant() if octets != field.octets:
                return "A byte that is always the same in this gauge's frames differs: press again."
            case Number() if field.integer(octets) is None:
                return "A place of the number holds no digit: press again."
            case Number(most=int(most)) if (field.integer(octets) or 0) > most:
                return (
                    "The number is larger than any that was seen when the format was worked out, "
                    "and may be a negative value: work the format out with such a value."
                )
            case Flags() if (octets[0] & ~field.known) != (field.others & ~field.known):
                return (
                    "A flag is set whose meaning is not known: look at the gauge's display, and if "
                    "it is right, work the format out anew."
                )
            case PacketCheck() if (
                check_byte(field.rule, b"".join(before[field.from_field :])) != octets[0]
            ):
                return "The check byte does not fit the frame, so it was damaged: press again."
            case _:
                return None

    def _value(self, decoded: list[bytes]) -> Found | str:
        is_negative = is_inch = False
        has_inch_flag = False
        confirmed = None
        number, digits = None, b""
        for field, octets in zip(self.fields, decoded, strict=True):
            if isinstance(field, Flags):
                is_negative = _is_set(octets[0], field.negative)
                is_inch = _is_set(octets[0], field.inch)
                has_inch_flag = field.inch is not None
                if field.confirmed is not None:
                    confirmed = _is_set(octets[0], field.confirmed)
            elif isinstance(field, Number):
                number, integer = field, field.integer(octets)
                if field.packing == "digits":
                    digits = octets.hex().encode("ascii")
        assert number is not None
        assert integer is not None
        decimals = number.inch_decimals if is_inch else number.decimals
        if decimals is None:
            return (
                "The gauge is set to inches, and how it sends them is not known: set it to "
                "millimetres, or work its format out in inches."
            )
        value = Decimal(-integer if is_negative else integer).scaleb(-decimals)
        unit = (Unit.INCH if is_inch else Unit.MM) if has_inch_flag else None
        return Found(value.copy_abs() if value.is_zero() else value, digits, unit, None, confirmed)


def _is_set(byte: int, bit: int | None) -> bool:
    return bit is not None and bool(byte >> bit & 1)


def _flags_meaning(field: PacketField) -> str:
    if not isinstance(field, Flags):
        return ""
    known = {"sign": field.negative, "inch": field.inch, "confirmed": field.confirmed}
    return ", ".join(name for name, bit in known.items() if bit is not None) or "flags"


def _in_words(field: PacketField) -> str:
    hexed = ", each byte as two hexadecimal digits" if field.coding == "hex" else ""
    match field:
        case Constant():
            return f"the byte{'s' * (len(field.octets) > 1)} {field.octets.hex(' ')}{hexed}"
        case Number():
            order = "lowest first" if field.low_first else "highest first"
            what = (
                "bytes of two digits each"
                if field.packing == "digits"
                else f"bytes, {field.packing}"
            )
            return f"the number in {field.octets} {what}, {order}, {field.decimals} decimals{hexed}"
        case Flags():
            return f"a byte of flags ({_flags_meaning(field)}){hexed}"
        case PacketCheck():
            return f"a check byte ({field.rule}){hexed}"

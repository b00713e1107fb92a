r"""Frames whose number is written in decimal digits: the layout as a model, and its reading.

A frame is, from left to right:

    lead  channel  [fill]  sign  gap  [fill]  number  unit  tail  check

of which only the number must be there. Everything else is declared and then demanded: a frame that
differs in one byte is refused.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from typing import Annotated, Final, Literal, Self

from pydantic import Field, model_validator

from seatproof.core.units import Unit
from seatproof.devices.declared.base import Declared, Octets, Part
from seatproof.devices.declared.check import n_check_bytes
from seatproof.devices.declared.text_check import CHECK_PATTERNS, TextCheck
from seatproof.devices.declared.text_words import layout_in_words

MAX_DIGITS: Final = 12

# A gauge that shows nanometres in millimetres has six.
MAX_DECIMALS: Final = 6

_MEANINGS: Final = {
    "lead": "always the same",
    "channel": "channel",
    "fill": "fill",
    "sign": "sign",
    "gap": "always the same",
    "number": "value",
    "blanks": "blanks",
    "unit": "unit",
    "tail": "always the same",
    "check": "check characters",
}


@dataclass(frozen=True, slots=True)
class Found:
    """What a layout found in a frame."""

    value: Decimal
    digits: bytes
    unit: Unit | None
    channel: str | None
    confirmed: bool | None = None


class TextLayout(Declared):
    """A number in decimal digits.

    Attributes
    ----------
    lead : bytes
        What always stands first.
    channel : str
        The mark of a channel: ``9`` stands for any digit, ``A`` for any letter, any other character
        for itself.
    sign : str
        ``always``: plus or minus; ``minus only``: nothing, or minus; ``never``.
    plus, minus : bytes
        What stands for the signs. A blank for plus is common.
    gap : bytes
        What always stands between sign and number.
    fill : bytes
        The character that makes up the width before shorter numbers; none unless declared.
    fill_first : bool
        Whether the fill stands before the sign instead of behind it.
    width : int or None
        Bytes of sign, gap, fill and number together, where they are always the same.
    min_digits, max_digits : int
        How many digits the number has, leading zeros and decimals counted.
    mark : bytes
        The decimal mark, point or comma; none where the decimals are implied.
    decimals : int or None
        Digits behind the mark, or implied; None with a mark: one or more, whichever come.
    units : dict of bytes to Unit
        What a unit is written as in the frame; none where the frame does not name it.
    unit_needed : bool
        Whether a frame without unit is refused.
    unit_blanks : int
        How many blanks may stand before the unit.
    tails : tuple of bytes
        What may stand behind; none allows nothing.
    check : TextCheck or None
        Check characters at the very end.
    """

    kind: Literal["text"] = "text"
    lead: Octets = b""
    channel: str = ""
    sign: Literal["always", "minus only", "never"] = "minus only"
    plus: Annotated[Octets, Field(max_length=1)] = b"+"
    minus: Annotated[Octets, Field(min_length=1, max_length=1)] = b"-"
    gap: Octets = b""
    fill: Annotated[Octets, Field(max_length=1)] = b""
    fill_first: bool = False
    width: Annotated[int, Field(ge=1, le=64)] | None = None
    min_digits: Annotated[int, Field(ge=1, le=MAX_DIGITS)] = 1
    max_digits: Annotated[int, Field(ge=1, le=MAX_DIGITS)] = MAX_DIGITS
    mark: Annotated[Octets, Field(max_length=1)] = b"."
    decimals: Annotated[int, Field(ge=0, le=MAX_DECIMALS)] | None = None
    units: Mapping[Annotated[Octets, Field(min_length=1)], Unit] = Field(default_factory=dict)
    unit_needed: bool = True
    unit_blanks: Annotated[int, Field(ge=0, le=8)] = 0
    tails: tuple[Octets, ...] = ()
    check: TextCheck | None = None

    @model_validator(mode="after")
    def _is_readable(self) -> Self:
        for fault in self._faults():
            raise ValueError(fault)
        return self

    def _faults(self) -> Iterator[str]:
        if self.mark not in (b"", b".", b","):
            yield "the decimal mark is a point, a comma or nothing"
        if not self.mark and self.decimals is None:
            yield "without a decimal mark the number of decimals must be declared"
        if self.mark and self.decimals == 0:
            yield "a decimal mark has at least one digit behind it"
        if self.min_digits > self.max_digits:
            yield "min_digits must not be more than max_digits"
        if self.fill and self.fill.isdigit():
            yield "zeros before the number are digits; declare them as such"
        if self.plus == self.minus:
            yield "plus and minus must differ"
        for mark in (self.plus, self.minus, self.gap[-1:], self.gap[:1]):
            if mark.isdigit():
                yield "a digit cannot stand for a sign or beside one"
        last = self.channel[-1:]
        before = last or self.lead[-1:].decode("latin-1")
        has_one_width = self.min_digits == self.max_digits
        if self.sign != "always" and (before == "9" or before.isdigit()) and not has_one_width:
            yield "a digit directly before a number without a sign would be read as part of it"

    @property
    def exact_length(self) -> int | None:
        """Bytes of every frame of this layout; None where frames differ in length.

        Where it is exact, a frame that fits the layout is whole: its tail alone would not fit.
        """
        one_tail = len({len(tail) for tail in self.tails}) <= 1
        spellings = {len(text) for text in self.units}
        one_unit = len(spellings) <= 1 and (not spellings or self.unit_needed)
        if not one_tail or not one_unit or (spellings and self.unit_blanks):
            return None
        width = self.width
        if width is None:
            has_one_width = self.sign != "minus only" and not self.fill
            if self.min_digits != self.max_digits or not has_one_width:
                return None
            n_sign = len(self.plus) if self.sign == "always" else 0
            width = n_sign + len(self.gap) + self.min_digits + len(self.mark)
        tail = len(self.tails[0]) if self.tails else 0
        check = 0 if self.check is None else n_check_bytes(self.check.form)
        return len(self.lead) + len(self.channel) + width + sum(spellings) + tail + check

    def find(self, data: bytes) -> Found | str:
        """Return what the frame says, or why it does not have this layout, as a sentence."""
        match = self._match(data)
        if match is None:
            return self._why_not(data)
        digits = match["number"].replace(self.mark, b"") if self.mark else match["number"]
        if not self.min_digits <= len(digits) <= self.max_digits:
            return self._why_not_digits(len(digits))
        if self.check is not None and not self.check.fits(data, match.start("check")):
            return "The check characters do not fit the frame, so it was damaged: press again."
        n_decimals = self.decimals
        if self.mark:
            n_decimals = len(match["number"].rpartition(self.mark)[2])
        assert n_decimals is not None
        value = Decimal(int(digits)).scaleb(-n_decimals)
        unit = match["unit"] if self.units else None
        return Found(
            value=-value if match["sign"] == self.minus and not value.is_zero() else value,
            digits=digits,
            unit=None if unit is None else self.units[unit],
            channel=match["channel"].decode("ascii").rstrip(":= ") or None,
        )

    def parts(self, data: bytes) -> tuple[Part, ...]:
        """Return the pieces of a frame that has this layout; none where it has not."""
        match = self._match(data)
        if match is None:
            return ()
        return tuple(
            Part(start=match.start(name), stop=match.end(name), meaning=_MEANINGS[name])
            for name in self._pattern.groupindex
            if match[name]
        )

    def in_words(self) -> list[str]:
        """Return the layout as clauses for a person."""
        return layout_in_words(self)

    # --- inside ----------------------------------------------------------------------------------

    def _match(self, data: bytes) -> re.Match[bytes] | None:
        match = self._pattern.fullmatch(data)
        if match is None or self.width is None:
            return match
        start = min(match.start(name) for name in ("sign", "fill", "number") if match[name])
        return match if match.end("number") - start == self.width else None

    @cached_property
    def _pattern(self) -> re.Pattern[bytes]:
        fill = b"(?P<fill>" + (re.escape(self.fill) + b"*" if self.fill else b"") + b")"
        sign = b"(?P<sign>" + self._sign_pattern() + b")(?P<gap>" + re.escape(self.gap) + b")"
        number = b"(?P<number>" + self._number_pattern() + b")"
        field = fill + sign + number if self.fill_first else sign + fill + number
        unit = b""
        if self.units:
            longest_first = sorted(self.units, key=len, reverse=True)
            names = b"|".join(map(re.escape, longest_first))
            unit = b"(?P<blanks>\\x20{0,%d})(?P<unit>%s)" % (self.unit_blanks, names)
            unit = unit if self.unit_needed else b"(?:" + unit + b")?"
        tails = b"|".join(map(re.escape, self.tails))
        check = b""
        if self.check is not None:
            check = CHECK_PATTERNS[self.check.form]
        return re.compile(
            b"(?P<lead>" + re.escape(self.lead) + b")"
            b"(?P<channel>" + _channel_pattern(self.channel) + b")"
            + field + unit
            + b"(?P<tail>" + tails + b")"
            + b"(?P<check>" + check + b")",
            re.DOTALL,
        )  # fmt: skip

    def _sign_pattern(self) -> bytes:
        plus, minus = re.escape(self.plus), re.escape(self.minus)
        match self.sign:
            case "always":
                return b"%s|%s" % (plus, minus)
            case "minus only":
                return b"(?:%s)?" % minus
            case "never":
                return b""

    def _number_pattern(self) -> bytes:
        if not self.mark:
            return b"[0-9]{%d,%d}" % (self.min_digits, self.max_digits)
        behind = b"{%d}" % (self.decimals or 1)
        if self.decimals is None:
            behind = b"{1,%d}" % MAX_DECIMALS
        return b"[0-9]+%s[0-9]%s" % (re.escape(self.mark), behind)

    def _why_not(self, data: bytes) -> str:
        length = self.exact_length
        if length is not None and len(data) != length:
            lost = "lost" if len(data) < length else "added"
            return (
                f"The frame has {len(data)} bytes where this gauge's have {length}, so some were "
                f"{lost} on the way: press again."
            )
        return (
            "The frame does not have the layout of this gauge's format: press again, and if it "
            "comes so again, look at the gauge's display and its settings."
        )

    def _why_not_digits(self, n_digits: int) -> str:
        lost = "lost" if n_digits < self.min_digits else "added"
        return (
            f"The number has {n_digits} digits where this gauge's have {self.digits_in_words}, so "
            f"some were {lost} on the way: press again."
        )

    @property
    def digits_in_words(self) -> str:
        """How many digits the number has."""
        if self.max_digits == self.min_digits:
            return str(self.min_digits)
        return f"{self.min_digits} to {self.max_digits}"


def _channel_pattern(mark: str) -> bytes:
    classes = {"9": b"[0-9]", "A": b"[A-Za-z]"}
    return b"".join(classes.get(c) or re.escape(c.encode("ascii", "replace")) for c in mark)

"""What the bits of a frame can be: constants, the number, its sign, its unit, and more."""

from decimal import Decimal
from typing import Annotated, Final, Literal, Self

from pydantic import Field, model_validator

from seatproof.devices.declared.base import Declared
from seatproof.devices.declared.text import MAX_DECIMALS

HALF_BYTE: Final = 4

_Bits = Annotated[str, Field(pattern=r"^[01]{1,32}$")]
_Step = Annotated[Decimal, Field(gt=0, le=1, decimal_places=MAX_DECIMALS)]


class _BitField(Declared):
    @property
    def n_bits(self) -> int:
        raise NotImplementedError


class ConstantBits(_BitField):
    """Bits that are always the same: a start bit, a head, what fills up the last byte."""

    kind: Literal["constant"] = "constant"
    bits: _Bits

    @property
    def n_bits(self) -> int:
        return len(self.bits)


class IntegerBits(_BitField):
    """The value, as a count of steps.

    Attributes
    ----------
    n : int
        Bits of the count.
    low_first : bool
        Whether the bit of lowest weight comes first.
    signed : bool
        Whether negative counts are sent in two's complement.
    step : Decimal
        Length of one count, in mm where a unit field is declared, else in the gauge's unit.
    inch_step : Decimal or None
        The same in inches while the unit field says inch; a frame that says so is refused where it
        is not known.
    """

    kind: Literal["integer"] = "integer"
    n: Annotated[int, Field(ge=4, le=40)]
    low_first: bool = True
    signed: bool = False
    step: _Step
    inch_step: _Step | None = None

    @property
    def n_bits(self) -> int:
        return self.n


class DigitBits(_BitField):
    """The value, as decimal digits of four bits each; `decimals` None where a field tells them."""

    kind: Literal["digits"] = "digits"
    n: Annotated[int, Field(ge=1, le=10)]
    low_first: bool = False
    decimals: Annotated[int, Field(ge=0, le=MAX_DECIMALS)] | None = None

    @property
    def n_bits(self) -> int:
        return self.n * HALF_BYTE


class DecimalsBits(_BitField):
    """Four bits that tell how many of the digits are decimals."""

    kind: Literal["decimals"] = "decimals"
    most: Annotated[int, Field(ge=0, le=MAX_DECIMALS)] = 5

    @property
    def n_bits(self) -> int:
        return HALF_BYTE


class _TwoWays(_BitField):
    """Bits that have one of two patterns; any other is a damaged frame."""

    def _ways(self) -> tuple[str, str]:
        raise NotImplementedError

    @model_validator(mode="after")
    def _differ(self) -> Self:
        one, other = self._ways()
        if one == other or len(one) != len(other):
            raise ValueError("the two patterns must be as long as each other, and differ")
        return self

    @property
    def n_bits(self) -> int:
        return len(self._ways()[0])

    def is_second(self, bits: str) -> bool | None:
        """Tell which pattern the bits have; None for neither."""
        one, other = self._ways()
        return None if bits not in (one, other) else bits == other


class SignBits(_TwoWays):
    """The sign."""

    kind: Literal["sign"] = "sign"
    plus: _Bits = "0"
    minus: _Bits = "1"

    def _ways(self) -> tuple[str, str]:
        return self.plus, self.minus


class UnitBits(_TwoWays):
    """The unit, mm or inch."""

    kind: Literal["unit"] = "unit"
    mm: _Bits = "0"
    inch: _Bits = "1"

    def _ways(self) -> tuple[str, str]:
        return self.mm, self.inch


class HalfBit(_BitField):
    """One bit that adds half of the last digit."""

    kind: Literal["half"] = "half"

    @property
    def n_bits(self) -> int:
        return 1


class ConfirmedBit(_BitField):
    """One bit that is set while the gauge's button sends this value."""

    kind: Literal["confirmed"] = "confirmed"

    @property
    def n_bits(self) -> int:
        return 1


BitsField = Annotated[
    ConstantBits | IntegerBits | DigitBits | DecimalsBits | SignBits | UnitBits | HalfBit
    | ConfirmedBit,
    Field(discriminator="kind"),
]  # fmt: skip

"""A press whose display was read: what a person typed, beside the bytes that came."""

import re
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from seatproof.core.units import Unit

_SHOWN: Final = re.compile(
    r"\s*(?P<sign>[+\-\u2212]?)\s*(?P<number>[0-9]{1,9}(?:[.,][0-9]{1,9})?)\s*(?P<unit>\S*)\s*",
    re.ASCII,
)
_UNITS: Final = {
    "": None, "mm": Unit.MM, "in": Unit.INCH, "inch": Unit.INCH, '"': Unit.INCH, "um": Unit.UM,
    "µm": Unit.UM, "mil": Unit.MIL,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Shown:
    """What a display showed: the value with all its decimals, and the unit where it was told."""

    value: Decimal
    unit: Unit | None = None

    @property
    def decimals(self) -> int:
        exponent = self.value.as_tuple().exponent
        return max(0, -exponent) if isinstance(exponent, int) else 0

    @property
    def steps(self) -> int:
        """The value without its sign, counted in units of its last decimal."""
        return int(abs(self.value).scaleb(self.decimals))

    @property
    def is_negative(self) -> bool:
        return self.value < 0


@dataclass(frozen=True, slots=True)
class KnownPress:
    """All bytes of one press, from silence to silence, and what the display showed."""

    raw: bytes
    shown: Shown


def parse_shown(text: str) -> Shown:
    """Read what a person typed from a display; raises `ValueError` with a sentence.

    >>> parse_shown("-0,012 mm")
    Shown(value=Decimal('-0.012'), unit=<Unit.MM: 'mm'>)
    """
    match = _SHOWN.fullmatch(text)
    if match is None or match["unit"].lower() not in _UNITS:
        raise ValueError(
            "Type the number as the display shows it, with its sign and all its decimals, and the "
            "unit if you like: -0.012 mm"
        )
    value = Decimal(match["number"].replace(",", "."))
    negative = match["sign"] not in ("", "+") and not value.is_zero()
    return Shown(-value if negative else value, _UNITS[match["unit"].lower()])

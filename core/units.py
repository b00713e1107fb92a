"""Length units: exact factors, and decimals that stay exact until they are a length in mm."""

from decimal import Decimal
from enum import StrEnum
from typing import Final


class Unit(StrEnum):
    """A unit of length that a gauge, a plan or a person may use."""

    MM = "mm"
    INCH = "in"
    UM = "um"
    MIL = "mil"

    @property
    def in_mm(self) -> Decimal:
        """Length of one such unit in millimetres, exact (1 in = 25.4 mm by definition)."""
        return _IN_MM[self]

    @property
    def sign(self) -> str:
        """How the unit is printed."""
        return "µm" if self is Unit.UM else self.value


_IN_MM: Final = {
    Unit.MM: Decimal(1),
    Unit.INCH: Decimal("25.4"),
    Unit.UM: Decimal("0.001"),
    Unit.MIL: Decimal("0.0254"),
}

UM_PER_MM: Final = 1000.0
REFERENCE_TEMPERATURE_C: Final = 20.0  # ISO 1


def to_mm(value: Decimal, unit: Unit) -> Decimal:
    """Convert an exact decimal to millimetres without rounding.

    >>> to_mm(Decimal("3.9375"), Unit.INCH)
    Decimal('100.01250')
    """
    return value * unit.in_mm


def from_mm(value_mm: Decimal | float, unit: Unit) -> Decimal:
    """Convert millimetres to another unit; a float is taken at its shortest decimal text.

    >>> from_mm(Decimal("100.0125"), Unit.INCH)
    Decimal('3.9375')
    """
    exact = value_mm if isinstance(value_mm, Decimal) else Decimal(repr(value_mm))
    return exact / unit.in_mm

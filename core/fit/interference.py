"""Interference of a measured shaft and a ring's bore, cold and at other temperatures.

Positive interference is tight, negative is clearance; both are diametral, in µm.
"""

from dataclasses import dataclass
from math import hypot, isfinite

from seatproof.core.fit.bore import Bore
from seatproof.core.fit.errors import DimensionError
from seatproof.core.units import REFERENCE_TEMPERATURE_C, UM_PER_MM


@dataclass(frozen=True, slots=True)
class SeatSize:
    """A seat as it was measured, at 20 °C.

    Attributes
    ----------
    smallest_mm, largest_mm : float
        Extremes of the local sizes.
    mean_mm : float
        Their mean.
    expanded_mm : float
        Expanded uncertainty U of a size.

    Raises
    ------
    DimensionError
        They are not sizes, or not in order.
    """

    smallest_mm: float
    largest_mm: float
    mean_mm: float
    expanded_mm: float

    def __post_init__(self) -> None:
        if not (isfinite(self.smallest_mm) and self.smallest_mm > 0.0):
            raise DimensionError("shaft's size", f"{self.smallest_mm} mm", "it must be above zero")
        if not self.smallest_mm <= self.mean_mm <= self.largest_mm < float("inf"):
            raise DimensionError(
                "shaft's mean size",
                f"{self.mean_mm} mm",
                f"it must lie between {self.smallest_mm} and {self.largest_mm} mm",
            )
        if not (isfinite(self.expanded_mm) and self.expanded_mm >= 0.0):
            raise DimensionError(
                "shaft's uncertainty", f"{self.expanded_mm} mm", "it must be zero or more"
            )


@dataclass(frozen=True, slots=True)
class Warmth:
    """Temperatures of shaft and ring, and how they expand.

    Attributes
    ----------
    shaft_c, ring_c : float
        Degrees Celsius.
    shaft_expansion, ring_expansion : float
        Coefficients of linear expansion, per kelvin.
    """

    shaft_c: float = REFERENCE_TEMPERATURE_C
    ring_c: float = REFERENCE_TEMPERATURE_C
    shaft_expansion: float = 11.5e-6
    ring_expansion: float = 11.5e-6

    def __post_init__(self) -> None:
        for name, celsius in (("shaft", self.shaft_c), ("ring", self.ring_c)):
            if not -273.15 <= celsius <= 1000.0:
                raise DimensionError(
                    f"temperature of the {name}",
                    f"{celsius} °C",
                    "it must lie between −273.15 and 1000 °C",
                )
        for name, expansion in (("shaft", self.shaft_expansion), ("ring", self.ring_expansion)):
            if not 0.0 <= expansion <= 1e-4:
                raise DimensionError(
                    f"expansion of the {name}",
                    f"{expansion} /K",
                    "it is about 0.0000115 per kelvin for steel",
                )

    def added_um(self, diameter_mm: float) -> float:
        """Return how much tighter (or, negative, looser) the fit is than at 20 °C."""
        shaft = self.shaft_expansion * (self.shaft_c - REFERENCE_TEMPERATURE_C)
        ring = self.ring_expansion * (self.ring_c - REFERENCE_TEMPERATURE_C)
        return (shaft - ring) * diameter_mm * UM_PER_MM


@dataclass(frozen=True, slots=True)
class Interference:
    """Interference in µm of diameter, positive where tight.

    Attributes
    ----------
    least_um, most_um : float
        From the smallest local size less U in the largest bore, to the largest plus U in the
        smallest.
    probable_um, give_or_take_um : float
        From the mean size and the middle of the bore; U and half the bore's tolerance taken
        together as the root of the sum of their squares.
    """

    least_um: float
    most_um: float
    probable_um: float
    give_or_take_um: float


def interference(seat: SeatSize, bore: Bore, warmth: Warmth | None = None) -> Interference:
    """Work out the interference of a measured seat and a bore.

    Parameters
    ----------
    seat : SeatSize
    bore : Bore
    warmth : Warmth, optional
        20 °C throughout unless stated.

    Examples
    --------
    >>> from decimal import Decimal
    >>> bore = Bore(Decimal("99.980"), Decimal(100), "table")
    >>> found = interference(SeatSize(100.024, 100.024, 100.024, 0.0026), bore)
    >>> round(found.least_um, 1), round(found.most_um, 1), round(found.probable_um, 1)
    (21.4, 46.6, 34.0)
    """
    added = (warmth or Warmth()).added_um(bore.middle_mm)
    least_mm = seat.smallest_mm - seat.expanded_mm - float(bore.upper_mm)
    most_mm = seat.largest_mm + seat.expanded_mm - float(bore.lower_mm)
    return Interference(
        least_um=least_mm * UM_PER_MM + added,
        most_um=most_mm * UM_PER_MM + added,
        probable_um=(seat.mean_mm - bore.middle_mm) * UM_PER_MM + added,
        give_or_take_um=hypot(seat.expanded_mm, bore.half_width_mm) * UM_PER_MM,
    )

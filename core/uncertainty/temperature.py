"""Reduction to 20 °C (ISO 1), and what is not known about it.

d20 = x · [1 + α_g (t_g - 20) - α_s (t_s - 20)]: a warm gauge shows less than is there, a warm shaft
is larger than it will be.
"""

from dataclasses import dataclass
from typing import Final

from seatproof.core.uncertainty.contribution import Contribution, half_width
from seatproof.core.units import REFERENCE_TEMPERATURE_C, UM_PER_MM

DIFFERENCE: Final = "temperature difference of shaft and gauge"
SHAFT_EXPANSION: Final = "expansion coefficient of the shaft"
GAUGE_EXPANSION: Final = "expansion coefficient of the gauge"


@dataclass(frozen=True, slots=True)
class Body:
    """Temperature and expansion coefficient of the shaft, or of what the gauge was set by."""

    temperature_c: float
    expansion_per_kelvin: float

    @property
    def growth(self) -> float:
        """By which part of itself it is longer than at 20 °C."""
        return self.expansion_per_kelvin * (self.temperature_c - REFERENCE_TEMPERATURE_C)


def correction_um(size_mm: float, shaft: Body, gauge: Body) -> float:
    """Return what is added to a size as read to have it at 20 °C, µm.

    >>> correction_um(500.035, Body(23.7, 11.7e-6), Body(20.0, 0.0))  # doctest: +ELLIPSIS
    -21.646...
    """
    return size_mm * UM_PER_MM * (gauge.growth - shaft.growth)


def contributions(
    size_mm: float, shaft: Body, gauge: Body, *, difference_k: float, expansion_per_kelvin: float
) -> tuple[Contribution, ...]:
    """Return what the reduction to 20 °C adds to the uncertainty of a size.

    Parameters
    ----------
    size_mm : float
    shaft, gauge : Body
        As noted.
    difference_k : float
        Half-width of the difference between both temperatures as it is known.
    expansion_per_kelvin : float
        Half-width of each expansion coefficient.
    """
    size_um = size_mm * UM_PER_MM
    # It is not known which of both thermometers errs. The larger coefficient covers either, and
    # both together where they err independently, whatever the coefficients are.
    return (
        half_width(
            DIFFERENCE,
            difference_k,
            unit="K",
            sensitivity=-size_um * max(shaft.expansion_per_kelvin, gauge.expansion_per_kelvin),
            basis="plan",
        ),
        half_width(
            SHAFT_EXPANSION,
            expansion_per_kelvin,
            unit="1/K",
            sensitivity=-size_um * (shaft.temperature_c - REFERENCE_TEMPERATURE_C),
            basis="plan",
        ),
        half_width(
            GAUGE_EXPANSION,
            expansion_per_kelvin,
            unit="1/K",
            sensitivity=size_um * (gauge.temperature_c - REFERENCE_TEMPERATURE_C),
            basis="plan",
        ),
    )

"""What an interference does to a closed ring and its shaft: pressure, stress and growth (Lamé).

Two cylinders of one length in plane stress, elastic throughout. A real ring has grooves, ribs and
chamfers and a shaft that goes on beyond it; the figures are estimates.
"""

from dataclasses import dataclass
from math import isfinite, pi, sqrt
from typing import Final

from seatproof.core.fit.errors import DimensionError
from seatproof.core.units import UM_PER_MM

STEEL_MODULUS_MPA: Final = 206_000.0
STEEL_POISSON: Final = 0.3


@dataclass(frozen=True, slots=True)
class Cylinder:
    """A cylinder from one diameter to another, and the elastic constants of what it is made of.

    Raises
    ------
    DimensionError
        The outer diameter is not above the inner one, or a constant is impossible.
    """

    inner_mm: float
    outer_mm: float
    modulus_mpa: float = STEEL_MODULUS_MPA
    poisson: float = STEEL_POISSON

    def __post_init__(self) -> None:
        if not (isfinite(self.inner_mm) and self.inner_mm >= 0.0):
            raise DimensionError("inner diameter", f"{self.inner_mm} mm", "it must be zero or more")
        if not (isfinite(self.outer_mm) and self.outer_mm > self.inner_mm):
            raise DimensionError(
                "outer diameter",
                f"{self.outer_mm} mm",
                f"it must be larger than the inner one, {self.inner_mm} mm",
            )
        if not (isfinite(self.modulus_mpa) and self.modulus_mpa > 0.0):
            raise DimensionError(
                "modulus of elasticity", f"{self.modulus_mpa} MPa", "it must be above zero"
            )
        if not 0.0 <= self.poisson <= 0.5:
            raise DimensionError("Poisson's ratio", self.poisson, "it must lie between 0 and 0.5")

    @property
    def ratio(self) -> float:
        """Inner over outer diameter: 0 for a solid one, towards 1 for a thin wall."""
        return self.inner_mm / self.outer_mm


@dataclass(frozen=True, slots=True)
class Press:
    """A ring pressed on a shaft; stresses in MPa, tension positive, zero throughout where loose.

    Attributes
    ----------
    pressure_mpa : float
        Between ring and shaft.
    ring_hoop_mpa : float
        Hoop stress at the ring's bore, where it is largest.
    ring_equivalent_mpa : float
        Equivalent stress there (von Mises), to be compared with a yield strength.
    raceway_hoop_mpa : float
        Hoop stress at the ring's outer diameter.
    shaft_hoop_mpa : float
        Hoop stress in the shaft where it is largest: at the bore of a hollow shaft; throughout a
        solid one. Never positive.
    growth_um : float
        By how much the ring's outer diameter grows: the raceway.
    """

    pressure_mpa: float
    ring_hoop_mpa: float
    ring_equivalent_mpa: float
    raceway_hoop_mpa: float
    shaft_hoop_mpa: float
    growth_um: float


def press(interference_um: float, ring: Cylinder, shaft: Cylinder) -> Press:
    """Work out pressure, stresses and growth from a diametral interference.

    p = δ / {d·[((F²+d²)/(F²−d²) + ν_o)/E_o + ((d²+d_i²)/(d²−d_i²) − ν_i)/E_i]}, with d the common
    diameter, F the ring's outer and d_i the shaft's inner diameter.

    Parameters
    ----------
    interference_um : float
        Diametral, µm; zero and below is a loose ring, on which nothing presses.
    ring : Cylinder
        From its bore to an outside diameter of equal stiffness, the equivalent raceway.
    shaft : Cylinder
        To the same diameter; `inner_mm` 0 for a solid one.

    Raises
    ------
    DimensionError
        The interference is not finite, or the shaft's outer is not the ring's inner diameter.

    References
    ----------
    .. [1] S. P. Timoshenko, Strength of Materials, part II, 3rd ed., chapter VI: thick-walled
       cylinders (G. Lamé's solution) and shrink fits.
    """
    if not isfinite(interference_um):
        raise DimensionError("interference", f"{interference_um} µm", "it must be a finite number")
    if shaft.outer_mm != ring.inner_mm:
        raise DimensionError(
            "shaft's diameter",
            f"{shaft.outer_mm} mm",
            f"it must be that of the ring's bore, {ring.inner_mm} mm",
        )
    d, big, small = ring.inner_mm, ring.outer_mm, shaft.inner_mm
    ring_factor = (big**2 + d**2) / (big**2 - d**2)
    shaft_factor = (d**2 + small**2) / (d**2 - small**2)
    softness = (ring_factor + ring.poisson) / ring.modulus_mpa + (
        shaft_factor - shaft.poisson
    ) / shaft.modulus_mpa
    pressure = max(interference_um, 0.0) / UM_PER_MM / (d * softness)
    hoop = pressure * ring_factor
    # At the bore of a hollow shaft; a solid one is under the plain pressure everywhere.
    shaft_hoop = -pressure * (2.0 * d**2 / (d**2 - small**2) if small > 0.0 else 1.0)
    return Press(
        pressure_mpa=pressure,
        ring_hoop_mpa=hoop,
        ring_equivalent_mpa=sqrt(hoop**2 + hoop * pressure + pressure**2),
        raceway_hoop_mpa=2.0 * pressure * d**2 / (big**2 - d**2),
        shaft_hoop_mpa=shaft_hoop if pressure else 0.0,
        growth_um=2.0 * pressure * d**2 * big / (ring.modulus_mpa * (big**2 - d**2)) * UM_PER_MM,
    )


def axial_grip_n(pressure_mpa: float, bore_mm: float, width_mm: float, friction: float) -> float:
    """Return the axial force (N) at which a ring would slide, µ·p·π·d·L."""
    for what, value in (("ring's width", width_mm), ("coefficient of friction", friction)):
        if not (isfinite(value) and value > 0.0):
            raise DimensionError(what, value, "it must be above zero")
    return friction * pressure_mpa * pi * bore_mm * width_mm

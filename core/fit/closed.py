"""A closed ring, and its fit on a measured seat: cold, running, and on the way there."""

from dataclasses import dataclass

from seatproof.core.fit.bore import Bore
from seatproof.core.fit.errors import DimensionError
from seatproof.core.fit.interference import Interference, SeatSize, Warmth
from seatproof.core.fit.press import Cylinder, Press
from seatproof.core.fit.smoothing import Smoothing
from seatproof.core.units import REFERENCE_TEMPERATURE_C, UM_PER_MM


@dataclass(frozen=True, slots=True)
class Clearance:
    """The bearing's internal clearance, radial, in µm; negative is preload."""

    least_um: float
    most_um: float
    probable_um: float


@dataclass(frozen=True, slots=True)
class OuterRing:
    """The outer ring while running, as far as it changes the internal clearance.

    Attributes
    ----------
    raceway_mm : float
        Diameter of its raceway.
    temperature_c : float
    expansion : float
        Per kelvin.
    """

    raceway_mm: float
    temperature_c: float
    expansion: float = 11.5e-6

    def growth_um(self) -> float:
        """Return by how much its raceway is larger than at 20 °C."""
        warm = self.temperature_c - REFERENCE_TEMPERATURE_C
        return self.expansion * warm * self.raceway_mm * UM_PER_MM


@dataclass(frozen=True, slots=True)
class ClosedRing:
    """A closed inner ring, from the bearing maker's papers.

    Attributes
    ----------
    bore : Bore
    section : Cylinder or None
        From the nominal bore to the outside diameter of a ring of equal stiffness, the equivalent
        raceway; None where it is not known, so that no stress and no growth can be worked out.
    clearance_um : (float, float) or None
        Least and most internal clearance before fitting, radial.
    yield_mpa : float or None
        Yield strength of the ring.
    width_mm : float or None
    """

    bore: Bore
    section: Cylinder | None = None
    clearance_um: tuple[float, float] | None = None
    yield_mpa: float | None = None
    width_mm: float | None = None

    def __post_init__(self) -> None:
        if self.clearance_um is not None and self.clearance_um[0] > self.clearance_um[1]:
            raise DimensionError(
                "internal clearance",
                f"{self.clearance_um[0]} to {self.clearance_um[1]} µm",
                "give the smaller figure first",
            )
        if self.yield_mpa is not None and not 0.0 < self.yield_mpa < float("inf"):
            raise DimensionError("yield strength", f"{self.yield_mpa} MPa", "it must be above zero")


@dataclass(frozen=True, slots=True)
class State:
    """The fit at one set of temperatures.

    Attributes
    ----------
    interference : Interference
    least, probable, most : Press or None
        Of the least, probable and largest interference; None without a ring's section.
    clearance : Clearance or None
        What is left of the internal clearance; None without clearance or section.
    """

    warmth: Warmth
    interference: Interference
    least: Press | None
    probable: Press | None
    most: Press | None
    clearance: Clearance | None


@dataclass(frozen=True, slots=True)
class Mounting:
    """How the ring is warmed to slip it on.

    Attributes
    ----------
    gap_um : float
        Diametral gap wanted then.
    shaft_c : float
        Temperature of the shaft while mounting.
    temperature_c : float
        Of the ring, for the largest interference.
    limit_c : float or None
        The bearing maker's limit, where it was stated.
    """

    gap_um: float
    shaft_c: float
    temperature_c: float
    limit_c: float | None


@dataclass(frozen=True, slots=True)
class ClosedFit:
    """Everything that can be said beforehand of a closed ring on a measured seat."""

    seat: SeatSize
    ring: ClosedRing
    shaft: Cylinder | None
    room: State
    running: State | None
    smoothing: tuple[Smoothing, ...]
    grip_n: float | None
    mounting: Mounting | None
    warnings: tuple[str, ...]

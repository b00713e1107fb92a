"""A shaft whose true form is known everywhere, read from a TOML file.

The form of one seat, at the reference temperature of 20 °C, with u = (z − z_mid) / length, which
runs from −1/2 to +1/2 over the seat:

    D(z)     = mean_diameter + taper·u − barrel·(2u)²                       mean diameter at z
    r(θ, z)  = D(z)/2 + Σ aₙ·cos(n·(θ − φₙ))                                true radius
    d(θ, z)  = r(θ, z) + r(θ + 180°, z)                                     true local size

so taper is the change of diameter from the low end of the seat to the high one, barrel is by how
much the diameter at both ends falls short of the middle (negative: hollow), aₙ is radial and φₙ is
the angle of a crest. Odd undulations cancel in d.
"""

import math
import tomllib
from decimal import Decimal
from pathlib import Path
from typing import Annotated, Self

from pydantic import BaseModel, ConfigDict, Field, ValidationError, model_validator

from seatproof.core.units import REFERENCE_TEMPERATURE_C, UM_PER_MM, Unit
from seatproof.devices.errors import SimulationError

_Finite = Annotated[float, Field(allow_inf_nan=False)]
_Temperature = Annotated[float, Field(ge=-50, le=200)]
_Expansion = Annotated[float, Field(ge=0, le=1e-4)]


class _Table(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)


class Undulation(_Table):
    """One component of the roundness profile; at least two undulations per revolution."""

    n: Annotated[int, Field(ge=2, le=500)]
    amplitude_um: Annotated[float, Field(ge=0, le=1000)]
    phase_deg: _Finite = 0.0


class SeatForm(_Table):
    """The true form of one seat between two axial positions."""

    z_from_mm: _Finite
    z_to_mm: _Finite
    mean_diameter_mm: Annotated[float, Field(gt=0, le=10_000)]
    taper_um_over_seat: _Finite = 0.0
    barrel_um: _Finite = 0.0
    undulations: tuple[Undulation, ...] = ()

    @model_validator(mode="after")
    def _has_length(self) -> Self:
        if self.z_to_mm <= self.z_from_mm:
            raise ValueError("z_to_mm must be greater than z_from_mm")
        return self

    def holds(self, z_mm: float) -> bool:
        """Tell whether an axial position lies on the seat, its ends included."""
        return self.z_from_mm <= z_mm <= self.z_to_mm

    def mean_diameter_at_mm(self, z_mm: float) -> float:
        """Return D(z) of the module's formula, at 20 °C."""
        u = (z_mm - (self.z_from_mm + self.z_to_mm) / 2) / (self.z_to_mm - self.z_from_mm)
        deviation_um = self.taper_um_over_seat * u - self.barrel_um * (2 * u) ** 2
        return self.mean_diameter_mm + deviation_um / UM_PER_MM

    def radius_mm(self, z_mm: float, angle_deg: float) -> float:
        """Return r(θ, z) of the module's formula, at 20 °C."""
        deviation_um = math.fsum(
            wave.amplitude_um * math.cos(wave.n * math.radians(angle_deg - wave.phase_deg))
            for wave in self.undulations
        )
        return self.mean_diameter_at_mm(z_mm) / 2 + deviation_um / UM_PER_MM


class GaugeTraits(_Table):
    """What a simulated micrometer is like.

    Attributes
    ----------
    unit : Unit
        The unit it shows and sends.
    step : Decimal
        Its resolution, in its own unit.
    channel : str
        The mark it sends before the number; may be empty.
    zero_error_um : float
        What it shows too much at any length.
    repeatability_um : float
        Standard deviation of one reading.
    temperature_c, expansion_per_k : float
        Temperature of the micrometer's frame, and how it expands.
    """

    unit: Unit = Unit.MM
    step: Annotated[Decimal, Field(gt=0, le=1)] = Decimal("0.001")
    channel: Annotated[str, Field(pattern=r"^([0-9]{2}[A-Za-z])?$")] = "01A"
    zero_error_um: _Finite = 0.0
    repeatability_um: Annotated[float, Field(ge=0, le=1000)] = 0.0
    temperature_c: _Temperature = REFERENCE_TEMPERATURE_C
    expansion_per_k: _Expansion = 11.5e-6


class IndicatorTraits(GaugeTraits):
    """What a simulated indicator is like, and how it was set up.

    Attributes
    ----------
    zero_mm : float
        What it shows at the mean radius of the middle of a seat: an arbitrary zero.
    eccentricity_um, eccentricity_deg : float
        How far, and at which angle of the shaft, the axis that it is turned about lies off its own.
        In a vee block the shaft finds its place by itself.
    """

    step: Annotated[Decimal, Field(gt=0, le=1)] = Decimal("0.0001")
    channel: Annotated[str, Field(pattern=r"^([0-9]{2}[A-Za-z])?$")] = "02A"
    zero_mm: _Finite = 0.5
    eccentricity_um: Annotated[float, Field(ge=0, le=1000)] = 12.0
    eccentricity_deg: _Finite = 40.0


class SyntheticShaft(_Table):
    """A shaft with a known form, at one temperature, and the micrometer that goes with it.

    Attributes
    ----------
    temperature_c, expansion_per_k : float
        Of the whole shaft.
    seats : dict of str to SeatForm
        By the seats' ids in the plan.
    gauge : GaugeTraits
        The micrometer of the demonstration.
    indicator : IndicatorTraits
        The indicator of the demonstration.
    """

    temperature_c: _Temperature = REFERENCE_TEMPERATURE_C
    expansion_per_k: _Expansion = 11.5e-6
    seats: Annotated[dict[str, SeatForm], Field(min_length=1)]
    gauge: GaugeTraits = GaugeTraits()
    indicator: IndicatorTraits = IndicatorTraits()

    def seat_at(self, seat: str, z_mm: float) -> SeatForm:
        """Return the seat, if it is there and reaches to `z_mm`; else raise `SimulationError`."""
        form = self.seats.get(seat)
        if form is None:
            raise SimulationError(
                f'seat "{seat}"', f"the shaft has no such seat; it has {', '.join(self.seats)}."
            )
        if not form.holds(z_mm):
            raise SimulationError(
                f'seat "{seat}"',
                f"it reaches from z = {form.z_from_mm:g} mm to {form.z_to_mm:g} mm, "
                f"and {z_mm:g} mm is not on it.",
            )
        return form

    def true_radius_mm(self, seat: str, z_mm: float, angle_deg: float) -> float:
        """Return the distance of the surface from the axis at 20 °C.

        Raises
        ------
        SimulationError
            The shaft has no such seat, or the seat does not reach to `z_mm`.
        """
        return self.seat_at(seat, z_mm).radius_mm(z_mm, angle_deg)

    def true_diameter_mm(self, seat: str, z_mm: float, angle_deg: float) -> float:
        """Return the local size between opposite points at 20 °C: r(θ) + r(θ + 180°).

        Raises
        ------
        SimulationError
            The shaft has no such seat, or the seat does not reach to `z_mm`.
        """
        form = self.seat_at(seat, z_mm)
        return form.radius_mm(z_mm, angle_deg) + form.radius_mm(z_mm, angle_deg + 180)


def load_shaft(path: Path) -> SyntheticShaft:
    """Read the true form of a shaft from a TOML file; the keys are the models' field names.

    Raises
    ------
    SimulationError
        The file cannot be read, or does not describe a shaft; the sentence names the first fault.
    """
    try:
        data = tomllib.loads(path.read_text(encoding="utf-8"))
        return SyntheticShaft.model_validate(data)
    except OSError as error:
        reason = f"the shaft file cannot be read ({error.strerror})."
    except (UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        reason = f"the shaft file is not valid TOML ({error})."
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        where = ".".join(str(part) for part in first["loc"]) or "the whole file"
        reason = f"the shaft file has a fault at {where}: {first['msg']}."
    raise SimulationError(str(path), reason)

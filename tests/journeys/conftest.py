"""What a simulated shaft truly is, from its file alone and by other code than the program's."""

import math
import tomllib
from dataclasses import dataclass

import pytest

from seatproof.core.files import example


@dataclass(frozen=True)
class TrueSeat:
    """A seat's truth at 20 °C: diameters in mm, form in µm."""

    table: dict

    def diameter_mm(self, z_mm, angle_deg):
        low, high = self.table["z_from_mm"], self.table["z_to_mm"]
        u = (z_mm - (low + high) / 2) / (high - low)
        swing_um = self.table["taper_um_over_seat"] * u - self.table["barrel_um"] * 4 * u * u
        for wave in self.table["undulations"]:
            if wave["n"] % 2 == 0:  # opposite points of an odd undulation cancel
                angle = math.radians(wave["n"] * (angle_deg - wave["phase_deg"]))
                swing_um += 2 * wave["amplitude_um"] * math.cos(angle)
        return self.table["mean_diameter_mm"] + swing_um / 1000

    @property
    def taper_um(self):
        return self.table["taper_um_over_seat"]

    @property
    def ovality_um(self):
        """Largest minus smallest diameter of the second undulation, 4 × its radial amplitude."""
        return sum(4 * wave["amplitude_um"] for wave in self.table["undulations"] if wave["n"] == 2)

    @property
    def axis_deg(self):
        (phase,) = (wave["phase_deg"] for wave in self.table["undulations"] if wave["n"] == 2)
        return phase % 180


@dataclass(frozen=True)
class Truth:
    seats: dict[str, TrueSeat]
    zero_error_um: float
    noise_um: float  # of one reading, the rounding to the gauge's step included
    shaft_c: float
    gauge_c: float


@pytest.fixture
def truth():
    """Return the truth of the kiln fan's shaft."""
    table = tomllib.loads(example("kiln_fan_shaft.toml").read_text())
    gauge = table["gauge"]
    step_um = float(gauge["step"]) * (1000 if gauge["unit"] == "mm" else 25400)
    return Truth(
        seats={name: TrueSeat(seat) for name, seat in table["seats"].items()},
        zero_error_um=gauge["zero_error_um"],
        noise_um=math.hypot(gauge["repeatability_um"], step_um / math.sqrt(12)),
        shaft_c=table["temperature_c"],
        gauge_c=gauge["temperature_c"],
    )

"""An indicator on a synthetic shaft: against it, or over a vee block in which it is turned.

With r(θ) as in `seatproof.devices.simulated.shaft`, R the mean radius of the middle of the seat and
θ the place of the shaft under the indicator, it is moved by

    radial    r(θ) − R + e·cos(θ − φ)                     e, φ: how far, and where, off its axis
    vee       r(θ) − R ± [r(θ + t) + r(θ − t) − 2R] / (2·sin(α/2))

where the shaft rests on both sides of a vee of angle α: plus and t = 90° + α/2 opposite the vee,
minus and t = 90° − α/2 inside it. For an undulation n the second line is 1 ± cos(n·t)/sin(α/2)
times its amplitude. Where the indicator's zero lies means nothing.
"""

import math
import random
from typing import Final, Literal

from seatproof.core.units import UM_PER_MM
from seatproof.devices.errors import SimulationError
from seatproof.devices.simulated.gauge import frame_of, rounded
from seatproof.devices.simulated.shaft import IndicatorTraits, SyntheticShaft

Place = Literal["opposite the vee", "inside the vee"]


def true_movement_mm(
    shaft: SyntheticShaft,
    seat: str,
    z_mm: float,
    angle_deg: float,
    *,
    vee_angle_deg: float | None = None,
    place: Place = "opposite the vee",
) -> float:
    """Return how far the form of a seat moves an indicator, without any set-up of it.

    Parameters
    ----------
    shaft, seat, z_mm, angle_deg
        The place of the shaft that is under the indicator.
    vee_angle_deg : float or None
        Included angle of the vee block in which the shaft is turned; None for one turned about its
        own axis.
    place : str
        Where the indicator of a vee stands.

    Raises
    ------
    SimulationError
        The shaft has no such seat, the seat does not reach to `z_mm`, or no vee has this angle.
    """
    form = shaft.seat_at(seat, z_mm)
    mean_mm = form.mean_diameter_mm / 2

    def departure_mm(at_deg: float) -> float:
        return form.radius_mm(z_mm, at_deg) - mean_mm

    if vee_angle_deg is None:
        return departure_mm(angle_deg)
    if not 0 < vee_angle_deg < 180:
        raise SimulationError(
            f"vee of {vee_angle_deg:g}°", "a vee block has an included angle from 0° to 180°."
        )
    side = 1 if place == "opposite the vee" else -1
    contact_deg = 90 + side * vee_angle_deg / 2
    sides_mm = departure_mm(angle_deg + contact_deg) + departure_mm(angle_deg - contact_deg)
    return departure_mm(angle_deg) + side * sides_mm / (
        2 * math.sin(math.radians(vee_angle_deg / 2))
    )


class SimulatedIndicator:
    r"""An indicator with an arbitrary zero; it sends as the simulated micrometer does.

    Parameters
    ----------
    shaft : SyntheticShaft
        What is measured.
    traits : IndicatorTraits or None
        What the indicator and its set-up are like; by default what goes with the shaft.
    seed : int
        Start of the noise: the same seed and the same presses give the same bytes.

    Examples
    --------
    >>> from seatproof.devices.simulated.shaft import SeatForm
    >>> seat = SeatForm(z_from_mm=0, z_to_mm=60, mean_diameter_mm=110.012)
    >>> indicator = SimulatedIndicator(SyntheticShaft(seats={"A": seat}), seed=1)
    >>> indicator.aim("A", z_mm=30, angle_deg=0, vee_angle_deg=90)
    >>> indicator.press()
    b'02A+0000.5000\r'
    """

    def __init__(
        self, shaft: SyntheticShaft, traits: IndicatorTraits | None = None, *, seed: int
    ) -> None:
        self.shaft: Final = shaft
        self.traits: Final = shaft.indicator if traits is None else traits
        self._random = random.Random(seed)
        self._movement_mm = 0.0

    def aim(
        self,
        seat: str,
        z_mm: float,
        angle_deg: float,
        *,
        vee_angle_deg: float | None = None,
        place: Place = "opposite the vee",
    ) -> None:
        """Turn a place of the shaft under the indicator; see `true_movement_mm`."""
        self._movement_mm = true_movement_mm(
            self.shaft, seat, z_mm, angle_deg, vee_angle_deg=vee_angle_deg, place=place
        )
        if vee_angle_deg is None:  # a shaft in a vee finds its place by itself
            traits = self.traits
            turn = math.cos(math.radians(angle_deg - traits.eccentricity_deg))
            self._movement_mm += traits.eccentricity_um * turn / UM_PER_MM

    def press(self) -> bytes:
        """Measure once and return the frame that is sent, with its line end."""
        error_um = self.traits.zero_error_um + self._random.gauss(0.0, self.traits.repeatability_um)
        shown_mm = self.traits.zero_mm + self._movement_mm + error_um / UM_PER_MM
        return frame_of(rounded(shown_mm, self.traits), self.traits)

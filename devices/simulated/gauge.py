"""A micrometer that measures a synthetic shaft: warm parts, a zero error, noise and rounding."""

import random
from decimal import ROUND_HALF_EVEN, Decimal
from typing import Final

from seatproof.core.units import REFERENCE_TEMPERATURE_C, UM_PER_MM, Unit, from_mm
from seatproof.devices.simulated.shaft import GaugeTraits, SyntheticShaft

# The number field has eight digits, of which at most five stand before the point.
_FIELD_DIGITS: Final = 8
_WHOLE_DIGITS: Final = 5


class SimulatedMicrometer:
    r"""A two-point micrometer on a synthetic shaft.

    It shows  d·[1 + α_w·(t_w − 20) − α_i·(t_i − 20)] + zero error + noise,  rounded to its step,
    where d is the true local size at 20 °C, w the shaft and i the micrometer. Until it is aimed,
    its measuring faces are closed on each other and d is zero.

    Parameters
    ----------
    shaft : SyntheticShaft
        What is measured.
    traits : GaugeTraits or None
        What the micrometer is like; by default the one that goes with the shaft.
    seed : int
        Start of the noise: the same seed and the same presses give the same bytes.

    Examples
    --------
    >>> from seatproof.devices.simulated.shaft import SeatForm
    >>> seat = SeatForm(z_from_mm=0, z_to_mm=60, mean_diameter_mm=110.012)
    >>> micrometer = SimulatedMicrometer(SyntheticShaft(seats={"A": seat}), seed=1)
    >>> micrometer.aim("A", z_mm=30, angle_deg=0)
    >>> micrometer.press()
    b'01A+00110.012\r'
    """

    def __init__(
        self, shaft: SyntheticShaft, traits: GaugeTraits | None = None, *, seed: int
    ) -> None:
        self.shaft: Final = shaft
        self.traits = shaft.gauge if traits is None else traits
        self._random = random.Random(seed)
        self._true_diameter_mm = 0.0

    def aim(self, seat: str, z_mm: float, angle_deg: float) -> None:
        """Put the micrometer on a seat; raises `SimulationError` where the shaft has none."""
        self._true_diameter_mm = self.shaft.true_diameter_mm(seat, z_mm, angle_deg)

    def shift_zero(self, by_um: float) -> None:
        """Move the zero, as dirt on a measuring face or a warming frame does."""
        moved = self.traits.zero_error_um + by_um
        self.traits = self.traits.model_copy(update={"zero_error_um": moved})

    def switch_to(self, unit: Unit) -> None:
        """Switch the unit by the button beside the display; the step goes with it."""
        if unit is self.traits.unit:
            return
        step = Decimal("0.00005") if unit is Unit.INCH else Decimal("0.001")
        self.traits = self.traits.model_copy(update={"unit": unit, "step": step})

    def press(self) -> bytes:
        """Measure once and return the frame that is sent, with its line end."""
        shaft, traits = self.shaft, self.traits
        expansion = shaft.expansion_per_k * (shaft.temperature_c - REFERENCE_TEMPERATURE_C)
        expansion -= traits.expansion_per_k * (traits.temperature_c - REFERENCE_TEMPERATURE_C)
        error_um = traits.zero_error_um + self._random.gauss(0.0, traits.repeatability_um)
        shown_mm = self._true_diameter_mm * (1 + expansion) + error_um / UM_PER_MM
        return frame_of(rounded(shown_mm, traits), traits)


def rounded(shown_mm: float, traits: GaugeTraits) -> Decimal:
    """Return what a display shows, in the gauge's own unit."""
    steps = (from_mm(shown_mm, traits.unit) / traits.step).quantize(
        Decimal(1), rounding=ROUND_HALF_EVEN
    )
    return steps * traits.step


def frame_of(indicated: Decimal, traits: GaugeTraits) -> bytes:
    """Return the frame in which a gauge of these traits sends what its display shows."""
    exponent = traits.step.as_tuple().exponent
    decimals = max(0, -exponent) if isinstance(exponent, int) else 0
    whole_digits = min(_WHOLE_DIGITS, max(1, _FIELD_DIGITS - decimals))
    width = whole_digits + (1 + decimals if decimals else 0)
    sign = "-" if indicated.is_signed() else "+"
    return f"{traits.channel}{sign}{abs(indicated):0{width}.{decimals}f}\r".encode("ascii")

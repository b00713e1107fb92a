"""Measuring set-ups of a section, and the factor with which each shows an undulation.

A profile r(θ) = R + Σ Re(C_n exp(inθ)), C_n = c_n exp(ip_n), gives at a turn of the shaft that
brings the place θ under the indicator the reading

    m(θ) = const + Σ Re(F_n C_n exp(inθ)).

The factor F_n of a vee follows from its two contacts: resting on both fixes the centre, and with
the direction to the indicator written as a1·u1 + a2·u2 of the directions to the contacts at t1 and
t2 (seen from the indicator), F_n = 1 - a1 exp(in t1) - a2 exp(in t2). F_1 is zero: the eccentricity
drops out. |F_n| is the reading per unit of radial amplitude; a two-point reading is a diameter.
"""

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import Final, Self

from seatproof.core.form.errors import InputError

_INVISIBLE: Final = 1e-9


class Indicator(StrEnum):
    """Where the indicator of a vee set-up stands."""

    OPPOSITE = "opposite the vee"
    INSIDE = "inside the vee"


class Method(StrEnum):
    """How a section is measured."""

    TWO_POINT = "two-point"
    VEE = "vee"
    RADIAL = "radial"


@dataclass(frozen=True, slots=True)
class Setup:
    """One way of measuring a section.

    Attributes
    ----------
    method : Method
    block_angle_deg : float or None
        Included angle of the vee block.
    indicator : Indicator or None
        Opposite the vee (over the top of the shaft) or inside it (from below).
    tilt_deg : float
        Angle by which the indicator leans from the bisector, positive anticlockwise.
    """

    method: Method
    block_angle_deg: float | None = None
    indicator: Indicator | None = None
    tilt_deg: float = 0.0

    @classmethod
    def vee(
        cls,
        block_angle_deg: float,
        indicator: Indicator = Indicator.OPPOSITE,
        tilt_deg: float = 0.0,
    ) -> Self:
        """Describe a vee block with its indicator.

        Raises
        ------
        InputError
            The included angle is not between 0° and 180°, or the indicator would touch the block.
        """
        if not 0.0 < block_angle_deg < 180.0:
            raise InputError(
                f"a vee block has an included angle between 0° and 180°, not {block_angle_deg:g}°"
            )
        reach = 90.0 + block_angle_deg / 2.0
        if indicator is Indicator.INSIDE:
            reach = 90.0 - block_angle_deg / 2.0
        if not abs(tilt_deg) < reach:
            raise InputError(
                f"an indicator leaning by {tilt_deg:g}° would stand on a contact of the block; "
                f"lean it by less than {reach:g}°"
            )
        return cls(Method.VEE, float(block_angle_deg), indicator, float(tilt_deg))

    @property
    def label(self) -> str:
        """How the set-up is named beside a number."""
        if self.method is not Method.VEE:
            return self.method.value
        lean = f", leaning {self.tilt_deg:g}°" if self.tilt_deg else ""
        return f"vee {self.block_angle_deg:g}°, indicator {self.indicator}{lean}"

    def contacts_deg(self) -> tuple[float, float]:
        """Return where the contacts of a vee lie, seen from the indicator, in degrees.

        Raises
        ------
        InputError
            The set-up is no vee.
        """
        if self.block_angle_deg is None:
            raise InputError(f"a {self.label} set-up has no vee contacts")
        half = 90.0 - self.block_angle_deg / 2.0
        foot = 0.0 if self.indicator is Indicator.INSIDE else 180.0
        return foot - half - self.tilt_deg, foot + half - self.tilt_deg

    def factor(self, undulations: int) -> complex:
        """Return the complex factor F_n: reading per unit of radial amplitude, and its phase.

        Parameters
        ----------
        undulations : int
            Undulations per revolution, 1 or more.

        Raises
        ------
        InputError
            Fewer than one undulation.

        References
        ----------
        .. [1] ISO 4292, methods for the assessment of departure from roundness by two- and
           three-point measurement; the formula is derived in the module's opening lines.
        """
        if undulations < 1:
            raise InputError(f"an undulation number is 1 or more, not {undulations}")
        if self.method is Method.RADIAL:
            return 1.0 + 0.0j
        if self.method is Method.TWO_POINT:
            return complex(1 + (-1) ** undulations)
        if undulations == 1:
            return 0.0j
        t1, t2 = (math.radians(angle) for angle in self.contacts_deg())
        # a1·u1 + a2·u2 is the unit vector towards the indicator, at angle 0.
        a1 = math.sin(t2) / math.sin(t2 - t1)
        a2 = -math.sin(t1) / math.sin(t2 - t1)
        turn1, turn2 = undulations * t1, undulations * t2
        real = 1.0 - a1 * math.cos(turn1) - a2 * math.cos(turn2)
        imaginary = -a1 * math.sin(turn1) - a2 * math.sin(turn2)
        factor = complex(real, imaginary)
        return 0.0j if abs(factor) < _INVISIBLE else factor

    def magnification(self, undulations: int) -> float:
        """Return |F_n|: peak-to-valley of the reading per peak-to-valley of the radius."""
        return abs(self.factor(undulations))

    def invisible(self, highest: int) -> tuple[int, ...]:
        """Return the undulations from 2 to `highest` that this set-up cannot show at all."""
        return tuple(n for n in range(2, highest + 1) if self.factor(n) == 0.0)


RADIAL: Final = Setup(Method.RADIAL)
TWO_POINT: Final = Setup(Method.TWO_POINT)


def roundness_if(setup: Setup, reading_range: float, undulations: int) -> float | None:
    """Return the radial peak-to-valley that a range of readings means, if it is all one undulation.

    None where the set-up does not show that undulation: its amplitude may then be anything. Without
    knowing the number of undulations a range is an indication only.

    Raises
    ------
    InputError
        The range is negative or not finite.
    """
    if not (math.isfinite(reading_range) and reading_range >= 0.0):
        raise InputError(f"a range of readings is zero or more, not {reading_range}")
    magnification = setup.magnification(undulations)
    return None if magnification == 0.0 else reading_range / magnification

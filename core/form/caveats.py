"""What the readings of one section can and cannot show, as figures and as sentences beside them.

Few readings miss the extremes, so a form figure reads low; noise makes a round section look out of
round, so it reads high. Both are computed for the orientations at hand and the repeatability
stated, and with them which undulations may stay hidden there.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from seatproof.core.form.arrays import FloatArray, paired_vectors
from seatproof.core.form.circle import ReferenceCircle, points_from_radii
from seatproof.core.form.errors import TooFewError
from seatproof.core.form.lsc import least_squares_circle
from seatproof.core.form.mzc import minimum_zone_circle
from seatproof.core.form.noise import (
    DRAWS,
    NoiseFloor,
    half_range_noise,
    noise_floor,
    ovality_noise,
)
from seatproof.core.form.orientations import count_orientations
from seatproof.core.form.sampling import SamplingLoss, sampling_loss, undulation_shares
from seatproof.core.form.setup import Method, Setup
from seatproof.core.units import UM_PER_MM

HIGHEST: Final = 15
# An undulation of which an unlucky phase shows less than this part may pass unseen.
_HIDDEN: Final = 0.1
_ZONE_DRAWS: Final = 300  # each takes far longer than a least-squares one
_OVAL_FROM: Final = 3


@dataclass(frozen=True, slots=True)
class FormCaveats:
    """What few readings and noise do to the form figure of one section.

    Lengths are *radial*, in the unit of the readings, except the ovality's.

    Attributes
    ----------
    setup : Setup
        Radial or two-point.
    readings : int
    shown : float
        The figure these readings give: the zone about the reference circle, or half the range of
        diameters.
    loss : SamplingLoss
        Which part of the true roundness of usual shafts these orientations show.
    repeatability : float or None
        Standard deviation of one reading, as stated.
    noise : NoiseFloor or None
        What such noise alone shows on a perfectly round section; None without a repeatability.
    ovality_noise : NoiseFloor or None
        For diameters at three or more orientations, the fitted ovality, *diametral*, that noise
        alone shows.
    hidden : tuple of int
        Undulations from 2 to 15 of which at some phase less than a tenth shows here.
    """

    setup: Setup
    readings: int
    shown: float
    loss: SamplingLoss
    repeatability: float | None
    noise: NoiseFloor | None
    ovality_noise: NoiseFloor | None
    hidden: tuple[int, ...]

    @property
    def is_beyond_noise(self) -> bool | None:
        """Whether the figure exceeds what 19 of 20 round sections would show; None if unknown."""
        return None if self.noise is None else self.shown > self.noise.upper

    def sentences(self, write: Callable[[float], str] | None = None) -> tuple[str, ...]:
        """Return these figures in words, one sentence each, in the order to be read.

        Parameters
        ----------
        write : callable, optional
            Turns a length into text with its unit; by default from millimetres to micrometres.
        """
        in_words = _micrometres if write is None else write
        is_radial = self.setup.method is Method.RADIAL
        what = f"{self.readings} {'radial readings' if is_radial else 'diameters'}"
        said = [
            f"Few readings read low: at these orientations {what} show {self.loss.low:.0%} to "
            f"{self.loss.high:.0%} of the roundness of usual shafts, half of them below "
            f"{self.loss.median:.0%}."
        ]
        if self.hidden:
            said.append(
                f"Undulations that may not show here at all (of 2 to {HIGHEST}): "
                f"{', '.join(str(number) for number in self.hidden)}."
            )
        if self.noise is None or self.repeatability is None:
            return tuple(said)
        figure = "roundness" if is_radial else "half range"
        said.append(
            f"Noise reads high: with a standard deviation of {in_words(self.repeatability)}, 1 in "
            f"20 perfectly round sections shows a {figure} of more than "
            f"{in_words(self.noise.upper)}."
        )
        verdict = (
            "is more than that" if self.is_beyond_noise else "cannot be told from a round section"
        )
        said.append(f"The {figure} of {in_words(self.shown)} found here {verdict}.")
        if self.ovality_noise is not None:
            said.append(
                f"Of the fitted ovality, {in_words(self.ovality_noise.upper)} of diameter could be "
                "noise alone."
            )
        return tuple(said)


def form_caveats(
    angle_deg: ArrayLike,
    reading: ArrayLike,
    setup: Setup,
    repeatability: float | None = None,
    reference: ReferenceCircle = ReferenceCircle.LSC,
) -> FormCaveats:
    """Compute what the readings of one section can show.

    The simulations depend on the orientations alone, which are mostly the same at every station;
    they are made once and kept.

    Parameters
    ----------
    angle_deg : array_like, shape (n,)
        Where each reading was taken.
    reading : array_like, shape (n,)
        Diameters, or radii from near the axis, millimetres or any one unit.
    setup : Setup
        `TWO_POINT` or `RADIAL`.
    repeatability : float, optional
        Standard deviation of one reading, in its unit.
    reference : ReferenceCircle
        For radii, the circle about which the roundness is taken: least squares or minimum zone.

    Raises
    ------
    InputError
        Lengths differ, a value is not finite, the repeatability is negative, or a vee set-up.
    TooFewError, DegenerateError, NotDefinedError
        No diameter; for radii fewer than four angles, or as the reference circle.
    """
    angle, value = paired_vectors(angle_deg, "angles", reading, "readings")
    loss = sampling_loss(angle, setup)
    noise = oval = None
    if setup.method is Method.TWO_POINT:
        if not value.size:
            raise TooFewError("a form figure", "diameters", 1, 0)
        shown = float(np.ptp(value)) / 2.0
        if repeatability is not None:
            noise = half_range_noise(angle, repeatability)
            if count_orientations(angle) >= _OVAL_FROM:
                oval = ovality_noise(angle, repeatability)
    else:
        shown = _zone(points_from_radii(angle, value), reference)
        if repeatability is not None:
            draws = _ZONE_DRAWS if reference is ReferenceCircle.MZC else DRAWS
            noise = noise_floor(angle, repeatability, reference, draws)
    shares = undulation_shares(angle, setup, HIGHEST)
    return FormCaveats(
        setup=setup,
        readings=int(value.size),
        shown=shown,
        loss=loss,
        repeatability=repeatability,
        noise=noise,
        ovality_noise=oval,
        hidden=tuple(number for number, (worst, _) in shares.items() if worst < _HIDDEN),
    )


def _zone(points: FloatArray, reference: ReferenceCircle) -> float:
    if reference is ReferenceCircle.MZC:
        return minimum_zone_circle(points).circle.zone
    return least_squares_circle(points).zone


def _micrometres(length_mm: float) -> str:
    return f"{length_mm * UM_PER_MM:.2f} µm"

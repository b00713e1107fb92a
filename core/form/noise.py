"""What noise does to a form figure: a round section looks out of round, so the figure reads high.

Simulated for the angles actually measured, with a recorded seed; what few readings do is in
`sampling`.
"""

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from seatproof.core.form.arrays import FloatArray, finite_vector
from seatproof.core.form.circle import ReferenceCircle
from seatproof.core.form.errors import InputError, TooFewError
from seatproof.core.form.minimax import Side, narrowest_band
from seatproof.core.form.orientations import ovality_design

SEED: Final = 20
DRAWS: Final = 1000
_RANK: Final = 1e-9


@dataclass(frozen=True, slots=True)
class NoiseFloor:
    """The figure that noise alone shows on a perfectly round section.

    Attributes
    ----------
    mean, upper : float
        Mean, and the value that only 5 % of such sections exceed, in the unit of the repeatability.
        A zone below `upper` is not distinguishable from a round section.
    draws, seed : int
        Of the simulation.
    """

    mean: float
    upper: float
    draws: int
    seed: int


def noise_floor(
    angle_deg: ArrayLike,
    repeatability: float,
    reference: ReferenceCircle = ReferenceCircle.LSC,
    draws: int = DRAWS,
    seed: int = SEED,
) -> NoiseFloor:
    """Simulate radial readings of a perfect circle at these angles.

    Parameters
    ----------
    angle_deg : array_like, shape (n,)
        Angles of the readings.
    repeatability : float
        Standard deviation of one reading, any unit.
    reference : ReferenceCircle
        Least squares or minimum zone.
    draws, seed : int
        Of the simulation; a minimum zone draw takes about half a millisecond.

    Raises
    ------
    InputError
        An angle is not finite, the repeatability is negative, another reference circle.
    TooFewError
        Fewer than four angles: three readings always lie on a circle.
    """
    angle = round_angles(angle_deg)
    _check_repeatability(repeatability)
    return _in_unit(_noise_floor(tuple(angle.tolist()), reference, draws, seed), repeatability)


def half_range_noise(
    angle_deg: ArrayLike, repeatability: float, draws: int = DRAWS, seed: int = SEED
) -> NoiseFloor:
    """Simulate diameters of a perfect circle: half their range, *radial*.

    Parameters
    ----------
    angle_deg : array_like, shape (n,)
        Orientations; a diameter for each.
    repeatability : float
        Standard deviation of one diameter, any unit.

    Raises
    ------
    InputError
        An angle is not finite, or the repeatability is negative.
    TooFewError
        No orientation.
    """
    angle = finite_vector(angle_deg, "orientations")
    _check_repeatability(repeatability)
    if angle.size == 0:
        raise TooFewError("the range of diameters", "orientations", 1, 0)
    noise = np.random.default_rng(seed).normal(size=(draws, angle.size))
    return _in_unit(_floor(np.ptp(noise, axis=1) / 2.0, draws, seed), repeatability)


def ovality_noise(
    angle_deg: ArrayLike, repeatability: float, draws: int = DRAWS, seed: int = SEED
) -> NoiseFloor:
    """Simulate diameters of a perfect circle: the ovality fitted to them, *diametral*.

    Noise alone always looks oval: for N evenly spread orientations its mean is s·√(4π/N).

    Parameters
    ----------
    angle_deg : array_like, shape (n,)
        Orientations; a diameter for each.
    repeatability : float
        Standard deviation of one diameter, any unit.

    Raises
    ------
    InputError
        An angle is not finite, or the repeatability is negative.
    TooFewError, DegenerateError
        As `fit_ovality`.
    """
    angle = finite_vector(angle_deg, "orientations")
    _check_repeatability(repeatability)
    inverse = ovality_design(angle).inverse
    noise = np.random.default_rng(seed).normal(size=(draws, angle.size))
    waves = noise @ inverse[1:].T
    ovality = 2.0 * np.hypot(waves[:, 0], waves[:, 1])
    return _in_unit(_floor(ovality, draws, seed), repeatability)


def _check_repeatability(repeatability: float) -> None:
    if not (np.isfinite(repeatability) and repeatability >= 0.0):
        raise InputError(f"a repeatability must be zero or more, not {repeatability}")


def _floor(figures: FloatArray, draws: int, seed: int) -> NoiseFloor:
    return NoiseFloor(float(np.mean(figures)), float(np.quantile(figures, 0.95)), draws, seed)


def _in_unit(floor: NoiseFloor, repeatability: float) -> NoiseFloor:
    """Turn a floor for readings of unit standard deviation into one for these."""
    return replace(floor, mean=floor.mean * repeatability, upper=floor.upper * repeatability)


@lru_cache(maxsize=32)
def _noise_floor(
    angle_deg: tuple[float, ...], reference: ReferenceCircle, draws: int, seed: int
) -> NoiseFloor:
    angle = np.array(angle_deg, dtype=np.float64)
    noise = np.random.default_rng(seed).normal(size=(draws, angle.size))
    turn = np.asarray(np.radians(angle), dtype=np.float64)
    if reference is ReferenceCircle.LSC:
        zones = np.ptp(without_circle(noise, turn), axis=1)
    elif reference is ReferenceCircle.MZC:
        slopes = -np.column_stack([np.cos(turn), np.sin(turn)])
        # On a radius a thousand times the noise the linear form is exact to that part.
        zones = np.array([narrowest_band(row, slopes, 1e3, Side.ZONE).value for row in noise])
    else:
        raise InputError("the noise floor is known for least squares and minimum zone circles")
    return _floor(zones, draws, seed)


def round_angles(angle_deg: ArrayLike) -> FloatArray:
    """Return angles in degrees, (n,), if there are four different ones, as a roundness needs.

    Raises
    ------
    InputError
        An angle is not finite.
    TooFewError
        Fewer than four different angles.
    """
    angle = finite_vector(angle_deg, "angles")
    found = int(np.unique(np.round(angle % 360.0, 9)).size)
    if found < 4:
        raise TooFewError("a roundness", "angles", 4, found, "three readings lie on any circle")
    return angle


def without_circle(rows: FloatArray, turn: FloatArray) -> FloatArray:
    """Residuals of each row (k, n) about its own mean and eccentricity; `turn` (n,) in radians.

    The linear form of the least-squares circle, exact for departures small against the radius.
    """
    design = np.column_stack([np.ones_like(turn), np.cos(turn), np.sin(turn)])
    base, size, _ = np.linalg.svd(design, full_matrices=False)
    base = base[:, size > _RANK * size[0]]
    return np.asarray(rows - (rows @ base) @ base.T, dtype=np.float64)

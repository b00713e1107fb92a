"""What few readings and noise do to a form figure: computed for the case at hand.

Few readings miss the extremes and read low; noise makes a round shaft look out of round and reads
high. Both are simulated for the angles actually measured, with a recorded seed.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from seatproof.core.form.arrays import FloatArray, finite_vector
from seatproof.core.form.circle import ReferenceCircle
from seatproof.core.form.errors import InputError, TooFewError
from seatproof.core.form.minimax import Side, narrowest_band
from seatproof.core.form.setup import Method, Setup

SEED: Final = 20
_HIGHEST: Final = 50
_TRUE_GRID: Final = 720
_RANK: Final = 1e-9


@dataclass(frozen=True, slots=True)
class NoiseFloor:
    """The zone that noise alone shows on a perfectly round section.

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


@dataclass(frozen=True, slots=True)
class SamplingLoss:
    """Which part of the true roundness these angles show, over simulated shafts without noise.

    Attributes
    ----------
    low, median, high : float
        5 %, 50 % and 95 % of observed divided by true zone (1 would be no loss).
    exponent : float
        The shafts' undulations 2 to 50 are normal in both parts, falling as n^-exponent.
    draws, seed : int
        Of the simulation.
    """

    low: float
    median: float
    high: float
    exponent: float
    draws: int
    seed: int


def noise_floor(
    angle_deg: ArrayLike,
    repeatability: float,
    reference: ReferenceCircle = ReferenceCircle.LSC,
    draws: int = 1000,
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
    angle = _angles(angle_deg)
    if not (np.isfinite(repeatability) and repeatability >= 0.0):
        raise InputError(f"a repeatability must be zero or more, not {repeatability}")
    noise = np.random.default_rng(seed).normal(size=(draws, angle.size))
    turn = np.asarray(np.radians(angle), dtype=np.float64)
    if reference is ReferenceCircle.LSC:
        zones = np.ptp(_without_circle(noise, turn), axis=1)
    elif reference is ReferenceCircle.MZC:
        slopes = -np.column_stack([np.cos(turn), np.sin(turn)])
        # On a radius a thousand times the noise the linear form is exact to that part.
        zones = np.array([narrowest_band(row, slopes, 1e3, Side.ZONE).value for row in noise])
    else:
        raise InputError("the noise floor is known for least squares and minimum zone circles")
    zones = zones * repeatability
    return NoiseFloor(float(np.mean(zones)), float(np.quantile(zones, 0.95)), draws, seed)


def sampling_loss(
    angle_deg: ArrayLike,
    setup: Setup,
    exponent: float = 1.5,
    draws: int = 1000,
    seed: int = SEED,
) -> SamplingLoss:
    """Simulate shafts and compare the zone seen at these angles with their true roundness.

    Radial readings give the zone about the least-squares circle, two-point readings half the range
    of diameters.

    Parameters
    ----------
    angle_deg : array_like, shape (n,)
        Angles of the readings.
    setup : Setup
        Radial or two-point.
    exponent : float
        How fast the shafts' undulations fall: 1 rough, 1.5 usual, 2 smooth.

    Raises
    ------
    InputError
        An angle is not finite, or a vee set-up, whose range says nothing without the undulation.
    TooFewError
        No angle, or for radial readings fewer than four.
    """
    angle = finite_vector(angle_deg, "angles")
    if setup.method is Method.VEE:
        raise InputError("a range in a vee block has no roundness to compare; combine the set-ups")
    if setup.method is Method.RADIAL:
        angle = _angles(angle)
    elif angle.size == 0:
        raise TooFewError("the sampling loss", "angles", 1, 0)
    random = np.random.default_rng(seed)
    numbers = np.arange(2, _HIGHEST + 1)
    shape = (draws, numbers.size)
    waves = (random.normal(size=shape) + 1j * random.normal(size=shape)) / numbers**exponent
    turn = np.asarray(np.radians(angle), dtype=np.float64)
    factor = np.array([setup.factor(int(number)) for number in numbers])
    seen = _profiles(waves * factor, numbers, turn)
    whole = np.linspace(0.0, 2.0 * np.pi, _TRUE_GRID, endpoint=False)
    true = np.ptp(_profiles(waves, numbers, whole), axis=1)
    if setup.method is Method.RADIAL:
        observed = np.ptp(_without_circle(seen, turn), axis=1)
    else:
        observed = np.ptp(seen, axis=1) / 2.0
    low, median, high = (float(value) for value in np.quantile(observed / true, [0.05, 0.5, 0.95]))
    return SamplingLoss(low, median, high, exponent, draws, seed)


def _angles(angle_deg: ArrayLike) -> FloatArray:
    angle = finite_vector(angle_deg, "angles")
    found = int(np.unique(np.round(angle % 360.0, 9)).size)
    if found < 4:
        raise TooFewError("a roundness", "angles", 4, found, "three readings lie on any circle")
    return angle


def _profiles(waves: np.ndarray, numbers: np.ndarray, turn: FloatArray) -> FloatArray:
    return np.asarray((waves @ np.exp(1j * numbers[:, None] * turn)).real, dtype=np.float64)


def _without_circle(rows: FloatArray, turn: FloatArray) -> FloatArray:
    """Residuals of each row about its own mean and eccentricity (small departures: exact)."""
    design = np.column_stack([np.ones_like(turn), np.cos(turn), np.sin(turn)])
    base, size, _ = np.linalg.svd(design, full_matrices=False)
    base = base[:, size > _RANK * size[0]]
    return np.asarray(rows - (rows @ base) @ base.T, dtype=np.float64)

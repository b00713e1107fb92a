"""What few readings do to a form figure: they miss the extremes and read low.

Simulated for the angles actually measured, with a recorded seed; what noise does is in `noise`.
"""

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from seatproof.core.form.arrays import FloatArray, finite_vector
from seatproof.core.form.errors import InputError, TooFewError
from seatproof.core.form.noise import DRAWS, SEED, round_angles, without_circle
from seatproof.core.form.setup import Method, Setup

_HIGHEST: Final = 50
_TRUE_GRID: Final = 720
_PHASES: Final = 180


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


def sampling_loss(
    angle_deg: ArrayLike,
    setup: Setup,
    exponent: float = 1.5,
    draws: int = DRAWS,
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
        angle = round_angles(angle)
    elif angle.size == 0:
        raise TooFewError("the sampling loss", "angles", 1, 0)
    return _sampling_loss(tuple(angle.tolist()), setup, exponent, draws, seed)


@lru_cache(maxsize=32)
def _sampling_loss(
    angle_deg: tuple[float, ...], setup: Setup, exponent: float, draws: int, seed: int
) -> SamplingLoss:
    waves, true = _shafts(exponent, draws, seed)
    numbers = np.arange(2, _HIGHEST + 1)
    turn = np.asarray(np.radians(angle_deg), dtype=np.float64)
    factor = np.array([setup.factor(int(number)) for number in numbers])
    seen = _profiles(waves * factor, numbers, turn)
    observed = _shown(seen, turn, setup)
    low, median, high = (float(value) for value in np.quantile(observed / true, [0.05, 0.5, 0.95]))
    return SamplingLoss(low, median, high, exponent, draws, seed)


@lru_cache(maxsize=4)
def _shafts(exponent: float, draws: int, seed: int) -> tuple[np.ndarray, FloatArray]:
    """Undulations of simulated shafts, (draws, 49) and complex, and their true roundness."""
    random = np.random.default_rng(seed)
    numbers = np.arange(2, _HIGHEST + 1)
    shape = (draws, numbers.size)
    waves = (random.normal(size=shape) + 1j * random.normal(size=shape)) / numbers**exponent
    whole = np.linspace(0.0, 2.0 * np.pi, _TRUE_GRID, endpoint=False)
    true = np.ptp(_profiles(waves, numbers, whole), axis=1)
    waves.flags.writeable = False
    true.flags.writeable = False
    return waves, true


def undulation_shares(
    angle_deg: ArrayLike, setup: Setup, highest: int = 15
) -> dict[int, tuple[float, float]]:
    """Return which part of a single undulation these angles show, at its worst and best phase.

    Parameters
    ----------
    angle_deg : array_like, shape (n,)
        Angles of the readings.
    setup : Setup
        Radial (zone about the least-squares circle) or two-point (half the range of diameters).
    highest : int
        Undulations from 2 to this one.

    Returns
    -------
    dict of int to (float, float)
        Least and greatest shown divided by true peak to valley over all phases; zero is invisible.

    Raises
    ------
    InputError
        An angle is not finite, a vee set-up.
    TooFewError
        No angle.
    """
    angle = finite_vector(angle_deg, "angles")
    if setup.method is Method.VEE:
        raise InputError("a range in a vee block has no roundness to compare; combine the set-ups")
    if angle.size == 0:
        raise TooFewError("what an undulation shows", "angles", 1, 0)
    turn = np.asarray(np.radians(angle), dtype=np.float64)
    phase = np.exp(1j * np.linspace(0.0, 2.0 * np.pi, _PHASES, endpoint=False))
    shares = {}
    for number in range(2, highest + 1):
        wave = setup.factor(number) * np.exp(1j * number * turn)
        shown = _shown((phase[:, None] * wave).real, turn, setup) / 2.0
        shares[number] = (float(np.min(shown)), float(np.max(shown)))
    return shares


def _shown(rows: FloatArray, turn: FloatArray, setup: Setup) -> FloatArray:
    """Return the form figure of each row of readings, radial."""
    if setup.method is Method.RADIAL:
        return np.asarray(np.ptp(without_circle(rows, turn), axis=1), dtype=np.float64)
    return np.asarray(np.ptp(rows, axis=1) / 2.0, dtype=np.float64)


def _profiles(waves: np.ndarray, numbers: np.ndarray, turn: FloatArray) -> FloatArray:
    return np.asarray((waves @ np.exp(1j * numbers[:, None] * turn)).real, dtype=np.float64)

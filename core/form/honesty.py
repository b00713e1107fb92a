"""What few readings and noise do to a form figure: computed for the case at hand.

Few readings miss the extremes and read low; noise makes a round shaft look out of round and reads
high. Both are simulated for the angles actually measured, with a recorded seed.
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
from seatproof.core.form.setup import Method, Setup

SEED: Final = 20
DRAWS: Final = 1000
_HIGHEST: Final = 50
_TRUE_GRID: Final = 720
_RANK: Final = 1e-9
_PHASES: Final = 180


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
    angle = _angles(angle_deg)
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
        zones = np.ptp(_without_circle(noise, turn), axis=1)
    elif reference is ReferenceCircle.MZC:
        slopes = -np.column_stack([np.cos(turn), np.sin(turn)])
        # On a radius a thousand times the noise the linear form is exact to that part.
        zones = np.array([narrowest_band(row, slopes, 1e3, Side.ZONE).value for row in noise])
    else:
        raise InputError("the noise floor is known for least squares and minimum zone circles")
    return _floor(zones, draws, seed)


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
        angle = _angles(angle)
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
        return np.asarray(np.ptp(_without_circle(rows, turn), axis=1), dtype=np.float64)
    return np.asarray(np.ptp(rows, axis=1) / 2.0, dtype=np.float64)


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

"""One profile from several set-ups: two-point, vee and radial readings of a section together.

All readings of all set-ups are linear in the undulations of one profile, so a single weighted
least-squares problem gives the spectrum with its covariance. An undulation that no set-up shows is
left out and named, one that the orientations cannot tell from another likewise. Angles must run
from one zero mark on the shaft in every set-up.

The spectrum, profile and roundness here are *radial*, in micrometres.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Self

import numpy as np
from numpy.typing import ArrayLike, NDArray

from seatproof.core.form.arrays import FloatArray, paired_vectors
from seatproof.core.form.errors import InputError, TooFewError
from seatproof.core.form.setup import Method, Setup
from seatproof.core.form.undulation import CombinedProfile, Seen, Undulation
from seatproof.core.units import UM_PER_MM

HIGHEST: Final = 15
_RESULT: Final = "the undulation spectrum"
# The part of a unit change of an unknown that the readings must show to count it as determined.
_RESOLVED: Final = 1.0 - 1e-6
# Unknowns whose effects differ by less than this part cannot be told apart by real readings.
_TOLD_APART: Final = 1e-3


@dataclass(frozen=True, slots=True)
class ReadingSet:
    """Readings of one section with one set-up.

    Attributes
    ----------
    setup : Setup
    angle_deg : tuple of float
        Place of the shaft under the indicator, from the common zero mark.
    reading_mm : tuple of float
        Readings (two-point: diameters; else indicator values up to a constant).
    repeatability_um : float or None
        Standard deviation of one reading; give it for all sets or for none.
    """

    setup: Setup
    angle_deg: tuple[float, ...]
    reading_mm: tuple[float, ...]
    repeatability_um: float | None = None

    @classmethod
    def of(
        cls,
        setup: Setup,
        angle_deg: ArrayLike,
        reading_mm: ArrayLike,
        repeatability_um: float | None = None,
    ) -> Self:
        """Check the readings and keep them.

        Raises
        ------
        InputError
            Lengths differ, a value is not finite, the repeatability is not positive.
        """
        angle, reading = paired_vectors(angle_deg, "angles", reading_mm, "readings")
        if repeatability_um is not None and not 0.0 < repeatability_um < np.inf:
            raise InputError(f"a repeatability is greater than zero, not {repeatability_um} µm")
        return cls(setup, tuple(angle.tolist()), tuple(reading.tolist()), repeatability_um)


def combine(sets: Sequence[ReadingSet], highest: int | None = None) -> CombinedProfile:
    """Find the undulations of one section from all its readings.

    Parameters
    ----------
    sets : sequence of ReadingSet
        Readings of the same section, angles from the same zero mark. Each set has its own unknown
        constant; a radial set has its own unknown eccentricity too.
    highest : int, optional
        Highest undulation of the model; by default the highest up to 15 for which the orientations
        tell all visible ones apart and a reading is left over.

    Returns
    -------
    CombinedProfile

    Raises
    ------
    InputError
        No set, repeatabilities stated for some sets only, or `highest` below 2.
    TooFewError
        Fewer readings than unknowns for the second undulation alone.

    References
    ----------
    .. [1] Å. Björck, Numerical Methods for Least Squares Problems, SIAM 1996, sections 1.2 and 2.7.
    """
    if not sets:
        raise InputError("there are no readings to combine")
    stated = [one.repeatability_um is not None for one in sets]
    if any(stated) and not all(stated):
        raise InputError("state the repeatability of every set of readings, or of none")
    if highest is not None and highest < 2:
        raise InputError(f"the highest undulation must be 2 or more, not {highest}")
    count = sum(len(one.angle_deg) for one in sets)
    if highest is not None:
        return _solve(sets, highest, weighted=all(stated))
    for tried in range(HIGHEST, 1, -1):
        profile = _solve(sets, tried, weighted=all(stated))
        if profile.dof >= 1 and all(one.seen is not Seen.CONFUSED for one in profile.undulations):
            return profile
    nuisance = sum(3 if one.setup.method is Method.RADIAL else 1 for one in sets)
    if count < nuisance + 2:
        raise TooFewError(_RESULT, "readings", nuisance + 2, count, "measure more orientations")
    return _solve(sets, 2, weighted=all(stated))


def _solve(sets: Sequence[ReadingSet], highest: int, *, weighted: bool) -> CombinedProfile:
    numbers = list(range(2, highest + 1))
    scale = np.concatenate(
        [np.full(len(one.angle_deg), one.repeatability_um or 1.0) for one in sets]
    )
    nuisance = _nuisance(sets)
    design = np.column_stack([nuisance, _undulations(sets, numbers)]) / scale[:, None]
    readings = _departures_um(sets) / scale
    gain = [float(np.sqrt(sum(one.setup.magnification(n) ** 2 for one in sets))) for n in numbers]
    first = nuisance.shape[1]
    resolved = np.all(_resolved(design)[first:].reshape(-1, 2), axis=1)
    seen = [
        Seen.INVISIBLE if not g else Seen.DETERMINED if known else Seen.CONFUSED
        for g, known in zip(gain, list(resolved), strict=True)
    ]
    keep = np.array([one is Seen.DETERMINED for one in seen])
    columns = np.concatenate([np.ones(first, dtype=bool), np.repeat(keep, 2)])
    used = design[:, columns]
    solution, _, rank, _ = np.linalg.lstsq(used, readings, rcond=1e-10)
    residuals = readings - used @ solution
    dof = len(readings) - int(rank)
    sd = float(np.sqrt(residuals @ residuals / dof)) if dof > 0 else None
    unit = 1.0 if weighted else sd
    covariance = None
    if unit is not None:
        covariance = (unit**2 * np.linalg.pinv(used.T @ used, hermitian=True))[first:, first:]
        covariance.flags.writeable = False
    ends = np.cumsum([len(one.angle_deg) for one in sets])[:-1]
    parts = np.split(residuals * scale, ends)
    return CombinedProfile(
        undulations=_figures(numbers, seen, gain, solution[first:], covariance),
        highest=highest,
        residual_sd_um=sd,
        dof=dof,
        weighted=weighted,
        residuals_um=tuple(tuple(part.tolist()) for part in parts),
        covariance_um2=covariance,
    )


def _figures(
    numbers: list[int],
    seen: list[Seen],
    gain: list[float],
    coefficients: FloatArray,
    covariance: FloatArray | None,
) -> tuple[Undulation, ...]:
    figures = []
    place = 0
    for number, state, g in zip(numbers, seen, gain, strict=True):
        if state is not Seen.DETERMINED:
            figures.append(Undulation(number, state, 0.0, 0.0, 0.0, 0.0, None, None, g))
            continue
        cos, sin = (float(value) for value in coefficients[place : place + 2])
        errors: tuple[float | None, float | None] = (None, None)
        if covariance is not None:
            first, second = np.sqrt(np.diag(covariance)[place : place + 2])
            errors = (float(first), float(second))
        phase = float(np.degrees(np.arctan2(sin, cos)) % 360.0)
        amplitude = float(np.hypot(cos, sin))
        figures.append(Undulation(number, state, cos, sin, amplitude, phase, *errors, g))
        place += 2
    return tuple(figures)


def _nuisance(sets: Sequence[ReadingSet]) -> FloatArray:
    """Columns of each set's constant, and of each radial set's eccentricity."""
    blocks = []
    for one in sets:
        turn = np.radians(one.angle_deg)
        columns = [np.ones_like(turn)]
        if one.setup.method is Method.RADIAL:
            columns += [np.cos(turn), np.sin(turn)]
        blocks.append(np.column_stack(columns))
    rows, width = sum(len(b) for b in blocks), sum(b.shape[1] for b in blocks)
    whole = np.zeros((rows, width))
    row = column = 0
    for block in blocks:
        whole[row : row + len(block), column : column + block.shape[1]] = block
        row, column = row + len(block), column + block.shape[1]
    return whole


def _undulations(sets: Sequence[ReadingSet], numbers: list[int]) -> FloatArray:
    """Columns of (cos, sin) of each undulation: Re(F (c - is) exp(inθ)) by c and by s."""
    blocks = []
    for one in sets:
        turn = np.radians(one.angle_deg)
        factor = np.array([one.setup.factor(number) for number in numbers])
        wave = factor * np.exp(1j * turn[:, None] * np.array(numbers))
        blocks.append(np.stack([wave.real, wave.imag], axis=2).reshape(len(turn), -1))
    return np.concatenate(blocks)


def _departures_um(sets: Sequence[ReadingSet]) -> FloatArray:
    """Return readings less the mean of their set, which its constant takes up, in micrometres."""
    return np.concatenate(
        [(np.array(one.reading_mm) - np.mean(one.reading_mm)) * UM_PER_MM for one in sets]
    )


def _resolved(design: FloatArray) -> NDArray[np.bool_]:
    """Whether each unknown is determined by itself: its unit vector lies in the row space."""
    size = np.linalg.norm(design, axis=0)
    unit = design / np.where(size > 0.0, size, 1.0)
    _, singular, rows = np.linalg.svd(unit, full_matrices=False)
    kept = rows[singular > _TOLD_APART * singular[0]]
    return np.asarray(np.sum(kept**2, axis=0) > _RESOLVED)

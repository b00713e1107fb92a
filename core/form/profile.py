"""Tools for a profile of radii at angles: eccentricity, the Gaussian filter, outlier candidates."""

from dataclasses import dataclass
from math import log, pi, sqrt
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from seatproof.core.form.arrays import FloatArray, paired_vectors
from seatproof.core.form.circle import points_from_radii
from seatproof.core.form.errors import DegenerateError, InputError, TooFewError
from seatproof.core.form.lsc import least_squares_circle
from seatproof.core.form.suspects import Suspect, find_suspects

CUT_OFFS_UPR: Final = (15, 50, 150, 500)
# A point in seven per undulation at the cut-off: the filter passes 0.02 % of what folds down.
_POINTS_PER_UNDULATION: Final = 7
_ALPHA: Final = sqrt(log(2.0) / pi)
_EVEN: Final = 1e-6
_FILTER: Final = "the Gaussian roundness filter"


@dataclass(frozen=True, slots=True)
class CentredProfile:
    """Radii as seen from the least-squares centre.

    Attributes
    ----------
    angle_deg, radius : ndarray, shape (n,)
        Polar coordinates about that centre, angles in [0, 360).
    eccentricity, eccentricity_angle_deg : float
        Where the centre stood.
    """

    angle_deg: FloatArray
    radius: FloatArray
    eccentricity: float
    eccentricity_angle_deg: float


def remove_eccentricity(angle_deg: ArrayLike, radius: ArrayLike) -> CentredProfile:
    """Take the set-up eccentricity out by moving the origin to the least-squares centre.

    Exact: the points are moved, no first undulation is subtracted. (Subtracting one leaves
    e²/2r, which is no part of the shaft.)

    Raises
    ------
    InputError, TooFewError, DegenerateError, NotDefinedError
        As `least_squares_circle`.
    """
    points = points_from_radii(angle_deg, radius)
    fit = least_squares_circle(points)
    away = points - np.array([fit.centre_x, fit.centre_y])
    return CentredProfile(
        angle_deg=np.asarray(np.degrees(np.arctan2(away[:, 1], away[:, 0])) % 360.0),
        radius=np.asarray(np.hypot(away[:, 0], away[:, 1])),
        eccentricity=fit.eccentricity,
        eccentricity_angle_deg=fit.eccentricity_angle_deg,
    )


def gaussian_transmission(undulations: ArrayLike, cut_off_upr: float) -> FloatArray:
    """Return what the low-pass filter keeps of undulations: one half at the cut-off.

    Raises
    ------
    InputError
        The cut-off is not greater than zero.

    References
    ----------
    .. [1] ISO 16610-21, linear profile filters: Gaussian filters, the closed profile:
       exp(-π (α n / n_c)²), α = √(ln 2 / π).
    """
    if not cut_off_upr > 0.0:
        raise InputError(f"a cut-off is greater than zero, not {cut_off_upr} per revolution")
    ratio = _ALPHA * np.asarray(undulations, dtype=np.float64) / cut_off_upr
    return np.asarray(np.exp(-pi * ratio**2), dtype=np.float64)


def least_points_for(cut_off_upr: float) -> int:
    """Return how many evenly spaced points round the section the filter asks for here."""
    return int(np.ceil(_POINTS_PER_UNDULATION * cut_off_upr))


def filter_gaussian(angle_deg: ArrayLike, radius: ArrayLike, cut_off_upr: float) -> FloatArray:
    """Filter a closed profile of evenly spaced radii, low-pass, cut-off in undulations per turn.

    Parameters
    ----------
    angle_deg : array_like, shape (n,)
        Evenly spaced round the whole turn, any order and start.
    radius : array_like, shape (n,)
        Radii seen from a centre near the axis (see `remove_eccentricity`), or departures from a
        circle.
    cut_off_upr : float
        Usually one of 15, 50, 150, 500.

    Returns
    -------
    ndarray, shape (n,)
        The filtered radii, in the order given.

    Raises
    ------
    InputError
        Lengths differ, a value is not finite, the cut-off is not positive.
    TooFewError
        Fewer than seven points per undulation at the cut-off. Hand readings never suffice: state
        "unfiltered, n readings" instead.
    DegenerateError
        The angles are not evenly spaced over the whole turn.

    References
    ----------
    .. [1] ISO 16610-21; the sampling rule is Seatproof's own, stricter than twice the cut-off.
    """
    angle, length = paired_vectors(angle_deg, "angles", radius, "radii")
    transmission = gaussian_transmission(np.arange(angle.size // 2 + 1), cut_off_upr)
    needed = least_points_for(cut_off_upr)
    if angle.size < needed:
        raise TooFewError(
            f"{_FILTER} at {cut_off_upr:g} undulations per revolution",
            "angles",
            needed,
            int(angle.size),
            "state the result as unfiltered",
        )
    order = np.argsort(angle % 360.0)
    gaps = np.diff(angle[order] % 360.0, append=(angle[order[0]] % 360.0) + 360.0)
    if np.max(np.abs(gaps - 360.0 / angle.size)) > _EVEN:
        raise DegenerateError(_FILTER, "the angles are not evenly spaced over the whole turn")
    spectrum = np.fft.rfft(length[order]) * transmission
    filtered = np.empty_like(length)
    filtered[order] = np.fft.irfft(spectrum, n=angle.size)
    return filtered


def find_outliers(
    angle_deg: ArrayLike,
    radius: ArrayLike,
    repeatability: float | None = None,
    significance: float = 0.05,
) -> tuple[Suspect, ...]:
    """Show radii that stand out from a smooth profile through the others. Nothing is dropped.

    The smooth profile has eccentricity and the undulations up to a sixth of the number of points,
    at most 15.

    Parameters
    ----------
    angle_deg, radius : array_like, shape (n,)
        Of one section, seen from near the axis.
    repeatability : float, optional
        Standard deviation of one radius, in its unit; without it the scatter serves.
    significance : float
        Share of sound profiles for which a candidate may be shown.

    Returns
    -------
    tuple of Suspect
        Worst first, departures in the unit of the radius.

    Raises
    ------
    InputError
        Lengths differ or a value is not finite.
    TooFewError
        Fewer than six points.
    """
    angle, length = paired_vectors(angle_deg, "angles", radius, "radii")
    if angle.size < 6:
        raise TooFewError("the search for outliers", "angles", 6, int(angle.size))
    numbers = np.arange(1, max(1, min(15, angle.size // 6)) + 1)
    turn = np.radians(angle)[:, None] * numbers
    design = np.column_stack([np.ones(angle.size), np.cos(turn), np.sin(turn)])
    if np.linalg.matrix_rank(design) < design.shape[1]:
        raise TooFewError(
            "the search for outliers",
            "angles",
            design.shape[1],
            int(np.linalg.matrix_rank(design)),
        )
    return find_suspects(design, length - np.mean(length), repeatability, significance)

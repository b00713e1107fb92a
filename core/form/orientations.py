"""What the orientations of two-point readings alone settle about an ovality fit."""

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np

from seatproof.core.form.arrays import FloatArray
from seatproof.core.form.errors import DegenerateError, TooFewError

_RESULT: Final = "two-point ovality"
_SAME_ORIENTATION_DEG: Final = 1e-6
# Orientations bunched within about a degree leave the second undulation to rounding and noise.
_WORST_CONDITION: Final = 1e4


@dataclass(frozen=True, slots=True)
class OvalityDesign:
    """What the orientations alone settle about an ovality fit.

    Attributes
    ----------
    matrix : ndarray, shape (n, 3)
        Columns 1, cos 2θ, sin 2θ.
    inverse : ndarray, shape (3, n)
        Its pseudo-inverse: readings to unknowns.
    covariance : ndarray, shape (3, 3)
        Of the unknowns for readings of unit variance.
    free : ndarray, shape (n,)
        Share of the error of each reading that its residual shows, one minus its leverage.
    orientations : int
        How many different ones, θ and θ + 180° being one.
    """

    matrix: FloatArray
    inverse: FloatArray
    covariance: FloatArray
    free: FloatArray
    orientations: int


def ovality_design(angle_deg: FloatArray) -> OvalityDesign:
    """Prepare a fit for these orientations; they are usually the same at every station.

    Raises
    ------
    TooFewError
        Fewer than three different orientations.
    DegenerateError
        They lie too close together.
    """
    return _design_of(tuple(angle_deg.tolist()))


@lru_cache(maxsize=64)
def _design_of(angle_deg: tuple[float, ...]) -> OvalityDesign:
    angle = np.array(angle_deg, dtype=np.float64)
    found = count_orientations(angle)
    if found < 3:
        raise TooFewError(
            _RESULT,
            "orientations",
            3,
            found,
            "measure the section in more directions, for example 0°, 60° and 120°",
        )
    twice = 2.0 * np.radians(angle)
    matrix = np.column_stack([np.ones_like(twice), np.cos(twice), np.sin(twice)])
    left, singular, right = np.linalg.svd(matrix, full_matrices=False)
    if singular[0] > _WORST_CONDITION * singular[-1]:
        raise DegenerateError(
            _RESULT, "the orientations lie too close together; spread them over half a turn"
        )
    inverse = (right.T / singular) @ left.T
    design = OvalityDesign(
        matrix=matrix,
        inverse=inverse,
        covariance=(right.T / singular**2) @ right,
        free=1.0 - np.einsum("ij,ij->i", left, left),
        orientations=found,
    )
    for shared in (design.matrix, design.inverse, design.covariance, design.free):
        shared.flags.writeable = False
    return design


def count_orientations(angle_deg: FloatArray) -> int:
    """Return how many orientations differ, θ and θ + 180° being one."""
    folded = np.sort(angle_deg % 180.0)
    if folded.size < 2:
        return int(folded.size)
    gaps = np.diff(folded, append=folded[0] + 180.0)
    return max(1, int(np.count_nonzero(gaps > _SAME_ORIENTATION_DEG)))

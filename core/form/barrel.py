"""Barrel or hollow: how far the middle of a seat bulges beyond the straight line through its ends.

Diametral: differences of diameters, as a micrometer gives them.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import erfc, sqrt
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from seatproof.core.form.arrays import FloatArray, finite_vector, paired_vectors
from seatproof.core.form.errors import DegenerateError, InputError, TooFewError
from seatproof.core.form.quantiles import (
    normal_quantile,
    student_t_quantile,
    student_t_two_sided_tail,
)
from seatproof.core.units import UM_PER_MM

_RESULT: Final = "barrel or hollow shape"


class Bulge(StrEnum):
    """The shape that the middle shows."""

    BARREL = "barrel"
    HOLLOW = "hollow"
    STRAIGHT = "straight"


@dataclass(frozen=True, slots=True)
class BarrelFit:
    """The quadratic through station diameters.

    Attributes
    ----------
    bulge_um : float
        Middle minus the mean of both ends of the fitted curve over `length_mm`, µm of diameter:
        positive for a barrel, negative for a hollow seat.
    length_mm : float
        The length it is stated over.
    standard_error_um : float or None
        From the stated standard errors, else from the residuals, else None.
    probability : float or None
        Probability of a bulge at least so large, either way, on a straight seat; None where there
        is no standard error.
    residual_sd_um : float or None
        Scatter about the curve; None for three stations.
    dof : int
        Stations left over after three unknowns.
    stated : bool
        Whether the standard error is the stated one.
    """

    bulge_um: float
    length_mm: float
    standard_error_um: float | None
    probability: float | None
    residual_sd_um: float | None
    dof: int
    stated: bool

    @property
    def shape(self) -> Bulge:
        """Barrel or hollow by the sign alone; see `probability`."""
        if self.bulge_um == 0.0:
            return Bulge.STRAIGHT
        return Bulge.BARREL if self.bulge_um > 0.0 else Bulge.HOLLOW

    def interval_um(self, confidence: float = 0.95) -> tuple[float, float] | None:
        """Confidence interval of the bulge; None where there is no standard error."""
        if self.standard_error_um is None:
            return None
        probability = 0.5 + confidence / 2.0
        factor = (
            normal_quantile(probability)
            if self.stated
            else student_t_quantile(probability, self.dof)
        )
        half = factor * self.standard_error_um
        return self.bulge_um - half, self.bulge_um + half


def fit_barrel(
    z_mm: ArrayLike,
    diameter_mm: ArrayLike,
    length_mm: float | None = None,
    standard_error_um: float | Sequence[float] | None = None,
) -> BarrelFit:
    """Fit a quadratic to station diameters by (weighted) least squares.

    For three evenly spaced stations and the length between the outer ones the bulge is
    m2 - (m1 + m3)/2.

    Parameters
    ----------
    z_mm, diameter_mm : array_like, shape (n,)
        Stations from the datum face and the diameters there, millimetres.
    length_mm : float, optional
        Length to state the bulge over, usually the seat's; by default first to last station.
    standard_error_um : float or sequence of float, optional
        Standard error of each station diameter.

    Raises
    ------
    InputError
        Lengths differ, a value is not finite, a length or standard error is not positive.
    TooFewError
        Fewer than three stations.
    DegenerateError
        Fewer than three different axial positions.
    """
    z, diameter = paired_vectors(z_mm, "axial positions", diameter_mm, "diameters")
    if z.size < 3:
        raise TooFewError(_RESULT, "stations", 3, int(z.size), "measure one in the middle too")
    if np.unique(z).size < 3:
        raise DegenerateError(_RESULT, "the stations lie at fewer than three axial positions")
    length = float(np.ptp(z)) if length_mm is None else length_mm
    if not 0.0 < length < np.inf:
        raise InputError(f"the length must be greater than zero, not {length} mm")
    error = _errors(standard_error_um, z.size)
    # In units of half the length the quadratic term itself is minus the bulge.
    u = (z - 0.5 * (np.max(z) + np.min(z))) / (0.5 * length)
    weight = np.ones_like(z) if error is None else 1.0 / error
    design = np.column_stack([np.ones_like(u), u, u * u]) * weight[:, None]
    departure_um = (diameter - diameter[0]) * UM_PER_MM * weight
    solution = np.linalg.lstsq(design, departure_um, rcond=None)[0]
    residual = (departure_um - design @ solution) / weight
    dof = int(z.size) - 3
    unit = float(np.sqrt(np.sum((residual * weight) ** 2) / dof)) if dof > 0 else None
    spread = float(np.sqrt(np.linalg.inv(design.T @ design)[2, 2]))
    standard_error = spread if error is not None else None if unit is None else unit * spread
    bulge = -float(solution[2])
    return BarrelFit(
        bulge_um=bulge,
        length_mm=length,
        standard_error_um=standard_error,
        probability=_probability(bulge, standard_error, dof, stated=error is not None),
        residual_sd_um=float(np.sqrt(residual @ residual / dof)) if dof > 0 else None,
        dof=dof,
        stated=error is not None,
    )


def _errors(standard_error_um: float | Sequence[float] | None, count: int) -> FloatArray | None:
    if standard_error_um is None:
        return None
    given = finite_vector(np.atleast_1d(np.asarray(standard_error_um, float)), "standard errors")
    error = np.full(count, given[0]) if given.size == 1 else given
    if error.size != count:
        raise InputError(f"there are {count} stations but {error.size} standard errors")
    if np.any(error <= 0.0):
        raise InputError("a standard error must be greater than zero")
    return error


def _probability(
    bulge: float, standard_error: float | None, dof: int, *, stated: bool
) -> float | None:
    if standard_error is None:
        return None
    if standard_error == 0.0:
        return 1.0 if bulge == 0.0 else 0.0
    score = abs(bulge) / standard_error
    if stated:
        return erfc(score / sqrt(2.0))
    return student_t_two_sided_tail(score, dof)

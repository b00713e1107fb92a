"""Suspect readings: those that a fitted curve cannot explain. They are shown, never dropped."""

from dataclasses import dataclass
from math import erfc, sqrt
from typing import Final

import numpy as np

from seatproof.core.form.arrays import FloatArray
from seatproof.core.form.quantiles import student_t_two_sided_tail

_FREE: Final = 1e-9  # a reading that the curve must pass through tells nothing about itself


@dataclass(frozen=True, slots=True)
class Suspect:
    """One reading that stands out.

    Attributes
    ----------
    index : int
        Which one, from 0, in the order given.
    departure : float
        By how much it departs from the curve fitted to all the others, in the unit of the readings.
    probability : float
        Probability that the worst of so many sound readings would stand out as far (Bonferroni).
    """

    index: int
    departure: float
    probability: float


def find_suspects(
    design: FloatArray,
    readings: FloatArray,
    standard_deviation: float | None = None,
    significance: float = 0.05,
) -> tuple[Suspect, ...]:
    """Find the readings that depart from a linear model of the others beyond chance.

    Parameters
    ----------
    design : ndarray, shape (n, k)
        The model, of full rank.
    readings : ndarray, shape (n,)
    standard_deviation : float, optional
        Of one reading; without it the scatter of the other readings serves (deleted residuals,
        Student's t), which takes two readings more than unknowns.
    significance : float
        Probability of any false suspect among sound readings.

    Returns
    -------
    tuple of Suspect
        Worst first; empty where nothing stands out or too few readings are left over to say.

    References
    ----------
    .. [1] R. D. Cook, S. Weisberg, Residuals and Influence in Regression, 1982, section 2.2.
    """
    count, unknowns = design.shape
    dof = count - unknowns
    base, _ = np.linalg.qr(design)
    residual = readings - base @ (base.T @ readings)
    free = 1.0 - np.einsum("ij,ij->i", base, base)
    # With one residual left over all readings stand out alike: none can be named.
    if dof < 2:
        return ()
    squares = float(residual @ residual)
    found = []
    for index in np.flatnonzero(free > _FREE):
        deleted = float(residual[index] / free[index])
        if standard_deviation is not None:
            score = abs(float(residual[index])) / (standard_deviation * sqrt(free[index]))
            tail = erfc(score / sqrt(2.0))
        else:
            others = max(0.0, squares - float(residual[index] ** 2 / free[index])) / (dof - 1)
            rounding = 1e-24 * float(readings @ readings) + np.finfo(float).tiny
            score = abs(float(residual[index])) / sqrt((others + rounding) * free[index])
            tail = student_t_two_sided_tail(score, dof - 1)
        probability = min(1.0, count * tail)
        if probability < significance:
            found.append(Suspect(int(index), deleted, probability))
    return tuple(sorted(found, key=lambda one: one.probability))

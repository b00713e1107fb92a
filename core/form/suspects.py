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
    base, _ = np.linalg.qr(design)
    residual = readings - base @ (base.T @ readings)
    free = 1.0 - np.einsum("ij,ij->i", base, base)
    dof = design.shape[0] - design.shape[1]
    return judge_residuals(residual, free, dof, standard_deviation, significance)


def judge_residuals(
    residual: FloatArray,
    free: FloatArray,
    dof: int,
    standard_deviation: float | None = None,
    significance: float = 0.05,
) -> tuple[Suspect, ...]:
    """Find the suspects among the residuals of a least-squares fit already made.

    Parameters
    ----------
    residual : ndarray, shape (n,)
    free : ndarray, shape (n,)
        One minus the leverage of each reading: the share of its error that its residual shows.
    dof : int
        Readings left over. With one, all stand out alike and none can be named.
    standard_deviation, significance : float
        As `find_suspects`.
    """
    if dof < 2:
        return ()
    count = len(residual)
    index = np.flatnonzero(free > _FREE)
    departure, free = residual[index] / free[index], free[index]
    if standard_deviation is not None:
        score = np.abs(departure) * np.sqrt(free) / standard_deviation
    else:
        squares = float(residual @ residual)
        rounding = np.finfo(float).tiny
        others = np.maximum(0.0, squares - departure**2 * free) / (dof - 1)
        score = np.abs(departure) * np.sqrt(free / (others + rounding))
    found = []
    for place in np.argsort(-score):  # worst first: the rest need no probability
        if standard_deviation is not None:
            tail = erfc(float(score[place]) / sqrt(2.0))
        else:
            tail = student_t_two_sided_tail(float(score[place]), dof - 1)
        probability = min(1.0, count * tail)
        if probability >= significance:
            break
        found.append(Suspect(int(index[place]), float(departure[place]), probability))
    return tuple(found)

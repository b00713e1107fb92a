"""Quantiles that few readings need: of the range of normal values, of Student's t, the normal."""

import math
from collections.abc import Callable
from functools import lru_cache
from statistics import NormalDist
from typing import Final

import numpy as np

from seatproof.core.form.errors import InputError

_STEP: Final = 0.05  # the trapezoidal rule on such an integrand is exact to rounding below 0.1
_STEPS: Final = 100
_ABSCISSAE: Final = np.arange(-9.0, 9.0 + _STEP / 2, _STEP)
_DENSITY: Final = np.exp(-0.5 * _ABSCISSAE**2) / math.sqrt(2.0 * math.pi)


@lru_cache(maxsize=256)
def range_quantile(count: int, probability: float) -> float:
    """Return the quantile of the range of `count` independent standard normal values.

    Also known as the studentized range with infinitely many degrees of freedom. The range of
    `count` readings of one true value exceeds ``range_quantile(count, p) * s`` with probability
    ``1 - p`` only, `s` the standard deviation of one reading.

    Parameters
    ----------
    count : int
        How many values, 2 or more.
    probability : float
        Between 0 and 1, both excluded.

    Raises
    ------
    InputError
        `count` or `probability` out of these bounds.

    References
    ----------
    .. [1] H. L. Harter, Order Statistics and Their Use in Testing and Estimation, vol. 1:
       P(w) = n ∫ φ(x) [Φ(x + w) - Φ(x)]^(n-1) dx.

    Examples
    --------
    >>> round(range_quantile(4, 0.95), 2)
    3.63
    """
    if count < 2:
        raise InputError(f"a range needs at least 2 values, not {count}")
    _check_probability(probability)
    below = _normal_cdf(_ABSCISSAE)
    lower, upper, width = 0.0, 20.0, 3.0
    for _ in range(_STEPS):  # Newton's, within a bracket
        inside = np.clip(_normal_cdf(_ABSCISSAE + width) - below, 0.0, 1.0)
        power = _DENSITY * inside ** (count - 2)
        beyond = count * _STEP * float(np.sum(power * inside)) - probability
        if beyond < 0.0:
            lower = width
        else:
            upper = width
        ahead = np.exp(-0.5 * (_ABSCISSAE + width) ** 2) / math.sqrt(2.0 * math.pi)
        slope = count * (count - 1) * _STEP * float(np.sum(power * ahead))
        following = width - beyond / slope if slope > 0.0 else lower
        if not lower < following < upper:
            following = 0.5 * (lower + upper)
        if abs(following - width) <= 1e-14 * width:
            break
        width = following
    return width


@lru_cache(maxsize=256)
def student_t_quantile(probability: float, dof: int) -> float:
    """Return the quantile of Student's t with `dof` degrees of freedom.

    Parameters
    ----------
    probability : float
        Between 0 and 1, both excluded.
    dof : int
        Degrees of freedom, 1 or more.

    Raises
    ------
    InputError
        An argument out of these bounds.

    References
    ----------
    .. [1] M. Abramowitz, I. A. Stegun, Handbook of Mathematical Functions, 26.7.3 and 26.7.4:
       finite sums that are exact for whole degrees of freedom.

    Examples
    --------
    >>> round(student_t_quantile(0.975, 4), 3)
    2.776
    """
    _check_probability(probability)
    if dof < 1:
        raise InputError(f"Student's t needs at least 1 degree of freedom, not {dof}")
    if probability < 0.5:
        return -student_t_quantile(1.0 - probability, dof)
    if dof > 2000:  # Cornish-Fisher's next term is below 1e-7 here
        z = NormalDist().inv_cdf(probability)
        return z + (z**3 + z) / (4 * dof) + (5 * z**5 + 16 * z**3 + 3 * z) / (96 * dof**2)
    central = 2.0 * probability - 1.0
    upper = 2.0
    while _student_t_central(upper, dof) < central:
        upper *= 2.0
    return _bisect(lambda t: _student_t_central(t, dof), central, upper)


def student_t_two_sided_tail(t: float, dof: int) -> float:
    """Return the probability that |T| exceeds |t| for Student's t with `dof` degrees of freedom.

    Raises
    ------
    InputError
        No degree of freedom.
    """
    if dof < 1:
        raise InputError(f"Student's t needs at least 1 degree of freedom, not {dof}")
    return max(0.0, 1.0 - _student_t_central(abs(t), dof))


def chi_square_tail(value: float, dof: int) -> float:
    """Return the probability that chi-square with `dof` degrees of freedom exceeds `value`.

    Raises
    ------
    InputError
        No degree of freedom, or a negative value.

    References
    ----------
    .. [1] M. Abramowitz, I. A. Stegun, Handbook of Mathematical Functions, 26.4.4 and 26.4.5:
       finite sums that are exact for whole degrees of freedom.

    Examples
    --------
    >>> round(chi_square_tail(3.841459, 1), 6)
    0.05
    """
    if dof < 1:
        raise InputError(f"chi-square needs at least 1 degree of freedom, not {dof}")
    if not value >= 0.0:
        raise InputError(f"chi-square is never negative, but {value} was given")
    half = 0.5 * value
    total = 0.0
    if dof % 2:
        term = math.exp(-half) * math.sqrt(half / math.pi) * 2.0
        for j in range(3, dof + 1, 2):
            total += term
            term *= value / j
        return min(1.0, math.erfc(math.sqrt(half)) + total)
    term = math.exp(-half)
    for j in range(2, dof + 1, 2):
        total += term
        term *= value / j
    return min(1.0, total)


def normal_quantile(probability: float) -> float:
    """Return the quantile of the standard normal distribution.

    Raises
    ------
    InputError
        `probability` is not strictly between 0 and 1.
    """
    _check_probability(probability)
    return NormalDist().inv_cdf(probability)


def _student_t_central(t: float, dof: int) -> float:
    """P(|T| <= t), Abramowitz and Stegun 26.7.3 (odd) and 26.7.4 (even)."""
    angle = math.atan2(t, math.sqrt(dof))
    cos2 = math.cos(angle) ** 2
    odd = dof % 2
    term = math.cos(angle) if odd else 1.0
    total = 0.0 if dof == 1 else term
    for j in range(2 + odd, dof - 1, 2):
        term *= cos2 * (j - 1) / j
        total += term
    if odd:
        return 2.0 / math.pi * (angle + math.sin(angle) * total)
    return math.sin(angle) * total


def _normal_cdf(x: np.ndarray) -> np.ndarray:
    return np.array([0.5 * math.erfc(-value / math.sqrt(2.0)) for value in x])


def _bisect(rising: Callable[[float], float], target: float, upper: float) -> float:
    lower = 0.0
    for _ in range(60):
        middle = 0.5 * (lower + upper)
        if rising(middle) < target:
            lower = middle
        else:
            upper = middle
    return 0.5 * (lower + upper)


def _check_probability(probability: float) -> None:
    if not 0.0 < probability < 1.0:
        raise InputError(f"a probability must lie between 0 and 1, not {probability}")

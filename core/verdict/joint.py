"""How probable it is that several values conform at once, such as every local size of a seat."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, isfinite, pi, sqrt
from typing import Final

import numpy as np

from seatproof.core.form.arrays import FloatArray
from seatproof.core.uncertainty.normal import normal_cdf
from seatproof.core.verdict.errors import KnowledgeError
from seatproof.core.verdict.limits import Limits

_REACH: Final = 9.0
_NOTHING: Final = 1e-100  # of any unit; squares of less leave the range of numbers
_NUMBERS_AT_ONCE: Final = 2_000_000  # 16 MB, several times over
_MOST_PANELS: Final = 400
_PANEL: Final = 2.0  # standard deviations; eight nodes then leave less than 1e-7
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(8)


@dataclass(frozen=True, slots=True)
class JointProbability:
    """How probable it is that several values conform all at once.

    Attributes
    ----------
    probability : float
        That every one lies inside its limits.
    blame : tuple of float, length n
        For each value how probable it is to be outside, whatever the others are.
    """

    probability: float
    blame: tuple[float, ...]


def joint_probability(
    values: Sequence[float],
    own_uncertainties: Sequence[float],
    common_uncertainty: float,
    limits: Limits,
) -> JointProbability:
    """Integrate the joint probability of values that share one error and have one each besides.

    Given the shared error the values are independent, so the probability is one integral over it of
    the product of their separate probabilities (JCGM 106, annex on joint conformity, written out
    for this covariance). Errors are normal.

    Parameters
    ----------
    values : sequence of float, length n
    own_uncertainties : sequence of float, length n
        Standard uncertainty of the part of each value that it does not share.
    common_uncertainty : float
        Standard uncertainty of the part that all share.
    limits : Limits
        The same for all, in the unit of the values.

    Raises
    ------
    KnowledgeError
        No value, lengths that differ, or a number that cannot be used.
    """
    if not values or len(values) != len(own_uncertainties):
        raise KnowledgeError(
            "list of values", len(values), "give one at least, and an uncertainty for each"
        )
    for number in (*own_uncertainties, common_uncertainty):
        if not (isfinite(number) and number >= 0.0):
            raise KnowledgeError("standard uncertainty", number, "it must be zero or more")
    lower, upper = limits.as_floats
    value, own = np.asarray(values, dtype=np.float64), np.asarray(own_uncertainties, np.float64)
    own = np.where(own < _NOTHING, 0.0, own)
    if common_uncertainty < _NOTHING:
        common_uncertainty = 0.0
    blame = tuple((1.0 - _within(value, np.hypot(own, common_uncertainty), lower, upper)).tolist())
    if common_uncertainty == 0.0:
        return JointProbability(float(np.prod(_within(value, own, lower, upper))), blame)
    edges = np.array(_panels(value, own, common_uncertainty, lower, upper))
    if edges.size < 2:
        return JointProbability(0.0, blame)
    half = 0.5 * np.diff(edges)[:, None]
    shared = (edges[:-1, None] + half * (1.0 + _NODES)).ravel()
    density = np.exp(-0.5 * (shared / common_uncertainty) ** 2) * (half * _WEIGHTS).ravel()
    portion = max(1, _NUMBERS_AT_ONCE // value.size)
    together = np.concatenate(
        [
            np.prod(_within(value + some[:, None], own, lower, upper), axis=1)
            for some in np.array_split(shared, ceil(shared.size / portion))
        ]
    )
    probability = float(density @ together) / (common_uncertainty * sqrt(2.0 * pi))
    return JointProbability(min(probability, 1.0), blame)


def _panels(
    value: FloatArray, own: FloatArray, common_uncertainty: float, lower: float, upper: float
) -> list[float]:
    """Return the ends of panels over the shared error in which the integrand is smooth.

    Where one value is sure to lie outside nothing is left to integrate, and where all are sure to
    lie inside only the density of the shared error changes. Between the two the scale is that of
    the values' own errors, which may be much smaller.
    """
    reach = _REACH * common_uncertainty
    start = max(-reach, float(np.max(lower - value - _REACH * own)))
    end = min(reach, float(np.min(upper - value + _REACH * own)))
    if start >= end:
        return []
    sure = float(np.max(lower - value + _REACH * own))
    unsure = float(np.min(upper - value - _REACH * own))
    corners = sorted({start, end, min(max(sure, start), end), min(max(unsure, start), end)})
    own_scale = min([*own[own > 0.0].tolist(), common_uncertainty])
    edges = [start]
    for left, right in pairwise(corners):
        smooth = left >= sure and right <= unsure
        scale = common_uncertainty if smooth else own_scale
        count = min(max(ceil((right - left) / (_PANEL * scale)), 1), _MOST_PANELS)
        edges += [left + (right - left) * (index + 1) / count for index in range(count)]
    return edges


def _within(value: FloatArray, own: FloatArray, lower: float, upper: float) -> FloatArray:
    """Return the probability that each value lies inside; without uncertainty it does or not."""
    scale = np.where(own > 0.0, own, 1.0)
    blurred = normal_cdf((upper - value) / scale) - normal_cdf((lower - value) / scale)
    sharp = ((value >= lower) & (value <= upper)).astype(np.float64)
    return np.where(own > 0.0, blurred, sharp)

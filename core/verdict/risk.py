"""Global risks of a rule: how often, over all seats that come, it errs to either side."""

from dataclasses import dataclass
from itertools import pairwise
from math import exp, inf, isfinite, pi, sqrt
from typing import Final

import numpy as np

from seatproof.core.verdict.errors import KnowledgeError
from seatproof.core.verdict.knowledge import upper_tail
from seatproof.core.verdict.limits import Limits, Zone

_REACH: Final = 10.0  # standard deviations beyond which neither density adds to the 15th digit
_NODES, _WEIGHTS = (array.tolist() for array in np.polynomial.legendre.leggauss(12))


@dataclass(frozen=True, slots=True)
class Prior:
    """How the true values of a process are spread before any is measured: normally.

    Attributes
    ----------
    mean, standard_deviation : float
        In the unit of the limits; known from the process's history, or assumed and said to be so.

    Raises
    ------
    KnowledgeError
        One is not finite, or the standard deviation is not above zero.
    """

    mean: float
    standard_deviation: float

    def __post_init__(self) -> None:
        if not isfinite(self.mean):
            raise KnowledgeError("mean of the process", self.mean, "it must be a finite number")
        if not (isfinite(self.standard_deviation) and self.standard_deviation > 0.0):
            raise KnowledgeError(
                "standard deviation of the process",
                self.standard_deviation,
                "it must be above zero",
            )

    def inside(self, limits: Limits) -> float:
        """Return the share of the process that lies inside the limits."""
        lower, upper = limits.as_floats
        return 1.0 - self._beyond(upper) - self._beyond(2.0 * self.mean - lower)

    def _beyond(self, limit: float) -> float:
        return upper_tail((limit - self.mean) / self.standard_deviation)


@dataclass(frozen=True, slots=True)
class GlobalRisks:
    """Shares of all seats that come, each between 0 and 1.

    Attributes
    ----------
    consumer : float
        Accepted though outside the limits.
    producer : float
        Not accepted though inside the limits. Under a guarded rule most of these are "not proven".
    outside : float
        Outside the limits, whatever is found.
    """

    consumer: float
    producer: float
    outside: float


def global_risks(
    prior: Prior,
    limits: Limits,
    acceptance: Zone | None,
    standard_uncertainty: float,
    degrees_of_freedom: float = inf,
) -> GlobalRisks:
    """Integrate the risks of accepting what is read inside a zone.

    R_C is the integral outside the limits, and R_P the one inside, of the density of the process
    times the probability that its reading is accepted, or is not.

    Parameters
    ----------
    prior : Prior
        Of the true values.
    limits : Limits
        Of the true values.
    acceptance : Zone or None
        Where a reading is accepted, as `Judgement.acceptance` gives it; None accepts nothing.
    standard_uncertainty : float
        Of a reading, above zero, in the same unit.
    degrees_of_freedom : float
        Of the error of a reading; normal unless stated.

    Raises
    ------
    KnowledgeError
        The standard uncertainty is not above zero.

    References
    ----------
    .. [1] JCGM 106:2012, 9.5, equations 17 to 20.
    """
    if not (isfinite(standard_uncertainty) and standard_uncertainty > 0.0):
        raise KnowledgeError("standard uncertainty", standard_uncertainty, "it must be above zero")
    lower, upper = limits.as_floats
    inside = prior.inside(limits)
    if acceptance is None:
        return GlobalRisks(consumer=0.0, producer=inside, outside=1.0 - inside)
    zone = acceptance

    def accepted(true: float) -> float:
        above = upper_tail((zone.lower - true) / standard_uncertainty, degrees_of_freedom)
        beyond = upper_tail((zone.upper - true) / standard_uncertainty, degrees_of_freedom)
        return max(0.0, above - beyond)

    consumer = producer = 0.0
    edges = _panels(prior, (lower, upper, zone.lower, zone.upper), standard_uncertainty)
    for start, end in pairwise(edges):
        middle, half = 0.5 * (start + end), 0.5 * (end - start)
        is_inside = lower <= middle <= upper
        for node, weight in zip(_NODES, _WEIGHTS, strict=True):
            true = middle + half * node
            mass = weight * half * _density(prior, true)
            if is_inside:
                producer += mass * (1.0 - accepted(true))
            else:
                consumer += mass * accepted(true)
    return GlobalRisks(consumer=consumer, producer=producer, outside=1.0 - inside)


def _panels(prior: Prior, corners: tuple[float, ...], standard_uncertainty: float) -> list[float]:
    """Return the ends of panels in which the integrand is smooth on the scale of a panel.

    The density changes over one standard deviation of the process, acceptance over one standard
    uncertainty near a corner of the zone and hardly anywhere else.
    """
    sd = prior.standard_deviation
    steps = np.arange(-_REACH, _REACH + 0.5).tolist()
    low, high = prior.mean - _REACH * sd, prior.mean + _REACH * sd
    edges = {prior.mean + step * sd for step in steps}
    for corner in corners:
        if isfinite(corner):
            edges.update(corner + step * standard_uncertainty for step in steps)
    return sorted({min(max(edge, low), high) for edge in edges})


def _density(prior: Prior, true: float) -> float:
    deviate = (true - prior.mean) / prior.standard_deviation
    return exp(-0.5 * deviate**2) / (prior.standard_deviation * sqrt(2.0 * pi))

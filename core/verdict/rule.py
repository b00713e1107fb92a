"""Decision rules: from a value, its standard uncertainty and limits to a verdict."""

from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from math import inf, isfinite
from typing import Final, Literal

from seatproof.core.verdict.errors import RuleError
from seatproof.core.verdict.knowledge import one_sided_factor, upper_tail
from seatproof.core.verdict.limits import Limits, Zone

RuleName = Literal["guard band", "simple", "probability"]

_BISECTIONS: Final = 60


class Verdict(StrEnum):
    """What can be said of a requirement."""

    CONFORMS = "conforms"
    DOES_NOT_CONFORM = "does not conform"
    NOT_PROVEN = "not proven"

    def and_also(self, other: "Verdict") -> "Verdict":
        """Return the verdict on two requirements taken together: the worse of the two.

        >>> Verdict.CONFORMS.and_also(Verdict.NOT_PROVEN)
        <Verdict.NOT_PROVEN: 'not proven'>
        """
        order = (Verdict.DOES_NOT_CONFORM, Verdict.NOT_PROVEN, Verdict.CONFORMS)
        return min(self, other, key=order.index)


@dataclass(frozen=True, slots=True)
class Rule:
    """A decision rule, agreed on before the measurement.

    Attributes
    ----------
    guarded : bool
        True where conformity, and non-conformity, must be proved. False for simple acceptance,
        where the value itself is compared with the limit.
    probability : float
        Probability to which a guarded verdict is proved, 0.95 by default of the standard.
    by_distribution : bool
        How a guarded rule proves: by a guard band made from the standard uncertainty (ISO 14253-1),
        or by the probability of conformity from the whole distribution (JCGM 106). For a normal
        distribution the two are the same.
    largest_expanded : float or None
        Simple acceptance gives a verdict only where the expanded uncertainty is not above this.

    References
    ----------
    .. [1] ISO 14253-1:2017, decision rules for verifying conformity or nonconformity.
    .. [2] JCGM 106:2012, 8.2 simple acceptance, 8.3 guarded acceptance, 7 conformance probability.
    """

    guarded: bool
    probability: float = 0.95
    by_distribution: bool = False
    largest_expanded: float | None = None

    def __post_init__(self) -> None:
        if not 0.5 <= self.probability < 1.0:
            raise RuleError(
                self.name,
                f"its probability must be 0.5 or more and below 1, not {self.probability}",
            )
        limit = self.largest_expanded
        if limit is not None and not (isfinite(limit) and limit > 0.0):
            raise RuleError(self.name, f"its limit on U must be above zero, not {limit}")

    @classmethod
    def named(
        cls, name: RuleName, probability: float = 0.95, largest_expanded: float | None = None
    ) -> "Rule":
        """Return the rule that a plan names: "guard band", "simple" or "probability".

        Raises
        ------
        RuleError
            There is no such rule, or a number it needs is out of bounds.
        """
        if name not in ("guard band", "simple", "probability"):
            raise RuleError(name, 'name "guard band", "simple" or "probability"')
        return cls(
            guarded=name != "simple",
            probability=probability,
            by_distribution=name == "probability",
            largest_expanded=largest_expanded,
        )

    @property
    def name(self) -> RuleName:
        """How a plan names this rule."""
        if not self.guarded:
            return "simple"
        return "probability" if self.by_distribution else "guard band"

    def guard_band(self, standard_uncertainty: float, degrees_of_freedom: float = inf) -> float:
        """Return the width of the guard band at a limit, in the unit of the uncertainty."""
        if not self.guarded:
            return 0.0
        return one_sided_factor(self.probability, degrees_of_freedom) * standard_uncertainty

    def inner_guard(
        self,
        standard_uncertainty: float,
        tolerance: float | None,
        degrees_of_freedom: float = inf,
    ) -> float:
        """Return the guard band inside the limits where both are near compared with u.

        With one limit only, or limits many u apart, it is `guard_band`. The nearer they are, the
        more of the distribution reaches over the other one too, and the wider the band must be for
        the probability of the zone to be kept; infinite where no value at all could be accepted.

        Parameters
        ----------
        standard_uncertainty : float
            Zero or more.
        tolerance : float or None
            Upper minus lower limit in the same unit; None where there is one limit only.
        degrees_of_freedom : float
            Of the standard uncertainty.
        """
        if not self.guarded or standard_uncertainty == 0.0:
            return 0.0
        if tolerance is None:
            return self.guard_band(standard_uncertainty, degrees_of_freedom)
        ratio = tolerance / standard_uncertainty
        return _two_sided_factor(self.probability, ratio, degrees_of_freedom) * standard_uncertainty

    def acceptance_zone(
        self, limits: Limits, standard_uncertainty: float, degrees_of_freedom: float = inf
    ) -> Zone | None:
        """Return the zone in which a value is accepted, or None where there is none."""
        lower, upper = limits.as_floats
        tolerance = None if limits.tolerance is None else float(limits.tolerance)
        guard = self.inner_guard(standard_uncertainty, tolerance, degrees_of_freedom)
        if not isfinite(guard) or lower + guard > upper - guard:
            return None
        return Zone(lower + guard, upper - guard)

    def judge(
        self,
        smallest: float,
        largest: float,
        standard_uncertainty: float,
        *,
        lower: float | None = None,
        upper: float | None = None,
        degrees_of_freedom: float = inf,
    ) -> Verdict:
        """Judge the extremes of a characteristic against its limits.

        All arguments in one unit; for a single value give it as `smallest` and `largest`. A value
        on a limit, or on the edge of a guard band, is inside.
        """
        outer = self.guard_band(standard_uncertainty, degrees_of_freedom)
        tolerance = None if lower is None or upper is None else upper - lower
        inner = self.inner_guard(standard_uncertainty, tolerance, degrees_of_freedom)
        return self.judge_interval(
            (smallest, largest), inner, lower=lower, upper=upper, outer_guard=outer
        )

    def judge_interval(
        self,
        extremes: tuple[float, float],
        guard: float,
        *,
        lower: float | None = None,
        upper: float | None = None,
        outer_guard: float | None = None,
    ) -> Verdict:
        """Judge extremes against limits with a guard band of stated width.

        `outer_guard` is the one beyond the limits, `guard` unless stated.
        """
        outer = guard if outer_guard is None else outer_guard
        smallest, largest = extremes
        if lower is not None and smallest < lower - outer:
            return Verdict.DOES_NOT_CONFORM
        if upper is not None and largest > upper + outer:
            return Verdict.DOES_NOT_CONFORM
        if lower is not None and smallest < lower + guard:
            return Verdict.NOT_PROVEN
        if upper is not None and largest > upper - guard:
            return Verdict.NOT_PROVEN
        return Verdict.CONFORMS


@lru_cache(maxsize=1024)
def _two_sided_factor(probability: float, ratio: float, degrees_of_freedom: float) -> float:
    """Solve 1 - Q(t) - Q(ratio - t) = probability for t, Q the upper tail; infinite without any.

    The left side grows with t up to the middle of the zone, so its root lies between the one-sided
    factor and there.
    """

    def share(factor: float) -> float:
        return (
            1.0
            - upper_tail(factor, degrees_of_freedom)
            - upper_tail(ratio - factor, degrees_of_freedom)
        )

    least = one_sided_factor(probability, degrees_of_freedom)
    middle = ratio / 2.0
    if least > middle or share(middle) < probability:
        return inf
    if share(least) >= probability:
        return least
    below, above = least, middle
    for _ in range(_BISECTIONS):
        factor = 0.5 * (below + above)
        if share(factor) < probability:
            below = factor
        else:
            above = factor
    return above

"""Decision rules: from a value, its standard uncertainty and limits to a verdict."""

from dataclasses import dataclass
from enum import StrEnum

from seatproof.core.form.quantiles import normal_quantile


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
        True for the guard band of ISO 14253-1: conformity, and non-conformity, must be proved.
        False for simple acceptance, where the value itself is compared with the limit.
    probability : float
        One-sided probability to which a guarded verdict is proved, 0.95 by default of the standard.

    References
    ----------
    .. [1] ISO 14253-1:2017, decision rules for verifying conformity or nonconformity.
    .. [2] JCGM 106:2012, 8.3, guarded acceptance.
    """

    guarded: bool
    probability: float = 0.95

    def guard_band(self, standard_uncertainty: float) -> float:
        """Return the width of the guard band at a limit, in the unit of the uncertainty."""
        return normal_quantile(self.probability) * standard_uncertainty if self.guarded else 0.0

    def judge(
        self,
        smallest: float,
        largest: float,
        standard_uncertainty: float,
        *,
        lower: float | None = None,
        upper: float | None = None,
    ) -> Verdict:
        """Judge the extremes of a characteristic against its limits.

        All arguments in one unit; for a single value give it as `smallest` and `largest`. A value
        on a limit, or on the edge of a guard band, is inside.
        """
        return self.judge_interval(
            (smallest, largest), self.guard_band(standard_uncertainty), lower=lower, upper=upper
        )

    def judge_interval(
        self,
        extremes: tuple[float, float],
        guard: float,
        *,
        lower: float | None = None,
        upper: float | None = None,
    ) -> Verdict:
        """Judge extremes against limits with a guard band of stated width."""
        smallest, largest = extremes
        if lower is not None and smallest < lower - guard:
            return Verdict.DOES_NOT_CONFORM
        if upper is not None and largest > upper + guard:
            return Verdict.DOES_NOT_CONFORM
        if lower is not None and smallest < lower + guard:
            return Verdict.NOT_PROVEN
        if upper is not None and largest > upper - guard:
            return Verdict.NOT_PROVEN
        return Verdict.CONFORMS

"""From a standard uncertainty and its degrees of freedom to an expanded uncertainty."""

from collections.abc import Iterable
from dataclasses import dataclass
from math import ceil, inf, isinf, sqrt
from typing import Final

from seatproof.core.form.quantiles import normal_quantile, student_t_quantile
from seatproof.core.uncertainty.errors import UncertaintyError

_ROUNDING: Final = 1e-9
_MANY: Final = 200  # the expansion's next term is below 1e-5 from here on, and falls as ν⁻³


@dataclass(frozen=True, slots=True)
class Coverage:
    """How an expanded uncertainty is made: for a probability, or with a factor that is fixed."""

    probability: float = 0.9545
    fixed_factor: float | None = None

    def __post_init__(self) -> None:
        if not 0.0 < self.probability < 1.0:
            raise UncertaintyError(f"{self.probability} is no probability of coverage")

    def factor(self, dof: float) -> float:
        """Return the coverage factor k.

        >>> round(Coverage().factor(4), 2), round(Coverage().factor(inf), 2)
        (2.87, 2.0)
        """
        if self.fixed_factor is not None:
            return self.fixed_factor
        return student_quantile(0.5 + self.probability / 2.0, dof)


def student_quantile(probability: float, dof: float) -> float:
    """Return the quantile of Student's t; few degrees of freedom are cut to a whole number.

    Cutting (never rounding up) errs towards a larger interval, GUM G.4.1.

    Raises
    ------
    UncertaintyError
        Less than one degree of freedom.

    References
    ----------
    .. [1] M. Abramowitz, I. A. Stegun, Handbook of Mathematical Functions, 26.7.5.
    """
    # Welch-Satterthwaite gives 4 as 3.9999999999999996 now and then.
    nearest = dof if isinf(dof) else ceil(dof)
    if nearest - dof < _ROUNDING:
        dof = nearest
    if dof < 1.0:
        raise UncertaintyError(f"{dof} degrees of freedom say nothing of a spread; take repeats")
    if dof <= _MANY:
        return student_t_quantile(probability, int(dof))
    z = normal_quantile(probability)
    if isinf(dof):
        return z
    # The finite sums of the exact quantile would take milliseconds here.
    return z + (z**3 + z) / (4 * dof) + (5 * z**5 + 16 * z**3 + 3 * z) / (96 * dof**2)


def combined_um(parts_um: Iterable[float]) -> float:
    """Return the combined standard uncertainty of independent contributions."""
    return sqrt(sum(part * part for part in parts_um))


def effective_dof(parts: Iterable[tuple[float, float]]) -> float:
    """Return the effective degrees of freedom of (standard uncertainty, degrees of freedom) pairs.

    Infinite where every contribution is known by statement alone.

    References
    ----------
    .. [1] JCGM 100:2008 (GUM), G.4.1, formula G.2b (Welch and Satterthwaite).

    Examples
    --------
    >>> round(effective_dof([(0.5, 10.0), (0.5, 10.0)]), 1)
    20.0
    """
    pairs = list(parts)
    total = combined_um(part for part, _ in pairs)
    if total == 0.0:
        return inf
    # Taken relative to the total, so that no fourth power leaves the range of numbers.
    weight = sum((part / total) ** 4 / dof for part, dof in pairs if not isinf(dof))
    if weight == 0.0:
        return inf
    # Never below the fewest of all, which rounding could make of a single contribution.
    return max(1.0 / weight, min(dof for part, dof in pairs if part > 0.0))

"""What is known of a value after it was measured: an estimate with its uncertainty, or trials.

Both answer the same question, how probable it is that the true value lies where (JCGM 106, 6).
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from math import ceil, copysign, erfc, floor, inf, isfinite, isnan, log1p, sqrt
from typing import Final

import numpy as np
from numpy.typing import NDArray

from seatproof.core.form.quantiles import (
    normal_quantile,
    student_t_quantile,
    student_t_two_sided_tail,
)
from seatproof.core.verdict.errors import KnowledgeError
from seatproof.core.verdict.limits import Number, Zone

_SQRT2: Final = sqrt(2.0)
_MANY: Final = 30  # degrees of freedom from which a series replaces the finite sum
_BEYOND_DOUBT: Final = 1e8
_BISECTIONS: Final = 60
_FEWEST_TRIALS: Final = 100
_TRIALS_MARGIN: Final = 2.0  # standard errors by which a share of trials has to clear a threshold


@dataclass(frozen=True, slots=True)
class Estimate:
    """A value with its standard uncertainty: a normal, or with few readings a t-distribution.

    Attributes
    ----------
    value : Decimal or float
        The value; a decimal stays exact where it is compared with a limit.
    standard_uncertainty : float
        In the value's unit, zero or more.
    degrees_of_freedom : float
        Effective ones (Welch-Satterthwaite), 1 or more, rounded down as the GUM asks (G.4.1,
        note 1); infinitely many for a normal distribution.

    Raises
    ------
    KnowledgeError
        One of them is not finite or out of these bounds.

    References
    ----------
    .. [1] JCGM 100:2008 (GUM), annex G.3 and G.4.
    """

    value: Number
    standard_uncertainty: float
    degrees_of_freedom: float = inf

    def __post_init__(self) -> None:
        if not isfinite(self.value):
            raise KnowledgeError("value", self.value, "it must be a finite number")
        if not (isfinite(self.standard_uncertainty) and self.standard_uncertainty >= 0.0):
            raise KnowledgeError(
                "standard uncertainty", self.standard_uncertainty, "it must be zero or more"
            )
        if isnan(self.degrees_of_freedom) or self.degrees_of_freedom < 1.0:
            raise KnowledgeError(
                "number of degrees of freedom", self.degrees_of_freedom, "it must be 1 or more"
            )

    @property
    def best(self) -> Number:
        """The value that is stated."""
        return self.value

    def beyond(self, limit: float) -> float:
        """Return the probability that the true value is larger than `limit`."""
        return self._tail(limit - float(self.value))

    def below(self, limit: float) -> float:
        """Return the probability that the true value is smaller than `limit`."""
        return self._tail(float(self.value) - limit)

    def inside(self, lower: float, upper: float) -> float:
        """Return the probability that the true value lies between the two."""
        at = float(self.value)
        # Tails on the side the value lies on are taken from each other, never from one: a
        # probability of one in a million keeps its digits.
        if at > upper:
            return max(0.0, self._tail(at - upper) - self._tail(at - lower))
        if at < lower:
            return max(0.0, self._tail(lower - at) - self._tail(upper - at))
        return max(0.0, 1.0 - self._tail(at - lower) - self._tail(upper - at))

    def _tail(self, distance: float) -> float:
        """Probability of lying further to one side of the value than `distance`, its sign kept."""
        if self.standard_uncertainty == 0.0:
            return 0.0 if distance >= 0.0 else 1.0
        return upper_tail(distance / self.standard_uncertainty, self.degrees_of_freedom)


@dataclass(frozen=True, slots=True, eq=False)
class Trials:
    """Monte Carlo trials of a value (JCGM 101), whatever its distribution.

    Attributes
    ----------
    stated : Decimal or float
        The value that is stated; it need not be the mean of the trials.
    values : ndarray, shape (n,)
        What the true value may be, one number a trial, in ascending order.

    Raises
    ------
    KnowledgeError
        Fewer than 100 trials, or one of them is not finite.

    Notes
    -----
    A share of n trials is itself uncertain, so a verdict that asks for a probability of p must
    find it by two standard errors more: it may not hang on the seed.
    """

    stated: Number
    values: NDArray[np.float64] = field(repr=False)

    def __post_init__(self) -> None:
        values = np.sort(np.asarray(self.values, dtype=np.float64).ravel())
        if values.size < _FEWEST_TRIALS:
            raise KnowledgeError(
                "number of trials", values.size, f"it must be {_FEWEST_TRIALS} or more"
            )
        if not np.isfinite(values).all():
            raise KnowledgeError("set of trials", "given", "one of them is not a finite number")
        if not isfinite(self.stated):
            raise KnowledgeError("value", self.stated, "it must be a finite number")
        values.flags.writeable = False
        object.__setattr__(self, "values", values)

    @classmethod
    def of(cls, stated: Number, values: Sequence[float] | NDArray[np.float64]) -> "Trials":
        """Make trials of any sequence of numbers, in any order."""
        return cls(stated, np.asarray(values, dtype=np.float64))

    @property
    def best(self) -> Number:
        """The value that is stated."""
        return self.stated

    def beyond(self, limit: float) -> float:
        """Return the share of trials that are larger than `limit`."""
        return 1.0 - self._up_to(limit)

    def below(self, limit: float) -> float:
        """Return the share of trials that are smaller than `limit`."""
        return float(np.searchsorted(self.values, limit, side="left")) / self.values.size

    def inside(self, lower: float, upper: float) -> float:
        """Return the share of trials between the two, their ends included."""
        return max(0.0, self._up_to(upper) - self.below(lower))

    def doubt(self, probability: float) -> float:
        """Return by how much a share near `probability` may be off: two standard errors."""
        # Never below what one trial more or less would do: a share of 1 is not certainty.
        share = min(max(probability, 1.0 / self.values.size), 1.0 - 1.0 / self.values.size)
        return _TRIALS_MARGIN * sqrt(share * (1.0 - share) / self.values.size)

    def acceptance(self, lower: float, upper: float, probability: float) -> Zone | None:
        """Return where the stated value may lie for such a share of trials to be inside.

        The trials are moved as they are, so the distribution keeps its shape. k trials in a row
        that span no more than the limits can be moved inside together; the zone reaches from the
        lowest to the highest place to which any such k can be.

        Returns
        -------
        Zone or None
            None where no place has that share inside.
        """
        count = ceil(probability * self.values.size)
        if count > self.values.size:
            return None
        first = self.values[: self.values.size - count + 1]
        last = self.values[count - 1 :]
        fits = last - first <= upper - lower
        if not fits.any():
            return None
        best = float(self.stated)
        return Zone(
            best + lower - float(first[fits][-1]),
            best + upper - float(last[fits][0]),
        )

    def refusal(self, lower: float, upper: float, probability: float) -> Zone:
        """Return beyond which ends of the stated value such a share of trials is outside."""
        count = ceil(probability * self.values.size)
        if count > self.values.size:
            return Zone(-inf, inf)
        best = float(self.stated)
        return Zone(
            best + lower - float(self.values[count - 1]),
            best + upper - float(self.values[self.values.size - count]),
        )

    def _up_to(self, limit: float) -> float:
        return float(np.searchsorted(self.values, limit, side="right")) / self.values.size


Knowledge = Estimate | Trials
"""A probability distribution of the true value."""


def upper_tail(deviate: float, degrees_of_freedom: float = inf) -> float:
    """Return the probability that a standard normal or Student's t variable exceeds `deviate`.

    References
    ----------
    .. [1] G. W. Hill, Algorithm 395: Student's t-distribution, Communications of the ACM 13 (1970)
       617-619: the normal deviate of a t, to 15 digits from some twenty degrees of freedom on.

    Examples
    --------
    >>> round(upper_tail(1.644854), 6), round(upper_tail(2.131847, 4), 6)
    (0.05, 0.05)
    """
    whole = _whole(degrees_of_freedom)
    if whole is not None and whole < _MANY:
        half = 0.5 * student_t_two_sided_tail(deviate, whole)
        return half if deviate >= 0.0 else 1.0 - half
    if whole is not None:
        deviate = copysign(_normal_deviate(abs(deviate), whole), deviate)
    return 0.5 * erfc(deviate / _SQRT2)


@lru_cache(maxsize=1024)
def one_sided_factor(probability: float, degrees_of_freedom: float = inf) -> float:
    """Return the quantile of the normal or of Student's t distribution at `probability`.

    >>> round(one_sided_factor(0.95), 4), round(one_sided_factor(0.95, 4), 4)
    (1.6449, 2.1318)
    """
    whole = _whole(degrees_of_freedom)
    if whole is None:
        return normal_quantile(probability)
    if whole < _MANY:
        return student_t_quantile(probability, whole)
    if probability == 0.5:
        return 0.0
    normal = normal_quantile(probability)
    near, far = sorted((normal, 2.0 * normal))
    for _ in range(_BISECTIONS):
        middle = 0.5 * (near + far)
        if upper_tail(middle, whole) > 1.0 - probability:
            near = middle
        else:
            far = middle
    return 0.5 * (near + far)


def _normal_deviate(t: float, whole: int) -> float:
    """Return what a normal variable exceeds as often as Student's t exceeds `t` (Hill's series)."""
    t = min(t, _BEYOND_DOUBT)  # its square must stay a number
    a = whole - 0.5
    b = 48.0 * a * a
    y = a * log1p(t * t / whole)
    correction = (((-0.4 * y - 3.3) * y - 24.0) * y - 85.5) / (0.8 * y * y + 100.0 + b)
    return ((correction + y + 3.0) / b + 1.0) * sqrt(y)


def _whole(degrees_of_freedom: float) -> int | None:
    """Round degrees of freedom down; None for infinitely many."""
    if not isfinite(degrees_of_freedom):
        return None
    # Welch-Satterthwaite gives 4 as 3.9999999999999996 now and then.
    nearest = ceil(degrees_of_freedom)
    return nearest if nearest - degrees_of_freedom < 1e-9 else floor(degrees_of_freedom)

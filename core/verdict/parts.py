"""Parts of the variance of a reading by what shares them, and what is left of each in a mean."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from math import isfinite, sqrt

from seatproof.core.verdict.errors import KnowledgeError


class Shared(StrEnum):
    """Which readings have the same error from one contribution."""

    COMMON = "common"
    """All of them: it stays in every mean and cancels in differences."""
    STATION = "station"
    """Those at one station."""
    READING = "reading"
    """None: every reading has its own."""


class Statistic(StrEnum):
    """What of a seat's sizes is judged, as plans name it."""

    LOCAL_SIZES = "local sizes"
    STATION_MEANS = "station means"
    OVERALL_MEAN = "overall mean"


@dataclass(frozen=True, slots=True)
class Part:
    """One contribution to the uncertainty of a single reading.

    Attributes
    ----------
    name : str
        As the budget names it.
    standard_uncertainty : float
        Its share in the result, sensitivity included, in the unit of the result.
    shared : Shared

    Raises
    ------
    KnowledgeError
        The standard uncertainty is negative or not finite.
    """

    name: str
    standard_uncertainty: float
    shared: Shared

    def __post_init__(self) -> None:
        if not (isfinite(self.standard_uncertainty) and self.standard_uncertainty >= 0.0):
            raise KnowledgeError(
                f"standard uncertainty of {self.name}",
                self.standard_uncertainty,
                "it must be zero or more",
            )


@dataclass(frozen=True, slots=True)
class Effort:
    """How many readings are taken: at so many stations, orientations each, repeats at each point.

    Raises
    ------
    KnowledgeError
        One of the numbers is below 1.
    """

    stations: int
    orientations: int
    repeats: int

    def __post_init__(self) -> None:
        for name in ("stations", "orientations", "repeats"):
            number = getattr(self, name)
            if number < 1:
                raise KnowledgeError(f"number of {name}", number, "it must be 1 or more")

    @property
    def readings(self) -> int:
        return self.stations * self.orientations * self.repeats

    def behind(self, statistic: Statistic) -> tuple[int, int]:
        """Return how many stations, and how many readings, one value of the statistic averages."""
        if statistic is Statistic.LOCAL_SIZES:
            return 1, self.repeats
        if statistic is Statistic.STATION_MEANS:
            return 1, self.orientations * self.repeats
        return self.stations, self.readings


def standard_uncertainty(parts: Iterable[Part], effort: Effort, statistic: Statistic) -> float:
    """Return the standard uncertainty of one value of a statistic.

    Averaging thins what readings, or stations, do not share; what all share stays whole. So U of
    a mean of n readings is not U/√n.

    >>> parts = (Part("standard", 3.0, Shared.COMMON), Part("repeats", 4.0, Shared.READING))
    >>> standard_uncertainty(parts, Effort(4, 4, 1), Statistic.LOCAL_SIZES)
    5.0
    >>> round(standard_uncertainty(parts, Effort(4, 4, 1), Statistic.OVERALL_MEAN), 4)
    3.1623
    """
    stations, readings = effort.behind(statistic)
    thinned = {Shared.COMMON: 1, Shared.STATION: stations, Shared.READING: readings}
    return sqrt(sum(part.standard_uncertainty**2 / thinned[part.shared] for part in parts))

"""One contribution to a measuring uncertainty, as a row of a budget (GUM) states it."""

from dataclasses import dataclass
from enum import StrEnum
from math import inf, sqrt
from typing import Final, Literal

import numpy as np

from seatproof.core.form.arrays import FloatArray
from seatproof.core.uncertainty.errors import UncertaintyError
from seatproof.core.uncertainty.normal import normal_deviates


class Distribution(StrEnum):
    """How the values of a quantity are taken to be spread."""

    NORMAL = "normal"
    RECTANGULAR = "rectangular"
    TRIANGULAR = "triangular"

    @property
    def divisor(self) -> float:
        """By what a half-width (normal: a standard deviation) is divided to be a standard one."""
        return _DIVISORS[self]

    def from_uniform(self, uniform: FloatArray) -> FloatArray:
        """Turn uniform values between 0 and 1 into ones of mean 0 and standard deviation 1."""
        if self is Distribution.NORMAL:
            return normal_deviates(uniform)
        if self is Distribution.RECTANGULAR:
            return sqrt(3.0) * (2.0 * uniform - 1.0)
        side = 1.0 - np.sqrt(2.0 * np.minimum(uniform, 1.0 - uniform))
        return np.asarray(sqrt(6.0) * np.copysign(side, uniform - 0.5), dtype=np.float64)


_DIVISORS: Final = {
    Distribution.NORMAL: 1.0,
    Distribution.RECTANGULAR: sqrt(3.0),
    Distribution.TRIANGULAR: sqrt(6.0),
}


class Sharing(StrEnum):
    """Which readings have one and the same error from a contribution.

    What all share cancels in differences such as taper and ovality; what each reading has for
    itself is thinned by averaging. `CHECKS` is a zero that may move at any time between two
    reference checks. Where it is not known who shares, the worst of the possibilities counts.
    """

    ALL = "all readings"
    CHECKS = "moves between two checks"
    STATION = "one station"
    POINT = "one point"
    READING = "one reading"
    UNKNOWN = "not known, the worst counts"


InputUnit = Literal["µm", "K", "1/K"]


@dataclass(frozen=True, slots=True)
class Contribution:
    """A quantity that the result depends on, and how well it is known.

    Attributes
    ----------
    name : str
        What it is, in the words of a budget.
    value : float
        Half-width of a rectangular or triangular distribution, standard deviation or expanded
        uncertainty of a normal one, in `unit`.
    distribution : Distribution
    divisor : float
        `value` divided by it is the standard uncertainty in `unit`: √3 for a rectangular
        half-width, k for an expanded uncertainty, √n for the mean of n readings.
    sensitivity : float
        By how many micrometres (diametral) the result changes for one `unit`.
    dof : float
        Degrees of freedom; infinite for what is stated.
    sharing : Sharing
    basis : str
        Where the value comes from.
    """

    name: str
    value: float
    unit: InputUnit
    distribution: Distribution
    divisor: float
    sensitivity: float = 1.0
    dof: float = inf
    sharing: Sharing = Sharing.ALL
    basis: str = ""

    def __post_init__(self) -> None:
        if not (self.value >= 0.0 and self.value < inf):
            raise UncertaintyError(
                f"{self.name}: {self.value} is no uncertainty; give zero or more"
            )
        if not (self.divisor > 0.0 and self.dof > 0.0):
            raise UncertaintyError(f"{self.name}: divisor and degrees of freedom are above zero")

    @property
    def standard_um(self) -> float:
        """Standard uncertainty of a local size from this alone, µm."""
        return abs(self.sensitivity) * self.value / self.divisor


def half_width(
    name: str,
    value: float,
    *,
    unit: InputUnit = "µm",
    sensitivity: float = 1.0,
    sharing: Sharing = Sharing.ALL,
    basis: str = "",
) -> Contribution:
    """Return a contribution known by its limits alone: rectangular, GUM 4.3.7.

    >>> round(half_width("measuring faces", 1.0).standard_um, 3)
    0.577
    """
    shape = Distribution.RECTANGULAR
    return Contribution(
        name, value, unit, shape, shape.divisor, sensitivity, sharing=sharing, basis=basis
    )


def expanded(name: str, value_um: float, factor: float, *, basis: str = "") -> Contribution:
    """Return a contribution known by its expanded uncertainty: normal, GUM 4.3.3.

    >>> expanded("setting standard", 1.0, 2.0).standard_um
    0.5
    """
    return Contribution(name, value_um, "µm", Distribution.NORMAL, factor, basis=basis)

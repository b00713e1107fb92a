"""The limits a value is judged against, kept exact, and the zones a rule makes of them."""

from dataclasses import dataclass
from decimal import Decimal

from seatproof.core.verdict.errors import LimitsOrderError

Number = Decimal | float


def exact(value: Number) -> Decimal:
    """Return a number as the decimal it was written as: a float by its shortest text.

    A reading of 110.025 becomes a float that is a little off; taken by its text it is again just
    what the gauge sent, and lies exactly on a limit of 110.025.

    >>> exact(110.025)
    Decimal('110.025')
    """
    return value if isinstance(value, Decimal) else Decimal(repr(float(value)))


@dataclass(frozen=True, slots=True)
class Limits:
    """A lower and an upper limit, of which one may be missing, in the unit they were given in.

    Attributes
    ----------
    lower, upper : Decimal or None
        The limits, exact; a float is taken at its shortest decimal text. Both belong to the zone.

    Raises
    ------
    LimitsOrderError
        Both are missing, one is not finite, or the lower one lies above the upper one.
    """

    lower: Decimal | None = None
    upper: Decimal | None = None

    def __post_init__(self) -> None:
        for name in ("lower", "upper"):
            given: Number | None = getattr(self, name)
            if given is not None:
                object.__setattr__(self, name, exact(given))
        lower, upper = self.lower, self.upper
        if lower is None and upper is None:
            raise LimitsOrderError(lower, upper, "give one of them at least")
        if not all(limit is None or limit.is_finite() for limit in (lower, upper)):
            raise LimitsOrderError(lower, upper, "a limit must be a finite number")
        if lower is not None and upper is not None and lower > upper:
            raise LimitsOrderError(lower, upper, "the lower one lies above the upper one")

    @classmethod
    def of(cls, lower: Number | None = None, upper: Number | None = None) -> "Limits":
        """Make limits from decimals or floats."""
        return cls(None if lower is None else exact(lower), None if upper is None else exact(upper))

    @property
    def tolerance(self) -> Decimal | None:
        """Difference of the limits; None where one is missing."""
        if self.lower is None or self.upper is None:
            return None
        return self.upper - self.lower

    @property
    def as_floats(self) -> tuple[float, float]:
        """Both limits as floats, a missing one infinitely far away."""
        return (
            float("-inf") if self.lower is None else float(self.lower),
            float("inf") if self.upper is None else float(self.upper),
        )

    def holds(self, value: Number) -> bool:
        """Whether a value lies inside or on the limits, compared as exact decimals."""
        decimal = exact(value)
        return not (
            (self.lower is not None and decimal < self.lower)
            or (self.upper is not None and decimal > self.upper)
        )


@dataclass(frozen=True, slots=True)
class Zone:
    """From `lower` up to and including `upper`; a side without a limit is infinitely far away."""

    lower: float
    upper: float

    @property
    def width(self) -> float:
        return self.upper - self.lower

    def holds(self, value: float) -> bool:
        return self.lower <= value <= self.upper

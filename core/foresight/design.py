"""How many stations, orientations and repeats a seat is measured at, and where they would lie."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from seatproof.core.foresight.errors import DesignError
from seatproof.core.plan.seat import MAX_ORIENTATIONS, MAX_STATIONS, Seat

MOST_REPEATS: Final = 20

# Proposals of ours for seats of which nothing else is said: so many that an ovality shows whatever
# its direction and a barrel whatever its shape is likely to be.
_STATIONS: Final = ((Decimal(40), 2), (Decimal(120), 3))
_FURTHER_STATION_EVERY_MM: Final = 60
_ORIENTATIONS: Final = ((Decimal(80), 3), (Decimal(250), 4))
_MOST_ORIENTATIONS: Final = 6
_STATIONS_OF_HALVES: Final = 3


@dataclass(frozen=True, slots=True)
class Design:
    """Numbers of stations, of orientations at each, and of repeats at each point.

    Raises
    ------
    DesignError
        One is below 1, or more than a plan may have.
    """

    stations: int
    orientations: int
    repeats: int

    def __post_init__(self) -> None:
        for what, number, most in (
            ("stations", self.stations, MAX_STATIONS),
            ("orientations", self.orientations, MAX_ORIENTATIONS),
            ("repeats", self.repeats, MOST_REPEATS),
        ):
            if not 1 <= number <= most:
                raise DesignError(what, number, most)

    @property
    def readings(self) -> int:
        return self.stations * self.orientations * self.repeats

    @classmethod
    def of(cls, seat: Seat) -> "Design":
        """Return the numbers that a plan asks for."""
        return cls(len(seat.stations_mm), len(seat.orientations_deg), seat.repeats)


def least_design(seat: Seat) -> Design:
    """Return the fewest points at which a seat's form shows at all, by its size.

    Two orientations can miss an ovality entirely and two stations any barrel; uncertainty knows
    nothing of that, so no smaller set is proposed, however well it would do for the size alone.
    """
    stations = next((count for up_to, count in _STATIONS if seat.length_mm <= up_to), None)
    if stations is None:
        last_mm, count = _STATIONS[-1]
        stations = count + int((seat.length_mm - last_mm) // _FURTHER_STATION_EVERY_MM) + 1
    if seat.ring == "halves" or seat.cylindricity is not None:
        stations = max(stations, _STATIONS_OF_HALVES)
    orientations = next(
        (count for below, count in _ORIENTATIONS if seat.nominal_mm < below), _MOST_ORIENTATIONS
    )
    return Design(min(stations, MAX_STATIONS), orientations, 1)


def seat_with(seat: Seat, design: Design) -> Seat:
    """Return the seat measured otherwise: evenly along its measurable part and round half a turn.

    Where the numbers are the plan's own, its own places are kept.
    """
    fields = {name: getattr(seat, name) for name in Seat.model_fields}
    if design.stations != len(seat.stations_mm):
        fields["stations"] = design.stations
    if design.orientations != len(seat.orientations_deg):
        fields["orientations"] = design.orientations
    fields["repeats"] = design.repeats
    # Not a copy: that would carry along what was worked out from the old numbers.
    return Seat.model_construct(**fields)

"""The fewest readings with which a seat's tolerances can be proven."""

from dataclasses import dataclass
from typing import Final

from seatproof.core.foresight.ahead import GaugeAhead
from seatproof.core.foresight.design import Design, least_design
from seatproof.core.foresight.outlook import Outlook, foresee
from seatproof.core.plan.model import Plan

DEFAULT_SHARE: Final = 0.5  # of every tolerance, to be left for the seat itself

_STATIONS_MORE: Final = 4
_ORIENTATIONS: Final = (3, 4, 6, 8, 12)
_REPEATS: Final = (1, 2, 3, 4, 5, 6, 8, 10)


@dataclass(frozen=True, slots=True)
class Smallest:
    """What a search among sets of points found.

    Attributes
    ----------
    share : float
        Part of every tolerance that was to be left for the seat.
    least : Design
        Below which nothing was looked at, because form would not show.
    found : Outlook or None
        With the fewest readings that leave it; None where none of those looked at does.
    best : Outlook
        What leaves most of all that were looked at; the same as `found` where that is one.
    """

    share: float
    least: Design
    found: Outlook | None
    best: Outlook


def smallest_design(
    plan: Plan, seat_id: str, gauge: GaugeAhead | None = None, share: float = DEFAULT_SHARE
) -> Smallest:
    """Search for the fewest readings that can prove what diameters can prove of a seat.

    "Can prove" alone would be met by a set that accepts one single value; so a share of every
    tolerance has to be left for the seat itself. Of sets with equally many readings the one with
    fewest repeats is taken, because more points see more of the form.

    Parameters
    ----------
    plan : Plan
    seat_id : str
    gauge : GaugeAhead, optional
    share : float
        From 0 to below 1.

    Raises
    ------
    NoSuchSeatError
        As `foresee`.
    """
    present = foresee(plan, seat_id, gauge)  # the same complaint about the seat, once
    least = least_design(plan.seat(seat_id))
    best = present
    if not present.lacking:
        for design in _in_order(least):
            outlook = foresee(plan, seat_id, gauge, design)
            if outlook.provable_in_reach and outlook.share >= share:
                return Smallest(share, least, outlook, outlook)
            if outlook.share > best.share:
                best = outlook
    return Smallest(share, least, None, best)


def _in_order(least: Design) -> list[Design]:
    designs = [
        Design(stations, orientations, repeats)
        for stations in range(least.stations, least.stations + _STATIONS_MORE + 1)
        for orientations in _ORIENTATIONS
        if orientations >= least.orientations
        for repeats in _REPEATS
    ]
    return sorted(designs, key=lambda one: (one.readings, one.repeats, one.stations))

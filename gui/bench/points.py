"""How the points of a walk look on the bench: a mark and a word each, without Qt."""

from dataclasses import dataclass
from enum import StrEnum

from seatproof.core.plan.points import Point


class PointMark(StrEnum):
    """Where a point stands; the value is the word that goes with the mark."""

    OPEN = "not measured"
    INSIDE = "inside the limits"
    ABOVE = "above the upper limit"
    BELOW = "below the lower limit"
    SKIPPED = "skipped"

    @property
    def is_outside(self) -> bool:
        return self in (PointMark.ABOVE, PointMark.BELOW)


@dataclass(frozen=True, slots=True)
class PointView:
    """One point as the shaft diagram shows it.

    `story` is what a tip says of it: place, value, what happened there.
    """

    point: Point
    mark: PointMark
    is_next: bool
    is_selected: bool
    story: str

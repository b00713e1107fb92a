"""What the search for a format passes around: frames beside displays, and guesses with doubts."""

from dataclasses import dataclass
from enum import StrEnum

from seatproof.devices.declared.format import Layout
from seatproof.devices.derive.press import Shown


class Question(StrEnum):
    """What the presses leave open; the value says which press would settle it."""

    NEGATIVE = "press once with a negative value, to see how the gauge sends a minus"
    POSITIVE = "press once with a positive value, to see how the gauge sends a plus"
    SIZE = (
        "press once with a value that has more or fewer digits before the point, such as one near "
        "zero, to see how the gauge fills up its numbers"
    )
    LARGER = "press once with a much larger value, to see all digits of the number in use"
    OTHER = "press once with another value, so that something changes"


@dataclass(frozen=True, slots=True)
class Sight:
    """One frame without what ends it, and what the display showed."""

    body: bytes
    shown: Shown


@dataclass(frozen=True, slots=True)
class Candidate:
    """A layout that explains all sights, and what they leave open about it."""

    layout: Layout
    questions: tuple[Question, ...]

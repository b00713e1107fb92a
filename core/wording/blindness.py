"""What the methods of a plan cannot see: it stands beside every result that rests on them."""

from typing import Final

from seatproof.core.evaluation.requirement import BLIND
from seatproof.core.plan.model import Plan
from seatproof.core.words import Words

_RADIAL: Final = (
    "An indicator against the shaft shows no size; it takes the axis on which the shaft turned for "
    "that of the seat, and sees no lobes finer than half the number of its orientations, nor what "
    "lies between the stations."
)
_VEE: Final = (
    "An indicator over a vee shows no size; it enlarges each number of lobes by a factor of its "
    "own, some not at all, and sees nothing between the stations."
)


def blindness(plan: Plan, say: Words) -> str:
    """Return what the plan's methods cannot see, as sentences."""
    methods = {seat.method for seat in plan.seats}
    said = [
        say.again(sentences)
        for method, sentences in (("two-point", BLIND), ("radial", _RADIAL), ("vee", _VEE))
        if method in methods
    ]
    return " ".join(said)

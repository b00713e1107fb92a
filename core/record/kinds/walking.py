"""Events about the walk: where the next press belongs."""

from seatproof.core.plan.points import Walk
from seatproof.core.record.kinds.parts import Note, Payload, Place
from seatproof.core.record.kinds.presses import Reasoned


class Aimed(Payload):
    """The next press belongs to this point; for a point already measured a reason is given."""

    kind = "aimed"
    place: Place
    reason: Note = ""
    owed: bool = False


class Skipped(Reasoned):
    """A point is left out."""

    kind = "skipped"
    place: Place


class WalkChosen(Payload):
    """The points are visited in this order from here on."""

    kind = "walk chosen"
    walk: Walk
    there_and_back: bool = False

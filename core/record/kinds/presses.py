"""Events about presses: logged, parked, decided on, taken back; repeats; reasons owed and given.

Where a reason may be owed, it is empty and `owed` is set; a later event gives it.
"""

from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from seatproof.core.record.kinds.parts import Note, Part, Payload, Place, Reason, Received

Cause = Literal[
    "",
    "line",
    "unit",
    "gauge",
    "no open point",
    "window",
    "neighbouring seat",
    "inches",
    "millimetres",
]


class Reasoned(Payload):
    """A payload whose reason is given, or owed until the seal."""

    reason: Note = ""
    owed: bool = False

    @model_validator(mode="after")
    def _reason_is_given_or_owed(self) -> Self:
        if self.owed == bool(self.reason.strip()):
            raise ValueError("a reason is either given or owed")
        return self


class Repeat(Part):
    """That one more reading is wanted, and why."""

    why: Reason
    cause: Literal["trend", "spread", "person"] = "person"


class ReadingLogged(Payload):
    """A value has its point. `supersedes` names the readings it takes the place of, and why.

    `owed_by` is the event that owes the reason, where it is not given yet: this one's own number is
    not known beforehand, so 0 stands for it. `read_as` is the unit in which a parked press was
    taken after all, where that is another than the gauge's. `repeat` asks for one more reading
    because of this one.
    """

    kind = "reading"
    place: Place
    received: Received
    supersedes: tuple[int, ...] = ()
    parked: int | None = None
    reason: str = ""
    owed_by: Annotated[int, Field(ge=0)] | None = None
    read_as: Literal["", "mm", "in"] = ""
    repeat: Repeat | None = None


class PressParked(Payload):
    """A press that could not be right where it came; it waits for a decision.

    `cause` is the finding in a word, and `fits` the seat that the value would fit instead.
    """

    kind = "parked"
    received: Received
    place: Place | None
    finding: str
    cause: Cause = ""
    fits: str = ""


class ParkedDiscarded(Reasoned):
    """A parked press was found to be none of a point's values."""

    kind = "parked discarded"
    parked: int


class ReadingWithdrawn(Reasoned):
    """A reading does not count any longer; it stays in the record."""

    kind = "withdrawn"
    reading: int


class OwedReasonGiven(Payload):
    """The reason that event `of` owed."""

    kind = "owed reason given"
    of: int
    reason: Reason


class RepeatAsked(Payload):
    """One more reading is wanted at a point, for as long as the readings it has all count."""

    kind = "repeat asked"
    place: Place
    repeat: Repeat

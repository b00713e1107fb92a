"""Events that close a part of the work, and what is said of it afterwards."""

from typing import Annotated, Any, Literal

from pydantic import Field, model_validator

from seatproof.core.record.kinds.parts import (
    Digest,
    Label,
    Note,
    Number,
    Part,
    Payload,
    Place,
    Reason,
    Reference,
)

SealPart = Literal["measuring", "fitting"]


class ClosedGap(Part):
    """What stood open at a seal, which points it touches, and why it was sealed all the same."""

    what: Reason
    reason: Reason
    points: tuple[Place, ...] = ()


class Sealed(Payload):
    """The inspector closed a part of the work.

    `content` is the evaluation as it is printed: the sheet is drawn from it alone.
    """

    kind = "sealed"
    part: SealPart = "measuring"
    statement: str
    content: dict[str, Any]
    gaps: tuple[ClosedGap, ...] = ()


class Signed(Payload):
    """A person's Ed25519 signature over an event, and so over everything up to it.

    The message signed is `signed_message` of core/record/signing.py; `utc` is when it was made.
    """

    kind = "signature"
    of_seq: Annotated[int, Field(ge=1)]
    of_hash: Digest
    meaning: Annotated[str, Field(min_length=1, max_length=200)]
    person: Number
    name: Annotated[str, Field(min_length=1, max_length=200)]
    role: Annotated[str, Field(min_length=1, max_length=80)]
    utc: str
    public_key: Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
    signature: Annotated[str, Field(pattern=r"^[0-9a-f]{128}$")]


class Reviewed(Payload):
    """Somebody else looked at the sealed part."""

    kind = "review"
    finding: Literal["accepted", "not accepted"]
    note: Note = ""

    @model_validator(mode="after")
    def _refusal_is_explained(self) -> "Reviewed":
        if self.finding == "not accepted" and not self.note.strip():
            raise ValueError("a review that does not accept says why")
        return self


class QuestionAsked(Payload):
    """A question of the reviewer to the inspector."""

    kind = "question"
    text: Reason


class QuestionAnswered(Payload):
    """The answer to the question of event `of`."""

    kind = "answer"
    of: int
    text: Reason


class Disposition(Payload):
    """What becomes of the shaft, on whose authority (a concession is nothing without one)."""

    kind = "disposition"
    decision: Literal["accept", "rework", "concession", "reject"]
    authority: Label = ""
    number: Label = ""
    reason: Reason

    @model_validator(mode="after")
    def _concession_has_an_authority(self) -> "Disposition":
        if self.decision == "concession" and not self.authority.strip():
            raise ValueError("a concession names its authority")
        return self


class Superseded(Payload):
    """A revision takes the place of this inspection; it stays readable."""

    kind = "superseded"
    by: Reference
    reason: Reason


class CarriedOver(Payload):
    """An event of the inspection that this one revises, taken over unchanged.

    It stands at the very number it had there, so that what other events say of it holds. `previous`
    and `hash` are those of the old chain.
    """

    kind = "carried over"
    utc: str
    offset_min: int
    actor: str
    kind_of: Annotated[str, Field(min_length=1)]
    payload_of: dict[str, Any]
    previous: Digest
    hash: Digest

"""Events before the first press: who, what, which shaft; cautions; the condition of the seats."""

from typing import Annotated, Literal

from pydantic import Field, model_validator

from seatproof.core.record.kinds.parts import (
    MAX_REASON,
    Label,
    Note,
    Number,
    Part,
    Payload,
    Reason,
    Reference,
)


class Serial(Part):
    """A serial number or match mark of a part, such as one half of a bearing."""

    what: Annotated[str, Field(min_length=1, max_length=80)]
    number: Number


class Identification(Part):
    """Which thing is inspected, and under which order.

    `seats` are the ids of those that are to be done this time; empty for all of the plan.
    """

    sheet_number: Number
    asset: Label = ""
    shaft_serial: Label = ""
    work_order: Label = ""
    customer: Label = ""
    site: Label = ""
    position: Label = ""
    bearing: Label = ""
    serials: Annotated[tuple[Serial, ...], Field(max_length=20)] = ()
    seats: tuple[str, ...] = ()


class Created(Payload):
    """An inspection was opened; the plan is kept whole, as its text.

    A revision names the inspection that it takes the place of, a re-inspection the one before the
    rework; both say why. Version 1 of the schema had neither.
    """

    kind = "created"
    schema_version: Literal[1, 2] = 2
    program: str
    plan_toml: str
    identification: Identification
    revision: Annotated[int, Field(ge=1)] = 1
    supersedes: Reference | None = None
    reinspection_of: Reference | None = None
    reason: Note = ""

    @model_validator(mode="after")
    def _other_inspections_are_named_with_a_reason(self) -> "Created":
        if (self.revision > 1) != (self.supersedes is not None):
            raise ValueError("a revision above 1 names the inspection that it supersedes")
        if (self.supersedes or self.reinspection_of) and not self.reason.strip():
            raise ValueError("a revision or re-inspection gives its reason")
        return self


class IdentificationCorrected(Payload):
    """What was said of the shaft or the order was wrong; the first words stay in the record."""

    kind = "identification corrected"
    identification: Identification
    reason: Reason


class CautionsAcknowledged(Payload):
    """The inspector confirmed to have read the cautions, as they were shown.

    `permit` is the number of the work permit or lock-out under which the machine stands still.
    """

    kind = "cautions acknowledged"
    cautions: tuple[str, ...]
    permit: Label = ""


class ConditionAnswered(Payload):
    """One of the plan's conditions was looked at on one seat; a later answer takes its place."""

    kind = "condition"
    seat: str
    check: str
    answer: Literal["met", "not met", "not applicable"]
    note: Note = ""


class InspectorChanged(Payload):
    """Another person measures from here on."""

    kind = "inspector changed"
    from_person: Annotated[str, Field(min_length=1, max_length=200)]
    to_person: Annotated[str, Field(min_length=1, max_length=200)]


class DeviationNoted(Payload):
    """The work departs from the plan, knowingly."""

    kind = "deviation"
    what: Annotated[str, Field(min_length=1, max_length=MAX_REASON)]
    reason: Reason

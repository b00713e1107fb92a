"""Events of the fitting: steps answered, bolts tightened and loosened, with what tools."""

from collections.abc import Mapping
from typing import Annotated, Literal

from pydantic import Field, model_validator

from seatproof.core.record.kinds.parts import (
    DecimalText,
    Label,
    Note,
    Number,
    Part,
    Payload,
    Reason,
    Received,
)

StepName = Annotated[str, Field(min_length=1, max_length=24)]
TorqueUnit = Literal["N m", "lbf ft", "lbf in"]


class FittingBegun(Payload):
    """The fitting began; where the seats were not released for it, the reason stands here."""

    kind = "fitting begun"
    released: bool
    reason: Note = ""

    @model_validator(mode="after")
    def _unreleased_is_explained(self) -> "FittingBegun":
        if not self.released and not self.reason.strip():
            raise ValueError("a fitting that was not released gives its reason")
        return self


class IsolationConfirmed(Payload):
    """Somebody confirmed, before hands go in, that the machine is isolated, and read the cautions.

    Each person does it for each day.
    """

    kind = "isolation confirmed"
    cautions: Annotated[tuple[Note, ...], Field(min_length=1, max_length=40)]
    permit: Label = ""


class ToolInService(Payload):
    """A torque tool, feeler gauge or the like that the fitting is done with."""

    kind = "tool in service"
    inventory_number: Number
    description: Label = ""
    serial_number: Label = ""
    tool_class: Label = ""
    calibration_date: Label = ""
    calibration_due: Label = ""
    certificate: Label = ""
    override_reason: Note = ""


class MeasuredValue(Part):
    """A length measured at a place of a step; `received` where a gauge sent it."""

    value: DecimalText
    unit: Literal["mm", "in", "um", "mil"]
    value_mm: DecimalText
    by_hand: bool = False
    received: Received | None = None


class StepAnswered(Payload):
    """What was found at a step; a later answer takes its place and this one stays."""

    kind = "step answered"
    step: StepName
    answer: Literal["", "met", "not met", "not applicable", "free", "not free"] = ""
    read: Mapping[str, Label] = Field(default_factory=dict)
    values: Mapping[str, MeasuredValue] = Field(default_factory=dict)
    amount: DecimalText | None = None
    note: Note = ""
    reason: Note = ""

    @model_validator(mode="after")
    def _something_is_said(self) -> "StepAnswered":
        if not (self.answer or self.read or self.values or self.amount or self.note.strip()):
            raise ValueError("an answer says something")
        return self


class ThreadNoted(Payload):
    """In which state the threads were when they were tightened: it decides what a torque means."""

    kind = "thread state"
    step: StepName
    lubricant: Annotated[str, Field(min_length=1, max_length=200)]


class OrderChosen(Payload):
    """Another order of the bolts holds from here on for a stage, counted from 0."""

    kind = "order chosen"
    step: StepName
    stage: Annotated[int, Field(ge=0)]
    order: Annotated[tuple[Number, ...], Field(min_length=1, max_length=64)]
    reason: Reason


class TorqueReceived(Part):
    """A torque as a tool sent it: text and exact bytes, with the format that read them."""

    value: DecimalText
    unit: TorqueUnit
    text: str
    raw_hex: Annotated[str, Field(pattern=r"^([0-9a-f]{2})*$")]
    format: str
    channel: str | None = None
    arrival: int


class BoltTightened(Payload):
    """A bolt was tightened in a stage, counted from 0.

    `torque` is in `unit`, and None where the tool gave none; `turned` tells in a check pass whether
    the bolt still moved. `received` is what a tool with a line sent, in the tool's own unit.
    """

    kind = "bolt tightened"
    step: StepName
    stage: Annotated[int, Field(ge=0)]
    bolt: Number
    torque: DecimalText | None = None
    unit: TorqueUnit = "N m"
    tool: Label = ""
    turned: bool = False
    received: TorqueReceived | None = None


class BoltsLoosened(Payload):
    """All bolts of a joint were loosened; its tightening begins again."""

    kind = "bolts loosened"
    step: StepName
    reason: Reason

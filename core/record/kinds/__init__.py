"""The kinds of event an inspection has, and what each carries.

Payloads are JSON: numbers that come from a gauge or a person are kept as decimal text, exactly as
given. A payload with a key that is not known here is refused, never skipped. Every kind only ever
grows by keys with a default, so that old records are read.
"""

from typing import Final

from pydantic import ValidationError

from seatproof.core.record.errors import EventUnknownError
from seatproof.core.record.events import Event
from seatproof.core.record.kinds.closing import (
    CarriedOver,
    ClosedGap,
    Disposition,
    QuestionAnswered,
    QuestionAsked,
    Reviewed,
    Sealed,
    SealPart,
    Signed,
    Superseded,
)
from seatproof.core.record.kinds.equipment import (
    Attention,
    CalibrationPoint,
    GaugeInService,
    Occasion,
    ReferenceCheck,
    StandardInService,
    Temperatures,
)
from seatproof.core.record.kinds.fitting import (
    BoltsLoosened,
    BoltTightened,
    FittingBegun,
    IsolationConfirmed,
    MeasuredValue,
    OrderChosen,
    StepAnswered,
    ThreadNoted,
    ToolInService,
    TorqueReceived,
)
from seatproof.core.record.kinds.notes import MAX_PHOTO_BYTES, NoteAdded, PhotoAdded
from seatproof.core.record.kinds.opening import (
    CautionsAcknowledged,
    ConditionAnswered,
    Created,
    DeviationNoted,
    Identification,
    IdentificationCorrected,
    InspectorChanged,
    Serial,
)
from seatproof.core.record.kinds.parts import MAX_REASON, Payload, Place, Received, Reference
from seatproof.core.record.kinds.presses import (
    Cause,
    OwedReasonGiven,
    ParkedDiscarded,
    PressParked,
    ReadingLogged,
    ReadingWithdrawn,
    Repeat,
    RepeatAsked,
)
from seatproof.core.record.kinds.walking import Aimed, Skipped, WalkChosen

__all__ = [
    "KINDS",
    "MAX_PHOTO_BYTES",
    "MAX_REASON",
    "Aimed",
    "Attention",
    "BoltTightened",
    "BoltsLoosened",
    "CalibrationPoint",
    "CarriedOver",
    "Cause",
    "CautionsAcknowledged",
    "ClosedGap",
    "ConditionAnswered",
    "Created",
    "DeviationNoted",
    "Disposition",
    "FittingBegun",
    "GaugeInService",
    "Identification",
    "IdentificationCorrected",
    "InspectorChanged",
    "IsolationConfirmed",
    "MeasuredValue",
    "NoteAdded",
    "Occasion",
    "OrderChosen",
    "OwedReasonGiven",
    "ParkedDiscarded",
    "Payload",
    "PhotoAdded",
    "Place",
    "PressParked",
    "QuestionAnswered",
    "QuestionAsked",
    "ReadingLogged",
    "ReadingWithdrawn",
    "Received",
    "Reference",
    "ReferenceCheck",
    "Repeat",
    "RepeatAsked",
    "Reviewed",
    "SealPart",
    "Sealed",
    "Serial",
    "Signed",
    "Skipped",
    "StandardInService",
    "StepAnswered",
    "Superseded",
    "Temperatures",
    "ThreadNoted",
    "ToolInService",
    "TorqueReceived",
    "WalkChosen",
    "read_payload",
]

_PAYLOADS: Final[tuple[type[Payload], ...]] = (
    Created,
    IdentificationCorrected,
    CautionsAcknowledged,
    ConditionAnswered,
    InspectorChanged,
    DeviationNoted,
    GaugeInService,
    StandardInService,
    ReferenceCheck,
    Temperatures,
    Attention,
    ReadingLogged,
    PressParked,
    ParkedDiscarded,
    ReadingWithdrawn,
    OwedReasonGiven,
    RepeatAsked,
    Aimed,
    Skipped,
    WalkChosen,
    NoteAdded,
    PhotoAdded,
    FittingBegun,
    IsolationConfirmed,
    ToolInService,
    StepAnswered,
    ThreadNoted,
    OrderChosen,
    BoltTightened,
    BoltsLoosened,
    Sealed,
    Signed,
    Reviewed,
    QuestionAsked,
    QuestionAnswered,
    Disposition,
    Superseded,
    CarriedOver,
)
KINDS: Final = {payload.kind: payload for payload in _PAYLOADS}


def read_payload(event: Event) -> Payload:
    """Return an event's payload; `EventUnknownError` where this program does not know it."""
    model = KINDS.get(event.kind)
    if model is None:
        raise EventUnknownError(
            event.inspection, event.seq, event.kind, "this program does not know that kind"
        )
    try:
        return model.model_validate(event.payload)
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        where = ".".join(str(part) for part in first["loc"])
        raise EventUnknownError(
            event.inspection, event.seq, event.kind, f"{where}: {first['msg']}"
        ) from error

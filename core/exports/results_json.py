"""The results and readings of a sealed inspection as JSON, with a published schema.

The schema is ``resources/schemas/results-1.schema.json`` (JSON Schema, draft 2020-12). Figures are
decimal text exactly as they are printed on the sheet; readings are text exactly as they came.
"""

from datetime import timedelta, timezone
from decimal import Decimal
from typing import Any, Final, Literal

from pydantic import BaseModel, ConfigDict, Field

from seatproof.core.quantities import plain_text
from seatproof.core.record.events import canonical
from seatproof.core.record.kinds import Identification
from seatproof.core.record.state import InspectionState, LoggedReading
from seatproof.core.sheet.document import sealed_content
from seatproof.core.verdict.rule import Verdict
from seatproof.core.wording.content import Numbers

RESULTS_FORMAT: Final = "seatproof results"
SCHEMA_URI: Final = "https://json-schema.org/draft/2020-12/schema"

_ANGLE_STEP: Final = Decimal("0.000001")
_POSITION_STEP: Final = Decimal("0.000000001")


class NotSealedError(Exception):
    """An inspection without a seal has no results that anybody stands for yet."""

    def __init__(self, inspection: str) -> None:
        self.inspection = inspection
        super().__init__(
            f"Inspection {inspection} is not sealed yet, so that its results may still change; "
            "seal it first."
        )


class _Document(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class Covered(_Document):
    """The last event that the document takes in, and its SHA-256."""

    event: int
    sha256: str = Field(pattern=r"^[0-9a-f]{64}$")


class PlanNamed(_Document):
    """The plan that was carried out."""

    title: str
    version: str
    drawing: str
    unit: Literal["mm", "in"]


class RequirementFound(_Document):
    """One requirement with its figures and verdict."""

    seat: str
    characteristic: str
    sense: str
    numbers: Numbers
    verdict: Verdict
    judged: str
    reasons: tuple[str, ...]


class ReadingTaken(_Document):
    """One reading; `value` is the text that came, `value_mm` its exact conversion."""

    event: int
    time: str
    inspector: str
    seat: str
    station: int
    orientation: int
    z_mm: str
    angle_deg: str
    value: str
    unit: Literal["mm", "in", "um", "mil"]
    value_mm: str
    counts: bool
    fate: str
    gauge: str
    by_hand: bool
    bytes_hex: str


class Results(_Document):
    """Everything that the document holds."""

    format: Literal["seatproof results"] = "seatproof results"
    version: Literal[1] = 1
    inspection: str
    identification: Identification
    plan: PlanNamed
    covers: Covered
    program: str
    evaluation_version: int
    language: str
    verdict: Verdict
    requirements: tuple[RequirementFound, ...]
    readings: tuple[ReadingTaken, ...]


def results_json(state: InspectionState) -> bytes:
    """Return the results of a sealed inspection as canonical JSON.

    Raises
    ------
    NotSealedError
        The inspection is still open.
    SheetError
        What was sealed is not of a kind that this program knows.
    """
    if state.sealed is None:
        raise NotSealedError(state.inspection)
    content = sealed_content(state.inspection, dict(state.sealed.content))
    heading = state.plan.heading
    document = Results(
        inspection=state.inspection,
        identification=state.identification,
        plan=PlanNamed(
            title=heading.title,
            version=heading.version,
            drawing=heading.drawing,
            unit=heading.unit.value,
        ),
        covers=Covered(event=state.last.seq, sha256=state.last.hash),
        program=content.program,
        evaluation_version=content.evaluation_version,
        language=content.language,
        verdict=content.verdict,
        requirements=tuple(
            RequirementFound(
                seat=line.seat,
                characteristic=line.characteristic,
                sense=line.sense,
                numbers=line.numbers,
                verdict=line.verdict,
                judged=line.judged,
                reasons=line.reasons,
            )
            for line in content.requirements
        ),
        readings=tuple(_reading(state, reading) for reading in state.readings.values()),
    )
    return canonical(document.model_dump(mode="json"))


def results_schema() -> dict[str, Any]:
    """Return the JSON Schema of the document, as it is published."""
    schema = Results.model_json_schema(mode="serialization")
    return {"$schema": SCHEMA_URI, **schema}


def _reading(state: InspectionState, reading: LoggedReading) -> ReadingTaken:
    seat = state.plan.seat(reading.key.seat_id)
    received = reading.received
    local = timezone(timedelta(minutes=state.opened.offset_min))
    z_mm = seat.stations_mm[reading.key.station - 1].quantize(_POSITION_STEP)
    angle_deg = seat.orientations_deg[reading.key.orientation - 1].quantize(_ANGLE_STEP)
    return ReadingTaken(
        event=reading.seq,
        time=reading.moment.astimezone(local).isoformat(timespec="milliseconds"),
        inspector=reading.actor,
        seat=reading.key.seat_id,
        station=reading.key.station,
        orientation=reading.key.orientation,
        z_mm=plain_text(z_mm),
        angle_deg=plain_text(angle_deg),
        value=received.value,
        unit=received.unit,
        value_mm=received.value_mm,
        counts=reading.counts,
        fate=reading.fate,
        gauge=received.gauge,
        by_hand=received.by_hand,
        bytes_hex=received.raw_hex,
    )

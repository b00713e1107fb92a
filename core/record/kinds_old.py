"""The kinds of event an inspection has, and what each carries.

Payloads are JSON: numbers that come from a gauge or a person are kept as decimal text, exactly as
given. A payload with a key that is not known here is refused, never skipped.
"""

from decimal import Decimal, InvalidOperation
from typing import Annotated, Any, ClassVar, Final, Literal, Self

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, ValidationError

from seatproof.core.plan.points import PointKey
from seatproof.core.record.errors import EventUnknownError
from seatproof.core.record.events import Event


def _decimal_text(text: str) -> str:
    try:
        finite = Decimal(text).is_finite()
    except InvalidOperation:
        finite = False
    if not finite:
        raise ValueError("is not a decimal number")
    return text


DecimalText = Annotated[str, AfterValidator(_decimal_text)]
MAX_REASON: Final = 10_000
Reason = Annotated[str, Field(min_length=1, max_length=MAX_REASON)]


class Payload(BaseModel):
    """What an event carries; `kind` is the word it has in the record."""

    model_config = ConfigDict(frozen=True, extra="forbid")
    kind: ClassVar[str]

    def as_json(self) -> dict[str, Any]:
        return self.model_dump(mode="json")


class Place(BaseModel):
    """A point as it stands in the record."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    seat: str
    station: int
    orientation: int

    @property
    def key(self) -> PointKey:
        return PointKey(self.seat, self.station, self.orientation)

    @classmethod
    def of(cls, key: PointKey) -> Self:
        return cls(seat=key.seat_id, station=key.station, orientation=key.orientation)


class Identification(BaseModel):
    """Which thing is inspected, and under which order."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    sheet_number: Annotated[str, Field(min_length=1, max_length=80)]
    asset: Annotated[str, Field(max_length=200)] = ""
    shaft_serial: Annotated[str, Field(max_length=200)] = ""
    work_order: Annotated[str, Field(max_length=200)] = ""


class Created(Payload):
    """An inspection was opened; the plan is kept whole, as its text."""

    kind = "created"
    schema_version: Literal[1] = 1
    program: str
    plan_toml: str
    identification: Identification


class CautionsAcknowledged(Payload):
    """The inspector confirmed to have read the cautions, as they were shown."""

    kind = "cautions acknowledged"
    cautions: tuple[str, ...]


class GaugeInService(Payload):
    """The gauge that the following readings come from."""

    kind = "gauge in service"
    inventory_number: Annotated[str, Field(min_length=1, max_length=80)]
    description: str = ""
    serial_number: str = ""
    unit: Literal["mm", "in"]
    resolution: DecimalText
    expansion_per_kelvin: DecimalText = "0.0000115"
    source: str
    format: str
    calibration_due: str = ""
    certificate: str = ""
    simulated: bool = False


class Temperatures(Payload):
    """Temperatures of shaft and gauge, in degrees Celsius."""

    kind = "temperatures"
    shaft_c: DecimalText
    gauge_c: DecimalText


class Received(BaseModel):
    """A value as it came: text and exact bytes, with the format that read them.

    `value_mm` is the exact conversion of `value`; `arrival` counts what came from the gauge's line
    since it was opened.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    value: DecimalText
    unit: Literal["mm", "in", "um", "mil"]
    value_mm: DecimalText
    text: str
    raw_hex: Annotated[str, Field(pattern=r"^([0-9a-f]{2})*$")]
    format: str
    channel: str | None = None
    gauge: str
    arrival: int


class ReadingLogged(Payload):
    """A value has its point. `supersedes` names the readings it takes the place of, and why."""

    kind = "reading"
    place: Place
    received: Received
    supersedes: tuple[int, ...] = ()
    parked: int | None = None
    reason: str = ""


class PressParked(Payload):
    """A press that could not be right where it came; it waits for a decision."""

    kind = "parked"
    received: Received
    place: Place | None
    finding: str


class ParkedDiscarded(Payload):
    """A parked press was found to be none of a point's values."""

    kind = "parked discarded"
    parked: int
    reason: Reason


class ReadingWithdrawn(Payload):
    """A reading does not count any longer; it stays in the record."""

    kind = "withdrawn"
    reading: int
    reason: Reason


class Aimed(Payload):
    """The next press belongs to this point; for a point already measured a reason is given."""

    kind = "aimed"
    place: Place
    reason: str = ""


class Skipped(Payload):
    """A point is left out."""

    kind = "skipped"
    place: Place
    reason: Reason


class Sealed(Payload):
    """The inspector closed the measuring part.

    `content` is the evaluation as it is printed: the sheet is drawn from it alone.
    """

    kind = "sealed"
    part: Literal["measuring"] = "measuring"
    statement: str
    content: dict[str, Any]


_PAYLOADS: Final[tuple[type[Payload], ...]] = (
    Created,
    CautionsAcknowledged,
    GaugeInService,
    Temperatures,
    ReadingLogged,
    PressParked,
    ParkedDiscarded,
    ReadingWithdrawn,
    Aimed,
    Skipped,
    Sealed,
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

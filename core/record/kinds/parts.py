"""What payloads are made of: decimal text, reasons, places, and references to other inspections."""

from decimal import Decimal, InvalidOperation
from typing import Annotated, Any, ClassVar, Final, Literal, Self

from pydantic import AfterValidator, BaseModel, ConfigDict, Field

from seatproof.core.plan.points import PointKey


def _decimal_text(text: str) -> str:
    try:
        finite = Decimal(text).is_finite()
    except InvalidOperation:
        finite = False
    if not finite:
        raise ValueError("is not a decimal number")
    return text


DecimalText = Annotated[str, AfterValidator(_decimal_text)]
PositiveText = Annotated[DecimalText, AfterValidator(lambda text: _above_zero(text))]
MAX_REASON: Final = 10_000
Reason = Annotated[str, Field(min_length=1, max_length=MAX_REASON)]
Note = Annotated[str, Field(max_length=MAX_REASON)]
Label = Annotated[str, Field(max_length=200)]
Number = Annotated[str, Field(min_length=1, max_length=80)]
Digest = Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]


def _above_zero(text: str) -> str:
    if Decimal(text) <= 0:
        raise ValueError("is not above zero")
    return text


class Part(BaseModel):
    """A piece of a payload; a key that is not known is refused."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)


class Payload(Part):
    """What an event carries; `kind` is the word it has in the record."""

    kind: ClassVar[str]

    def as_json(self) -> dict[str, Any]:
        return self.model_dump(mode="json")


class Place(Part):
    """A point as it stands in the record."""

    seat: str
    station: int
    orientation: int

    @property
    def key(self) -> PointKey:
        return PointKey(self.seat, self.station, self.orientation)

    @classmethod
    def of(cls, key: PointKey) -> Self:
        return cls(seat=key.seat_id, station=key.station, orientation=key.orientation)


class Reference(Part):
    """Another inspection, named so that it cannot be exchanged: `head_hash` is its last event's."""

    inspection: Number
    sheet_number: Number
    head_hash: Digest


class Received(Part):
    """A value as it came: text and exact bytes, with the format that read them.

    `value_mm` is the exact conversion of `value`; `arrival` counts what came from the gauge's line
    since it was opened. A value that a person typed is marked `by_hand`.
    """

    value: DecimalText
    unit: Literal["mm", "in", "um", "mil"]
    value_mm: DecimalText
    text: str
    raw_hex: Annotated[str, Field(pattern=r"^([0-9a-f]{2})*$")]
    format: str
    channel: str | None = None
    gauge: str
    arrival: int
    by_hand: bool = False

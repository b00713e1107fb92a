"""What a plan asks of the way a seat is measured and judged: rule, checks, signatures."""

from decimal import Decimal
from typing import Annotated, Literal

from pydantic import BaseModel, Field

from seatproof.core.plan.fields import LengthMm, Number
from seatproof.core.plan.shaft import STRICT


class Decision(BaseModel):
    """The rule by which a value with its uncertainty becomes a verdict.

    ``guard band`` proves conformity as ISO 14253-1 asks, at `probability`; ``simple`` compares the
    value itself with the limit (the risk at the limit is then shared half and half), provided that
    U is not above `largest_uncertainty_mm`, where that is given; ``probability`` asks for a
    probability of conformity (JCGM 106) of at least `probability`.
    """

    model_config = STRICT

    rule: Literal["guard band", "simple", "probability"] = "guard band"
    probability: Annotated[Number, Field(ge=Decimal("0.5"), le=Decimal("0.999"))] = Decimal("0.95")
    largest_uncertainty_mm: Annotated[LengthMm, Field(gt=0)] | None = Field(
        default=None, alias="largest_uncertainty"
    )


class Checks(BaseModel):
    """The reference checks that a plan asks for, and when another one is due.

    Attributes
    ----------
    opening, closing : bool
        Whether the gauge is checked before the first and after the last reading.
    standard : bool
        Whether the check is on a setting standard; otherwise it may be at zero.
    temperatures : bool
        Whether the temperatures of shaft and gauge must be noted.
    drift_mm : Decimal or None
        How far two checks may lie apart before the readings between them are in doubt.
    every_minutes, temperature_change_kelvin : int, Decimal or None
        After how long, and after what change of temperature, another check is due.
    """

    model_config = STRICT

    opening: Annotated[bool, Field(strict=True)] = False
    closing: Annotated[bool, Field(strict=True)] = False
    standard: Annotated[bool, Field(strict=True)] = False
    temperatures: Annotated[bool, Field(strict=True)] = False
    drift_mm: Annotated[LengthMm, Field(gt=0, le=1)] | None = Field(default=None, alias="drift")
    every_minutes: Annotated[int, Field(ge=1, le=1440, strict=True)] | None = None
    temperature_change_kelvin: Annotated[Number, Field(gt=0, le=100)] | None = None


class Signing(BaseModel):
    """Whether a seal must be signed, and whether the one who measured may also review."""

    model_config = STRICT

    signatures: Annotated[bool, Field(strict=True)] = False
    same_person_may_review: Annotated[bool, Field(strict=True)] = False

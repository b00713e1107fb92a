"""The ring that goes on a seat, as far as the fit with it can be worked out beforehand."""

from decimal import Decimal
from typing import Annotated, Literal

from pydantic import BaseModel, Field, ValidationInfo, model_validator

from seatproof.core.plan.fields import LengthMm, Text, length_text, plan_unit, refusal
from seatproof.core.plan.shaft import STRICT, PositiveMm


class RingFit(BaseModel):
    """A ring's bore and section, from the bearing maker's papers that `source` names.

    Attributes
    ----------
    bore_class : str or None
        Tolerance class of the bore (ISO 492); otherwise its limits are stated.
    bore_lower_mm, bore_upper_mm : Decimal or None
        Limits of the bore.
    ring_outer_mm : Decimal or None
        Outside diameter of a ring of the same stiffness: the equivalent raceway.
    shaft_bore_mm : Decimal
        Bore of a hollow shaft; zero for a solid one.
    clearance_lower_mm, clearance_upper_mm : Decimal or None
        Internal clearance of the bearing before it is fitted.
    closing_diameter_mm : Decimal or None
        Shaft diameter on which a ring in halves just closes.
    source : str
        Document and issue that the figures come from.
    """

    model_config = STRICT

    bore_class: Literal["normal", "6", "5"] | None = None
    bore_lower_mm: PositiveMm | None = Field(default=None, alias="bore_lower")
    bore_upper_mm: PositiveMm | None = Field(default=None, alias="bore_upper")
    ring_outer_mm: PositiveMm | None = Field(default=None, alias="ring_outer")
    shaft_bore_mm: Annotated[LengthMm, Field(ge=0)] = Field(default=Decimal(0), alias="shaft_bore")
    clearance_lower_mm: LengthMm | None = Field(default=None, alias="clearance_lower")
    clearance_upper_mm: LengthMm | None = Field(default=None, alias="clearance_upper")
    closing_diameter_mm: PositiveMm | None = Field(default=None, alias="closing_diameter")
    source: Text = ""

    @model_validator(mode="after")
    def _bounds_come_in_pairs(self, info: ValidationInfo) -> "RingFit":
        unit = plan_unit(info.context)
        pairs = (
            ("bore", self.bore_lower_mm, self.bore_upper_mm),
            ("clearance", self.clearance_lower_mm, self.clearance_upper_mm),
        )
        for name, lower, upper in pairs:
            if (lower is None) != (upper is None):
                raise refusal(f"has one of {name}_lower and {name}_upper only; give both")
            if lower is not None and upper is not None and lower > upper:
                raise refusal(
                    f"{name}_lower {length_text(lower, unit)} is above {name}_upper "
                    f"{length_text(upper, unit)}; they may be the wrong way round"
                )
        if self.bore_class is not None and self.bore_lower_mm is not None:
            raise refusal("has both a bore_class and stated bore limits; keep one of the two")
        return self

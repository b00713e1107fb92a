"""The shaft of a plan: its stepped outline, keyways and datums."""

from decimal import Decimal
from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field, ValidationInfo, model_validator

from seatproof.core.plan.fields import (
    LengthMm,
    Name,
    Number,
    Text,
    length_text,
    plan_unit,
    refusal,
)

# Only the names that a plan file has are taken: "from_mm = 2" would be inches in an inch plan.
STRICT = ConfigDict(frozen=True, extra="forbid", defer_build=True)
PositiveMm = Annotated[LengthMm, Field(gt=0)]
AngleDeg = Annotated[Number, Field(ge=0, lt=360)]


class Section(BaseModel):
    """A cylindrical step of the outline."""

    model_config = STRICT

    length_mm: PositiveMm = Field(alias="length")
    diameter_mm: PositiveMm = Field(alias="diameter")


class Keyway(BaseModel):
    """A keyway, counted from the datum face; `angle_deg` is where its middle lies."""

    model_config = STRICT

    from_mm: Annotated[LengthMm, Field(ge=0)] = Field(alias="from")
    length_mm: PositiveMm = Field(alias="length")
    width_mm: PositiveMm = Field(alias="width")
    depth_mm: PositiveMm = Field(alias="depth")
    angle_deg: AngleDeg = Decimal(0)


class Shaft(BaseModel):
    """The outline from the datum face onwards, and where lengths and angles begin."""

    model_config = STRICT

    name: Name
    datum_face: Name
    angular_datum: Name
    expansion_per_kelvin: Annotated[Number, Field(ge=0, le=Decimal("1e-4"))] = Decimal("11.5e-6")
    material: Text = ""
    sections: tuple[Section, ...] = Field(alias="section", min_length=1, max_length=200)
    keyways: tuple[Keyway, ...] = Field(default=(), alias="keyway", max_length=50)

    @property
    def length_mm(self) -> Decimal:
        return sum((section.length_mm for section in self.sections), Decimal(0))

    @property
    def largest_diameter_mm(self) -> Decimal:
        return max(section.diameter_mm for section in self.sections)

    def steps(self) -> tuple[tuple[Decimal, Decimal, Decimal], ...]:
        """Return (from, to, diameter) of every section in mm, from the datum face onwards."""
        steps = []
        start = Decimal(0)
        for section in self.sections:
            steps.append((start, start + section.length_mm, section.diameter_mm))
            start += section.length_mm
        return tuple(steps)

    @model_validator(mode="after")
    def _keyways_lie_on_the_shaft(self, info: ValidationInfo) -> "Shaft":
        unit = plan_unit(info.context)
        for number, keyway in enumerate(self.keyways, start=1):
            end_mm = keyway.from_mm + keyway.length_mm
            if end_mm > self.length_mm:
                raise refusal(
                    f"keyway {number} ends at {length_text(end_mm, unit)}, beyond the shaft's end "
                    f"at {length_text(self.length_mm, unit)}; shorten or move it"
                )
            covered = [
                diameter
                for start, end, diameter in self.steps()
                if start < end_mm and end > keyway.from_mm
            ]
            if keyway.depth_mm >= min(covered) / 2 or keyway.width_mm >= min(covered):
                raise refusal(
                    f"keyway {number}, {length_text(keyway.width_mm, unit)} wide and "
                    f"{length_text(keyway.depth_mm, unit)} deep, leaves nothing of a diameter of "
                    f"{length_text(min(covered), unit)}; correct its width or depth"
                )
        return self

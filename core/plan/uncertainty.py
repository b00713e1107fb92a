"""How sure a plan takes its values to be: U as stated, or what a budget is made from."""

from decimal import Decimal
from typing import Annotated, Any, Final, Literal

from pydantic import BaseModel, Discriminator, Field, Tag, model_validator

from seatproof.core.plan.fields import LengthMm, Name, Number, refusal
from seatproof.core.plan.shaft import STRICT

MAX_PART_MM: Final = Decimal(1)  # no single part of a micrometer's uncertainty is a millimetre

Part = Annotated[LengthMm, Field(ge=0, le=MAX_PART_MM)]


class StatedUncertainty(BaseModel):
    """The measuring uncertainty as the plan's author states it, with its ground.

    `expanded_mm` is U of one local size with `coverage_factor`; `repeatability_mm` is the standard
    deviation of one reading, which is the part that does not cancel in differences of readings.
    """

    model_config = STRICT

    method: Literal["stated"] = "stated"
    expanded_mm: Annotated[LengthMm, Field(gt=0)] = Field(alias="expanded")
    coverage_factor: Annotated[Number, Field(ge=1, le=4)] = Decimal(2)
    repeatability_mm: Annotated[LengthMm, Field(gt=0)] = Field(alias="repeatability")
    basis: Name


class BudgetUncertainty(BaseModel):
    """What the program cannot know of itself when it works out a budget for each value (GUM).

    Half-widths are of rectangular distributions. The parts of the gauge, of its calibration and
    of the setting standard come from the record of the inspection; those here from the plan.

    Attributes
    ----------
    repeatability_mm : Decimal or None
        Standard deviation of one reading, found from `repeatability_readings` readings; None where
        it is to be pooled from the repeats of the inspection itself.
    alignment_mm, faces_mm, force_mm : Decimal
        Half-widths of what the operator's alignment, the measuring faces and force may add.
    drift_mm : Decimal or None
        Half-width of what the gauge may drift between two reference checks, until the second of
        them was made; None for the limit that the plan sets to drift.
    temperature_kelvin, expansion_kelvin : Decimal
        Half-widths of the difference between the temperatures of shaft and gauge as they are
        noted, and of each of their expansion coefficients (per kelvin).
    missed_form_mm : Decimal
        What so few orientations may have missed of the form, a difference of radii: an assumption.
    coverage_probability : Decimal
        Of U; the factor k follows from it and from the effective degrees of freedom, unless
        `coverage_factor` fixes it.
    trials : int
        Number of Monte Carlo trials to begin with (JCGM 101).
    """

    model_config = STRICT

    method: Literal["budget"]
    repeatability_mm: Annotated[LengthMm, Field(gt=0, le=MAX_PART_MM)] | None = Field(
        default=None, alias="repeatability"
    )
    repeatability_readings: Annotated[int, Field(ge=2, le=100_000, strict=True)] | None = None
    alignment_mm: Part = Field(default=Decimal(0), alias="alignment")
    faces_mm: Part = Field(default=Decimal(0), alias="faces")
    force_mm: Part = Field(default=Decimal(0), alias="force")
    drift_mm: Part | None = Field(default=None, alias="drift")
    temperature_kelvin: Annotated[Number, Field(ge=0, le=100)] = Decimal(1)
    expansion_kelvin: Annotated[Number, Field(ge=0, le=Decimal("0.0001"))] = Decimal("0.000001")
    missed_form_mm: Part = Field(default=Decimal(0), alias="missed_form")
    coverage_probability: Annotated[Number, Field(ge=Decimal("0.5"), le=Decimal("0.9999"))] = (
        Decimal("0.9545")
    )
    coverage_factor: Annotated[Number, Field(ge=1, le=4)] | None = None
    trials: Annotated[int, Field(ge=1_000, le=1_000_000, strict=True)] = 20_000
    basis: Name

    @model_validator(mode="after")
    def _readings_belong_to_a_repeatability(self) -> "BudgetUncertainty":
        if self.repeatability_readings is not None and self.repeatability_mm is None:
            raise refusal(
                "repeatability_readings stands without a repeatability; give both, or neither to "
                "have it worked out from the repeats of the inspection"
            )
        return self


def _method(value: Any) -> str:
    """Tell which of the two is meant; one that names no method states its U."""
    named = value.get("method", "stated") if isinstance(value, dict) else value.method
    return named if named in ("stated", "budget") else "stated"


PlanUncertainty = Annotated[
    Annotated[StatedUncertainty, Tag("stated")] | Annotated[BudgetUncertainty, Tag("budget")],
    Discriminator(_method),
]

"""Fitting steps of a plan, as its author wrote them from the bearing maker's instructions.

The program ships no target values: every torque, gap and quantity is the author's, with the paper
and the issue that it comes from.
"""

from typing import Annotated, Any, Final, Literal, Self

from pydantic import BaseModel, BeforeValidator, Field, ValidationInfo, model_validator

from seatproof.core.fitting.order import circle_order, clamped_halves_order, two_rows_order
from seatproof.core.plan.fields import (
    LengthMm,
    Name,
    Number,
    Remark,
    Text,
    length_text,
    plan_unit,
    refusal,
)
from seatproof.core.plan.shaft import STRICT

MAX_BOLTS: Final = 64

StepId = Annotated[str, Field(pattern=r"^[A-Za-z0-9][A-Za-z0-9_-]{0,23}$")]
TorqueUnit = Literal["N m", "lbf ft", "lbf in"]


class Source(BaseModel):
    """The paper that a step comes from, and its issue; both empty until the author has them."""

    model_config = STRICT

    document: Text = ""
    issue: Text = ""

    @property
    def is_stated(self) -> bool:
        return bool(self.document and self.issue)

    def __str__(self) -> str:
        return f"{self.document}, issue {self.issue}" if self.is_stated else "no source stated"


class Step(BaseModel):
    """What all fitting steps have: what to do, which seat it belongs to, and what to mind."""

    model_config = STRICT

    id: StepId
    text: Name
    seat: Text | None = None
    caution: Remark = ""
    source: Source = Source()

    @property
    def needs_source(self) -> bool:
        """Whether the step holds a figure, so that an empty source cannot be sealed."""
        return False


class CheckStep(Step):
    """Something to look at: met, not met, or not applicable."""

    kind: Literal["check"]


class IdentityStep(Step):
    """Parts that belong together: the numbers read from them must be equal, or match as stated.

    `expected` is what each must read, where that is known beforehand.
    """

    kind: Literal["identity"]
    parts: tuple[Name, ...] = Field(min_length=2, max_length=12)
    expected: Text | None = None


class CountStep(Step):
    """The shaft turned by hand, the drive locked out, a number of times: free or not free."""

    kind: Literal["count"]
    turns: Annotated[int, Field(ge=1, le=100, strict=True)]


class ValueStep(Step):
    """Lengths with limits, at one or more places: a clearance, or the joint gaps of a ring.

    With `joint_gaps` the places are the joints of a ring in halves: the gaps must be equal within
    `equal_within_mm` and above zero, and are compared with the opening that the measured size of
    the seat predicts.
    """

    kind: Literal["value"]
    places: tuple[Name, ...] = Field(min_length=1, max_length=24)
    lower_mm: LengthMm | None = Field(default=None, alias="lower")
    upper_mm: LengthMm | None = Field(default=None, alias="upper")
    joint_gaps: Annotated[bool, Field(strict=True)] = False
    equal_within_mm: Annotated[LengthMm, Field(ge=0)] | None = Field(
        default=None, alias="equal_within"
    )

    @property
    def needs_source(self) -> bool:
        return self.lower_mm is not None or self.upper_mm is not None

    @model_validator(mode="after")
    def _limits_are_in_order(self, info: ValidationInfo) -> Self:
        unit = plan_unit(info.context)
        lower, upper = self.lower_mm, self.upper_mm
        if lower is not None and upper is not None and lower > upper:
            raise refusal(
                f"lower {length_text(lower, unit)} is above upper {length_text(upper, unit)}; "
                "they may be the wrong way round"
            )
        if self.joint_gaps and len(self.places) < 2:
            raise refusal("has joint gaps at one place only; a ring in halves has two joints")
        if self.equal_within_mm is not None and not self.joint_gaps:
            raise refusal(
                "has equal_within without joint_gaps; set joint_gaps = true or take it out"
            )
        return self


class QuantityStep(Step):
    """How much of something was put in, such as grease."""

    kind: Literal["quantity"]
    unit: Annotated[str, Field(pattern=r"^(g|kg|ml|l|oz|lb)$")]
    lower: Annotated[Number, Field(ge=0)] | None = None
    upper: Annotated[Number, Field(ge=0)] | None = None

    @property
    def needs_source(self) -> bool:
        return self.lower is not None or self.upper is not None

    @model_validator(mode="after")
    def _limits_are_in_order(self) -> Self:
        if self.lower is not None and self.upper is not None and self.lower > self.upper:
            raise refusal(
                f"lower {self.lower} is above upper {self.upper}; they may be the wrong way round"
            )
        return self


class TorqueStage(BaseModel):
    """One round of tightening.

    ``snug`` and ``check`` may go without a target: snug is by hand, and a check pass is over when
    no bolt turns any more. `order` names the bolts in the order of this round, where it differs.
    """

    model_config = STRICT

    name: Name
    kind: Literal["snug", "part", "full", "check"]
    target: Annotated[Number, Field(gt=0)] | None = None
    tolerance: Annotated[Number, Field(gt=0)] | None = None
    order: tuple[Name, ...] | None = Field(default=None, max_length=MAX_BOLTS)

    @model_validator(mode="after")
    def _targets_are_whole(self) -> Self:
        if self.kind in ("part", "full") and self.target is None:
            raise refusal(f"is a {self.kind} stage; give its target from the maker's instructions")
        if self.tolerance is not None and self.target is None:
            raise refusal("has a tolerance but no target; give both")
        if self.target is not None and self.tolerance is None:
            raise refusal("has a target but no tolerance; give both, in the step's unit")
        return self


def _bolts(value: Any) -> int | tuple[Any, ...]:
    if isinstance(value, int) and not isinstance(value, bool):
        if not 1 <= value <= MAX_BOLTS:
            raise refusal(f"must be 1 to {MAX_BOLTS}")
        return value
    if isinstance(value, list | tuple):
        return tuple(value)
    raise refusal("is neither a count such as 6 nor a list of names")


class TorqueStep(Step):
    """Bolts tightened in stages, in an order, to stated torques.

    Attributes
    ----------
    pattern : str
        Where the bolts sit: on a circle, at the joints of a ring in halves under two clamping
        rings, or in two rows.
    bolts : int or tuple of str
        How many there are, named 1, 2, … as they come; or their names, clockwise seen from the
        heads, by clamping ring and joint, or row by row.
    unit : str
        Unit of torque.
    tool_class : str
        What is asked of the tool (ISO 6789), in the author's words.
    """

    kind: Literal["torque"]
    pattern: Literal["circle", "clamped halves", "two rows"]
    bolts: Annotated[int | tuple[Name, ...], BeforeValidator(_bolts)]
    unit: TorqueUnit = "N m"
    tool_class: Text = ""
    stages: tuple[TorqueStage, ...] = Field(alias="stage", min_length=1, max_length=12)

    @property
    def needs_source(self) -> bool:
        return True

    @property
    def bolt_names(self) -> tuple[str, ...]:
        if isinstance(self.bolts, int):
            return tuple(str(number) for number in range(1, self.bolts + 1))
        return self.bolts

    @property
    def proposed_order(self) -> tuple[str, ...]:
        """The order that the pattern suggests."""
        names = self.bolt_names
        if self.pattern == "clamped halves":
            order = clamped_halves_order(len(names) // 4)
        elif self.pattern == "two rows":
            order = two_rows_order(len(names) // 2)
        else:
            order = circle_order(len(names))
        return tuple(names[index] for index in order)

    def order_of(self, stage: int) -> tuple[str, ...]:
        """Return the order of a stage, counted from 0: its own, or the proposed one."""
        return self.stages[stage].order or self.proposed_order

    @model_validator(mode="after")
    def _bolts_fit_the_pattern(self) -> Self:
        names = self.bolt_names
        if not 1 <= len(names) <= MAX_BOLTS:
            raise refusal(f"bolts: give 1 to {MAX_BOLTS} of them")
        for name in names:
            if names.count(name) > 1:
                raise refusal(f'bolts: holds "{name}" twice; name every bolt once')
        shares = {"clamped halves": 4, "two rows": 2}.get(self.pattern, 1)
        if len(names) % shares:
            raise refusal(
                f"bolts: {len(names)} cannot be shared out over {shares} places; the pattern "
                f"{self.pattern} needs a multiple of {shares}"
            )
        for stage in self.stages:
            if stage.order is not None and sorted(stage.order) != sorted(names):
                raise refusal(
                    f'stage "{stage.name}": its order does not hold every bolt once; name '
                    f"{', '.join(names)} in the order wanted, or leave it out"
                )
        return self


FittingStep = Annotated[
    CheckStep | IdentityStep | CountStep | ValueStep | QuantityStep | TorqueStep,
    Field(discriminator="kind"),
]

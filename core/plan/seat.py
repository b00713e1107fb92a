"""A seat of a plan: where it lies, the size and form asked of it, and the points to measure."""

from decimal import Decimal
from functools import cached_property
from typing import Annotated, Any, Final, Literal

from pydantic import (
    BaseModel,
    BeforeValidator,
    Field,
    PlainSerializer,
    SerializationInfo,
    ValidationInfo,
    field_validator,
    model_validator,
)

from seatproof.core.limits.errors import LimitsError
from seatproof.core.limits.iso286 import class_limits, form_tolerance_um
from seatproof.core.plan.fields import (
    LengthMm,
    Name,
    Number,
    Text,
    length_text,
    number,
    plan_unit,
    refusal,
)
from seatproof.core.plan.ring import RingFit
from seatproof.core.plan.shaft import STRICT, PositiveMm
from seatproof.core.units import UM_PER_MM, from_mm, to_mm

MAX_STATIONS = 100
MAX_ORIENTATIONS = 360
MAX_FORM_TOLERANCE_MM = Decimal(1)  # more is micrometres written for millimetres, or thousandths

Judged = Literal["local sizes", "station means", "overall mean"]
MeasuringMethod = Literal["two-point", "radial", "vee"]


def _positions(value: Any, info: ValidationInfo) -> int | tuple[Decimal, ...]:
    if isinstance(value, bool):
        raise refusal("is neither a count nor a list of positions")
    if isinstance(value, int):
        return value
    if isinstance(value, list | tuple):
        unit = plan_unit(info.context)
        return tuple(to_mm(number(item), unit) for item in value)
    raise refusal("is neither a count such as 5 nor a list of positions such as [158, 180, 202]")


def _positions_out(value: int | tuple[Decimal, ...], info: SerializationInfo) -> Any:
    if isinstance(value, int):
        return value
    return [from_mm(item, plan_unit(info.context)) for item in value]


def _angles(value: Any) -> int | tuple[Decimal, ...]:
    if isinstance(value, bool):
        raise refusal("is neither a count nor a list of angles")
    if isinstance(value, int):
        return value
    if isinstance(value, list | tuple):
        return tuple(number(item) for item in value)
    raise refusal("is neither a count such as 6 nor a list of angles such as [0, 60, 120]")


Positions = Annotated[
    int | tuple[Decimal, ...], BeforeValidator(_positions), PlainSerializer(_positions_out)
]
Angles = Annotated[int | tuple[Decimal, ...], BeforeValidator(_angles)]


def _tolerance(value: Any, info: ValidationInfo) -> str | Decimal:
    """Read a length in the plan's unit, or keep the text of a standard tolerance (``IT5/2``)."""
    if isinstance(value, str) and value.strip().upper().startswith("IT"):
        return value.strip().upper()
    return to_mm(number(value), plan_unit(info.context))


def _tolerance_out(value: str | Decimal, info: SerializationInfo) -> str | Decimal:
    return value if isinstance(value, str) else from_mm(value, plan_unit(info.context))


class FormTolerance(BaseModel):
    """A tolerance of form, as a length or as a share of a standard tolerance grade (``IT5/2``).

    `sense` says whether the figure is a difference of radii (as ISO 1101 means it) or of
    diameters (as a micrometer shows it): mixing the two is an error by a factor of two.
    """

    model_config = STRICT

    tolerance: Annotated[
        str | Decimal, BeforeValidator(_tolerance), PlainSerializer(_tolerance_out)
    ]
    sense: Literal["radial", "diametral"]

    def limit_um(self, nominal_mm: Decimal) -> float:
        """Return the tolerance in micrometres, in its own sense."""
        if isinstance(self.tolerance, str):
            return float(form_tolerance_um(nominal_mm, self.tolerance))
        # Multiplied while it is a decimal, so that a value on the limit is on the limit.
        return float(self.tolerance * 1000)

    def radial_um(self, nominal_mm: Decimal) -> float:
        """Return the tolerance in micrometres as a difference of radii."""
        return self.limit_um(nominal_mm) / (1.0 if self.sense == "radial" else 2.0)

    def diametral_um(self, nominal_mm: Decimal) -> float:
        """Return the tolerance in micrometres as a difference of diameters."""
        return self.limit_um(nominal_mm) * (2.0 if self.sense == "radial" else 1.0)


class OddLobes(BaseModel):
    """What the plan's author takes odd lobes to be at most, and on what ground.

    A two-point measurement cannot see them, so a roundness or cylindricity can be found to conform
    only under such an assumption, which then stands beside the verdict.
    """

    model_config = STRICT

    at_most_mm: Annotated[LengthMm, Field(ge=0)] = Field(alias="at_most")
    basis: Name


_SIZE_KEYS: Final = ("tolerance_class", "lower_size_mm", "upper_size_mm")
_REQUIREMENTS: Final = ("roundness", "cylindricity", "taper", "run_out", "total_run_out", "fit")


class Seat(BaseModel):
    """A cylindrical seat for a bearing ring, and one set of readings to be taken on it.

    A `two-point` set is of diameters. A `radial` set (indicator against the shaft) and a `vee` set
    (indicator over a vee block of `vee_angle_deg`) show form only, from an indicator whose zero
    means nothing, so they bear no limits of size. A seat measured in several ways is written once
    for each way, all but the first with `same_seat_as` and without requirements: what the first one
    asks for is judged from all of them together.
    """

    model_config = STRICT

    id: Annotated[str, Field(pattern=r"^[A-Za-z0-9][A-Za-z0-9_-]{0,11}$")]
    name: Name
    ring: Literal["closed", "halves"] = "closed"
    from_mm: Annotated[LengthMm, Field(ge=0)] = Field(alias="from")
    length_mm: PositiveMm = Field(alias="length")
    nominal_mm: PositiveMm = Field(alias="nominal")
    tolerance_class: Text | None = None
    upper_size_mm: PositiveMm | None = Field(default=None, alias="upper_size")
    lower_size_mm: PositiveMm | None = Field(default=None, alias="lower_size")
    judged: Judged = "local sizes"
    method: MeasuringMethod = "two-point"
    vee_angle_deg: Annotated[Number, Field(gt=0, lt=180)] | None = None
    indicator: Literal["opposite the vee", "inside the vee"] = "opposite the vee"
    same_seat_as: Text | None = None
    edge_exclusion_mm: Annotated[LengthMm, Field(ge=0)] = Field(
        default=Decimal(0), alias="edge_exclusion"
    )
    stations: Positions
    orientations: Angles
    repeats: Annotated[int, Field(ge=1, le=20, strict=True)] = 1
    repeat_value: Literal["mean", "median", "largest"] = "mean"
    repeat_spread_mm: Annotated[LengthMm, Field(gt=0)] | None = Field(
        default=None, alias="repeat_spread"
    )
    plausible_mm: Annotated[LengthMm, Field(gt=0)] | None = Field(default=None, alias="plausible")
    reference_circle: Literal["minimum zone", "least squares"] = "minimum zone"
    roundness: FormTolerance | None = None
    cylindricity: FormTolerance | None = None
    taper: FormTolerance | None = None
    run_out: FormTolerance | None = None
    total_run_out: FormTolerance | None = None
    odd_lobes: OddLobes | None = None
    fit: RingFit | None = None

    @property
    def to_mm(self) -> Decimal:
        return self.from_mm + self.length_mm

    @property
    def has_size(self) -> bool:
        """Whether the readings are sizes, and limits of size stand against them."""
        return self.method == "two-point" and self.same_seat_as is None

    @property
    def turn_deg(self) -> int:
        """After which angle the same reading comes again: half a turn for diameters."""
        return 180 if self.method == "two-point" else 360

    @cached_property
    def limits_mm(self) -> tuple[Decimal, Decimal]:
        """Lower and upper limit of size in mm, exact; `ValueError` without `has_size`."""
        if not self.has_size:
            raise ValueError(f"seat {self.id} has no limits of size")
        if self.tolerance_class is not None:
            limits = class_limits(self.nominal_mm, self.tolerance_class)
            return limits.min_mm, limits.max_mm
        assert self.lower_size_mm is not None  # the validator saw to it
        assert self.upper_size_mm is not None
        return self.lower_size_mm, self.upper_size_mm

    @cached_property
    def stations_mm(self) -> tuple[Decimal, ...]:
        """Positions of the stations from the datum face, in mm, in the order of measuring."""
        if not isinstance(self.stations, int):
            return self.stations
        first, last = self.from_mm + self.edge_exclusion_mm, self.to_mm - self.edge_exclusion_mm
        if self.stations == 1:
            return ((first + last) / 2,)
        # Multiplied before it is divided, so that the last station is the end itself.
        steps = self.stations - 1
        return tuple(first + (last - first) * index / steps for index in range(self.stations))

    @cached_property
    def orientations_deg(self) -> tuple[Decimal, ...]:
        """Angles of the orientations from the angular datum, in degrees."""
        if not isinstance(self.orientations, int):
            return self.orientations
        turn_deg = Decimal(self.turn_deg)
        return tuple(turn_deg * index / self.orientations for index in range(self.orientations))

    @field_validator("stations")
    @classmethod
    def _count_stations(cls, value: int | tuple[Decimal, ...]) -> int | tuple[Decimal, ...]:
        count = value if isinstance(value, int) else len(value)
        if not 1 <= count <= MAX_STATIONS:
            raise refusal(f"must give 1 to {MAX_STATIONS} stations")
        return value

    @field_validator("orientations")
    @classmethod
    def _check_orientations(
        cls, value: int | tuple[Decimal, ...], info: ValidationInfo
    ) -> int | tuple[Decimal, ...]:
        count = value if isinstance(value, int) else len(value)
        if not 1 <= count <= MAX_ORIENTATIONS:
            raise refusal(f"must give 1 to {MAX_ORIENTATIONS} orientations")
        if not isinstance(value, int):
            for angle_deg in value:
                if info.data.get("method") == "two-point" and not 0 <= angle_deg < 180:
                    raise refusal(
                        f"holds {angle_deg:f}°; a diameter is measured at 0° or more and below "
                        f"180°, beyond which the same diameter comes again"
                    )
                if not 0 <= angle_deg < 360:
                    raise refusal(f"holds {angle_deg:f}°; give angles of 0° or more, below 360°")
            if len(set(value)) < count:
                twice = next(angle for angle in value if value.count(angle) > 1)
                raise refusal(f"holds {twice:f}° twice; name every orientation once")
        return value

    @model_validator(mode="after")
    def _method_is_whole(self) -> "Seat":
        if (self.method == "vee") != (self.vee_angle_deg is not None):
            if self.method == "vee":
                raise refusal("is measured in a vee; give the block's vee_angle_deg, such as 90")
            raise refusal("has a vee_angle_deg, but its method is not vee; correct one of the two")
        return self

    @model_validator(mode="after")
    def _requirements_fit_the_method(self) -> "Seat":
        if self.same_seat_as is not None:
            if any(getattr(self, name) is not None for name in (*_SIZE_KEYS, *_REQUIREMENTS)):
                raise refusal(
                    f"is a further set of readings on seat {self.same_seat_as}; write the limits "
                    "and tolerances there, and only there"
                )
        elif self.method != "two-point":
            if any(getattr(self, name) is not None for name in _SIZE_KEYS):
                raise refusal(
                    f"is measured by the {self.method} method, which shows no size; take the "
                    "limits of size out, or measure two-point first and name this set's seat "
                    "with same_seat_as"
                )
            if self.taper is not None:
                raise refusal(
                    f"is measured by the {self.method} method, which shows no taper of diameters; "
                    "take the taper out"
                )
        return self

    @model_validator(mode="after")
    def _limits_are_given_once(self, info: ValidationInfo) -> "Seat":
        if not self.has_size:
            return self
        unit = plan_unit(info.context)
        stated = (self.lower_size_mm is not None, self.upper_size_mm is not None)
        if self.tolerance_class is not None:
            if any(stated):
                raise refusal(
                    "has both a tolerance_class and stated sizes; keep one of the two, so that "
                    "nobody has to guess which one counts"
                )
            try:
                class_limits(self.nominal_mm, self.tolerance_class)
            except LimitsError as error:
                raise refusal(f"tolerance_class: {error}") from error
            if self.tolerance_class[:1].isupper():
                raise refusal(
                    f"tolerance_class: {self.tolerance_class} is a class for holes; "
                    f"a shaft's seat has a small letter, such as {self.tolerance_class.lower()}"
                )
            return self
        if not all(stated):
            raise refusal(
                'has no limits of size; give a tolerance_class such as "k6", or both '
                "lower_size and upper_size"
            )
        lower, upper = self.limits_mm
        if lower >= upper:
            raise refusal(
                f"upper_size {length_text(upper, unit)} is not above lower_size "
                f"{length_text(lower, unit)}; they may be the wrong way round"
            )
        if not (
            abs(lower / self.nominal_mm - 1) < Decimal("0.05") > abs(upper / self.nominal_mm - 1)
        ):
            raise refusal(
                f"sizes {length_text(lower, unit)} to {length_text(upper, unit)} are far from the "
                f"nominal {length_text(self.nominal_mm, unit)}; give sizes, not deviations"
            )
        return self

    @model_validator(mode="after")
    def _stations_lie_on_the_seat(self, info: ValidationInfo) -> "Seat":
        unit = plan_unit(info.context)
        first, last = self.from_mm + self.edge_exclusion_mm, self.to_mm - self.edge_exclusion_mm
        if first > last or (first == last and len(self.stations_mm) > 1):
            raise refusal(
                f"edge_exclusion {length_text(self.edge_exclusion_mm, unit)} at both ends leaves "
                f"nothing of a length of {length_text(self.length_mm, unit)}; make it smaller"
            )
        seen: set[Decimal] = set()
        for z_mm in self.stations_mm:
            if not first <= z_mm <= last:
                raise refusal(
                    f"stations: {length_text(z_mm, unit)} lies outside the measurable part of the "
                    f"seat, {length_text(first, unit)} to {length_text(last, unit)} from the datum "
                    "face; move it or change the edge_exclusion"
                )
            if z_mm in seen:
                raise refusal(
                    f"stations: {length_text(z_mm, unit)} stands twice; name every station once"
                )
            seen.add(z_mm)
        return self

    @model_validator(mode="after")
    def _form_tolerances_exist(self, info: ValidationInfo) -> "Seat":
        unit = plan_unit(info.context)
        for name in _REQUIREMENTS[:-1]:
            form: FormTolerance | None = getattr(self, name)
            if form is None:
                continue
            try:
                limit_um = form.limit_um(self.nominal_mm)
            except LimitsError as error:
                raise refusal(f"{name}.tolerance: {error}") from error
            if limit_um <= 0:
                raise refusal(f"{name}.tolerance must be above zero")
            if limit_um > float(MAX_FORM_TOLERANCE_MM) * UM_PER_MM:
                raise refusal(
                    f"{name}.tolerance is more than {length_text(MAX_FORM_TOLERANCE_MM, unit)}, "
                    f"which is no tolerance of form; write it in the plan's unit, {unit}"
                )
        return self

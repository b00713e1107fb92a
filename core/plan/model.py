"""A plan as a whole: a shaft, its seats, and the rules by which they are judged."""

from decimal import Decimal
from functools import cached_property
from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, Field, field_validator, model_validator

from seatproof.core.plan.fields import Name, Remark, Text, length_text, refusal
from seatproof.core.plan.fitting import FittingStep
from seatproof.core.plan.judging import Checks, Decision, Signing
from seatproof.core.plan.points import Point, PointKey, Walk, in_walking_order
from seatproof.core.plan.seat import Seat
from seatproof.core.plan.shaft import STRICT, Shaft
from seatproof.core.plan.uncertainty import PlanUncertainty, StatedUncertainty
from seatproof.core.units import Unit

FORMAT = 1

# The outline may differ from a seat's nominal size by a drawing's rounding, not by more.
OUTLINE_MATCH_MM = Decimal("0.5")


class Heading(BaseModel):
    """What the plan is and to which drawing it belongs."""

    model_config = STRICT

    title: Name
    version: Name
    unit: Literal[Unit.MM, Unit.INCH]
    organisation: Text = ""
    drawing: Text = ""
    instructions: Text = ""
    remark: Remark = ""
    paper: Literal["A4", "Letter"] = "A4"
    language: Literal["en", "de", "es"] = "en"


def _whole_number(value: Any) -> Any:
    """Refuse what Python takes for 1 and a reader of the file does not."""
    if type(value) is not int:
        raise refusal("is not a whole number; write format = 1")
    return value


class Plan(BaseModel):
    """What is to be measured on a shaft and how it is judged; every length in mm, exact."""

    model_config = STRICT

    format: Annotated[Literal[1], BeforeValidator(_whole_number)]
    heading: Heading = Field(alias="plan")
    shaft: Shaft
    seats: tuple[Seat, ...] = Field(alias="seat", min_length=1, max_length=20)
    uncertainty: PlanUncertainty
    decision: Decision = Decision()
    checks: Checks = Checks()
    conditions: tuple[Name, ...] = Field(default=(), max_length=30)
    signing: Signing = Signing()
    fitting: tuple[FittingStep, ...] = Field(default=(), alias="fitting", max_length=100)
    walk: Walk = "station by station"
    there_and_back: Annotated[bool, Field(strict=True)] = False

    @property
    def unit(self) -> Unit:
        return self.heading.unit

    @property
    def stated_uncertainty(self) -> StatedUncertainty:
        """The uncertainty as stated; `ValueError` for a plan that works with a budget."""
        if not isinstance(self.uncertainty, StatedUncertainty):
            raise ValueError("the plan states no uncertainty; it works with a budget")
        return self.uncertainty

    @cached_property
    def seats_apart(self) -> tuple[Seat, ...]:
        """The seats as they lie on the shaft: further sets of readings on one are left out."""
        return tuple(seat for seat in self.seats if seat.same_seat_as is None)

    def sets_of(self, seat_id: str) -> tuple[Seat, ...]:
        """Return the seat and every further set of readings on it; `KeyError` as `seat`."""
        first = self.seat(seat_id)
        return (first, *(seat for seat in self.seats if seat.same_seat_as == first.id))

    def seat(self, seat_id: str) -> Seat:
        """Return the seat of that id; `KeyError` where the plan has none."""
        return self._seats_by_id[seat_id]

    @cached_property
    def _seats_by_id(self) -> dict[str, Seat]:
        return {seat.id: seat for seat in self.seats}

    @cached_property
    def _points(self) -> tuple[Point, ...]:
        points: list[Point] = []
        for seat in self.seats:
            of_seat = [
                Point(PointKey(seat.id, station, orientation), float(z_mm), float(angle_deg))
                for station, z_mm in enumerate(seat.stations_mm, start=1)
                for orientation, angle_deg in enumerate(seat.orientations_deg, start=1)
            ]
            points.extend(in_walking_order(of_seat, self.walk, self.there_and_back))
        return tuple(points)

    def has_point(self, key: PointKey) -> bool:
        seat = self._seats_by_id.get(key.seat_id)
        return (
            seat is not None
            and 1 <= key.station <= len(seat.stations_mm)
            and 1 <= key.orientation <= len(seat.orientations_deg)
        )

    @cached_property
    def _points_by_seat(self) -> dict[str, tuple[Point, ...]]:
        return {
            seat.id: tuple(point for point in self._points if point.key.seat_id == seat.id)
            for seat in self.seats
        }

    def points_of(self, seat_id: str) -> tuple[Point, ...]:
        """Return the points of a seat in the order of the walk; `KeyError` for an unknown seat."""
        return self._points_by_seat[seat_id]

    def points(self) -> tuple[Point, ...]:
        """Return every point in the order of the walk."""
        return self._points

    @model_validator(mode="after")
    def _seats_lie_on_the_shaft(self) -> "Plan":
        unit = self.unit
        seen: dict[str, Seat] = {}
        for seat in self.seats:
            if seat.id in seen:
                raise refusal(f'seat "{seat.id}" stands twice; give every seat an id of its own')
            if seat.to_mm > self.shaft.length_mm:
                raise refusal(
                    f'seat "{seat.id}" ends at {length_text(seat.to_mm, unit)}, beyond the '
                    f"shaft's end at {length_text(self.shaft.length_mm, unit)}; correct the "
                    "seat's from or length, or the shaft's sections"
                )
            for start, end, diameter in self.shaft.steps():
                covers = start < seat.to_mm and end > seat.from_mm
                if covers and abs(diameter - seat.nominal_mm) > OUTLINE_MATCH_MM:
                    raise refusal(
                        f'seat "{seat.id}" has a nominal size of '
                        f"{length_text(seat.nominal_mm, unit)}, but the shaft's outline is "
                        f"{length_text(diameter, unit)} between {length_text(start, unit)} and "
                        f"{length_text(end, unit)}; correct one of the two"
                    )
            self._check_further_set(seat, seen)
            for other in seen.values():
                if seat.same_seat_as is not None or other.same_seat_as is not None:
                    continue
                if seat.from_mm < other.to_mm and other.from_mm < seat.to_mm:
                    raise refusal(
                        f'seats "{other.id}" and "{seat.id}" overlap along the shaft; '
                        "correct the from or length of one of them"
                    )
            seen[seat.id] = seat
        return self

    @staticmethod
    def _check_further_set(seat: Seat, seen: dict[str, Seat]) -> None:
        if seat.same_seat_as is None:
            return
        first = seen.get(seat.same_seat_as)
        if first is None or first.same_seat_as is not None:
            raise refusal(
                f'seat "{seat.id}" is a further set of readings on seat "{seat.same_seat_as}", '
                "which does not stand before it; name the seat that comes first and has the limits"
            )
        same = ("from_mm", "length_mm", "nominal_mm")
        if any(getattr(seat, name) != getattr(first, name) for name in same):
            raise refusal(
                f'seat "{seat.id}" is said to be the same as "{first.id}"; give both the same '
                "from, length and nominal"
            )

    @field_validator("conditions")
    @classmethod
    def _conditions_differ(cls, value: tuple[str, ...]) -> tuple[str, ...]:
        for condition in value:
            if value.count(condition) > 1:
                raise refusal(f'holds "{condition}" twice; name every condition once')
        return value

    @model_validator(mode="after")
    def _fitting_steps_belong_to_the_plan(self) -> "Plan":
        seen: set[str] = set()
        for step in self.fitting:
            if step.id in seen:
                raise refusal(f'fitting step "{step.id}" stands twice; give every step its own id')
            seen.add(step.id)
            if step.seat is not None and step.seat not in self._seats_by_id:
                raise refusal(
                    f'fitting step "{step.id}" belongs to seat "{step.seat}", which the plan does '
                    "not have; correct the seat or leave it out"
                )
        return self

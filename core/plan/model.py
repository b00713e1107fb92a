"""A plan as a whole: a shaft, its seats, and the rules by which they are judged."""

from decimal import Decimal
from functools import cached_property
from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, Field, model_validator

from seatproof.core.plan.fields import LengthMm, Name, Number, Remark, Text, length_text, refusal
from seatproof.core.plan.points import Point, PointKey
from seatproof.core.plan.seat import Seat
from seatproof.core.plan.shaft import STRICT, Shaft
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


class StatedUncertainty(BaseModel):
    """The measuring uncertainty as the plan's author states it, with its ground.

    `expanded_mm` is U of one local size with `coverage_factor`; `repeatability_mm` is the standard
    deviation of one reading, which is the part that does not cancel in differences of readings.
    """

    model_config = STRICT

    expanded_mm: Annotated[LengthMm, Field(gt=0)] = Field(alias="expanded")
    coverage_factor: Annotated[Number, Field(ge=1, le=4)] = Decimal(2)
    repeatability_mm: Annotated[LengthMm, Field(gt=0)] = Field(alias="repeatability")
    basis: Name


class Decision(BaseModel):
    """The rule by which a value with its uncertainty becomes a verdict.

    ``guard band`` proves conformity as ISO 14253-1 asks, at `probability`; ``simple`` compares the
    value itself with the limit (the risk at the limit is then shared half and half).
    """

    model_config = STRICT

    rule: Literal["guard band", "simple"] = "guard band"
    probability: Annotated[Number, Field(ge=Decimal("0.5"), le=Decimal("0.999"))] = Decimal("0.95")


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
    uncertainty: StatedUncertainty
    decision: Decision = Decision()
    walk: Literal["station by station", "orientation by orientation"] = "station by station"

    @property
    def unit(self) -> Unit:
        return self.heading.unit

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
            if self.walk == "orientation by orientation":
                of_seat.sort(key=lambda point: (point.orientation, point.station))
            points.extend(of_seat)
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
            for other in seen.values():
                if seat.from_mm < other.to_mm and other.from_mm < seat.to_mm:
                    raise refusal(
                        f'seats "{other.id}" and "{seat.id}" overlap along the shaft; '
                        "correct the from or length of one of them"
                    )
            seen[seat.id] = seat
        return self

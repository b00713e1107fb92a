"""As much of a plan as can be drawn while it is being written."""

from decimal import Decimal
from typing import Any, Final, TypeVar

from pydantic import BaseModel, ValidationError

from seatproof.core.plan.model import Heading, Plan
from seatproof.core.plan.seat import MAX_ORIENTATIONS, MAX_STATIONS, Seat
from seatproof.core.plan.shaft import Keyway, Section, Shaft
from seatproof.core.plan.uncertainty import StatedUncertainty
from seatproof.core.units import Unit
from seatproof.gui.plans.draft import Data

# A drawing asks for none; whoever took a sketch for a plan would find that nothing is proven.
_NONE: Final = StatedUncertainty.model_construct(
    expanded_mm=Decimal("Infinity"), repeatability_mm=Decimal("Infinity"), basis="sketch"
)
M = TypeVar("M", bound=BaseModel)
_SIZE: Final = ("tolerance_class", "lower_size", "upper_size")
_PLACE: Final = ("id", "from", "length", "nominal")


def sketch_of(data: Data, unit: Unit) -> Plan | None:
    """Return a plan of whatever is whole already, only to be drawn; None without any outline.

    Parameters
    ----------
    data : dict
        As `toml_data` gives it.
    unit : Unit
        Of its lengths.

    Returns
    -------
    Plan or None
        It may have no seats, and it was not checked as a whole: never measure by it.
    """
    shaft = _shaft(data.get("shaft", {}), unit)
    if shaft is None:
        return None
    seats: list[Seat] = []
    for entry in data.get("seat", ()):
        seat = _seat(entry, unit)
        if (
            seat is not None
            and seat.to_mm <= shaft.length_mm
            and all(seat.id != other.id for other in seats)
            and not any(
                seat.from_mm < other.to_mm and other.from_mm < seat.to_mm for other in seats
            )
        ):
            seats.append(seat)
    return Plan.model_construct(
        format=1,
        heading=Heading.model_construct(
            title="", version="", unit=Unit.INCH if unit is Unit.INCH else Unit.MM
        ),
        shaft=shaft,
        seats=tuple(seats),
        uncertainty=_NONE,
    )


def _shaft(table: Any, unit: Unit) -> Shaft | None:
    sections = [
        entry for entry in table.get("section", ()) if _valid(Section, entry, unit) is not None
    ]
    if not sections:
        return None
    whole = {
        "name": table.get("name", "") or "shaft",
        "datum_face": table.get("datum_face", "") or "datum face",
        "angular_datum": table.get("angular_datum", "") or "datum",
        "section": sections,
    }
    keyways = [
        entry for entry in table.get("keyway", ()) if _valid(Keyway, entry, unit) is not None
    ]
    return (
        _valid(Shaft, whole | {"keyway": keyways}, unit)
        or _valid(Shaft, whole, unit)
        or _valid(Shaft, {"name": "shaft", "datum_face": "datum face", "angular_datum": "datum",
                          "section": sections}, unit)
    )  # fmt: skip


def _seat(entry: Data, unit: Unit) -> Seat | None:
    """Return a seat as it is, or its place alone, lettered as one whose size is not stated."""
    whole = _valid(Seat, entry, unit)
    if whole is not None:
        return whole if whole.same_seat_as is None else None
    if entry.get("same_seat_as"):
        return None
    bare: Data = {key: entry[key] for key in _PLACE if key in entry} | {"name": "seat"}
    points = (("stations", MAX_STATIONS), ("orientations", MAX_ORIENTATIONS))
    for key, most in points:
        count = entry.get(key)
        bare[key] = count if isinstance(count, int) and 1 <= count <= most else 1
    size = {key: entry[key] for key in _SIZE if key in entry}
    return _valid(Seat, bare | size, unit) or _valid(Seat, bare | {"method": "radial"}, unit)


def _valid(model: type[M], entry: Any, unit: Unit) -> M | None:
    try:
        return model.model_validate(entry, context={"unit": unit})
    except ValidationError:
        return None

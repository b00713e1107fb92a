"""The JSON that ``seatproof form`` reads: "kind", "unit", and "points" or angles and radii."""

from collections.abc import Callable
from pathlib import Path
from typing import Annotated, Any, Final

import numpy as np
from pydantic import BaseModel, ConfigDict, Field, StringConstraints, ValidationError

from seatproof.gui.commands.errors import CommandError
from seatproof.gui.commands.form_points import DIMENSIONS, FormFile, Kind, polar

Number = Annotated[float, Field(allow_inf_nan=False)]
UnitName = Annotated[str, StringConstraints(max_length=20, pattern=r"^[^\x00-\x1f]*$")]

_SENTENCES: Final[dict[str, Callable[[dict[str, Any]], str]]] = {
    "missing": lambda _: "is missing",
    "float_type": lambda _: "is not a number",
    "finite_number": lambda _: "is not a finite number",
    "list_type": lambda _: "is not a list",
    "string_type": lambda _: "is not text",
    "enum": lambda _: f"is not one of {', '.join(kind.value for kind in Kind)}",
    "too_short": lambda facts: f"holds {facts['actual_length']} numbers, which is too few",
    "too_long": lambda _: "holds too many numbers",
}


class _JsonFile(BaseModel):
    # Other keys are notes about the data, which do not change the result.
    model_config = ConfigDict(frozen=True, extra="ignore", strict=True)

    kind: Kind
    unit: UnitName = "1"
    points: list[Annotated[list[Number], Field(min_length=2, max_length=3)]] | None = None
    theta_deg: list[Number] | None = None
    radius: list[Number] | None = None


def read_json(text: str, path: Path) -> FormFile:
    """Read points from JSON text.

    Raises
    ------
    CommandError
        The text is no JSON, or its contents make no points.
    """
    try:
        parsed = _JsonFile.model_validate_json(text)
    except ValidationError as error:
        raise CommandError(f"{path}{_sentence(error)}") from error
    if parsed.points is not None:
        if parsed.theta_deg is not None or parsed.radius is not None:
            raise CommandError(f'{path}: give "points" or "theta_deg" and "radius", not both')
        return FormFile(parsed.kind, parsed.unit, _points(parsed.points, parsed.kind, path))
    if parsed.kind is not Kind.CIRCLE or parsed.theta_deg is None or parsed.radius is None:
        raise CommandError(f'{path}: give "points", or for a circle "theta_deg" and "radius"')
    if len(parsed.theta_deg) != len(parsed.radius):
        raise CommandError(
            f"{path}: there are {len(parsed.theta_deg)} angles but {len(parsed.radius)} radii"
        )
    return FormFile(
        parsed.kind, parsed.unit, polar(np.array(parsed.theta_deg), np.array(parsed.radius))
    )


def _points(points: list[list[float]], kind: Kind, path: Path) -> np.ndarray:
    wanted = DIMENSIONS[kind]
    for number, point in enumerate(points, start=1):
        if len(point) != wanted:
            raise CommandError(
                f"{path}: point {number} has {len(point)} numbers; "
                f"a {kind.value} needs {wanted} each"
            )
    return np.array(points, dtype=np.float64).reshape(-1, wanted)


def _sentence(error: ValidationError) -> str:
    """Say the first thing that is wrong, as the end of a sentence about the file."""
    first = error.errors(include_url=False)[0]
    kind, facts = first["type"], first.get("ctx", {})
    if kind == "json_invalid":
        if "recursion" in str(facts.get("error", "")):
            return " is nested too deeply to be a list of points"
        return f" is no JSON: {facts.get('error', 'it cannot be read')}"
    place = list(first["loc"])
    if not place:
        return ' is no form file; it must be an object with "kind" and "points"'
    where = f'"{place[0]}"'
    if len(place) > 1 and isinstance(place[1], int):
        what = "point" if place[0] == "points" else "value"
        where = f'{what} {place[1] + 1} of "{place[0]}"'
    if len(place) > 2 and isinstance(place[2], int):
        where = f"number {place[2] + 1} of {where}"
    say = _SENTENCES.get(kind)
    return f": {where} {say(facts) if say else 'cannot be used: ' + first['msg'].lower()}"

"""Files of points that ``seatproof form`` reads: JSON by kind, or CSV by its header."""

import json
import re
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import Annotated, Final

import numpy as np
from numpy.typing import NDArray
from pydantic import BaseModel, ConfigDict, Field, ValidationError

from seatproof.core.units import Unit
from seatproof.gui.commands.errors import CommandError

FloatArray = NDArray[np.float64]

_LENGTH_UNITS: Final = {
    "mm": Unit.MM,
    "in": Unit.INCH,
    "um": Unit.UM,
    "µm": Unit.UM,
    "μm": Unit.UM,
    "mil": Unit.MIL,
}
_HEADING: Final = re.compile(
    r"\s*(?P<name>angle|theta|radius|diameter|value|x|y|z)"
    r"[\s_]*[(\[]?\s*(?P<unit>[^\W\d_]+|°)?\s*[)\]]?\s*",
    re.IGNORECASE,
)
_UNITS: Final = ("deg", "mm", "um", "µm", "μm", "in", "mil")
_SHORTEST_HEADER: Final = "for example: angle [deg], radius [mm]"


class Kind(StrEnum):
    """What the points are."""

    CIRCLE = "circle"
    CYLINDER = "cylinder"
    LINE = "line"
    DIAMETERS = "diameters"


_COLUMNS: Final[dict[frozenset[str], Kind]] = {
    frozenset({"angle", "radius"}): Kind.CIRCLE,
    frozenset({"x", "y"}): Kind.CIRCLE,
    frozenset({"x", "y", "z"}): Kind.CYLINDER,
    frozenset({"z", "value"}): Kind.LINE,
    frozenset({"z", "radius"}): Kind.LINE,
    frozenset({"z", "diameter"}): Kind.LINE,
    frozenset({"angle", "diameter"}): Kind.DIAMETERS,
}
_DIMENSIONS: Final = {Kind.CIRCLE: 2, Kind.CYLINDER: 3, Kind.LINE: 2, Kind.DIAMETERS: 2}


@dataclass(frozen=True, slots=True)
class FormFile:
    """The points of one file.

    `points` is (x, y), (x, y, z), (z, value), or (angle in degrees, diameter) by kind. `unit` is
    that of the lengths as the file names it, which may be none at all ("1").
    """

    kind: Kind
    unit: str
    points: FloatArray


class _JsonFile(BaseModel):
    # Other keys are notes about the data, which do not change the result.
    model_config = ConfigDict(frozen=True, extra="ignore")

    kind: Kind
    unit: str = "1"
    points: list[Annotated[list[float], Field(min_length=2, max_length=3)]] | None = None
    theta_deg: list[float] | None = None
    radius: list[float] | None = None


def read_form_file(path: Path) -> FormFile:
    """Read a file by its ending: .json, else CSV.

    Raises
    ------
    CommandError
        The file cannot be read, or its contents make no points.
    """
    try:
        text = path.read_text(encoding="utf-8-sig")
    except OSError as error:
        raise CommandError(f"{path} cannot be read: {error.strerror}") from error
    except UnicodeDecodeError as error:
        raise CommandError(f"{path} is no text file; give JSON or CSV in UTF-8") from error
    if text.lstrip().startswith("{") or path.suffix.lower() == ".json":
        return _read_json(text, path)
    return _read_csv(text, path)


def _read_json(text: str, path: Path) -> FormFile:
    try:
        parsed = _JsonFile.model_validate(json.loads(text))
    except json.JSONDecodeError as error:
        raise CommandError(f"{path} is no JSON: line {error.lineno}, {error.msg}") from error
    except RecursionError as error:
        raise CommandError(f"{path} is nested too deeply to be a list of points") from error
    except ValidationError as error:
        first = error.errors()[0]
        where = ".".join(str(part) for part in first["loc"]) or "the whole"
        raise CommandError(f"{path}: {where}: {first['msg'].lower()}") from error
    except ValueError as error:  # Python reads no whole number of thousands of digits
        raise CommandError(f"{path} holds a number that is far too long") from error
    if parsed.points is not None:
        wanted = _DIMENSIONS[parsed.kind]
        for number, point in enumerate(parsed.points, start=1):
            if len(point) != wanted:
                raise CommandError(
                    f"{path}: point {number} has {len(point)} numbers; "
                    f"a {parsed.kind.value} needs {wanted} each"
                )
        points = np.array(parsed.points, dtype=np.float64).reshape(-1, wanted)
        return FormFile(parsed.kind, parsed.unit, points)
    if parsed.kind is not Kind.CIRCLE or parsed.theta_deg is None or parsed.radius is None:
        raise CommandError(f'{path}: give "points", or for a circle "theta_deg" and "radius"')
    if len(parsed.theta_deg) != len(parsed.radius):
        raise CommandError(
            f"{path}: there are {len(parsed.theta_deg)} angles but {len(parsed.radius)} radii"
        )
    return FormFile(
        parsed.kind, parsed.unit, _polar(np.array(parsed.theta_deg), np.array(parsed.radius))
    )


def _polar(angle_deg: FloatArray, radius: FloatArray) -> FloatArray:
    turn = np.radians(angle_deg)
    return np.column_stack([radius * np.cos(turn), radius * np.sin(turn)])


def _read_csv(text: str, path: Path) -> FormFile:
    rows = [
        (number, line)
        for number, line in enumerate(text.splitlines(), start=1)
        if line.strip() and not line.lstrip().startswith("#")
    ]
    if not rows:
        raise CommandError(f"{path} is empty; begin with a line of headings, {_SHORTEST_HEADER}")
    header = rows[0][1]
    separator = next((mark for mark in (";", "\t", ",") if mark in header), ",")
    names, units = _headings(header.split(separator), path)
    kind = _COLUMNS.get(frozenset(names))
    if kind is None or len(set(names)) != len(names):
        raise CommandError(
            f"{path}: the columns {', '.join(names)} fit no result; give angle and radius, x and "
            "y, x and y and z, z and value, or angle and diameter"
        )
    table = np.array([_numbers(line, number, separator, names, path) for number, line in rows[1:]])
    table = table.reshape(-1, len(names))
    columns = {name: table[:, place] for place, name in enumerate(names)}
    unit = _one_unit(columns, dict(zip(names, units, strict=True)))
    if kind is Kind.CIRCLE and "angle" in columns:
        return FormFile(kind, unit, _polar(columns["angle"], columns["radius"]))
    order = {
        Kind.CIRCLE: ("x", "y"),
        Kind.CYLINDER: ("x", "y", "z"),
        Kind.LINE: ("z", next(name for name in names if name != "z")),
        Kind.DIAMETERS: ("angle", "diameter"),
    }[kind]
    return FormFile(kind, unit, np.column_stack([columns[name] for name in order]))


def _headings(cells: list[str], path: Path) -> tuple[list[str], list[str]]:
    names, units = [], []
    for cell in cells:
        match = _HEADING.fullmatch(cell.strip().strip('"'))
        if match is None:
            raise CommandError(
                f'{path}: the heading "{cell.strip()}" is not known; name each column and its '
                f"unit, {_SHORTEST_HEADER}"
            )
        name = match["name"].lower().replace("theta", "angle")
        unit = (match["unit"] or "").lower().replace("°", "deg")
        if not unit:
            raise CommandError(
                f'{path}: the column "{name}" names no unit; write it behind, {_SHORTEST_HEADER}'
            )
        if unit not in _UNITS:
            raise CommandError(
                f'{path}: the unit "{unit}" of the column "{name}" is not known; '
                f"there are {', '.join(_UNITS)}"
            )
        if (unit == "deg") != (name == "angle"):
            raise CommandError(f'{path}: the column "{name}" cannot be in {unit}')
        names.append(name)
        units.append(unit)
    return names, units


def _numbers(line: str, number: int, separator: str, names: list[str], path: Path) -> list[float]:
    cells = [cell.strip().strip('"') for cell in line.split(separator)]
    if len(cells) != len(names):
        raise CommandError(
            f"{path}, line {number}: there are {len(cells)} values for {len(names)} columns"
        )
    if separator != ",":  # only then can a comma be a decimal sign
        cells = [cell.replace(",", ".") for cell in cells]
    try:
        return [float(cell) for cell in cells]
    except ValueError as error:
        raise CommandError(f"{path}, line {number}: {error}".replace("\\", "")) from error


def _one_unit(columns: dict[str, FloatArray], units: dict[str, str]) -> str:
    """Bring all lengths to one unit and return its name: the common one, else mm."""
    lengths = {name: _LENGTH_UNITS[unit] for name, unit in units.items() if unit != "deg"}
    if len(set(lengths.values())) == 1:
        return next(iter(lengths.values())).value
    for name, unit in lengths.items():
        columns[name] = columns[name] * float(unit.in_mm)
    return Unit.MM.value

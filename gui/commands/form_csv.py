"""The CSV that ``seatproof form`` reads: a line of headings with units, then numbers."""

import csv
import re
from pathlib import Path
from typing import Final

import numpy as np

from seatproof.core.units import Unit
from seatproof.gui.commands.errors import CommandError
from seatproof.gui.commands.form_points import FloatArray, FormFile, Kind, polar

_LENGTHS: Final = {
    "mm": Unit.MM,
    "in": Unit.INCH,
    "inch": Unit.INCH,
    "inches": Unit.INCH,
    "um": Unit.UM,
    "µm": Unit.UM,
    "μm": Unit.UM,
    "mil": Unit.MIL,
}
_ANGLES_DEG: Final = {"deg": 1.0, "°": 1.0, "rad": 180.0 / np.pi}
_UNITS: Final = "mm, um, in, mil for lengths, deg, rad for angles"
_HEADING: Final = re.compile(
    r"(?P<name>angle|theta|radius|diameter|value|x|y|z)"
    r"[\s_]*[(\[]?\s*(?P<unit>[^\W\d_]+|°)?\s*[)\]]?",
    re.IGNORECASE,
)
_NUMBER: Final = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)(e[+-]?\d+)?", re.IGNORECASE | re.ASCII)
_EXAMPLE: Final = "for example: angle [deg], radius [mm]"
_LONGEST_SHOWN: Final = 40

_COLUMNS: Final[dict[frozenset[str], Kind]] = {
    frozenset({"angle", "radius"}): Kind.CIRCLE,
    frozenset({"x", "y"}): Kind.CIRCLE,
    frozenset({"x", "y", "z"}): Kind.CYLINDER,
    frozenset({"z", "value"}): Kind.LINE,
    frozenset({"z", "radius"}): Kind.LINE,
    frozenset({"z", "diameter"}): Kind.LINE,
    frozenset({"angle", "diameter"}): Kind.DIAMETERS,
}


def read_csv(text: str, path: Path) -> FormFile:
    """Read points from CSV text.

    Semicolons, tabs or commas stand between the columns; the headings show which. A decimal comma
    is read where it cannot be taken for the end of a column. Blank lines and lines that begin with
    # are passed over.

    Raises
    ------
    CommandError
        The headings or a value cannot be used; the sentence names the line.
    """
    rows = [
        (number, line)
        for number, line in enumerate(text.splitlines(), start=1)
        if line.strip() and not line.lstrip().startswith("#")
    ]
    if not rows:
        raise CommandError(f"{path} is empty; begin with a line of headings, {_EXAMPLE}")
    numbers = [number for number, _ in rows]
    separator = next((mark for mark in (";", "\t", ",") if mark in rows[0][1]), ",")
    reader = csv.reader(
        (line for _, line in rows), delimiter=separator, skipinitialspace=True, strict=True
    )
    try:
        table = [[cell.strip() for cell in cells] for cells in reader]
    except csv.Error as error:
        line = numbers[min(reader.line_num, len(numbers)) - 1]
        raise CommandError(f"{path}, line {line} is no line of a table: {error}") from error
    if len(table) != len(rows):
        raise CommandError(f"{path}: a quotation mark is not closed on its line")
    names, units = _headings(table[0], path)
    kind = _COLUMNS.get(frozenset(names))
    if kind is None or len(set(names)) != len(names):
        raise CommandError(
            f"{path}: the columns {', '.join(names)} fit no result; give angle and radius, x and "
            "y, x and y and z, z and value, or angle and diameter"
        )
    values = np.array(
        [
            _numbers(cells, f"{path}, line {number}", names)
            for number, cells in zip(numbers[1:], table[1:], strict=True)
        ]
    ).reshape(-1, len(names))
    columns = {name: values[:, place] for place, name in enumerate(names)}
    unit = _one_unit(columns, dict(zip(names, units, strict=True)))
    if kind is Kind.CIRCLE and "angle" in columns:
        return FormFile(kind, unit, polar(columns["angle"], columns["radius"]))
    order = {
        Kind.CIRCLE: ("x", "y"),
        Kind.CYLINDER: ("x", "y", "z"),
        Kind.LINE: ("z", next(name for name in names if name != "z")),
        Kind.DIAMETERS: ("angle", "diameter"),
    }[kind]
    return FormFile(kind, unit, np.column_stack([columns[name] for name in order]))


def _headings(cells: list[str], path: Path) -> tuple[list[str], list[str]]:
    if all(_NUMBER.fullmatch(cell.replace(",", ".")) for cell in cells):
        raise CommandError(
            f"{path} begins with numbers; begin it with a line of headings, {_EXAMPLE}"
        )
    names, units = [], []
    for cell in cells:
        match = _HEADING.fullmatch(cell)
        if match is None:
            raise CommandError(
                f"{path}: the heading {_shown(cell)} is not known; name each column and its "
                f"unit, {_EXAMPLE}"
            )
        name = match["name"].lower().replace("theta", "angle")
        unit = (match["unit"] or "").lower()
        if not unit:
            raise CommandError(
                f'{path}: the column "{name}" names no unit; write it behind, {_EXAMPLE}'
            )
        if unit not in _LENGTHS and unit not in _ANGLES_DEG:
            raise CommandError(
                f'{path}: the unit {_shown(unit)} of the column "{name}" is not known; '
                f"there are {_UNITS}"
            )
        if (unit in _ANGLES_DEG) != (name == "angle"):
            raise CommandError(f'{path}: the column "{name}" cannot be in {unit}')
        names.append(name)
        units.append(unit)
    return names, units


def _numbers(cells: list[str], where: str, names: list[str]) -> list[float]:
    if len(cells) != len(names):
        hint = ""
        if len(cells) > len(names):
            hint = "; with decimal commas put semicolons between the columns"
        raise CommandError(f"{where}: there are {len(cells)} values for {len(names)} columns{hint}")
    return [_number(cell, where, name) for cell, name in zip(cells, names, strict=True)]


def _number(cell: str, where: str, name: str) -> float:
    if not cell:
        raise CommandError(f'{where}: the column "{name}" is empty')
    # A comma that is left in a cell ends no column: it is a decimal comma.
    plain = cell.replace(",", ".").replace("\N{MINUS SIGN}", "-")
    if not _NUMBER.fullmatch(plain):
        raise CommandError(
            f'{where}: {_shown(cell)} in the column "{name}" is not a number; write it as 50.0012'
        )
    value = float(plain)
    if not np.isfinite(value):
        raise CommandError(f'{where}: {_shown(cell)} in the column "{name}" is far too large')
    return value


def _shown(text: str) -> str:
    """Quote what the file says, if it can be shown."""
    some = text if len(text) <= _LONGEST_SHOWN else text[:_LONGEST_SHOWN] + "…"
    return (
        '"'
        + "".join(mark if mark.isprintable() else "\N{REPLACEMENT CHARACTER}" for mark in some)
        + '"'
    )


def _one_unit(columns: dict[str, FloatArray], units: dict[str, str]) -> str:
    """Bring angles to degrees and all lengths to one unit; return it: the common one, else mm."""
    for name, unit in units.items():
        if unit in _ANGLES_DEG:
            columns[name] = columns[name] * _ANGLES_DEG[unit]
    lengths = {name: _LENGTHS[unit] for name, unit in units.items() if unit in _LENGTHS}
    if len(set(lengths.values())) == 1:
        return next(iter(lengths.values())).value
    for name, length in lengths.items():
        columns[name] = columns[name] * float(length.in_mm)
    return Unit.MM.value

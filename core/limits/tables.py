"""The tables of ISO 286-1:2010 as they stand in the standard, read once from the product's data.

How a class is composed from them is the business of `seatproof.core.limits.iso286`.
"""

import csv
import re
from bisect import bisect_left
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from typing import Final

from seatproof.core.files import resource

_BY_RULE: Final = "IT/2"  # the cells of js and JS: a rule in place of a number
_EVERY_LETTER: Final = "*"


@dataclass(frozen=True, slots=True)
class SizeTable:
    """One table over nominal size; row i holds over ``up_to_mm[i-1]`` (or 0) up to ``up_to_mm[i]``.

    Blank cells and cells with a rule are absent from `cells_um`; `columns` names all columns.
    """

    columns: tuple[str, ...]
    up_to_mm: tuple[Decimal, ...]
    cells_um: tuple[Mapping[str, Decimal], ...]

    def value_um(self, nominal_mm: Decimal, column: str) -> Decimal | None:
        """Return the number of a column at a nominal size, None where the table gives none."""
        row = bisect_left(self.up_to_mm, nominal_mm)
        if nominal_mm <= 0 or row == len(self.up_to_mm):
            return None
        return self.cells_um[row].get(column)


@dataclass(frozen=True, slots=True)
class SpecialCase:
    """A footnote of the standard: classes that do not follow the general rule."""

    letters: frozenset[str]
    grades: frozenset[str]
    over_mm: Decimal
    up_to_mm: Decimal
    upper_um: Decimal | None
    """The upper limit deviation in place of the composed one; None where no limits are given."""

    def applies(self, nominal_mm: Decimal, letter: str, grade: str) -> bool:
        return (
            (letter in self.letters or _EVERY_LETTER in self.letters)
            and grade in self.grades
            and self.over_mm < nominal_mm <= self.up_to_mm
        )

    def bars_grade(self, nominal_mm: Decimal, grade: str) -> bool:
        """Whether the case takes away a whole standard tolerance grade at this size."""
        return self.upper_um is None and self.applies(nominal_mm, _EVERY_LETTER, grade)


@dataclass(frozen=True, slots=True)
class Tables:
    """All tables together, and the names that exist in them."""

    tolerances: SizeTable
    shafts: SizeTable
    holes: SizeTable
    delta: SizeTable
    special_cases: tuple[SpecialCase, ...]
    grades: tuple[str, ...]
    """``01``, ``0``, ``1`` to ``18``: the order of the standard, finest first."""
    shaft_letters: tuple[str, ...]
    hole_letters: tuple[str, ...]

    @property
    def largest_mm(self) -> Decimal:
        return self.tolerances.up_to_mm[-1]


@cache
def iso286_tables() -> Tables:
    """Read the tables; later calls return the same object."""
    tolerances = _read_size_table("it_grades.csv")
    shafts = _read_size_table("shaft_deviations.csv")
    holes = _read_size_table("hole_deviations.csv")
    grades = tuple(column.removeprefix("IT") for column in tolerances.columns)
    return Tables(
        tolerances=tolerances,
        shafts=shafts,
        holes=holes,
        delta=_read_size_table("hole_delta.csv"),
        special_cases=_read_special_cases("special_cases.csv", grades),
        grades=grades,
        shaft_letters=_letters(shafts),
        hole_letters=_letters(holes),
    )


def _read_records(name: str) -> list[dict[str, str]]:
    with resource("iso286", name).open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def _read_size_table(name: str) -> SizeTable:
    records = _read_records(name)
    columns = tuple(column for column in records[0] if column not in ("over_mm", "up_to_mm"))
    return SizeTable(
        columns=columns,
        up_to_mm=tuple(Decimal(record["up_to_mm"]) for record in records),
        cells_um=tuple(
            {
                column: Decimal(record[column])
                for column in columns
                if record[column] not in ("", _BY_RULE)
            }
            for record in records
        ),
    )


def _read_special_cases(name: str, grades: tuple[str, ...]) -> tuple[SpecialCase, ...]:
    return tuple(
        SpecialCase(
            letters=frozenset(record["letters"].split()),
            grades=frozenset(
                grades[grades.index(record["grade_from"]) : grades.index(record["grade_to"]) + 1]
            ),
            over_mm=Decimal(record["over_mm"]),
            up_to_mm=Decimal(record["up_to_mm"]),
            upper_um=Decimal(record["value_um"]) if record["rule"] == "upper_um" else None,
        )
        for record in _read_records(name)
    )


def _letters(table: SizeTable) -> tuple[str, ...]:
    # "k_it4_it7", "k_other" and "j5" are columns of the letters k and j.
    return tuple(dict.fromkeys(re.split(r"[\d_]", column)[0] for column in table.columns))

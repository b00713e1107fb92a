"""Limits of a tolerance class, and standard tolerances, by ISO 286 for sizes over 0 up to 3150 mm.

Shafts have small letters, holes capital ones. All numbers are exact decimals, sizes in mm and
deviations in µm. Which class a seat needs is not decided here: the drawing or the bearing maker's
instructions say so.

References
----------
.. [1] ISO 286-1:2010, Geometrical product specifications (GPS), ISO code system for tolerances on
   linear sizes, Part 1: Basis of tolerances, deviations and fits, Tables 1 to 5.
.. [2] ISO 286-2:2010, Part 2: Tables of standard tolerance classes and limit deviations for holes
   and shafts.
"""

import re
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise
from typing import Final

from seatproof.core.limits.errors import (
    ClassNotDefinedError,
    ClassTextError,
    DeviationLetterError,
    GradeNotDefinedError,
    GradeTextError,
    LimitsError,
    NominalSizeError,
    SizeBelowZeroError,
)
from seatproof.core.limits.tables import iso286_tables
from seatproof.core.units import Unit, to_mm

# Named because callers that show the sentence need no more of the error tree than its root.
__all__ = [
    "ClassLimits",
    "LimitsError",
    "available_classes",
    "class_limits",
    "form_tolerance_um",
    "standard_tolerance_um",
]

_CLASS: Final = re.compile(r"(?P<letter>[A-Za-z]{1,2})(?P<grade>\d{1,2})", re.ASCII)
_GRADE: Final = re.compile(r"IT(?P<grade>\d{1,2})", re.ASCII)
_GRADE_PART: Final = re.compile(r"(?P<grade>IT\d{1,2})(?:/(?P<parts>[2-9]|10))?", re.ASCII)

# Letters whose shafts lie at or below the nominal size, and whose holes lie at or above it.
_CLEARANCE_LETTERS: Final = frozenset({"a", "b", "c", "cd", "d", "e", "ef", "f", "fg", "g", "h"})
_LETTERS_WITH_OTHER_TABLE_ABOVE_IT8: Final = frozenset({"K", "M", "N"})
_DELTA_OVER_MM: Final = Decimal(3)
_DELTA_UP_TO_MM: Final = Decimal(500)


@dataclass(frozen=True, slots=True)
class ClassLimits:
    """The limit deviations of a tolerance class at a nominal size, and the limits of size."""

    nominal_mm: Decimal
    tolerance_class: str
    upper_um: Decimal
    """Upper limit deviation: es of a shaft, ES of a hole."""
    lower_um: Decimal
    """Lower limit deviation: ei of a shaft, EI of a hole."""

    @property
    def max_mm(self) -> Decimal:
        """Upper limit of size, exact."""
        return self.nominal_mm + to_mm(self.upper_um, Unit.UM)

    @property
    def min_mm(self) -> Decimal:
        """Lower limit of size, exact."""
        return self.nominal_mm + to_mm(self.lower_um, Unit.UM)

    @property
    def tolerance_um(self) -> Decimal:
        """Difference of the limits: the standard tolerance of the class's grade."""
        return self.upper_um - self.lower_um


def class_limits(nominal_mm: Decimal, tolerance_class: str) -> ClassLimits:
    """Compose the limits of a tolerance class at a nominal size.

    Parameters
    ----------
    nominal_mm : Decimal
        Exact nominal size, over 0 up to 3150 mm. An inch size is converted without rounding first:
        the step of sizes is chosen from the exact value, so 3 15/16 in lies over 80 up to 120.
    tolerance_class : str
        Such as ``k6`` for a shaft or ``H7`` for a hole.

    Returns
    -------
    ClassLimits
        Deviations as the standard has them; js and JS keep the half micrometre.

    Raises
    ------
    ClassTextError, DeviationLetterError
        `tolerance_class` is no class.
    NominalSizeError
        The size is outside the tables.
    ClassNotDefinedError
        The standard gives no such class at this size; the error names those it gives.
    SizeBelowZeroError
        The lower limit of size would be zero or less.

    Examples
    --------
    >>> class_limits(Decimal(110), "k6").max_mm
    Decimal('110.025')
    """
    match = _CLASS.fullmatch(tolerance_class)
    if match is None:
        raise ClassTextError(tolerance_class)
    letter, grade = match["letter"], match["grade"]
    _check_letter(letter)
    _check_nominal(nominal_mm)
    deviations = _deviations_um(nominal_mm, letter, grade)
    if deviations is None:
        other = letter.swapcase()
        raise ClassNotDefinedError(
            nominal_mm,
            tolerance_class,
            available=available_classes(nominal_mm, letter),
            size_ranges_mm=_size_ranges_mm(letter),
            other_case=f"{other}{grade}" if _deviations_um(nominal_mm, other, grade) else None,
        )
    limits = ClassLimits(nominal_mm, tolerance_class, *deviations)
    if limits.min_mm <= 0:
        raise SizeBelowZeroError(nominal_mm, tolerance_class, limits.min_mm)
    return limits


def available_classes(nominal_mm: Decimal, letter: str) -> tuple[str, ...]:
    """Return the classes of a letter that exist at a nominal size, finest grade first.

    Parameters
    ----------
    nominal_mm : Decimal
        Exact nominal size, over 0 up to 3150 mm.
    letter : str
        Of the fundamental deviation: small for a shaft, capital for a hole.

    Returns
    -------
    tuple of str
        Such as ``("j5", "j6", "j7")``; empty if the letter does not exist at this size.

    Raises
    ------
    DeviationLetterError
        Neither a shaft nor a hole has this letter.
    NominalSizeError
        The size is outside the tables.

    Examples
    --------
    >>> available_classes(Decimal(110), "j")
    ('j5', 'j6', 'j7')
    """
    _check_letter(letter)
    _check_nominal(nominal_mm)
    return tuple(
        f"{letter}{grade}"
        for grade in iso286_tables().grades
        if _deviations_um(nominal_mm, letter, grade) is not None
    )


def standard_tolerance_um(nominal_mm: Decimal, grade: str) -> Decimal:
    """Return the standard tolerance of a grade, in µm (ISO 286-1, Table 1).

    Parameters
    ----------
    nominal_mm : Decimal
        Exact nominal size, over 0 up to 3150 mm.
    grade : str
        ``IT01`` to ``IT18``.

    Raises
    ------
    GradeTextError
        `grade` is not the name of a grade.
    NominalSizeError
        The size is outside the tables.
    GradeNotDefinedError
        The standard gives no such grade at this size: IT01 and IT0 end at 500 mm, IT14 to IT18
        begin over 1 mm.

    Examples
    --------
    >>> standard_tolerance_um(Decimal(110), "IT6")
    Decimal('22')
    """
    match = _GRADE.fullmatch(grade)
    if match is None:
        raise GradeTextError(grade, is_fraction_allowed=False)
    _check_nominal(nominal_mm)
    tolerance_um = _tolerance_um(nominal_mm, match["grade"])
    if tolerance_um is None:
        available = tuple(
            f"IT{name}"
            for name in iso286_tables().grades
            if _tolerance_um(nominal_mm, name) is not None
        )
        raise GradeNotDefinedError(nominal_mm, grade, available)
    return tolerance_um


def form_tolerance_um(nominal_mm: Decimal, text: str) -> Decimal:
    """Return a form tolerance that is stated as a grade or as a part of one, in µm.

    Bearing tables state form so: cylindricity ``IT5/2``. The number is taken as it stands; whether
    it is a difference of radii or of diameters depends on the characteristic it is stated for.

    Parameters
    ----------
    nominal_mm : Decimal
        Exact nominal size, over 0 up to 3150 mm.
    text : str
        A grade, ``IT5``, or a grade divided by a whole number from 2 to 10, ``IT5/2``.

    Raises
    ------
    GradeTextError
        `text` is neither.
    NominalSizeError, GradeNotDefinedError
        As for `standard_tolerance_um`.

    Examples
    --------
    >>> form_tolerance_um(Decimal(100), "IT5/2")
    Decimal('7.5')
    """
    match = _GRADE_PART.fullmatch(text)
    if match is None:
        raise GradeTextError(text, is_fraction_allowed=True)
    return standard_tolerance_um(nominal_mm, match["grade"]) / int(match["parts"] or 1)


def _check_letter(letter: str) -> None:
    tables = iso286_tables()
    if letter in tables.shaft_letters or letter in tables.hole_letters:
        return
    if letter.islower():
        raise DeviationLetterError(letter, tables.shaft_letters)
    raise DeviationLetterError(letter, tables.hole_letters if letter.isupper() else ())


def _check_nominal(nominal_mm: Decimal) -> None:
    largest_mm = iso286_tables().largest_mm
    if not (nominal_mm.is_finite() and 0 < nominal_mm <= largest_mm):
        raise NominalSizeError(nominal_mm, largest_mm)


def _deviations_um(nominal_mm: Decimal, letter: str, grade: str) -> tuple[Decimal, Decimal] | None:
    """Return upper and lower limit deviation; None where the standard gives none."""
    tolerance_um = _tolerance_um(nominal_mm, grade)
    if tolerance_um is None:
        return None
    if letter in ("js", "JS"):
        return tolerance_um / 2, -tolerance_um / 2
    for case in iso286_tables().special_cases:
        if case.applies(nominal_mm, letter, grade):
            return None if case.upper_um is None else (case.upper_um, case.upper_um - tolerance_um)
    is_hole = letter.isupper()
    fundamental_um = (_hole_deviation_um if is_hole else _shaft_deviation_um)(
        nominal_mm, letter, grade
    )
    if fundamental_um is None:
        return None
    # The tables hold the deviation nearer to the nominal size: the lower one of the zones that lie
    # above it, holes A to H and shafts j to zc, and the upper one of the others.
    if is_hole == (letter.lower() in _CLEARANCE_LETTERS):
        return fundamental_um + tolerance_um, fundamental_um
    return fundamental_um, fundamental_um - tolerance_um


def _tolerance_um(nominal_mm: Decimal, grade: str) -> Decimal | None:
    tables = iso286_tables()
    if any(case.bars_grade(nominal_mm, grade) for case in tables.special_cases):
        return None
    return tables.tolerances.value_um(nominal_mm, f"IT{grade}")


def _shaft_deviation_um(nominal_mm: Decimal, letter: str, grade: str) -> Decimal | None:
    if letter == "j":
        column = f"j{grade}"
    elif letter == "k":
        column = "k_it4_it7" if grade in ("4", "5", "6", "7") else "k_other"
    else:
        column = letter
    return iso286_tables().shafts.value_um(nominal_mm, column)


def _hole_deviation_um(nominal_mm: Decimal, letter: str, grade: str) -> Decimal | None:
    holes = iso286_tables().holes
    if letter == "J":
        return holes.value_um(nominal_mm, f"J{grade}")
    if letter in _LETTERS_WITH_OTHER_TABLE_ABOVE_IT8:
        has_delta = _is_up_to(grade, "8")
        column = f"{letter}_to_it8" if has_delta else f"{letter}_above_it8"
    else:
        has_delta = letter.lower() not in _CLEARANCE_LETTERS and _is_up_to(grade, "7")
        column = letter
    base_um = holes.value_um(nominal_mm, column)
    if base_um is None or not has_delta:
        return base_um
    delta_um = _delta_um(nominal_mm, grade)
    return None if delta_um is None else base_um + delta_um


def _delta_um(nominal_mm: Decimal, grade: str) -> Decimal | None:
    # The standard's Δ begins at IT3. Where it is nothing for every grade a finer class needs none.
    if not _DELTA_OVER_MM < nominal_mm <= _DELTA_UP_TO_MM:
        return Decimal(0)
    return iso286_tables().delta.value_um(nominal_mm, f"IT{grade}")


def _is_up_to(grade: str, last: str) -> bool:
    grades = iso286_tables().grades
    return grades.index(grade) <= grades.index(last)


def _size_ranges_mm(letter: str) -> tuple[tuple[Decimal, Decimal], ...]:
    """Return the ranges (over, up to and including) in which a letter has any class."""
    tables = iso286_tables()
    edges = {Decimal(0), *tables.shafts.up_to_mm, *(case.up_to_mm for case in tables.special_cases)}
    ranges: list[tuple[Decimal, Decimal]] = []
    for over_mm, up_to_mm in pairwise(sorted(edges)):
        if not available_classes(up_to_mm, letter):
            continue
        if ranges and ranges[-1][1] == over_mm:
            ranges[-1] = (ranges[-1][0], up_to_mm)
        else:
            ranges.append((over_mm, up_to_mm))
    return tuple(ranges)

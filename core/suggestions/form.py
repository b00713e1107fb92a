"""Form tolerances that usually go with a tolerance class: proportions, never requirements.

A seat's form is commonly asked for one or two standard tolerance grades finer than its size, and
halved where it is counted on the radius, because a zone of radii takes up a diameter twice.
"""

import re
from dataclasses import dataclass
from decimal import Decimal
from typing import Final, Literal

from seatproof.core.limits.errors import LimitsError
from seatproof.core.limits.iso286 import class_limits, form_tolerance_um

CAVEAT: Final = (
    "A usual proportion, not a requirement: what the drawing or the bearing maker's instructions "
    "say counts."
)
_GRADE: Final = re.compile(r"[a-z]{1,2}(?P<grade>\d{1,2})", re.ASCII)
_FINER: Final = (1, 2)  # grades finer than that of the size: the usual, and for accurate running
# Characteristic of a seat, share of the grade, and the sense in which the figure is meant.
_SHARES: Final[tuple[tuple[str, str, Literal["radial", "diametral"]], ...]] = (
    ("roundness", "/2", "radial"),
    ("cylindricity", "/2", "radial"),
    ("taper", "", "diametral"),
    ("run_out", "", "radial"),
    ("total_run_out", "", "radial"),
)


@dataclass(frozen=True, slots=True)
class Suggestion:
    """A tolerance that could be asked for.

    Attributes
    ----------
    characteristic : str
        The seat's key in the plan, such as ``roundness``.
    tolerance : str
        As a plan has it, such as ``IT5/2``.
    sense : str
        Whether it is a difference of radii or of diameters.
    limit_um : float
        What that is at the seat's size, in its own sense.
    basis : str
        Where it comes from, in words.
    """

    characteristic: str
    tolerance: str
    sense: Literal["radial", "diametral"]
    limit_um: float
    basis: str


def suggest_form(nominal_mm: Decimal, tolerance_class: str) -> tuple[Suggestion, ...]:
    """Suggest form tolerances for a seat; the usual one of each characteristic comes first.

    Parameters
    ----------
    nominal_mm : Decimal
    tolerance_class : str
        Of the size, such as ``k6``.

    Returns
    -------
    tuple of Suggestion
        None where there is no such class, or the standard has no finer grade at that size.
    """
    try:
        class_limits(nominal_mm, tolerance_class)
    except LimitsError:
        return ()
    match = _GRADE.fullmatch(tolerance_class)
    if match is None:  # a class of holes
        return ()
    size_grade = int(match["grade"])
    found: list[Suggestion] = []
    for characteristic, share, sense in _SHARES:
        for finer in _FINER:
            grade = size_grade - finer
            text = f"IT{grade}{share}"
            try:
                limit_um = float(form_tolerance_um(nominal_mm, text))
            except LimitsError:
                continue
            found.append(
                Suggestion(
                    characteristic, text, sense, limit_um, _basis(size_grade, finer, bool(share))
                )
            )
    return tuple(found)


def _basis(size_grade: int, finer: int, halved: bool) -> str:
    steps = "one grade" if finer == 1 else f"{finer} grades"
    half = ", halved because it is counted on the radius" if halved else ""
    return f"{steps} finer than the IT{size_grade} of the size{half}"

"""The bore of a bearing ring: limits by its tolerance class, as stated, or as measured."""

from bisect import bisect_left
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from seatproof.core.fit.errors import BoreClassError, BoreTableError, DimensionError
from seatproof.core.units import Unit, to_mm

# ISO 492, deviation of the mean bore diameter in a single plane, lower limit in µm; the upper limit
# is zero throughout. Radial bearings; each step from over the one before up to and including.
_OVER_MM: Final = Decimal("2.5")
_UP_TO_MM: Final = tuple(map(Decimal, (18, 30, 50, 80, 120, 180, 250)))
_LOWER_UM: Final = {
    "normal": (-8, -10, -12, -15, -20, -25, -30),
    "6": (-7, -8, -10, -12, -15, -18, -22),
    "5": (-5, -6, -8, -9, -10, -13, -15),
}
_METRIC_STEP_MM: Final = Decimal("0.5")  # metric bores are made in whole and half millimetres
BORE_CLASSES: Final = tuple(_LOWER_UM)


@dataclass(frozen=True, slots=True)
class Bore:
    """The limits between which a ring's bore lies at 20 °C, and where they come from.

    Raises
    ------
    DimensionError
        A limit is not above zero, or the lower one lies above the upper one.
    """

    lower_mm: Decimal
    upper_mm: Decimal
    source: str

    def __post_init__(self) -> None:
        if not (self.lower_mm.is_finite() and self.lower_mm > 0):
            raise DimensionError("bore", f"{self.lower_mm} mm", "it must be above zero")
        if not (self.upper_mm.is_finite() and self.upper_mm >= self.lower_mm):
            raise DimensionError(
                "bore's upper limit",
                f"{self.upper_mm} mm",
                f"it must not lie below the lower one, {self.lower_mm} mm",
            )

    @property
    def middle_mm(self) -> float:
        return float(self.lower_mm + self.upper_mm) / 2.0

    @property
    def half_width_mm(self) -> float:
        return float(self.upper_mm - self.lower_mm) / 2.0


def bore_by_class(nominal_mm: Decimal, bore_class: str) -> Bore:
    """Return the limits of the mean bore diameter of a radial bearing (ISO 492).

    Parameters
    ----------
    nominal_mm : Decimal
        Nominal bore, over 2.5 up to 250 mm. An inch bearing is made to other tables.
    bore_class : str
        "normal", "6" or "5".

    Raises
    ------
    BoreClassError, BoreTableError
        No limits are tabulated; they have to be stated then.

    Examples
    --------
    >>> bore = bore_by_class(Decimal(100), "normal")
    >>> bore.lower_mm, bore.upper_mm
    (Decimal('99.980'), Decimal('100'))
    """
    if bore_class not in _LOWER_UM:
        raise BoreClassError(bore_class, BORE_CLASSES)
    if not (nominal_mm.is_finite() and _OVER_MM < nominal_mm <= _UP_TO_MM[-1]):
        raise BoreTableError(nominal_mm, _UP_TO_MM[-1])
    lower_um = _LOWER_UM[bore_class][bisect_left(_UP_TO_MM, nominal_mm)]
    source = f"ISO 492 class {bore_class}: table limits of the bore, not measured"
    if nominal_mm % _METRIC_STEP_MM:
        source += "; a bearing with an inch bore is made to another table: ask its maker"
    return Bore(nominal_mm + to_mm(Decimal(lower_um), Unit.UM), nominal_mm, source)


def measured_bore(size_mm: Decimal, expanded_mm: Decimal) -> Bore:
    """Return the limits between which a measured bore lies: its size less and plus its U."""
    if not (expanded_mm.is_finite() and expanded_mm >= 0):
        raise DimensionError("bore's uncertainty", f"{expanded_mm} mm", "it must be zero or more")
    return Bore(size_mm - expanded_mm, size_mm + expanded_mm, "bore as measured, with its U")

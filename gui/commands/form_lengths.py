"""How the texts of ``seatproof form`` write lengths, headings and points."""

from typing import Any, Final

from seatproof.core.units import UM_PER_MM
from seatproof.gui.commands.form_points import FormFile

Result = dict[str, Any]
NAMES: Final = {
    "lsc": "least squares (LSC)",
    "mzc": "minimum zone (MZC)",
    "mcc": "minimum circumscribed (MCC)",
    "mic": "maximum inscribed (MIC)",
}


class Lengths:
    """How lengths of the file's unit are written: sizes in it, small ones in µm if it is mm."""

    def __init__(self, unit: str) -> None:
        self.unit = "" if unit in {"1", "unspecified"} else "µm" if unit == "um" else unit
        self._is_metric = unit == "mm"
        self.small_unit = "µm" if self._is_metric else self.unit

    def large(self, value: float) -> str:
        """Write a size or a place."""
        return _plain(f"{value:.6f}")

    def small(self, value: float) -> str:
        """Write a small length, without its unit."""
        return _plain(f"{value * UM_PER_MM:.3f}" if self._is_metric else f"{value:.7f}")

    def with_unit(self, value: float) -> str:
        """Write a small length with its unit."""
        return f"{self.small(value)} {self.small_unit}".rstrip()


def _plain(text: str) -> str:
    """Take the minus from a number that was rounded to zero."""
    return text.lstrip("-") if not text.strip("-0.") else text


def heading(name: str, file: FormFile, what: str) -> str:
    """Name the file, its number of points and its unit."""
    unit = "no unit given" if file.unit in {"1", "unspecified"} else file.unit
    return f"{name}: {len(file.points)} {what}, {unit}"


def listed(numbers: list[int]) -> str:
    """Name points as people count them, the first being 1."""
    some = ", ".join(str(number + 1) for number in numbers[:4])
    return f"{some} and {len(numbers) - 4} more" if len(numbers) > 4 else some

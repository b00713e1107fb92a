"""Numbers of a plan as people of the window's language write them; a plan's file has points.

Where the decimal sign is a comma, one between two digits is that sign. Lists of numbers are then
shown with semicolons; a comma before a blank parts them, too, and so do several in one word, as in
``0,60,120``, which is no number.
"""

import re
from collections.abc import Iterable
from typing import Any, Final

from seatproof.gui.shared.saying import again, typed_number

# The keys of a plan that hold a number, or a length such as 3 15/16, wherever they stand.
NUMBERS: Final = frozenset({
    "alignment", "angle_deg", "at_most", "bore_lower", "bore_upper", "clearance_lower",
    "clearance_upper", "closing_diameter", "coverage_factor", "coverage_probability", "depth",
    "diameter", "drift", "edge_exclusion", "equal_within", "every_minutes", "expanded",
    "expansion_kelvin", "expansion_per_kelvin", "faces", "force", "from", "largest_uncertainty",
    "length", "lower", "lower_size", "missed_form", "nominal", "plausible", "probability",
    "repeat_spread", "repeatability", "ring_outer", "shaft_bore", "target",
    "temperature_change_kelvin", "temperature_kelvin", "tolerance", "upper", "upper_size",
    "vee_angle_deg", "width",
})  # fmt: skip
# And those that hold several, or their count.
NUMBER_LISTS: Final = frozenset({"stations", "orientations"})
_DECIMAL: Final = re.compile(r"[-−]?\d+\.\d+", re.ASCII)
_PLAIN: Final = re.compile(r"[\d.,\s]+", re.ASCII)
_BETWEEN: Final = re.compile(r"[,;\n]")
_BETWEEN_BESIDE_A_COMMA: Final = re.compile(r"[;\n]|,(?!\d)|(?<!\d),")


def shown(text: str) -> str:
    """Return a number of a plan as a field shows it; any other text stays as it is."""
    return again(text) if _DECIMAL.fullmatch(text) else text


def joined(values: Iterable[Any]) -> str:
    """Return a list of numbers as a field shows it."""
    between = "; " if _is_comma_decimal() else ", "
    return between.join(shown(str(value)) for value in values)


def split(text: str) -> list[str]:
    """Return the numbers of a list as a plan has them.

    They are parted by commas, semicolons or lines, and plain ones by blanks.
    """
    between = _BETWEEN_BESIDE_A_COMMA if _is_comma_decimal() else _BETWEEN
    parts = [part.strip() for part in between.split(text) if part.strip()]
    words = [
        word for part in parts for word in (part.split() if _PLAIN.fullmatch(part) else [part])
    ]
    single = [one for word in words for one in (word.split(",") if word.count(",") > 1 else [word])]
    return [typed_number(one) for one in single if one]


def _is_comma_decimal() -> bool:
    return typed_number("0,5") != "0,5"

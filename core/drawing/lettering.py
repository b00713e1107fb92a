"""Room that lettering takes, figures of dimensions and sizes, and texts fitted into a width.

The widths are those of DejaVu Sans Condensed, the face in which drawings are lettered; they stand
here because a drawing is laid out before anyone knows which painter will paint it.
"""

import math
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from seatproof.core.drawing.shapes import ASCENT_EM, DESCENT_EM, Anchor, Text
from seatproof.core.quantities import plain_text
from seatproof.core.units import Unit, from_mm

# Advance widths in thousandths of an em, rounded up, for U+0020 to U+007E.
# fmt: off
_WIDTHS: Final = (
    286, 361, 414, 754, 573, 855, 702, 248, 352, 352, 450, 754, 286, 325, 286, 304,
    573, 573, 573, 573, 573, 573, 573, 573, 573, 573, 304, 304, 754, 754, 754, 478,
    900, 616, 618, 629, 693, 569, 518, 698, 677, 266, 266, 590, 501, 777, 673, 709,
    543, 709, 625, 572, 550, 659, 616, 890, 617, 550, 617, 352, 304, 352, 754, 450,
    450, 552, 572, 495, 572, 554, 317, 572, 571, 250, 250, 521, 250, 877, 571, 551,
    572, 572, 370, 469, 353, 571, 533, 736, 533, 533, 473, 573, 304, 573, 754,
)
# fmt: on
_SIGNS: Final = {"°": 450, "µ": 573, "·": 286, "×": 754, "±": 754, "⌀": 542, "–": 450, "…": 900}
_OTHER: Final = 900  # as wide as nearly every letter of other alphabets, so that a guess errs wide

_DECIMALS: Final = {Unit.MM: Decimal("0.001"), Unit.INCH: Decimal("0.0001")}


def text_width(text: str, size: float) -> float:
    """Return the length of a text set `size` high, or slightly more; never less for Latin text."""
    thousandths = sum(
        _WIDTHS[ord(sign) - 32] if " " <= sign <= "~" else _SIGNS.get(sign, _OTHER) for sign in text
    )
    return thousandths * size / 1000


@dataclass(frozen=True, slots=True)
class Box:
    """An upright rectangle."""

    left: float
    bottom: float
    right: float
    top: float

    def meets(self, other: "Box", distance: float = 0.0) -> bool:
        """Tell whether two boxes overlap or come closer than a distance."""
        return (
            self.left < other.right + distance
            and other.left < self.right + distance
            and self.bottom < other.top + distance
            and other.bottom < self.top + distance
        )


def text_box(text: Text) -> Box:
    """Return the smallest upright box round a text, descenders included."""
    length = text_width(text.text, text.size)
    start = {Anchor.START: 0.0, Anchor.MIDDLE: -length / 2, Anchor.END: -length}[text.anchor]
    low = -text.drop - DESCENT_EM * text.size
    high = -text.drop + ASCENT_EM * text.size
    cos, sin = math.cos(math.radians(text.angle_deg)), math.sin(math.radians(text.angle_deg))
    corners = [
        (text.x + along * cos - across * sin, text.y + along * sin + across * cos)
        for along in (start, start + length)
        for across in (low, high)
    ]
    xs, ys = zip(*corners, strict=True)
    return Box(min(xs), min(ys), max(xs), max(ys))


def figure(length_mm: Decimal, unit: Unit) -> str:
    """Write a dimension without its unit, which a drawing states once.

    Stations that divide a seat evenly need not have a short decimal: more than 0.001 mm or
    0.0001 in is rounded away.

    >>> figure(Decimal("100.0125"), Unit.INCH), figure(Decimal(44) / 3, Unit.MM)
    ('3.9375', '14.667')
    """
    return plain_text(from_mm(length_mm, unit).quantize(_DECIMALS[unit]))


def size_figure(diameter_mm: Decimal, unit: Unit) -> str:
    """Write a nominal size or a limit of size as the plan gives it: a limit is never rounded.

    >>> size_figure(Decimal("50.00255"), Unit.MM)
    '50.00255'
    """
    return plain_text(from_mm(diameter_mm, unit))


def wrap(text: str, size: float, width: float, lines: int) -> list[str]:
    """Break a text between words into lines no longer than a width.

    What does not fit into so many lines ends in an ellipsis.
    """
    wrapped: list[str] = []
    line = ""
    for word in text.split():
        longer = f"{line} {word}" if line else word
        if line and text_width(longer, size) > width:
            wrapped.append(line)
            line = word
        else:
            line = longer
    wrapped.append(line)
    if len(wrapped) > lines:
        wrapped = [*wrapped[: lines - 1], " ".join(wrapped[lines - 1 :])]
    return [_shortened(line, size, width) for line in wrapped]


def _shortened(text: str, size: float, width: float) -> str:
    if text_width(text, size) <= width:
        return text
    while text and text_width(f"{text}…", size) > width:
        text = text[:-1].rstrip()
    return f"{text}…"

"""A drawing in the making, to which shapes are added one by one, arrows and triangles too."""

import math
from collections.abc import Iterable
from typing import Final

from seatproof.core.drawing.shapes import (
    XY,
    Align,
    Anchor,
    Arc,
    Circle,
    Line,
    Pen,
    Polyline,
    Shape,
    Text,
)

# A thousandth of a point is far below what any printer resolves. Rounding to it makes a drawing
# the same on every processor, whatever the last bits of its sines.
_DIGITS: Final = 3


class Sketch:
    """Collects shapes; coordinates are rounded as they come in."""

    def __init__(self) -> None:
        self._shapes: list[Shape] = []

    @property
    def shapes(self) -> tuple[Shape, ...]:
        return tuple(self._shapes)

    def line(self, x1: float, y1: float, x2: float, y2: float, pen: Pen) -> None:
        self._shapes.append(Line(_round(x1), _round(y1), _round(x2), _round(y2), pen))

    def polyline(
        self, points: Iterable[XY], pen: Pen, *, closed: bool = False, filled: bool = False
    ) -> None:
        rounded = tuple((_round(x), _round(y)) for x, y in points)
        self._shapes.append(Polyline(rounded, pen, closed, filled))

    def box(
        self,
        left: float,
        bottom: float,
        right: float,
        top: float,
        pen: Pen,
        *,
        filled: bool = False,
    ) -> None:
        corners = ((left, bottom), (right, bottom), (right, top), (left, top))
        self.polyline(corners, pen, closed=True, filled=filled)

    def circle(self, x: float, y: float, radius: float, pen: Pen, *, filled: bool = False) -> None:
        self._shapes.append(Circle(_round(x), _round(y), _round(radius), pen, filled))

    def arc(
        self, x: float, y: float, radius: float, start_deg: float, extent_deg: float, pen: Pen
    ) -> None:
        arc = Arc(_round(x), _round(y), _round(radius), _round(start_deg), _round(extent_deg), pen)
        self._shapes.append(arc)

    def text(
        self,
        x: float,
        y: float,
        text: str,
        size: float,
        pen: Pen,
        *,
        anchor: Anchor = Anchor.START,
        align: Align = Align.BASELINE,
        angle_deg: float = 0.0,
    ) -> Text:
        lettering = Text(
            _round(x), _round(y), text, _round(size), pen, anchor, align, _round(angle_deg)
        )
        self._shapes.append(lettering)
        return lettering

    def arrowhead(self, x: float, y: float, towards_deg: float, length: float, pen: Pen) -> None:
        """Put down a closed, filled arrowhead of 24° with its tip at (x, y)."""
        sides = (towards_deg + 180 - 12, towards_deg + 180 + 12)
        slant = length / math.cos(math.radians(12))
        self.polyline(
            ((x, y), *(_polar(x, y, slant, side) for side in sides)), pen, closed=True, filled=True
        )

    def datum_triangle(
        self, x: float, y: float, outwards_deg: float, height: float, pen: Pen
    ) -> XY:
        """Put down a filled datum triangle standing on (x, y); return its apex."""
        apex = _polar(x, y, height, outwards_deg)
        half_base = height * math.tan(math.radians(30))
        base = (_polar(x, y, half_base, outwards_deg + turn) for turn in (90, -90))
        self.polyline((*base, apex), pen, closed=True, filled=True)
        return apex


def _polar(x: float, y: float, radius: float, angle_deg: float) -> XY:
    angle = math.radians(angle_deg)
    return x + radius * math.cos(angle), y + radius * math.sin(angle)


def _round(value: float) -> float:
    return round(value, _DIGITS) + 0.0  # the sum turns −0.0 into 0.0

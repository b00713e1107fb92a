"""The vocabulary of a drawing: lines, arcs and lettering, each with the role it plays.

A drawing lies in a box from (0, 0) at the lower left to (`width`, `height`); lengths are points of
1/72 in, y grows upwards, angles are degrees anticlockwise from the x axis. It says what a line *is*
(`Pen`), never its weight or colour: that is the painter's affair. Shapes are painted in their
order, later ones over earlier ones. Lettering is set in DejaVu Sans Condensed, by whose widths the
texts are kept apart.
"""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

# Of DejaVu Sans Condensed; letters such as k and l rise above the capitals.
CAP_HEIGHT_EM: Final = 0.73
ASCENT_EM: Final = 0.76
DESCENT_EM: Final = 0.24

XY = tuple[float, float]


class Pen(StrEnum):
    """The role of a line in the sense of ISO 128: painters give each a weight and a dash."""

    OUTLINE = "outline"  # continuous, wide: visible edges
    THIN = "thin"  # continuous, narrow: break lines, brackets, leaders
    CENTRE = "centre"  # long dash, dot, narrow: axes
    HIDDEN = "hidden"  # dashed, narrow: edges behind material
    DIMENSION = "dimension"  # continuous, narrow: dimension and extension lines, their figures
    STATION = "station"  # continuous, narrow: where a gauge is put
    DATUM = "datum"  # continuous, narrow, its triangle filled: where lengths and angles begin
    FAINT = "faint"  # a pale tone: zones in which nothing is measured


class Anchor(StrEnum):
    """Which point of a text, along its own direction, lies at (x, y)."""

    START = "start"
    MIDDLE = "middle"
    END = "end"


class Align(StrEnum):
    """Which height of a text lies at (x, y): its baseline, or the middle of its capitals."""

    BASELINE = "baseline"
    MIDDLE = "middle"


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line from (x1, y1) to (x2, y2)."""

    x1: float
    y1: float
    x2: float
    y2: float
    pen: Pen


@dataclass(frozen=True, slots=True)
class Polyline:
    """Straight lines through two or more points; filled, it is an area without an edge line."""

    points: tuple[XY, ...]
    pen: Pen
    closed: bool = False
    filled: bool = False


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle; filled, it is a disk without an edge line."""

    x: float
    y: float
    radius: float
    pen: Pen
    filled: bool = False


@dataclass(frozen=True, slots=True)
class Arc:
    """Part of a circle: from `start_deg`, anticlockwise over `extent_deg` (0 to 360)."""

    x: float
    y: float
    radius: float
    start_deg: float
    extent_deg: float
    pen: Pen


@dataclass(frozen=True, slots=True)
class Text:
    """One line of lettering `size` high, turned by `angle_deg` about (x, y)."""

    x: float
    y: float
    text: str
    size: float
    pen: Pen
    anchor: Anchor = Anchor.START
    align: Align = Align.BASELINE
    angle_deg: float = 0.0

    @property
    def drop(self) -> float:
        """How far the baseline lies below (x, y), across the direction of the text."""
        return 0.0 if self.align is Align.BASELINE else self.size * CAP_HEIGHT_EM / 2


Shape = Line | Polyline | Circle | Arc | Text


@dataclass(frozen=True, slots=True)
class Drawing:
    """Shapes within a box of `width` by `height`, in the order of painting."""

    width: float
    height: float
    shapes: tuple[Shape, ...]

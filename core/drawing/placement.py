"""Where a point of the shaft lies on paper: one scale for both axes, long plain parts shortened."""

import math
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass

from seatproof.core.drawing.shapes import XY


@dataclass(frozen=True, slots=True)
class Stretch:
    """A piece of the shaft's length; only a plain one, without edge or seat, may be shortened."""

    from_mm: float
    to_mm: float
    plain: bool

    @property
    def length_mm(self) -> float:
        return self.to_mm - self.from_mm


@dataclass(frozen=True, slots=True)
class Break:
    """A part that is left out of the drawing, and the gap on paper that stands for it."""

    from_mm: float
    to_mm: float
    from_x: float
    to_x: float


@dataclass(frozen=True, slots=True)
class Placement:
    """The way from a place on the shaft to a place on a side elevation.

    Attributes
    ----------
    scale : float
        Points per millimetre, along the shaft and across it.
    axis_y : float
        Height of the shaft's axis on paper.
    marks : tuple of (z_mm, x)
        Places known on paper, ascending; between two of them x follows by proportion.
    breaks : tuple of Break
        What is left out, from the datum face onwards.
    """

    scale: float
    axis_y: float
    marks: tuple[XY, ...]
    breaks: tuple[Break, ...]

    def x(self, z_mm: float) -> float:
        """Return where a distance from the datum face lies along the paper.

        A place that is left out of the drawing falls proportionally into the gap of its break.
        """
        upper = bisect_right(self.marks, z_mm, key=lambda mark: mark[0])
        upper = min(max(upper, 1), len(self.marks) - 1)
        (z0, x0), (z1, x1) = self.marks[upper - 1], self.marks[upper]
        return x0 + (z_mm - z0) * (x1 - x0) / (z1 - z0)

    def y(self, height_mm: float) -> float:
        """Return where a height above the shaft's axis (negative below it) lies on the paper."""
        return self.axis_y + self.scale * height_mm

    def point(self, z_mm: float, diameter_mm: float, angle_deg: float = 90.0) -> XY:
        """Return where a point of the surface lies; at 90° that is the upper contour line."""
        height_mm = diameter_mm / 2 * math.sin(math.radians(angle_deg))
        return self.x(z_mm), self.y(height_mm)


def widest_scale(stretches: Sequence[Stretch], width: float, least: float) -> float:
    """Return the largest scale at which the shaft fits into a width.

    Parameters
    ----------
    stretches : sequence of Stretch
        The shaft, piece by piece.
    width : float
        Room for it on paper.
    least : float
        What a shortened piece still takes on paper; 0 and more.

    Returns
    -------
    float
        Points per millimetre. Without any plain piece, `width` over the whole length.
    """

    def needed(scale: float) -> float:
        return sum(
            min(scale * piece.length_mm, least) if piece.plain else scale * piece.length_mm
            for piece in stretches
        )

    low = width / sum(piece.length_mm for piece in stretches)
    high = 2 * low
    while needed(high) <= width:
        if high > 1e6 * low:  # nothing but plain pieces: they can be shortened at any scale
            return high
        high *= 2
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if needed(middle) <= width else (low, middle)
    return low


def place(
    stretches: Sequence[Stretch],
    *,
    scale: float,
    left: float,
    width: float,
    gap: float,
    axis_y: float,
) -> Placement:
    """Lay the shaft out in a width, centred; plain pieces are shortened as far as the room asks.

    All shortened pieces get the same length on paper, which leaves the shorter ones whole.
    """
    drawn = _drawn_lengths(stretches, scale, width)
    x = left + (width - sum(drawn)) / 2
    marks: list[XY] = [(stretches[0].from_mm, x)]
    breaks: list[Break] = []
    for piece, length in zip(stretches, drawn, strict=True):
        if length < scale * piece.length_mm:
            here = min(gap, length / 3)
            kept = (length - here) / 2
            cut = Break(
                piece.from_mm + kept / scale, piece.to_mm - kept / scale, x + kept, x + kept + here
            )
            breaks.append(cut)
            marks += [(cut.from_mm, cut.from_x), (cut.to_mm, cut.to_x)]
        x += length
        marks.append((piece.to_mm, x))
    return Placement(scale, axis_y, tuple(marks), tuple(breaks))


def _drawn_lengths(stretches: Sequence[Stretch], scale: float, width: float) -> list[float]:
    full = [scale * piece.length_mm for piece in stretches]
    excess = sum(full) - width
    if excess <= 1e-9 * width:
        return full
    plain = sorted(length for piece, length in zip(stretches, full, strict=True) if piece.plain)
    # Cut the longest pieces down to the next shorter one until enough is cut.
    for count in range(1, len(plain) + 1):
        longest = plain[-count:]
        limit = (sum(longest) - excess) / count
        if count == len(plain) or limit >= plain[-count - 1]:
            break
    return [
        min(length, limit) if piece.plain else length
        for piece, length in zip(stretches, full, strict=True)
    ]

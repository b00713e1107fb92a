"""What the figures of a sheet share: a fixed box, lettering, and numbers on their scales."""

from typing import Final

from reportlab.lib.colors import Color
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.platypus import Flowable

from seatproof.core import figures
from seatproof.core.sheet.fonts import FONTS
from seatproof.core.sheet.style import INK, PAPER, SMALL
from seatproof.core.units import UM_PER_MM, Unit, from_mm

HAIR: Final = 0.35
THIN: Final = 0.5
BOLD: Final = 1.2


class Figure(Flowable):
    """A block of fixed size with a title line at its top."""

    def __init__(self, title: str, width: float, height: float) -> None:
        super().__init__()
        self._title = title
        self.width, self.height = width, height

    def wrap(self, aW: float, aH: float) -> tuple[float, float]:  # noqa: N803  # reportlab's names
        del aW, aH
        return self.width, self.height

    def _draw_title(self) -> None:
        self.canv.setFillColor(INK)
        self.canv.setFont(FONTS.bold, SMALL + 0.5)
        self.canv.drawString(0.0, self.height - SMALL, self._title)

    def _letter(
        self,
        x: float,
        y: float,
        text: str,
        *,
        size: float = SMALL - 0.5,
        anchor: float = 0.0,
        font: str = FONTS.text,
        tone: Color = INK,
        backed: bool = False,
    ) -> None:
        """Write a text with its baseline at y; `anchor` is the share of its width left of x."""
        width = stringWidth(text, font, size)
        left = at(x - anchor * width)
        if backed:
            self.canv.setFillColor(PAPER)
            self.canv.rect(left - 1, at(y - 0.2 * size), at(width + 2), size, stroke=0, fill=1)
        self.canv.setFillColor(tone)
        self.canv.setFont(font, size)
        self.canv.drawString(left, at(y), text)


def at(coordinate: float) -> float:
    """Round a coordinate, so that the last bits of a sine never reach the page."""
    return round(coordinate, 3) + 0.0  # the sum turns −0.0 into 0.0


def scale_number(length_um: float, unit: Unit, *, sign: bool = False) -> str:
    """Write a number of a scale: short, with a typographic sign, without its unit.

    >>> scale_number(-5.0, Unit.MM), scale_number(5.08, Unit.INCH, sign=True)
    ('−5', '+0.0002')
    """
    text = figures.tolerance(abs(length_um), unit).removesuffix(f" {figures.small_unit(unit)}")
    if length_um < 0:
        return f"{figures.MINUS}{text}"
    return f"+{text}" if sign and length_um > 0 else text


def in_scale(length_um: float, unit: Unit) -> float:
    """Return a small length in the unit of its scale: µm, or inches in an inch plan."""
    return length_um if unit is Unit.MM else float(from_mm(length_um / UM_PER_MM, unit))


def from_scale(value: float, unit: Unit) -> float:
    """Return micrometres from a value in the unit of its scale."""
    return value if unit is Unit.MM else value * float(unit.in_mm) * UM_PER_MM


def in_unit(length_mm: float, unit: Unit) -> float:
    """Return a length in the plan's unit."""
    return float(from_mm(length_mm, unit))


def from_unit(value: float, unit: Unit) -> float:
    """Return millimetres from a value in the plan's unit."""
    return value * float(unit.in_mm)

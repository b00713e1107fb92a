"""The look of the sheet: page, tones, and the styles of its texts."""

from dataclasses import dataclass
from typing import Final, Literal

from reportlab.lib.colors import Color
from reportlab.lib.pagesizes import A4, LETTER
from reportlab.lib.styles import ParagraphStyle

from seatproof.core.sheet.fonts import FONTS

PageSize = tuple[float, float]

# Greys only: the sheet is copied, faxed and printed in black, and must lose nothing by it.
INK: Final = Color(0, 0, 0)
SOFT: Final = Color(0.33, 0.33, 0.33)  # secondary text, still dark enough to copy
RULE: Final = Color(0.6, 0.6, 0.6)
TINT: Final = Color(0.93, 0.93, 0.93)
PAPER: Final = Color(1, 1, 1)

SMALL: Final = 7.0


@dataclass(frozen=True, slots=True)
class Page:
    """A page: its size and margins in points; the foot lies within the lower margin."""

    size: PageSize = A4
    side: float = 42.0
    top: float = 40.0
    bottom: float = 52.0

    @property
    def width(self) -> float:
        """The width between the margins."""
        return self.size[0] - 2 * self.side

    @property
    def height(self) -> float:
        """The height between the margins."""
        return self.size[1] - self.top - self.bottom


PAGES: Final = {"A4": Page(), "Letter": Page(size=LETTER, side=48.0)}


def _style(
    name: str,
    font: str,
    size: float,
    *,
    tone: Color = INK,
    alignment: Literal[0, 1, 2] = 0,
    before: float = 0.0,
    after: float = 0.0,
) -> ParagraphStyle:
    return ParagraphStyle(
        name,
        fontName=font,
        fontSize=size,
        leading=round(size * 1.3, 2),
        textColor=tone,
        alignment=alignment,
        spaceBefore=before,
        spaceAfter=after,
        bulletFontName=font,
        splitLongWords=1,
        allowWidows=0,
        allowOrphans=0,
    )


BODY: Final = _style("body", FONTS.text, 8.5, after=2.0)
NOTE: Final = _style("note", FONTS.text, SMALL, tone=SOFT)
LABEL: Final = _style("label", FONTS.text, SMALL, tone=SOFT)
VALUE: Final = _style("value", FONTS.text, 8.5)
NAMED: Final = _style("named", FONTS.text, 8.5, tone=SOFT)
STRONG: Final = _style("strong", FONTS.bold, 8.5)
HEAD_CELL: Final = _style("head cell", FONTS.bold, SMALL)
HEAD_FIGURE: Final = _style("head of figures", FONTS.bold, SMALL, alignment=2)
GRID: Final = _style("grid", FONTS.text, SMALL + 0.5)
GRID_FIGURE: Final = _style("grid figures", FONTS.text, SMALL + 0.5, alignment=2)
STATUS: Final = _style("status", FONTS.text, SMALL + 0.5, alignment=2)
TITLE: Final = _style("title", FONTS.bold, 15.0)
NUMBER: Final = _style("number", FONTS.bold, 11.0, alignment=2)
NUMBER_LABEL: Final = _style("number label", FONTS.text, SMALL, tone=SOFT, alignment=2)
NOTICE: Final = _style("notice", FONTS.bold, 10.0, alignment=1)
HEADING: Final = _style("heading", FONTS.bold, 10.5, before=10.0, after=3.0)
SEAT_HEADING: Final = _style("seat heading", FONTS.bold, 11.5, before=4.0, after=4.0)
DIGEST: Final = _style("digest", FONTS.mono, SMALL)

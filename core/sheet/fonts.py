"""The typefaces of the sheet, embedded in the PDF so that it looks the same everywhere."""

from dataclasses import dataclass
from typing import Final

from reportlab.lib.fonts import addMapping
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from seatproof.core.files import resource


@dataclass(frozen=True, slots=True)
class Fonts:
    """Names under which the typefaces are known to reportlab."""

    text: str = "Seatproof"
    bold: str = "Seatproof-Bold"
    mono: str = "SeatproofMono"


FONTS: Final = Fonts()
_FILES: Final = {
    FONTS.text: "DejaVuSansCondensed.ttf",
    FONTS.bold: "DejaVuSansCondensed-Bold.ttf",
    FONTS.mono: "DejaVuSansMono.ttf",
}


def register_fonts() -> Fonts:
    """Make the typefaces known to reportlab, unless they are already; return their names."""
    known = set(pdfmetrics.getRegisteredFontNames())
    for name, file in _FILES.items():
        if name not in known:
            pdfmetrics.registerFont(TTFont(name, str(resource("fonts", file))))
    # Paragraphs ask for bold by a tag; there is no italic, its tag keeps the upright face.
    for italic in (0, 1):
        addMapping(FONTS.text, 0, italic, FONTS.text)
        addMapping(FONTS.text, 1, italic, FONTS.bold)
        addMapping(FONTS.mono, 0, italic, FONTS.mono)
        addMapping(FONTS.mono, 1, italic, FONTS.mono)
    return FONTS

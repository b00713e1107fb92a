"""The typefaces of the sheet, embedded in the PDF so that it looks the same everywhere."""

from dataclasses import dataclass
from io import BytesIO
from struct import unpack
from typing import Any, Final

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
            pdfmetrics.registerFont(read_font(name, str(resource("fonts", file))))
    # Paragraphs ask for bold by a tag; there is no italic, its tag keeps the upright face.
    for italic in (0, 1):
        addMapping(FONTS.text, 0, italic, FONTS.text)
        addMapping(FONTS.text, 1, italic, FONTS.bold)
        addMapping(FONTS.mono, 0, italic, FONTS.mono)
        addMapping(FONTS.mono, 1, italic, FONTS.mono)
    return FONTS


def read_font(name: str, source: str | BytesIO) -> TTFont:
    """Return a typeface as reportlab reads it, with the advance widths of its last glyphs mended.

    A typeface whose letters are all as wide lists their width once. The library takes it over in
    thousandths of an em where units of the typeface belong, so that a subset would contradict the
    widths that the PDF states for it (ISO 19005-3, 6.2.11.5).
    """
    font = TTFont(name, source)
    face: Any = font.face  # the stubs leave out the tables
    (count,) = unpack(">H", face.get_table("hhea")[34:36])
    (advance,) = unpack(">H", face.get_table("hmtx")[4 * (count - 1) :][:2])
    face.hmetrics[count:] = [(advance, bearing) for _, bearing in face.hmetrics[count:]]
    return font

"""Characters that the sheet's typefaces can print, and what stands for those that they cannot."""

import unicodedata
from collections.abc import Mapping
from functools import cache
from typing import Any, Final

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from seatproof.core.sheet.borrowed import borrowed
from seatproof.core.sheet.fonts import FONTS, register_fonts
from seatproof.core.words import Words

_LAST_OF_BMP: Final = 0xFFFF  # characters beyond have no place in reportlab's text extraction map
_INVISIBLE: Final = frozenset({"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"})
_RIGHT_TO_LEFT: Final = frozenset({"R", "AL"})
_LINE_ENDS: Final = {"\r\n": "\n", "\r": "\n", "\u2028": "\n", "\u2029": "\n", "\t": " "}


class Printable:
    """Makes texts printable and remembers what had to be changed."""

    def __init__(self) -> None:
        self._replaced: dict[str, str] = {}
        self._right_to_left = False

    def text(self, text: str) -> str:
        """Return a text with ``[U+4E2D]`` in place of every character that cannot be printed.

        Invisible characters count among these: what is in the record must show on paper.
        """
        if text.isascii() and text.isprintable():
            return text
        for end, plain in _LINE_ENDS.items():
            text = text.replace(end, plain)
        return "".join(self._sign(sign) for sign in text)

    def all_in(self, value: Any) -> Any:
        """Return a JSON value with every text in it made printable."""
        if isinstance(value, str):
            return self.text(value)
        if isinstance(value, Mapping):
            return {key: self.all_in(item) for key, item in value.items()}
        if isinstance(value, list | tuple):
            return [self.all_in(item) for item in value]
        return value

    @property
    def unprintable(self) -> tuple[str, ...]:
        """The characters that were met and cannot be printed."""
        return tuple(self._replaced.values())

    def remarks(self, say: Words) -> tuple[str, ...]:
        """Say what was changed, one sentence each."""
        sentences = []
        if self._replaced:
            shown = ", ".join(list(self._replaced)[:8])
            more = ", …" if len(self._replaced) > 8 else ""
            sentences.append(
                say(
                    "Characters that this sheet's typeface cannot print stand as their Unicode "
                    "numbers ({numbers}); the record holds them as they were written.",
                    numbers=f"{shown}{more}",
                )
            )
        if self._right_to_left:
            sentences.append(
                say(
                    "Words of a script that runs from right to left are printed from left to right."
                )
            )
        return tuple(sentences)

    def _sign(self, sign: str) -> str:
        if sign == "\n" or " " <= sign <= "~":
            return sign
        if _can_print(sign) or sign in borrowed().characters:
            if unicodedata.bidirectional(sign) in _RIGHT_TO_LEFT:
                self._right_to_left = True
            return sign
        number = f"[U+{ord(sign):04X}]"
        self._replaced[number] = sign
        return number


@cache
def _can_print(sign: str) -> bool:
    if ord(sign) > _LAST_OF_BMP or unicodedata.category(sign) in _INVISIBLE:
        return False
    return all(ord(sign) in glyphs for glyphs in _glyphs())


@cache
def _glyphs() -> tuple[Mapping[int, int], ...]:
    """Return the glyphs of the faces that set texts, by character number."""
    register_fonts()
    fonts = (pdfmetrics.getFont(name) for name in (FONTS.text, FONTS.bold))
    return tuple(font.face.charToGlyph for font in fonts if isinstance(font, TTFont))

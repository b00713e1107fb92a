"""Glyphs borrowed from a typeface of the machine, for characters that the sheet's own have not.

A sheet must come out the same on any machine, so that a typeface that was merely found may not be
drawn with. What is borrowed therefore goes into the sealed content: a small typeface of just the
characters that the sheet needs. From then on the sheet is drawn with that.
"""

import base64
import os
import sys
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from functools import cache
from hashlib import sha256
from io import BytesIO
from pathlib import Path
from struct import pack, unpack
from typing import Any, Final

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFError, TTFont, TTFontMaker

from seatproof.core.sheet.fonts import read_font

# Files with Chinese, Japanese and Korean outlines in TrueType, as systems name them.
_FILES: Final = (
    "droidsansfallbackfull.ttf",
    "droidsansfallback.ttf",
    "wqy-microhei.ttc",
    "wqy-zenhei.ttc",
    "uming.ttc",
    "ipag.ttf",
    "ipagp.ttf",
    "takaogothic.ttf",
    "nanumgothic.ttf",
    "unfonts-core.ttf",
    "msyh.ttc",
    "simsun.ttc",
    "msgothic.ttc",
    "yugothr.ttc",
    "malgun.ttf",
    "arial unicode.ttf",
    "applegothic.ttf",
)
_MOST_CHARACTERS: Final = 2000  # more would be a book, and make the record heavy
_LAST_OF_BMP: Final = 0xFFFF


@dataclass(frozen=True, slots=True)
class Borrowed:
    """A small typeface that stands in for the sheet's own; `name` is None where there is none."""

    name: str | None = None
    characters: frozenset[str] = frozenset()


_NONE: Final = Borrowed()
_IN_USE: ContextVar[Borrowed] = ContextVar("borrowed", default=_NONE)


def borrowed() -> Borrowed:
    """Return what stands in for the sheet's own typefaces at the moment."""
    return _IN_USE.get()


@contextmanager
def in_use(glyphs: str) -> Iterator[Borrowed]:
    """Draw with borrowed glyphs (base64 of a small typeface, or "") for as long as this lasts."""
    token = _IN_USE.set(_registered(glyphs) if glyphs else _NONE)
    try:
        yield _IN_USE.get()
    finally:
        _IN_USE.reset(token)


def runs(text: str) -> Iterator[tuple[str, bool]]:
    """Cut a text into stretches; each with whether it is set in borrowed glyphs."""
    characters = borrowed().characters
    start = 0
    for at in range(1, len(text) + 1):
        if at == len(text) or (text[at] in characters) != (text[start] in characters):
            yield text[start:at], text[start] in characters
            start = at


def borrow(characters: Iterable[str]) -> str:
    """Find glyphs for characters in a typeface of this machine.

    Returns
    -------
    str
        A small typeface in base64 of those that were found; "" where none were.
    """
    wanted = sorted({ord(sign) for sign in characters if ord(sign) <= _LAST_OF_BMP})
    if not wanted or len(wanted) > _MOST_CHARACTERS:
        return ""
    best: tuple[TTFont, list[int]] | None = None
    for path in _candidates():
        font = _machine_font(path)
        if font is None:
            continue
        face: Any = font.face
        has = [code for code in wanted if face.charToGlyph.get(code)]
        if has and (best is None or len(has) > len(best[1])):
            best = font, has
        if len(has) == len(wanted):
            break
    if best is None:
        return ""
    return base64.b64encode(_small_typeface(best[0], best[1])).decode("ascii")


@cache
def _registered(glyphs: str) -> Borrowed:
    data = base64.b64decode(glyphs)
    name = f"Borrowed{sha256(data).hexdigest()[:12]}"
    font = read_font(name, BytesIO(data))
    pdfmetrics.registerFont(font)
    face: Any = font.face
    return Borrowed(name, frozenset(chr(code) for code in face.charToGlyph if code))


def _small_typeface(font: TTFont, codes: list[int]) -> bytes:
    """Return a typeface of these characters alone."""
    face: Any = font.face
    # The library's subset maps positions to glyphs; a typeface of its own maps characters.
    tables = _tables(face.makeSubset([0, *codes]))
    glyphs = unpack(f">{1 + len(codes)}H", tables[b"cmap"][22 : 24 + 2 * len(codes)])
    tables[b"cmap"] = _character_map(dict(zip(codes, glyphs[1:], strict=True)))
    maker: Any = TTFontMaker()
    for tag, data in tables.items():
        maker.add(tag.decode("ascii"), data)
    written: bytes = maker.makeStream()
    return written


def _tables(data: bytes) -> dict[bytes, bytes]:
    (count,) = unpack(">H", data[4:6])
    entries = [unpack(">4sIII", data[12 + 16 * index :][:16]) for index in range(count)]
    return {tag: data[offset : offset + length] for tag, _, offset, length in entries}


def _character_map(glyphs: Mapping[int, int]) -> bytes:
    """Return a table of characters in format 4, one segment a character (ISO/IEC 14496-22)."""
    codes = [*sorted(glyphs), 0xFFFF]
    deltas = [(glyphs[code] - code) & 0xFFFF for code in codes[:-1]] + [1]
    count = len(codes)
    power = 1 << (count.bit_length() - 1)
    body = pack(
        f">4H{count}HH{3 * count}H",
        2 * count,
        2 * power,
        power.bit_length() - 1,
        2 * (count - power),
        *codes,
        0,
        *codes,
        *deltas,
        *[0] * count,
    )
    return pack(">HHHHI", 0, 1, 3, 1, 12) + pack(">HHH", 4, 6 + len(body), 0) + body


@cache
def _machine_font(path: Path) -> TTFont | None:
    try:
        return read_font(path.stem, str(path))
    except (TTFError, OSError):
        return None  # not TrueType outlines, or its maker forbids embedding: another one may do


def _candidates() -> Iterator[Path]:
    """Yield the typefaces of the machine that may have what is wanted, the likeliest first."""
    found: dict[str, Path] = {}
    for folder in _folders():
        for where, _, names in os.walk(folder):
            for name in names:
                found.setdefault(name.lower(), Path(where, name))
    for name in _FILES:
        if name in found:
            yield found[name]


def _folders() -> tuple[Path, ...]:
    home = Path.home()
    if sys.platform == "win32":
        return (Path(os.environ.get("WINDIR", "C:/Windows"), "Fonts"),)
    if sys.platform == "darwin":
        return (home / "Library/Fonts", Path("/Library/Fonts"), Path("/System/Library/Fonts"))
    return (
        home / ".fonts",
        home / ".local/share/fonts",
        Path("/usr/local/share/fonts"),
        Path("/usr/share/fonts"),
    )

"""Texts as paragraphs: the only place that makes one, so that no text is ever read as markup."""

from xml.sax.saxutils import escape

from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.platypus import Paragraph

from seatproof.core.sheet.fonts import FONTS


def paragraph(text: str, style: ParagraphStyle) -> Paragraph:
    """Set a text as it is: what looks like markup in it is printed, never obeyed."""
    return Paragraph(_literal(text), style)


def labelled(label: str, text: str, style: ParagraphStyle) -> Paragraph:
    """Set a text behind its label, which stands in bold black."""
    bold = f'<font name="{FONTS.bold}" color="black">{_literal(label)}</font>'
    return Paragraph(f"{bold} {_literal(text)}", style)


def shortened(text: str, font: str, size: float, width: float) -> str:
    """Return as much of a text as fits into a width, with an ellipsis where it was cut."""
    if stringWidth(text, font, size) <= width:
        return text
    while text and stringWidth(f"{text}…", font, size) > width:
        text = text[:-1]
    return f"{text.rstrip()}…"


def _literal(text: str) -> str:
    return escape(text).replace("\n", "<br/>")

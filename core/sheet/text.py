"""Texts as paragraphs: the only place that makes one, so that no text is ever read as markup."""

from typing import Any
from xml.sax.saxutils import escape

from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Paragraph

from seatproof.core.sheet.borrowed import borrowed, runs
from seatproof.core.sheet.fonts import FONTS


class MarkedParagraph(Paragraph):
    """A heading: where it is drawn, a bookmark of its words is set."""

    title = ""
    level = 0

    def draw(self) -> None:
        # What is left of a heading after a page break is a paragraph without a title.
        if self.title:
            canvas: Any = self.canv  # a SheetCanvas, which keeps bookmarks
            canvas.mark(self.title, self.level, self.height)
        super().draw()


def marked(text: str, style: ParagraphStyle, level: int) -> MarkedParagraph:
    """Set a heading that can be found by the file's bookmarks."""
    flowable = MarkedParagraph(_literal(text), style)
    flowable.title, flowable.level = text.replace("\n", " "), level
    return flowable


def paragraph(text: str, style: ParagraphStyle) -> Paragraph:
    """Set a text as it is: what looks like markup in it is printed, never obeyed."""
    return Paragraph(_literal(text), style)


def labelled(label: str, text: str, style: ParagraphStyle) -> Paragraph:
    """Set a text behind its label, which stands in bold black."""
    bold = f'<font name="{FONTS.bold}" color="black">{_literal(label)}</font>'
    return Paragraph(f"{bold} {_literal(text)}", style)


def shortened(text: str, font: str, size: float, width: float) -> str:
    """Return as much of a text as fits into a width, with an ellipsis where it was cut."""
    if text_width(text, font, size) <= width:
        return text
    while text and text_width(f"{text}…", font, size) > width:
        text = text[:-1]
    return f"{text.rstrip()}…"


def text_width(text: str, font: str, size: float) -> float:
    """Return how wide a text is, borrowed glyphs included."""
    name = borrowed().name
    return sum(
        stringWidth(run, name if name and is_borrowed else font, size)
        for run, is_borrowed in runs(text)
    )


def draw_text(canvas: Canvas, x: float, y: float, text: str, font: str, size: float) -> None:
    """Draw one line of text from x on, borrowed glyphs included."""
    name = borrowed().name
    for run, is_borrowed in runs(text):
        face = name if name and is_borrowed else font
        canvas.setFont(face, size)
        canvas.drawString(x, y, run)
        x += stringWidth(run, face, size)


def _literal(text: str) -> str:
    name = borrowed().name
    if name is None:
        return escape(text).replace("\n", "<br/>")
    parts = (
        f'<font name="{name}">{escape(run)}</font>' if is_borrowed else escape(run)
        for run, is_borrowed in runs(text)
    )
    return "".join(parts).replace("\n", "<br/>")

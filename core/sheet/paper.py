"""The paper of the sheet: pages with their foot, and a PDF that holds nothing of its making.

reportlab would put the time of making and an identifier of its own into the file. Both come from
the seal here, so that the same record gives the same bytes wherever and whenever it is drawn.
"""

from dataclasses import dataclass
from datetime import datetime
from functools import partial
from io import BytesIO
from typing import Any, Final

from reportlab.pdfbase.pdfdoc import PDFDocument
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, Flowable, Frame, PageTemplate

from seatproof.core.sheet.fonts import FONTS
from seatproof.core.sheet.style import INK, RULE, SMALL, Page
from seatproof.core.sheet.text import shortened

_TOTAL: Final = "pages"  # the form that holds the number of pages, known only at the end
_FOOT_Y: Final = 30.0


@dataclass(frozen=True, slots=True)
class Information:
    """What the file says of itself, and what stands at the foot of each page.

    `moment` knows its offset from UTC; `identifier` is 32 hexadecimal digits.
    """

    title: str
    author: str
    subject: str
    creator: str
    moment: datetime
    identifier: str
    sheet_number: str
    notice: str
    digest: str


def print_flow(flow: list[Flowable], information: Information, page: Page) -> bytes:
    """Set a flow of blocks on pages and return the PDF."""
    target = BytesIO()
    frame = Frame(
        page.side,
        page.bottom,
        page.width,
        page.height,
        leftPadding=0,
        rightPadding=0,
        topPadding=0,
        bottomPadding=0,
    )
    template = PageTemplate("page", [frame], onPage=partial(_draw_foot, information, page))
    document = BaseDocTemplate(
        target,
        pagesize=page.size,
        pageTemplates=[template],
        title=information.title,
        author=information.author,
        subject=information.subject,
        creator=information.creator,
        lang="en",
        invariant=1,
        # Two builds of the compressing library need not give the same bytes; plain streams do.
        pageCompression=0,
        initialFontName=FONTS.text,
    )
    document.build(flow, canvasmaker=partial(_SealedCanvas, information=information))
    return target.getvalue()


class _SealedCanvas(Canvas):
    """A canvas whose dates and identifier come from the seal."""

    def __init__(self, filename: Any, *, information: Information, **options: Any) -> None:
        super().__init__(filename, **options)
        stamp = _pdf_date(information.moment)
        self.setDateFormatter(lambda *_: stamp)
        identifier = f"[<{information.identifier}> <{information.identifier}>]".encode("ascii")
        # This attribute, missing in the stubs, is the one way to the document behind a canvas.
        document: PDFDocument = self._doc  # type: ignore[attr-defined]
        document.ID = lambda: identifier  # type: ignore[method-assign]  # it has no setter

    def save(self) -> None:
        """Fill in the number of pages that every foot refers to, and finish the file."""
        self.beginForm(_TOTAL)
        self.setFillColor(INK)
        self.setFont(FONTS.text, SMALL)
        self.drawString(0, 0, str(self.getPageNumber() - 1))
        self.endForm()
        super().save()


def _draw_foot(information: Information, page: Page, canvas: Canvas, document: Any) -> None:
    del document
    left, right = page.side, page.side + page.width
    third = page.width / 3.0
    canvas.saveState()
    canvas.setStrokeColor(RULE)
    canvas.setLineWidth(0.5)
    canvas.line(left, _FOOT_Y + 10.0, right, _FOOT_Y + 10.0)
    canvas.setFillColor(INK)
    canvas.setFont(FONTS.text, SMALL)
    name = shortened(f"Sheet {information.sheet_number}", FONTS.text, SMALL, third - 6.0)
    canvas.drawString(left, _FOOT_Y, name)
    counted = f"page {canvas.getPageNumber()} of "
    middle = left + page.width / 2.0
    canvas.drawRightString(middle + 10.0, _FOOT_Y, counted)
    canvas.saveState()
    canvas.translate(middle + 10.0, _FOOT_Y)
    canvas.doForm(_TOTAL)
    canvas.restoreState()
    canvas.setFont(FONTS.mono, SMALL - 0.5)
    canvas.drawRightString(right, _FOOT_Y, f"SHA-256 {information.digest}…")
    if information.notice:
        canvas.setFont(FONTS.bold, SMALL)
        canvas.drawCentredString(middle, _FOOT_Y - SMALL - 3.0, information.notice)
    canvas.restoreState()


def _pdf_date(moment: datetime) -> str:
    offset = moment.strftime("%z")
    return f"D:{moment:%Y%m%d%H%M%S}{offset[:3]}'{offset[3:5]}'"

"""The paper of the sheet: pages with their foot, and what becomes of them in the end."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from io import BytesIO
from typing import Any, Final

from reportlab.pdfbase.pdfdoc import PDFDocument
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, Flowable, Frame, PageTemplate

from seatproof.core.sheet.archival import archival_pdf
from seatproof.core.sheet.attachment import Attachment
from seatproof.core.sheet.fonts import FONTS
from seatproof.core.sheet.metadata import Information
from seatproof.core.sheet.style import INK, RULE, SMALL, Page
from seatproof.core.sheet.text import draw_text, shortened

_TOTAL: Final = "pages"  # the form that holds the number of pages, known only at the end
_FOOT_Y: Final = 30.0


@dataclass(frozen=True, slots=True)
class Foot:
    """What stands at the foot of each page: which sheet it is, and what it must not be taken for.

    `counted` and `of` are the words before a page's number and before how many there are.
    """

    sheet: str
    counted: str
    of: str
    digest: str
    notice: str


def print_flow(
    flow: list[Flowable],
    information: Information,
    foot: Foot,
    page: Page,
    attachments: Sequence[Attachment] = (),
) -> bytes:
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
    template = PageTemplate("page", [frame], onPage=partial(_draw_foot, foot, page))
    document = BaseDocTemplate(
        target,
        pagesize=page.size,
        pageTemplates=[template],
        invariant=1,
        pageCompression=0,
        initialFontName=FONTS.text,
    )
    document.build(
        flow,
        canvasmaker=partial(SheetCanvas, information=information, attachments=attachments),
    )
    return target.getvalue()


class SheetCanvas(Canvas):
    """A canvas that keeps bookmarks and ends as a file for the archive."""

    def __init__(
        self,
        filename: Any,
        *,
        information: Information,
        attachments: Sequence[Attachment],
        **options: Any,
    ) -> None:
        super().__init__(filename, **options)
        self._target = filename
        self._information = information
        self._attachments = attachments
        self._marks = 0

    def mark(self, title: str, level: int, height: float) -> None:
        """Set a bookmark at a height above the present origin."""
        key = f"mark{self._marks}"
        self._marks += 1
        self.bookmarkHorizontal(key, 0, height)
        self.addOutlineEntry(title, key, level)

    def save(self) -> None:
        """Fill in the number of pages that every foot refers to, and finish the file."""
        self.beginForm(_TOTAL)
        self.setFillColor(INK)
        self.setFont(FONTS.text, SMALL)
        self.drawString(0, 0, str(self.getPageNumber() - 1))
        self.endForm()
        # This attribute, missing in the stubs, is the one way to the document behind a canvas.
        document: PDFDocument = self._doc  # type: ignore[attr-defined]
        self._target.write(archival_pdf(document, self, self._information, self._attachments))


def _draw_foot(foot: Foot, page: Page, canvas: Canvas, document: Any) -> None:
    del document
    left, right = page.side, page.side + page.width
    third = page.width / 3.0
    canvas.saveState()
    canvas.setStrokeColor(RULE)
    canvas.setLineWidth(0.5)
    canvas.line(left, _FOOT_Y + 10.0, right, _FOOT_Y + 10.0)
    canvas.setFillColor(INK)
    name = shortened(foot.sheet, FONTS.text, SMALL, third - 6.0)
    draw_text(canvas, left, _FOOT_Y, name, FONTS.text, SMALL)
    canvas.setFont(FONTS.text, SMALL)
    middle = left + page.width / 2.0
    counted = f"{foot.counted} {canvas.getPageNumber()} {foot.of} "
    canvas.drawRightString(middle + 10.0, _FOOT_Y, counted)
    canvas.saveState()
    canvas.translate(middle + 10.0, _FOOT_Y)
    canvas.doForm(_TOTAL)
    canvas.restoreState()
    canvas.setFont(FONTS.mono, SMALL - 0.5)
    canvas.drawRightString(right, _FOOT_Y, f"SHA-256 {foot.digest}…")
    if foot.notice:
        canvas.setFont(FONTS.bold, SMALL)
        canvas.drawCentredString(middle, _FOOT_Y - SMALL - 3.0, foot.notice)
    canvas.restoreState()

"""The pages of a PDF as pictures; without widgets, for a thread beside the window."""

from dataclasses import dataclass
from threading import Lock
from typing import Final

import pypdfium2  # type: ignore[import-untyped]  # it comes without stubs
from PySide6.QtGui import QImage

_POINTS_PER_INCH: Final = 72.0
RESOLUTION_DPI: Final = 150.0
_ONE_AT_A_TIME: Final = Lock()


class PagesError(ValueError):
    """A PDF's pages cannot be shown; the message says why."""


@dataclass(frozen=True, slots=True)
class Pages:
    """The pictures of all pages, in order."""

    pictures: tuple[QImage, ...]


def pages_of(pdf: bytes, dpi: float = RESOLUTION_DPI) -> Pages:
    """Render a PDF.

    PDFium serves one thread at a time only; others wait.

    Raises
    ------
    PagesError
        The bytes are no PDF that can be rendered.
    """
    with _ONE_AT_A_TIME:
        try:
            document = pypdfium2.PdfDocument(pdf)
        except pypdfium2.PdfiumError as error:
            raise PagesError(f"The sheet's pages cannot be shown: {error}") from error
        try:
            return Pages(tuple(_picture(page, dpi) for page in document))
        finally:
            document.close()


def _picture(page: pypdfium2.PdfPage, dpi: float) -> QImage:
    bitmap = page.render(scale=dpi / _POINTS_PER_INCH, rev_byteorder=True, prefer_bgrx=True)
    image = QImage(
        bytes(bitmap.buffer),
        bitmap.width,
        bitmap.height,
        bitmap.stride,
        QImage.Format.Format_RGBX8888,
    ).copy()  # the bytes belong to the bitmap
    page.close()
    return image

"""A text as a QR code (ISO/IEC 18004), drawn as filled squares."""

from typing import Final

from reportlab.graphics.barcode.qrencoder import QR8bitByte, QRCode, QRErrorCorrectLevel
from reportlab.platypus import Flowable

from seatproof.core.sheet.figure import at
from seatproof.core.sheet.style import INK

_QUIET: Final = 4  # modules left white around the code, as the standard asks


class QrFigure(Flowable):
    """A QR code of stated side length; it can be read with a seventh of it spoilt (level M)."""

    def __init__(self, text: str, side: float) -> None:
        super().__init__()
        code = QRCode(None, QRErrorCorrectLevel.M)
        code.addData(QR8bitByte(text))
        code.make()
        self._modules: list[list[bool]] = [[bool(module) for module in row] for row in code.modules]
        self.width = self.height = side

    def draw(self) -> None:
        self.canv.setFillColor(INK)
        count = len(self._modules)
        step = self.width / (count + 2 * _QUIET)
        path = self.canv.beginPath()
        for number, row in enumerate(self._modules):
            bottom = self.height - (number + 1 + _QUIET) * step
            start = None
            for column, dark in enumerate([*row, False]):
                if dark and start is None:
                    start = column
                elif not dark and start is not None:
                    left = (start + _QUIET) * step
                    path.rect(at(left), at(bottom), at((column - start) * step), at(step))
                    start = None
        self.canv.drawPath(path, stroke=0, fill=1)

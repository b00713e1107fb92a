"""The marks of the verdicts, drawn as shapes that survive a black-and-white print."""

from typing import Final

from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable

from seatproof.core.sheet.style import INK, PAPER
from seatproof.core.verdict.rule import Verdict

# The three shapes are drawn to one area, so that none looks heavier than the others.
_HALF_SQUARE: Final = 0.43
_HALF_DIAMOND: Final = 0.5
_RADIUS: Final = 0.46
_WORD_AT: Final = 1.3  # sizes from the left edge of the mark


def draw_mark(canvas: Canvas, verdict: Verdict, x: float, y: float, size: float) -> None:
    """Draw a verdict's mark about its middle (x, y), in a square of `size`.

    Conforms is a filled circle, does not conform a crossed square, not proven a half-filled
    diamond.
    """
    canvas.saveState()
    canvas.setLineWidth(size * 0.1)
    canvas.setLineJoin(0)
    canvas.setStrokeColor(INK)
    canvas.setFillColor(INK)
    match verdict:
        case Verdict.CONFORMS:
            canvas.circle(x, y, _RADIUS * size, stroke=0, fill=1)
        case Verdict.DOES_NOT_CONFORM:
            half = _HALF_SQUARE * size
            canvas.setFillColor(PAPER)
            canvas.rect(x - half, y - half, 2 * half, 2 * half, stroke=1, fill=1)
            canvas.line(x - half, y - half, x + half, y + half)
            canvas.line(x - half, y + half, x + half, y - half)
        case Verdict.NOT_PROVEN:
            half = _HALF_DIAMOND * size
            left = canvas.beginPath()
            left.moveTo(x, y + half)
            left.lineTo(x - half, y)
            left.lineTo(x, y - half)
            left.close()
            canvas.drawPath(left, stroke=0, fill=1)
            whole = canvas.beginPath()
            whole.moveTo(x, y + half)
            whole.lineTo(x - half, y)
            whole.lineTo(x, y - half)
            whole.lineTo(x + half, y)
            whole.close()
            canvas.drawPath(whole, stroke=1, fill=0)
    canvas.restoreState()


class VerdictMark(Flowable):
    """A verdict's mark and its word on one line: they always go together."""

    def __init__(self, verdict: Verdict, word: str, font: str, size: float) -> None:
        super().__init__()
        self._verdict = verdict
        self._word = word
        self._font = font
        self._size = self._drawn = size

    def wrap(self, aW: float, aH: float) -> tuple[float, float]:  # noqa: N803  # reportlab's names
        del aH
        needed = self._size * _WORD_AT + stringWidth(self._word, self._font, self._size)
        # A long word of another language is set smaller rather than run into its neighbour.
        self._drawn = self._size * min(1.0, aW / needed)
        self.width, self.height = aW, self._size * 1.25
        return self.width, self.height

    def draw(self) -> None:
        size = self._drawn
        baseline = self.height - self._size  # where a paragraph beside it has its first one
        draw_mark(self.canv, self._verdict, size * 0.5, baseline + size * 0.32, size * 0.9)
        self.canv.setFillColor(INK)
        self.canv.setFont(self._font, size)
        self.canv.drawString(size * _WORD_AT, baseline, self._word)

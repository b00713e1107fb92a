"""The marks of the verdicts, told apart by their ink alone."""

from io import BytesIO

import pypdfium2
import pytest
from reportlab.pdfgen.canvas import Canvas

from seatproof.core.sheet.marks import VerdictMark, draw_mark
from seatproof.core.verdict.rule import Verdict

SIDE = 200


def inked(verdict: Verdict) -> dict[str, bool]:
    """Say at which places of a mark's square there is ink, as a black-and-white print has it."""
    target = BytesIO()
    canvas = Canvas(target, pagesize=(SIDE, SIDE))
    draw_mark(canvas, verdict, SIDE / 2, SIDE / 2, SIDE)
    canvas.save()
    document = pypdfium2.PdfDocument(target.getvalue())
    picture = document[0].render(scale=1).to_pil().convert("1")
    document.close()
    places = {
        "left of middle": (0.30, 0.5),
        "right of middle": (0.70, 0.5),
        "above middle": (0.5, 0.25),
        "on a diagonal": (0.30, 0.30),
        "in a corner": (0.09, 0.09),
    }
    return {
        name: picture.getpixel((int(x * SIDE), int(y * SIDE))) == 0
        for name, (x, y) in places.items()
    }


@pytest.mark.parametrize(
    ("verdict", "ink"),
    [
        # A filled circle: ink throughout, none in the corners of its square.
        (Verdict.CONFORMS, (True, True, True, True, False)),
        # A crossed square: ink on edge and diagonals, none between them.
        (Verdict.DOES_NOT_CONFORM, (False, False, False, True, True)),
        # A diamond, half filled: ink left of its middle only.
        (Verdict.NOT_PROVEN, (True, False, None, True, False)),
    ],
)
def test_mark_has_its_shape(verdict: Verdict, ink: tuple[bool | None, ...]) -> None:
    for (place, found), expected in zip(inked(verdict).items(), ink, strict=True):
        assert expected is None or found == expected, place


@pytest.mark.parametrize("verdict", list(Verdict))
def test_mark_and_word_go_together(verdict: Verdict) -> None:
    target = BytesIO()
    canvas = Canvas(target, pagesize=(SIDE, SIDE))
    mark = VerdictMark(verdict, verdict.value, "Helvetica", 20)
    mark.wrapOn(canvas, SIDE, SIDE)
    mark.drawOn(canvas, 10, 100)
    canvas.save()
    document = pypdfium2.PdfDocument(target.getvalue())
    text = document[0].get_textpage()
    assert text.get_text_bounded() == verdict.value
    left = text.get_rect(0)[0] if text.count_rects() else text.get_charbox(0)[0]
    assert left > 10 + 20  # the word begins behind the mark
    document.close()

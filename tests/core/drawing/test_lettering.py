from decimal import Decimal

import pytest
from reportlab.pdfbase.pdfmetrics import stringWidth

from seatproof.core.drawing.lettering import (
    Box,
    figure,
    size_figure,
    text_box,
    text_width,
    wrap,
)
from seatproof.core.drawing.shapes import Align, Anchor, Pen, Text
from seatproof.core.sheet.fonts import register_fonts
from seatproof.core.units import Unit

LETTERED = [*map(chr, range(0x20, 0x7F)), *"°µ·×±⌀–…"]


@pytest.mark.parametrize("sign", LETTERED)
def test_widths_are_those_of_the_typeface(sign):
    true = stringWidth(sign, register_fonts().text, 1000)
    assert true <= text_width(sign, 1000) < true + 1.001  # thousandths of an em, rounded up


def test_other_alphabets_are_taken_as_wide_rather_than_narrow():
    for text in ("Wälzlagersitz", "подшипник", "έδρανο", "łożysko"):
        assert text_width(text, 10) >= stringWidth(text, register_fonts().text, 10)


def test_the_box_of_a_centred_text_turns_with_it():
    level = Text(100, 50, "100", 10, Pen.DIMENSION, Anchor.MIDDLE, Align.MIDDLE)
    upright = Text(100, 50, "100", 10, Pen.DIMENSION, Anchor.MIDDLE, Align.MIDDLE, 90)
    # Three figures of 0.573 em; capitals 0.73 em high are centred on y = 50: baseline at 46.35.
    flat, tall = text_box(level), text_box(upright)
    assert (flat.left, flat.right) == pytest.approx((91.405, 108.595))
    assert (flat.bottom, flat.top) == pytest.approx((43.95, 53.95))
    assert (tall.bottom, tall.top) == pytest.approx((41.405, 58.595))
    assert (tall.left, tall.right) == pytest.approx((96.05, 106.05))


@pytest.mark.parametrize(
    ("anchor", "left"), [(Anchor.START, 10.0), (Anchor.MIDDLE, 7.135), (Anchor.END, 4.27)]
)
def test_the_anchor_decides_where_a_text_begins(anchor, left):
    assert text_box(Text(10, 0, "8", 10, Pen.OUTLINE, anchor)).left == pytest.approx(left)


def test_boxes_meet_within_a_distance():
    assert not Box(0, 0, 10, 10).meets(Box(11, 0, 20, 10))
    assert Box(0, 0, 10, 10).meets(Box(11, 0, 20, 10), distance=1.5)
    assert not Box(0, 0, 10, 10).meets(Box(0, 10, 10, 20))


@pytest.mark.parametrize(
    ("length_mm", "unit", "text"),
    [
        ("150", Unit.MM, "150"),
        ("14.66666667", Unit.MM, "14.667"),
        ("0.5", Unit.MM, "0.5"),
        ("69.85", Unit.INCH, "2.75"),
        ("100.0125", Unit.INCH, "3.9375"),
        ("0", Unit.MM, "0"),
    ],
)
def test_figures_have_no_superfluous_zeros(length_mm, unit, text):
    assert figure(Decimal(length_mm), unit) == text


def test_a_limit_of_size_is_never_rounded():
    assert size_figure(Decimal("50.00255"), Unit.MM) == "50.00255"


def test_wrapping_breaks_between_words_and_marks_what_is_left_out():
    text = "centre line of the coupling keyway"
    assert wrap(text, 10, 500, 3) == [text]
    lines = wrap(text, 10, 80, 3)
    assert " ".join(lines) == text
    assert all(stringWidth(line, register_fonts().text, 10) <= 80 for line in lines)
    short = wrap(text, 10, 80, 1)
    assert len(short) == 1
    assert short[-1].endswith("…")
    assert text.startswith(" ".join(short)[:-1])

"""Prints for the workshop: full size to a tenth of a millimetre, nothing lost, nothing cut off."""

import io
import math
import re
from itertools import pairwise

import pypdf
import pypdfium2
import pytest

from seatproof.core.files import example
from seatproof.core.plan.file import load_plan, parse_plan
from seatproof.core.workshop.blank import build_blank
from seatproof.core.workshop.strip import along_strip, build_strips, pieces, round_strip

MM_PER_POINT = 25.4 / 72


def plan_of_example(name="kiln_fan"):
    return load_plan(example(f"{name}.toml"))


def ink_columns_mm(pdf, page, top_mm, bottom_mm):
    """Return where thin upright lines cross a band of a page, measured in a picture of 600 dpi."""
    scale = 600 / 72
    picture = pypdfium2.PdfDocument(pdf)[page].render(scale=scale, grayscale=True).to_numpy()
    picture = picture.reshape(picture.shape[0], picture.shape[1])
    rows = slice(round(top_mm / 25.4 * 600), round(bottom_mm / 25.4 * 600))
    dark = (picture[rows] < 128).all(axis=0).nonzero()[0]
    columns = []
    for x in dark:
        if columns and x - columns[-1][-1] <= 2:
            columns[-1].append(x)
        else:
            columns.append([x])
    return [sum(group) / len(group) / 600 * 25.4 for group in columns]


def test_strip_round_the_shaft_is_as_long_as_its_turn():
    seat = plan_of_example().seat("A")
    strip = round_strip(seat)
    # 110 mm and paper of 0.1 mm: pi * 110.1 mm, worked out by hand.
    assert strip.length_mm == pytest.approx(345.89, abs=0.005)
    assert [mark.label for mark in strip.marks][:7] == [
        "1: 0°", "2: 30°", "3: 60°", "4: 90°", "5: 120°", "6: 150°", "1: 180°",
    ]  # fmt: skip
    assert strip.marks[3].at_mm == pytest.approx(math.pi * 110.1 / 4)


def test_ruler_along_the_seat_carries_distances_from_the_datum():
    plan = plan_of_example()
    strip = along_strip(plan, plan.seat("A"))
    assert strip.length_mm == 60
    assert [(mark.at_mm, mark.label) for mark in strip.marks][:2] == [
        (8, "1: 158 mm"),
        (19, "2: 169 mm"),
    ]


@pytest.mark.parametrize("length", [10.0, 237.9, 238.0, 238.1, 476.0, 5000.0])
def test_pieces_make_up_the_whole_and_each_fits_with_its_overlap(length):
    cut = pieces(length, 250.0)
    assert cut[0][0] == 0
    assert cut[-1][1] == length
    assert all(before[1] == after[0] for before, after in pairwise(cut))
    assert all(end - start <= 238.0 for start, end in cut)


def test_printed_lines_are_where_they_should_be_to_a_tenth_of_a_millimetre():
    pdf = build_strips(plan_of_example())
    # The scale check, 100 mm from the margin of 15 mm: its end lines, above the line itself.
    ends = ink_columns_mm(pdf, 0, 24.5, 25.5)
    assert ends == pytest.approx([15.0, 115.0], abs=0.1)
    # The ruler's upper edge lies below its heading; its lines run down from there.
    found = ink_columns_mm(pdf, 0, 48.5, 51.5)
    ruler = [15.0 + at for at in (0, 8, 19, 30, 41, 52, 60, 72)]  # 72: outline with the overlap
    assert found == pytest.approx(ruler, abs=0.1)


@pytest.mark.parametrize(
    ("name", "paper", "size_mm"),
    [
        ("kiln_fan", "A4", (297, 210)),
        ("screw_pump", "A4", (297, 210)),
        ("kiln_fan", "Letter", (279.4, 215.9)),
    ],
)
def test_every_mark_is_printed_inside_the_page(name, paper, size_mm):
    plan = plan_of_example(name)
    text = example(f"{name}.toml").read_text(encoding="utf-8")
    if paper == "Letter":
        plan = parse_plan(text.replace('unit = "mm"', 'unit = "mm"\npaper = "Letter"'))
    reader = pypdf.PdfReader(io.BytesIO(build_strips(plan)))
    box = reader.pages[0].mediabox
    found = (float(box.width) * MM_PER_POINT, float(box.height) * MM_PER_POINT)
    assert found == pytest.approx(size_mm, abs=0.1)
    shown = " ".join(page.extract_text() for page in reader.pages)
    for seat in plan.seats:
        for strip in (round_strip(seat), along_strip(plan, seat)):
            for mark in strip.marks:
                assert mark.label in shown


def test_sheet_to_write_on_has_every_point_caution_and_condition():
    text = example("kiln_fan.toml").read_text(encoding="utf-8")
    plan = parse_plan('conditions = ["clean", "free of burrs"]\n' + text)
    reader = pypdf.PdfReader(io.BytesIO(build_blank(plan)))
    shown = re.sub(r"\s+", " ", " ".join(page.extract_text() for page in reader.pages))
    assert "Isolate the machine" in shown
    assert "free of burrs" in shown
    for said in ("1: 158 mm", "5: 867 mm", "6: 150°", "110.003", "110.025"):
        assert said in shown


def test_many_orientations_and_long_names_still_fit(plan_of):
    text = plan_of(orientations=36, stations=20, repeats=3).replace("First seat", "Long name " * 19)
    document = pypdfium2.PdfDocument(build_blank(parse_plan(text)))
    assert len(document) > 3


@pytest.mark.parametrize("build", [build_strips, build_blank])
def test_same_plan_gives_the_same_bytes(build):
    assert build(plan_of_example()) == build(plan_of_example())

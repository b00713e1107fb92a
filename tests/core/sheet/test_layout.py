"""Nothing leaves the page, nothing lies on another, whatever the plan and the texts."""

import re
from collections.abc import Callable, Iterator
from decimal import Decimal
from itertools import combinations
from pathlib import Path
from typing import Any

import pypdfium2
import pytest

from seatproof.core.record.file import read_record
from seatproof.core.record.state import InspectionState, fold
from seatproof.core.sheet.document import build_sheet
from seatproof.core.sheet.style import PAGES, Page

Box = tuple[float, float, float, float]
PAGE = Page()
STORED = Path(__file__).parent / "golden"
HAIR = 1.0  # point; letters of neighbouring lines may come as close as their line spacing allows


def plan_with(
    toml: str, *, seats: int = 1, stations: int = 5, orientations: int = 6, repeats: int = 1
) -> str:
    """Return the kiln fan's plan with seat A cut into several seats of so many points."""
    first = toml.index("[[seat]]")
    seat = toml[first : toml.index("[[seat]]", first + 1)]
    length = 60 // seats
    parts = [
        seat.replace('id = "A"', f'id = "A{number}"')
        .replace("from = 150", f"from = {150 + number * length}")
        .replace("length = 60", f"length = {length}")
        .replace("edge_exclusion = 8", "edge_exclusion = 1")
        .replace("stations = 5", f"stations = {stations}")
        .replace("orientations = 6", f"orientations = {orientations}")
        .replace("repeats = 1", f"repeats = {repeats}")
        for number in range(seats)
    ]
    return toml[:first] + "".join(parts) + toml[toml.index("[uncertainty]") :]


def pages_of(pdf: bytes) -> Iterator[Any]:
    document = pypdfium2.PdfDocument(pdf)
    try:
        for index in range(len(document)):
            page = document[index]
            text = page.get_textpage()
            yield text
            text.close()
            page.close()
    finally:
        document.close()


def boxes(text: Any) -> list[Box]:
    """Return left, bottom, right and top of every run of letters on a page."""
    return [text.get_rect(index) for index in range(text.count_rects())]


def overlaps(pdf: bytes) -> list[str]:
    """Name the texts of which one lies over another by more than a hair."""
    found = []
    for text in pages_of(pdf):
        for one, other in combinations(boxes(text), 2):
            width = min(one[2], other[2]) - max(one[0], other[0])
            height = min(one[3], other[3]) - max(one[1], other[1])
            if width > HAIR and height > HAIR:
                found.append(f"{text.get_text_bounded(*one)!r} {text.get_text_bounded(*other)!r}")
    return found


def outside(pdf: bytes, page: Page = PAGE) -> list[str]:
    """Name the texts that reach into a margin."""
    left, right = page.side - HAIR, page.size[0] - page.side + HAIR
    top = page.size[1] - page.top + 8.0
    return [
        text.get_text_bounded(*box)
        for text in pages_of(pdf)
        for box in boxes(text)
        if not (left <= box[0] and box[2] <= right and box[1] >= 15 and box[3] <= top)
    ]


@pytest.mark.parametrize("name", ["kiln_fan", "screw_pump", "full", "full_german"])
def test_examples_are_laid_out_cleanly(request: pytest.FixtureRequest, name: str) -> None:
    pdf = build_sheet(request.getfixturevalue(name))
    assert outside(pdf) == []
    assert overlaps(pdf) == []


@pytest.mark.parametrize("path", sorted(STORED.glob("*_*.json")), ids=lambda path: path.stem)
def test_stored_records_are_laid_out_cleanly(path: Path) -> None:
    state = fold(read_record(path))
    pdf = build_sheet(state)
    assert outside(pdf, PAGES[state.plan.heading.paper]) == []
    assert overlaps(pdf) == []


def test_core_of_one_seat_fits_two_pages(screw_pump: InspectionState) -> None:
    first, second = [text.get_text_bounded() for text in pages_of(build_sheet(screw_pump))][:2]
    assert "Verdict" in first
    assert "What this method cannot see" in first
    for part in ("Smallest local size", "readings at orientation", "Diameter along the seat"):
        assert part in second


@pytest.mark.parametrize(
    "shape",
    [
        {"stations": 1, "orientations": 1},
        {"stations": 2, "orientations": 2, "repeats": 20},
        {"stations": 100, "orientations": 1},
        {"stations": 1, "orientations": 200},
        {"seats": 3, "stations": 12, "orientations": 24, "repeats": 2},
    ],
    ids=str,
)
def test_any_number_of_points_is_laid_out_cleanly(
    open_bench: Callable[..., Any], kiln_fan_toml: str, shape: dict[str, int]
) -> None:
    bench = open_bench(plan_with(kiln_fan_toml, **shape))
    bench.measure(lambda point: Decimal("110.012") + Decimal(point.orientation % 5) / 1000)
    state = bench.seal()
    pdf = build_sheet(state)
    assert outside(pdf) == []
    text = "".join(page.get_text_bounded() for page in pages_of(pdf))
    for value in {reading.received.value for reading in state.readings.values()}:
        given = sum(reading.received.value == value for reading in state.readings.values())
        assert text.count(value) >= given


def test_heads_of_tables_stand_on_every_page(
    seal_good: Callable[..., InspectionState], kiln_fan_toml: str
) -> None:
    state = seal_good(plan_with(kiln_fan_toml, stations=100, orientations=2))
    with_rows = [
        text
        for page in pages_of(build_sheet(state))
        if (text := page.get_text_bounded()).count("110.01") > 20
    ]
    assert len(with_rows) >= 2
    assert all("readings at orientation" in text for text in with_rows)


def test_seat_without_any_reading_is_laid_out(
    open_bench: Callable[..., Any], kiln_fan_toml: str
) -> None:
    bench = open_bench(plan_with(kiln_fan_toml, stations=2, orientations=2))
    while bench.state.cursor is not None:
        bench.inspection.skip("the seat is under the coupling")
    pdf = build_sheet(bench.seal())
    text = "".join(page.get_text_bounded() for page in pages_of(pdf))
    assert "no readings" in text
    assert text.count("skipped") >= 4


@pytest.mark.parametrize("word", ["burr ", "burr", "⌀", "<b>&"])
def test_long_texts_flow_over_pages(
    open_bench: Callable[..., Any], kiln_fan_toml: str, word: str
) -> None:
    long = (word * 10_000)[:10_000].strip()
    head = f'[plan]\nremark = """{long}"""\n'
    bench = open_bench(kiln_fan_toml.replace("[plan]\n", head), actor=f"Ada {word * 1000}")
    bench.inspection.skip(long)
    bench.measure(lambda point: bench.state.plan.seat(point.seat_id).nominal_mm + Decimal("0.014"))
    pdf = build_sheet(bench.seal(statement=f"Seen. {word * 1000}"))
    assert outside(pdf) == []
    text = re.sub(r"\s+", "", "".join(page.get_text_bounded() for page in pages_of(pdf)))
    assert text.count(word.strip()) >= 2 * (10_000 // len(word)) + 2000

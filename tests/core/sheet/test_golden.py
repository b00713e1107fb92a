"""Sheets of stored records: the same pictures, and the same bytes, as when they were looked at.

The records in ``golden`` were sealed once and are drawn again here, whatever the evaluation says by
now. After a change of the layout on purpose raise ``LAYOUT_VERSION``, make records, pictures and
digests anew with ``SEATPROOF_WRITE_GOLDEN=1 pytest tests/core/sheet/test_golden.py``, and look at
every picture before committing it.
"""

import hashlib
import json
import os
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from math import cos, radians
from pathlib import Path
from typing import Any

import numpy as np
import pypdfium2
import pytest
from PIL import Image, ImageFilter

from seatproof.core.record.file import read_record, record_bytes
from seatproof.core.record.state import InspectionState, fold
from seatproof.core.sheet.document import build_sheet
from seatproof.core.wording.content import LAYOUT_VERSION

GOLDEN = Path(__file__).parent / "golden"
DIGESTS = GOLDEN / "digests.json"
WRITES = bool(os.environ.get("SEATPROOF_WRITE_GOLDEN"))
NAMES = ("one_seat_letter", "two_seats_german", "six_seats_spanish", "indicator_set")

SCALE = 0.6  # of 72 dots an inch: enough to see what stands where
MEAN_DIFFERENCE = 1.0  # of 255 grey levels, after smoothing
FAR_OFF = 48  # grey levels by which a pixel is another one
SHARE_FAR_OFF = 0.002

INDICATOR = """
[[seat]]
id = "LR"
name = "Lower bearing, indicator"
from = 1.5
length = 2.75
nominal = "3 15/16"
same_seat_as = "L"
method = "radial"
stations = 2
orientations = 16
"""


def pages(pdf: bytes) -> list[Image.Image]:
    document = pypdfium2.PdfDocument(pdf)
    try:
        return [page.render(scale=SCALE).to_pil().convert("L") for page in document]
    finally:
        document.close()


def unlike(one: Image.Image, other: Image.Image) -> str:
    """Say how two pictures differ by more than the smoothing of edges; "" where they do not."""
    if one.size != other.size:
        return f"{one.size} instead of {other.size}"
    smooth = [
        np.asarray(picture.filter(ImageFilter.BoxBlur(1)), dtype=np.int16)
        for picture in (one, other)
    ]
    difference = np.abs(smooth[0] - smooth[1])
    mean, share = float(difference.mean()), float((difference > FAR_OFF).mean())
    if mean > MEAN_DIFFERENCE or share > SHARE_FAR_OFF:
        return f"{mean:.2f} grey levels on the mean, {share:.2%} of the pixels far off"
    return ""


@pytest.fixture(scope="module")
def golden(
    open_bench: Callable[..., Any], screw_pump_toml: str, kiln_fan_toml: str, request: Any
) -> Any:
    """Make records, pictures and digests anew where that was asked for."""
    if not WRITES:
        return
    states: dict[str, InspectionState] = {}

    def sealed(name: str, toml: str, size: Callable[[Any], Any], language: Any = None) -> None:
        bench = open_bench(toml)
        bench.measure(size(bench))
        states[name] = bench.seal(language=language)

    good = request.getfixturevalue("good_form")
    letter = screw_pump_toml.replace("[plan]\n", '[plan]\npaper = "Letter"\n')
    sealed("one_seat_letter", letter, good)
    states["two_seats_german"] = request.getfixturevalue("full_german")
    sealed("six_seats_spanish", six_seats(kiln_fan_toml), too_large, "es")
    place = screw_pump_toml.index("[uncertainty]")
    with_indicator = screw_pump_toml[:place] + INDICATOR + "\n" + screw_pump_toml[place:]
    sealed("indicator_set", with_indicator, lambda bench: three_lobed(good(bench)))

    GOLDEN.mkdir(exist_ok=True)
    digests = {}
    for name, state in states.items():
        (GOLDEN / f"{name}.json").write_bytes(record_bytes(state.events))
        pdf = build_sheet(state)
        digests[name] = hashlib.sha256(pdf).hexdigest()
        for old in GOLDEN.glob(f"{name}-*.png"):
            old.unlink()
        for number, page in enumerate(pages(pdf), start=1):
            page.quantize(16).save(GOLDEN / f"{name}-{number}.png", optimize=True)
    DIGESTS.write_text(json.dumps({"layout": LAYOUT_VERSION, "sha256": digests}, indent=2) + "\n")


def six_seats(toml: str) -> str:
    first = toml.index("[[seat]]")
    seat = toml[first : toml.index("[[seat]]", first + 1)]
    parts = [
        seat.replace('id = "A"', f'id = "A{number}"')
        .replace("from = 150", f"from = {150 + number * 10}")
        .replace("length = 60", "length = 10")
        .replace("edge_exclusion = 8", "edge_exclusion = 1")
        .replace("stations = 5", "stations = 3")
        .replace("orientations = 6", "orientations = 4")
        for number in range(6)
    ]
    return toml[:first] + "".join(parts) + toml[toml.index("[uncertainty]") :]


def too_large(bench: Any) -> Callable[[Any], Decimal]:
    """Return sizes in the middle of the limits but for one seat that lies above them."""

    def size(point: Any) -> Decimal:
        lower, upper = bench.state.plan.seat(point.seat_id).limits_mm
        beyond = Decimal("0.022") if point.seat_id == "A3" and point.station == 2 else Decimal(0)
        return (lower + upper) / 2 + beyond

    return size


def three_lobed(diameter: Callable[[Any], Decimal]) -> Callable[[Any], Decimal]:
    def size(point: Any) -> Decimal:
        if point.seat_id != "LR":
            return diameter(point)
        return Decimal(round(0.003 * cos(3 * radians(point.angle_deg)), 5))

    return size


@pytest.mark.usefixtures("golden")
@pytest.mark.parametrize("name", NAMES)
def test_pages_look_as_they_did(name: str) -> None:
    found = pages(build_sheet(fold(read_record(GOLDEN / f"{name}.json"))))
    stored = sorted(GOLDEN.glob(f"{name}-*.png"), key=lambda path: int(path.stem.split("-")[-1]))
    assert len(found) == len(stored)
    for number, (page, path) in enumerate(zip(found, stored, strict=True), start=1):
        with Image.open(path) as picture:
            assert unlike(page, picture.convert("L")) == "", f"page {number}"


@pytest.mark.usefixtures("golden")
@pytest.mark.parametrize("name", NAMES)
def test_stored_record_gives_the_same_bytes(name: str) -> None:
    known = json.loads(DIGESTS.read_text())
    assert known["layout"] == LAYOUT_VERSION
    pdf = build_sheet(fold(read_record(GOLDEN / f"{name}.json")))
    found = hashlib.sha256(pdf).hexdigest()
    assert found == known["sha256"][name], "the same content gives other bytes: see the top"


@pytest.mark.usefixtures("golden")
def test_comparison_sees_a_verdict_turned_over() -> None:
    """Otherwise a tolerance could be wide enough for anything."""
    state = fold(read_record(GOLDEN / "one_seat_letter.json"))
    first = pages(build_sheet(state))[0]
    seal = state.seals[0]
    content = json.loads(json.dumps(seal.payload.content))
    content["verdict"] = "does not conform"
    payload = seal.payload.model_copy(update={"content": content})
    turned = pages(build_sheet(replace(state, seals=(replace(seal, payload=payload),))))[0]
    assert unlike(first, turned) != ""
    assert unlike(first, first) == ""

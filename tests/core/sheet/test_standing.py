"""How far a record has come: draft, sealed, signed, reviewed, superseded; gaps; disposition."""

from collections.abc import Callable, Iterable
from io import BytesIO
from typing import Any

import pypdfium2
import pytest
from pypdf import PdfReader
from reportlab.graphics.barcode.qrencoder import QR8bitByte, QRCode, QRErrorCorrectLevel
from reportlab.pdfgen.canvas import Canvas

from seatproof.core.evaluation.evaluate import evaluate
from seatproof.core.record.state import InspectionState, fold
from seatproof.core.sheet.compose import compose
from seatproof.core.sheet.document import build_sheet
from seatproof.core.sheet.qr_figure import QrFigure
from seatproof.core.wording.after_seal import key_fingerprint, status
from seatproof.core.wording.words import words_of

ENGLISH = words_of("en")


def texts(state: InspectionState) -> list[str]:
    return [page.extract_text() for page in PdfReader(BytesIO(build_sheet(state))).pages]


def flat(lines: Iterable[str]) -> str:
    return " ".join(" ".join(lines).split())


def test_status_follows_the_record(full: InspectionState) -> None:
    assert full.seal is not None
    kinds = {event.kind: event.seq for event in full.events}  # the last event of each kind
    first_signature = full.signatures[0].seq
    assert status(fold(full.events[: full.seal.seq - 1]), ENGLISH) == "draft, not sealed"
    assert status(fold(full.events[: full.seal.seq]), ENGLISH) == "sealed, not signed"
    assert status(fold(full.events[:first_signature]), ENGLISH) == "signed"
    assert status(fold(full.events[: kinds["review"]]), ENGLISH) == "reviewed"


def test_everything_that_happened_is_told(full: InspectionState) -> None:
    text = flat(texts(full))
    for said in (
        "concession, on the authority of Dr. O. Bauer, machine owner, number C-24-31",
        "Ines Prüferin asks: Was the burr dressed in the end?",
        "Łukasz Øst answers: No, it lies outside the ring.",
        "review by Ines Prüferin: accepted: Burr seen, outside the seat.",
        "orientation 0° taken at 5°: the keyway is in the way",
        "Old track of the ring seen from 165 to 190 mm.",
        "knock, M-014: slipped off the bench",
        "ground again this morning",
        "setting ring pair, ceramic; serial R-771",
        "Limit for drift: 1.0 µm.",
        "Combined standard uncertainty",
        "An estimate, never an acceptance",
        "reading 110.015 mm taken back. micrometer was not held square",
        "a burr at the keyway; <not> dressed & left",
    ):
        assert said in text, said
    for entry in full.signatures:
        assert key_fingerprint(entry.payload.public_key) in text


def test_gaps_are_told_with_their_reasons(
    open_bench: Callable[..., Any], screw_pump_toml: str
) -> None:
    toml = screw_pump_toml.replace("[decision]", "[checks]\nopening = true\n\n[decision]")
    bench = open_bench(toml)
    bench.measure(lambda point: bench.state.plan.seat(point.seat_id).limits_mm[0])
    content = compose(bench.state, evaluate(bench.state), "Seatproof")
    reasons = {gap.what: "the standard is away for calibration" for gap in bench.inspection.gaps()}
    assert reasons
    bench.inspection.seal(content.model_dump(mode="json"), "Done.", reasons)
    text = flat(texts(bench.state)[:2])
    assert "Sealed with gaps" in text
    assert "before it was checked" in text
    assert "the standard is away for calibration" in text


def test_superseded_sheet_says_so_on_every_page(
    open_bench: Callable[..., Any], screw_pump_toml: str
) -> None:
    bench = open_bench(screw_pump_toml)
    bench.measure(lambda point: bench.state.plan.seat(point.seat_id).limits_mm[0])
    bench.seal()
    revision = bench.inspection.revise("a wrong shaft number")
    number = revision.state.identification.sheet_number
    old = fold(bench.store.events(bench.state.inspection))
    pages = texts(old)
    assert status(old, ENGLISH) == f"superseded by {number}"
    assert all(f"SUPERSEDED by sheet {number}" in page for page in pages)
    assert "a wrong shaft number" in flat(pages)
    # The new one names the old.
    text = flat(texts(revision.state)[:1])
    assert "Supersedes sheet KF-2024-017" in text
    assert "a wrong shaft number" in text


def test_hand_signature_lines_stand_where_no_key_signed(screw_pump: InspectionState) -> None:
    text = flat(texts(screw_pump))
    assert "Measured by" in text
    assert "Reviewed by" in text


@pytest.mark.parametrize("text", ["seatproof record ab event 7 sha256 " + "0f" * 32, "x"])
def test_code_is_drawn_module_by_module(text: str) -> None:
    """Each module of the code, as it is printed, is dark where the encoder says so."""
    side, quiet = 300, 4
    target = BytesIO()
    canvas = Canvas(target, pagesize=(side, side))
    QrFigure(text, side).drawOn(canvas, 0, 0)
    canvas.save()
    code = QRCode(None, QRErrorCorrectLevel.M)
    code.addData(QR8bitByte(text))
    code.make()
    document = pypdfium2.PdfDocument(target.getvalue())
    picture = document[0].render(scale=4).to_pil().convert("L")
    document.close()
    count = len(code.modules)
    step = 4 * side / (count + 2 * quiet)
    for row in range(count):
        for column in range(count):
            at = (int((column + quiet + 0.5) * step), int((row + quiet + 0.5) * step))
            assert (picture.getpixel(at) < 128) == bool(code.modules[row][column])
    assert picture.getpixel((2, 2)) == 255  # the quiet zone

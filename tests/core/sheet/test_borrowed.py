"""Glyphs borrowed from the machine: sealed with the content, and the same everywhere after."""

import base64
from collections.abc import Callable
from dataclasses import asdict
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfbase.ttfonts import TTFont

from seatproof.core.files import resource
from seatproof.core.record.events import Event
from seatproof.core.record.state import fold
from seatproof.core.sheet import borrowed, signs
from seatproof.core.sheet.borrowed import borrow, in_use, runs
from seatproof.core.sheet.compose import before_sealing
from seatproof.core.sheet.document import build_sheet
from seatproof.core.sheet.fonts import FONTS
from seatproof.core.sheet.rebuild import compare, rebuild
from seatproof.core.sheet.text import text_width
from seatproof.core.wording.content import SheetContent

# No machine is sure to have Chinese typefaces. The product's own face stands in for one, and these
# letters, which the sheet could print in truth, for characters that it cannot.
FOREIGN = "ЖДЮ"


@pytest.fixture
def machine(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let the machine have one typeface, and the sheet none for some letters."""
    plain = signs._can_print
    monkeypatch.setattr(signs, "_can_print", lambda sign: sign not in FOREIGN and plain(sign))
    faces = [resource("fonts", "DejaVuSansMono.ttf")]
    monkeypatch.setattr(borrowed, "_candidates", lambda: iter(faces))


@pytest.mark.usefixtures("machine")
def test_borrowed_letters_are_printed_and_read_back(
    seal_good: Callable[..., Any], screw_pump_toml: str
) -> None:
    state = seal_good(screw_pump_toml, actor="Ada Ж, Д und Ю")
    content = SheetContent.model_validate(state.sealed.content)
    assert content.glyphs
    assert before_sealing(content) == ()
    reader = PdfReader(BytesIO(build_sheet(state)))
    assert "Ada Ж, Д und Ю" in reader.pages[0].extract_text()
    assert "[U+0416]" not in reader.pages[0].extract_text()


@pytest.mark.usefixtures("machine")
def test_another_machine_draws_the_same_sheet(
    seal_good: Callable[..., Any], screw_pump_toml: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    state = seal_good(screw_pump_toml, actor="Ada Ж")
    pdf = build_sheet(state)
    monkeypatch.setattr(borrowed, "_candidates", lambda: iter(()))
    events = tuple(Event(**asdict(event)) for event in state.events)
    assert build_sheet(fold(events)) == pdf
    assert compare(pdf, rebuild(events)).same


@pytest.mark.usefixtures("machine")
def test_what_no_typeface_has_is_told_before_the_seal(
    open_bench: Callable[..., Any], screw_pump_toml: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(borrowed, "_candidates", lambda: iter(()))
    bench = open_bench(screw_pump_toml, actor="Ada Ж")
    bench.measure(lambda point: bench.state.plan.seat(point.seat_id).limits_mm[0])
    state = bench.seal()
    content = SheetContent.model_validate(state.sealed.content)
    assert content.glyphs == ""
    assert any("[U+0416]" in sentence for sentence in before_sealing(content))


def test_small_typeface_holds_what_was_asked_for(monkeypatch: pytest.MonkeyPatch) -> None:
    path = resource("fonts", "DejaVuSans.ttf")
    monkeypatch.setattr(borrowed, "_candidates", lambda: iter([path]))
    data = base64.b64decode(borrow("Жä⌀ﷺ\U0001f600"))
    assert len(data) < 30_000
    small, whole = TTFont("small", BytesIO(data)), TTFont("whole", str(path))
    for sign in "Жä⌀":
        assert small.face.charToGlyph[ord(sign)] != 0
        assert small.face.charWidths[ord(sign)] == whole.face.charWidths[ord(sign)]
    assert ord("A") not in small.face.charToGlyph


def test_nothing_is_borrowed_for_nothing() -> None:
    assert borrow("") == ""
    assert borrow("\U0001f600") == ""


def test_file_that_is_no_typeface_is_passed_over(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    broken = tmp_path / "broken.ttf"
    broken.write_bytes(b"no typeface")
    good = resource("fonts", "DejaVuSans.ttf")
    monkeypatch.setattr(borrowed, "_candidates", lambda: iter([broken, good]))
    assert borrow("Ж")


def test_text_is_cut_where_the_typeface_changes(monkeypatch: pytest.MonkeyPatch) -> None:
    assert list(runs("abc")) == [("abc", False)]
    assert list(runs("")) == []
    path = resource("fonts", "DejaVuSansMono.ttf")
    monkeypatch.setattr(borrowed, "_candidates", lambda: iter([path]))
    with in_use(borrow("Ж")) as use:
        assert list(runs("aЖЖb")) == [("a", False), ("ЖЖ", True), ("b", False)]
        assert use.name is not None
        expected = stringWidth("ab", FONTS.text, 10) + stringWidth("ЖЖ", use.name, 10)
        assert text_width("aЖЖb", FONTS.text, 10) == pytest.approx(expected, abs=1e-6)
    assert list(runs("aЖ")) == [("aЖ", False)]

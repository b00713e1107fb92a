"""The sheet as a file: what can be read in it, and that it is the same every time."""

import json
import os
import re
import subprocess
import sys
import unicodedata
from collections.abc import Callable
from dataclasses import asdict, replace
from decimal import Decimal
from io import BytesIO
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from seatproof.core.plan.points import PointKey
from seatproof.core.record.events import Event
from seatproof.core.record.kinds import Identification
from seatproof.core.record.state import InspectionState
from seatproof.core.sheet.document import build_sheet
from seatproof.core.sheet.signs import Printable
from seatproof.core.verdict.rule import Verdict
from seatproof.core.wording.content import CONTENT_VERSION, LAYOUT_VERSION, SheetContent
from seatproof.core.wording.errors import ContentUnknownError, LayoutUnknownError, SheetError
from seatproof.core.wording.words import words_of

# The names of alphabets that the typeface has, and what a careless program takes for markup.
NAMES = ("Łukasz Øst", "Ελένη", "Дмитрий", "J&C <b>", "0.1 <A <0.9", "<img src=x.png>", "S&P 500")


def text_of(pdf: bytes) -> str:
    return "\n".join(page.extract_text() for page in PdfReader(BytesIO(pdf)).pages)


def squeezed(text: str) -> str:
    """Leave out white space, which a typesetter may move."""
    return re.sub(r"\s+", "", text)


@pytest.mark.parametrize(("name", "pages"), [("kiln_fan", 4), ("screw_pump", 3)])
def test_example_fills_few_pages(request: pytest.FixtureRequest, name: str, pages: int) -> None:
    state: InspectionState = request.getfixturevalue(name)
    assert len(PdfReader(BytesIO(build_sheet(state))).pages) == pages


@pytest.mark.parametrize("name", ["kiln_fan", "screw_pump"])
def test_sheet_says_all_of_its_content(request: pytest.FixtureRequest, name: str) -> None:
    state: InspectionState = request.getfixturevalue(name)
    assert state.sealed is not None
    content = SheetContent.model_validate(state.sealed.content)
    text = squeezed(text_of(build_sheet(state)))
    expected = [content.title, content.sheet_number, content.blindness, content.deference]
    expected += [*content.cautions, content.program, state.identification.shaft_serial]
    of_sections = [fact for section in content.sections for fact in section.facts]
    for fact in (*content.title_block, *content.rule, *of_sections):
        expected += [fact.label, fact.value]
    for section in content.sections:
        expected += [section.heading, *section.sentences]
        for grid in section.grids:
            expected += [grid.caption, grid.note, *grid.heads]
            expected += [text for row in grid.rows for text in row]
    for line in content.requirements:
        expected += [line.characteristic, line.sense, line.limits, line.value, line.uncertainty]
        expected += [line.verdict, *line.reasons]
    for part in content.seats:
        expected += [part.heading, part.table_note, *part.orientations]
        expected += [*part.polar_notes, *part.along_notes]
        for fact in part.facts:
            expected += [fact.label, fact.value]
        for row in part.rows:
            expected += [*row.results, row.position]
    assert [phrase for phrase in expected if squeezed(phrase) not in text] == []


def test_every_reading_stands_in_the_table_of_its_seat(kiln_fan: InspectionState) -> None:
    text = text_of(build_sheet(kiln_fan))
    for seat in kiln_fan.plan.seats:
        values = [
            reading.received.value
            for reading in kiln_fan.readings.values()
            if reading.key.seat_id == seat.id
        ]
        assert len(values) == 30
        for value in set(values):
            assert text.count(value) >= values.count(value)


def test_sheet_names_its_seal(kiln_fan: InspectionState) -> None:
    seal = kiln_fan.sealed_by
    assert seal is not None
    assert kiln_fan.sealed is not None
    pdf = build_sheet(kiln_fan)
    text = text_of(pdf)
    for said in (seal.hash, seal.inspection, seal.actor, kiln_fan.sealed.statement):
        assert said in text
    assert f"events 1 to {seal.seq}, the last being: sealed" in text
    for number, page in enumerate(PdfReader(BytesIO(pdf)).pages, start=1):
        foot = page.extract_text()
        assert squeezed(f"page {number} of 4") in squeezed(foot)
        assert f"Sheet {kiln_fan.identification.sheet_number}" in foot
        assert seal.hash[:16] in foot


def test_file_speaks_of_the_inspection_and_not_of_its_making(kiln_fan: InspectionState) -> None:
    reader = PdfReader(BytesIO(build_sheet(kiln_fan)))
    assert reader.metadata is not None
    assert reader.metadata.title == "Drying-kiln fan, main shaft, sheet KF-2024-017"
    assert reader.metadata.author == "Lehmkuhle Brickworks, maintenance"
    assert reader.metadata.creator == kiln_fan.program
    assert kiln_fan.sealed_by is not None
    # The clock of these tests moves four seconds an event, from 08:30 at +02:00 on.
    assert kiln_fan.last.utc.startswith("2024-05-17T06:34:2")
    expected = f"D:2024051708342{kiln_fan.last.utc[18]}+02'00'"
    assert reader.metadata.creation_date_raw == expected
    identifier = reader.trailer["/ID"][0].original_bytes.hex()
    assert identifier == kiln_fan.sealed_by.hash[:32]


def test_every_typeface_is_embedded(kiln_fan: InspectionState) -> None:
    embedded = {}
    for page in PdfReader(BytesIO(build_sheet(kiln_fan))).pages:
        for font in page["/Resources"]["/Font"].values():
            descriptor = font.get_object().get("/FontDescriptor")
            embedded[font.get_object()["/BaseFont"]] = (
                descriptor is not None and "/FontFile2" in descriptor.get_object()
            )
    assert len(embedded) >= 3
    assert all(embedded.values())


def test_page_size_is_the_plan_s_choice(
    seal_good: Callable[..., InspectionState], screw_pump_toml: str
) -> None:
    toml = screw_pump_toml.replace("[plan]\n", '[plan]\npaper = "Letter"\n')
    reader = PdfReader(BytesIO(build_sheet(seal_good(toml))))
    assert {tuple(map(float, page.mediabox)) for page in reader.pages} == {(0, 0, 612, 792)}


# --- the same bytes ------------------------------------------------------------------------------

_BUILD = """
import hashlib, json, sys
from seatproof.core.record.events import Event
from seatproof.core.record.state import fold
from seatproof.core.sheet.document import build_sheet
events = [Event(**item) for item in json.load(sys.stdin)]
sys.stdout.write(hashlib.sha256(build_sheet(fold(events))).hexdigest())
"""

_MACHINES = (
    {"PYTHONHASHSEED": "1", "TZ": "Pacific/Kiritimati", "LC_ALL": "C"},
    {"PYTHONHASHSEED": "2", "TZ": "America/St_Johns", "LC_ALL": "de_DE.UTF-8"},
    # What reportlab itself reads from its surroundings.
    {
        "PYTHONHASHSEED": "3",
        "SOURCE_DATE_EPOCH": "1",
        "RL_pageCompression": "1",
        "RL_useA85": "0",
        "RL_paraFontSizeHeightOffset": "0",
        "RL_documentLang": "de",
        "RL_ttfAsciiReadable": "0",
    },
)


def test_same_record_gives_the_same_bytes_on_any_machine(failing_bench: Any) -> None:
    events: tuple[Event, ...] = tuple(failing_bench.store.kept)
    document = json.dumps([asdict(event) for event in events])
    digests = {
        subprocess.run(
            [sys.executable, "-c", _BUILD],
            input=document,
            env={**os.environ, **machine},
            capture_output=True,
            text=True,
            check=True,
            timeout=60,
        ).stdout
        for machine in _MACHINES
    }
    assert len(digests) == 1
    assert re.fullmatch(r"[0-9a-f]{64}", digests.pop())


def test_second_sheet_of_one_process_is_the_same(
    kiln_fan: InspectionState, screw_pump: InspectionState
) -> None:
    first = build_sheet(kiln_fan)
    build_sheet(screw_pump)
    assert build_sheet(kiln_fan) == first


# --- what is refused -----------------------------------------------------------------------------


def test_open_inspection_has_a_draft_that_says_so_on_every_page(
    open_bench: Callable[..., Any], kiln_fan_toml: str
) -> None:
    bench = open_bench(kiln_fan_toml)
    bench.press(Decimal("110.012"))
    pdf = build_sheet(bench.state)
    pages = PdfReader(BytesIO(pdf)).pages
    assert all("DRAFT: not sealed" in page.extract_text() for page in pages)
    assert "not proven" in pages[0].extract_text()
    assert build_sheet(bench.state) == pdf


def sealed_with(state: InspectionState, content: dict[str, Any]) -> InspectionState:
    """Return a state whose seal holds other content."""
    assert state.seal is not None
    payload = state.seal.payload.model_copy(update={"content": content})
    return replace(state, seals=(replace(state.seal, payload=payload),))


def test_content_of_a_newer_program_is_refused(kiln_fan: InspectionState) -> None:
    assert kiln_fan.sealed is not None
    content = {**kiln_fan.sealed.content, "version": CONTENT_VERSION + 1}
    with pytest.raises(ContentUnknownError, match=r"version 3, and this program draws 2"):
        build_sheet(sealed_with(kiln_fan, content))


@pytest.mark.parametrize("layout", [LAYOUT_VERSION - 1, LAYOUT_VERSION + 1])
def test_other_layout_is_owned_up_to(kiln_fan: InspectionState, layout: int) -> None:
    assert kiln_fan.sealed is not None
    content = {**kiln_fan.sealed.content, "layout_version": layout, "program": "Seatproof 9.9"}
    with pytest.raises(LayoutUnknownError, match=r"Seatproof 9\.9 makes the file") as caught:
        build_sheet(sealed_with(kiln_fan, content))
    assert (caught.value.found, caught.value.known) == (layout, LAYOUT_VERSION)


def test_content_that_is_no_sheet_is_refused(kiln_fan: InspectionState) -> None:
    assert kiln_fan.sealed is not None
    with pytest.raises(SheetError, match="cannot be drawn"):
        build_sheet(sealed_with(kiln_fan, {"title": "?"}))


# --- texts of others -----------------------------------------------------------------------------


@pytest.fixture(scope="module")
def failing_bench(open_bench: Callable[..., Any], kiln_fan_toml: str) -> Any:
    """Return the bench of a sealed inspection in which much went another way."""
    bench = open_bench(kiln_fan_toml, actor="J&C <b>")
    inspection = bench.inspection
    press = bench.press
    press(Decimal("110.040"))
    press(Decimal("109.995"))
    press(Decimal("110.500"))
    inspection.take_back("0.1 <A <0.9")
    inspection.skip("<img src=x.png> & <br/> a burr")
    press(Decimal("55"))
    inspection.discard_parked(inspection.state.last.seq, "gauge not closed on the shaft")
    bench.measure(lambda point: bench.state.plan.seat(point.seat_id).nominal_mm + Decimal("0.014"))
    inspection.aim(PointKey("A", 5, 6), "looked odd")
    press(Decimal("110.015"))
    bench.seal("I & I alone <did> this.")
    return bench


def test_what_went_another_way_is_said(failing_bench: Any) -> None:
    state: InspectionState = failing_bench.state
    text = text_of(build_sheet(state))
    # Words by hand, from what the bench was made to do.
    assert "▲ 110.040" in text
    assert "▼ 109.995" in text
    assert "↻ 110.015" in text
    assert "skipped" in text
    for said in (
        "▲ above the upper limit.",
        "▼ below the lower limit.",
        "does not conform",
        "0.1 <A <0.9",
        "<img src=x.png> & <br/> a burr",
        "thrown away: gauge not closed on the shaft",
        "I & I alone <did> this.",
        "J&C <b>",
        "1 point is not measured.",
    ):
        assert squeezed(said) in squeezed(text)


def test_good_sheet_explains_no_sign_that_it_does_not_use(kiln_fan: InspectionState) -> None:
    text = text_of(build_sheet(kiln_fan))
    assert not set("▲▼↻") & set(text)
    assert "No reading was repeated, withdrawn, parked or skipped." in text


def test_simulated_gauge_is_named_on_every_page(
    seal_good: Callable[..., InspectionState], screw_pump_toml: str
) -> None:
    pdf = build_sheet(seal_good(screw_pump_toml, simulated=True))
    for page in PdfReader(BytesIO(pdf)).pages:
        assert "Simulated gauge: no shaft was measured" in page.extract_text()


@pytest.mark.parametrize("name", NAMES)
def test_names_are_printed_as_they_are_written(
    seal_good: Callable[..., InspectionState], screw_pump_toml: str, name: str
) -> None:
    number = Identification(sheet_number=name, asset=name, shaft_serial=name, work_order=name)
    toml = screw_pump_toml.replace("Lehmkuhle Brickworks, water works", name)
    text = squeezed(text_of(build_sheet(seal_good(toml, actor=name, identification=number))))
    assert text.count(squeezed(name)) >= 7


def test_characters_without_a_glyph_are_shown_by_number_and_owned_up_to(
    seal_good: Callable[..., InspectionState],
    screw_pump_toml: str,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("seatproof.core.sheet.borrowed.borrow", lambda characters: "")
    text = text_of(build_sheet(seal_good(screw_pump_toml, actor="王 Wáng \u202e\U0001f600")))
    assert "[U+738B] Wáng [U+202E][U+1F600]" in text
    assert "cannot print stand as their Unicode" in text


def test_trade_signs_have_glyphs(kiln_fan: InspectionState) -> None:
    printable = Printable()
    signs = "⌀ µ ± ° Δ α ′ ▲ ▼ − ≤ ≥ … ↻ × · – “ ”"
    assert printable.text(signs) == signs
    assert printable.remarks(words_of("en")) == ()


def test_right_to_left_words_are_owned_up_to() -> None:
    printable = Printable()
    assert printable.text("דוד") == "דוד"
    assert "from right to left" in " ".join(printable.remarks(words_of("en")))


# Right-to-left letters are left out: text extraction turns them round in its own way.
_TEXT = st.text(
    st.characters(exclude_categories=["Cs", "Cc", "Zl", "Zp"]).filter(
        lambda sign: unicodedata.bidirectional(sign) not in ("R", "AL", "AN")
    ),
    min_size=1,
    max_size=60,
).filter(lambda text: text.strip())


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(_TEXT, _TEXT, _TEXT, _TEXT)
def test_any_text_is_printed_and_breaks_nothing(
    kiln_fan: InspectionState, organisation: str, name: str, reason: str, remark: str
) -> None:
    assert kiln_fan.sealed is not None
    content = json.loads(json.dumps(kiln_fan.sealed.content))
    content["title_block"][0]["value"] = organisation
    content["seats"] = []  # drawn elsewhere; without them there are more texts in the time
    content["rule"][0]["value"] = name
    content["remarks"] = [{"when": "08:30:00", "what": "Point A 1/1 skipped", "why": reason}]
    content["plan_remark"] = remark
    text = squeezed(text_of(build_sheet(sealed_with(kiln_fan, content))))
    for written in (organisation, name, reason, remark):
        assert squeezed(Printable().text(written)) in text


def test_verdict_of_every_requirement_has_its_word(kiln_fan: InspectionState) -> None:
    first_page = PdfReader(BytesIO(build_sheet(kiln_fan))).pages[0].extract_text()
    assert kiln_fan.sealed is not None
    verdicts = [line["verdict"] for line in kiln_fan.sealed.content["requirements"]]
    for verdict in Verdict:
        assert first_page.count(verdict) >= verdicts.count(verdict)

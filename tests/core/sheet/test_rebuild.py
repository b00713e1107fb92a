"""A sheet proves itself: its record comes out of it again, and from that the same file."""

import json
import random
from collections.abc import Callable
from dataclasses import replace
from io import BytesIO
from typing import Any

import pikepdf
import pytest

from seatproof.core.exports.readings_csv import readings_csv
from seatproof.core.record.errors import RecordError
from seatproof.core.record.events import check_chain
from seatproof.core.record.file import record_bytes
from seatproof.core.record.state import InspectionState, fold
from seatproof.core.sheet.document import build_sheet
from seatproof.core.sheet.extract import extract_readings, extract_record
from seatproof.core.sheet.rebuild import compare, rebuild
from seatproof.core.sheet.recompute import recompute
from seatproof.core.wording.errors import SheetUnreadableError


@pytest.fixture(scope="module")
def full_pdf(full: InspectionState) -> bytes:
    return build_sheet(full)


def test_record_comes_out_of_the_sheet(full: InspectionState, full_pdf: bytes) -> None:
    events = extract_record(full_pdf)
    assert events == full.events
    check_chain(events)
    assert extract_readings(full_pdf) == readings_csv(full)


def test_sheet_made_again_is_the_same_file(full_pdf: bytes) -> None:
    comparison = compare(full_pdf, rebuild(extract_record(full_pdf)))
    assert comparison.same
    assert comparison.appended == b""
    assert "byte for byte" in comparison.sentence


def test_sheet_can_be_made_of_any_earlier_event(full: InspectionState) -> None:
    assert full.seal is not None
    at_seal = fold(full.events[: full.seal.seq])
    pdf = build_sheet(at_seal)
    assert extract_record(pdf) == full.events[: full.seal.seq]
    assert pdf != build_sheet(full)
    assert compare(pdf, rebuild(extract_record(pdf))).same


def test_draft_is_rebuilt_as_well(open_bench: Callable[..., Any], kiln_fan_toml: str) -> None:
    pdf = build_sheet(open_bench(kiln_fan_toml).state)
    assert compare(pdf, rebuild(extract_record(pdf))).same


# --- altered bytes -------------------------------------------------------------------------------


def test_every_altered_byte_is_found(full_pdf: bytes) -> None:
    """Thousands of places all over the file, in each of them another byte."""
    chance = random.Random(20240517)
    for place in chance.sample(range(len(full_pdf)), 3000):
        altered = bytearray(full_pdf)
        altered[place] ^= chance.randrange(1, 256)
        comparison = compare(bytes(altered), full_pdf)
        assert not comparison.same
        assert (comparison.first_difference, comparison.differing) == (place, 1)


def test_file_with_an_altered_byte_never_proves_itself(full_pdf: bytes) -> None:
    """The whole check: the record comes out, its chain holds, the same file comes of it.

    Made again, a sheet depends on the record alone: that is done once for each record found.
    """
    chance = random.Random(20240518)
    record = full_pdf.index(b'{"events":[')
    inside = range(record, full_pdf.index(b"endstream", record))
    places = chance.sample(range(len(full_pdf)), 60) + chance.sample(inside, 40)
    made: dict[bytes, bytes] = {}
    undetected = []
    for place in places:
        altered = bytearray(full_pdf)
        altered[place] ^= chance.randrange(1, 256)
        if proves_itself(bytes(altered), made):
            undetected.append(place)
    assert undetected == []
    assert proves_itself(full_pdf, made)


def proves_itself(pdf: bytes, made: dict[bytes, bytes]) -> bool:
    try:
        events = extract_record(pdf)
        check_chain(events)
        key = record_bytes(events)
        if key not in made:
            made[key] = rebuild(events)
    except (SheetUnreadableError, RecordError):
        return False
    return compare(pdf, made[key]).same


@pytest.mark.parametrize("kept", [0, 1, 100, 5000, -1])
def test_cut_file_is_found(full_pdf: bytes, kept: int) -> None:
    cut = full_pdf[:kept]
    comparison = compare(cut, full_pdf)
    assert not comparison.same
    assert comparison.missing == len(full_pdf) - len(cut)
    assert "ends too early" in comparison.sentence


def test_what_was_added_behind_is_told(full_pdf: bytes) -> None:
    comparison = compare(full_pdf + b"%more\n", full_pdf)
    assert comparison.same
    assert comparison.appended == b"%more\n"
    assert "6 bytes were added behind it" in comparison.sentence


@pytest.mark.parametrize(
    ("found", "sentence"),
    [
        (b"abcd", "The file is the one that its record gives, byte for byte."),
        (b"abXd", "first at byte 2; 1 byte was altered."),
        (b"aXXX", "first at byte 1; 3 bytes were altered."),
        (b"abc", "The file ends too early: 1 byte was lost."),
        (b"abcd!", "byte for byte; 1 byte was added behind it."),
    ],
)
def test_comparison_is_told_in_plain_words(found: bytes, sentence: str) -> None:
    assert compare(found, b"abcd").sentence.endswith(sentence)


def test_altered_figure_on_paper_is_found(full_pdf: bytes) -> None:
    """Somebody turns one verdict over and leaves the record as it is."""
    altered = full_pdf.replace(b"(not proven) Tj", b"(conforms  ) Tj", 1)
    assert altered != full_pdf
    assert not compare(altered, rebuild(extract_record(altered))).same


@pytest.mark.parametrize(
    "data",
    [b"", b"%PDF-1.7\n", b"\x00" * 1000, b"no PDF at all", b"%PDF-1.7\n1 0 obj\n<<>>\nendobj\n"],
)
def test_other_bytes_are_refused_with_a_sentence(data: bytes) -> None:
    with pytest.raises(SheetUnreadableError, match="No record can be taken out of this file"):
        extract_record(data)


def with_record(pdf: bytes, data: bytes) -> bytes:
    """Return a sheet with other bytes in place of its record, as another program would save it."""
    with pikepdf.open(BytesIO(pdf)) as file:
        file.Root.AF[0].EF.F.write(data)
        out = BytesIO()
        file.save(out)
    return out.getvalue()


@pytest.mark.parametrize(
    ("data", "finding"),
    [
        (b"{", "not JSON"),
        (b"[]", "not a Seatproof record"),
        (b'{"format":"seatproof record","version":7,"events":[]}', "has version 7"),
        (b'{"format":"seatproof record","version":1,"events":[]}', "holds no events"),
        (b'{"format":"seatproof record","version":1,"events":[{}]}', "lacks a field"),
    ],
)
def test_other_record_is_refused(full_pdf: bytes, data: bytes, finding: str) -> None:
    with pytest.raises(SheetUnreadableError, match=finding):
        extract_record(with_record(full_pdf, data))


def test_record_in_another_spelling_is_refused(full: InspectionState, full_pdf: bytes) -> None:
    spaced = json.dumps(json.loads(record_bytes(full.events))).encode()
    with pytest.raises(SheetUnreadableError, match="not spelled"):
        extract_record(with_record(full_pdf, spaced))


def test_file_without_a_record_is_refused(full_pdf: bytes) -> None:
    with pikepdf.open(BytesIO(full_pdf)) as file:
        del file.Root["/AF"]
        out = BytesIO()
        file.save(out)
    with pytest.raises(SheetUnreadableError, match=r"record\.json is not attached"):
        extract_record(out.getvalue())


# --- figures -------------------------------------------------------------------------------------


def test_figures_come_out_again(full: InspectionState) -> None:
    recomputation = recompute(full.events)
    assert recomputation.differences == ()
    assert recomputation.agrees


def test_figure_that_was_not_worked_out_so_is_told(
    open_bench: Callable[..., Any], kiln_fan_toml: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A seal over a content in which a figure was bettered by hand."""
    bench = open_bench(kiln_fan_toml)
    bench.measure(lambda point: bench.state.plan.seat(point.seat_id).limits_mm[1])
    seal = bench.inspection.seal

    def bettered(content: dict[str, Any], *rest: Any, **more: Any) -> Any:
        content["requirements"][0]["verdict"] = "conforms"
        content["seats"][0]["along"]["means"][0][1] += 1.0
        return seal(content, *rest, **more)

    monkeypatch.setattr(type(bench.inspection), "seal", lambda self, *a, **k: bettered(*a, **k))
    state = bench.seal()
    found = recompute(state.events)
    assert not found.agrees
    assert len(found.differences) == 2
    told = " ".join(found.differences)
    assert "requirements 1.verdict: the sheet says “conforms”" in told
    assert "seats 1.along.means 1 2" in told


def test_other_evaluation_is_owned_up_to(full: InspectionState, monkeypatch: Any) -> None:
    monkeypatch.setattr("seatproof.core.sheet.recompute.EVALUATION_VERSION", 99)
    found = recompute(full.events)
    assert not found.agrees
    assert "cannot be compared" in found.obstacle
    assert found.differences == ()


def test_open_record_has_nothing_to_compare(
    open_bench: Callable[..., Any], kiln_fan_toml: str
) -> None:
    found = recompute(open_bench(kiln_fan_toml).state.events)
    assert "not sealed" in found.obstacle
    assert not replace(found, obstacle="").differences

"""Every captured sample that `auto` rightly refuses is read by the format declared for it."""

import json
from decimal import Decimal
from pathlib import Path

import pytest

from seatproof.core.units import Unit
from seatproof.devices.declared.format import GaugeFormat
from seatproof.devices.declared.known import find_format, format_names
from seatproof.devices.formats import Reading, Refusal

SAMPLES = json.loads((Path(__file__).parents[1] / "data" / "samples.json").read_text("utf-8"))
LINE_SAMPLES = [s for s in SAMPLES if s["encoding"] == "bytes" and s["direction"] == "gauge>pc"]
BY_ID = {sample["id"]: sample for sample in SAMPLES}

FORMAT_OF = {
    "sign nul six digits": ("w001", "w002", "w013", "w014", "w016"),
    "channel sign point with codes": (
        "w018", "w020", "w022", "w023", "w025", "w026", "w032", "w033", "w035", "w036", "w038",
        "w039", "w041", "w044", "w046", "w047", "w048", "w057", "w058",
    ),
    "two digit channel sign hundredths": ("w070",),
    "brackets five digits": ("w078",),
    "stx etx six digits": ("w081",),
    "seven wide unit mode": ("w082",),
    "decimal comma": ("w086", "w094"),
    "five or six digits ten thousandths": ("w092",),
    "select all before value": ("w104",),
    "value ended by comma": ("w106",),
    "value ended by blank": ("w107",),
    "hexadecimal low byte first with sum": (
        "w122", "w123", "w125", "w126", "w128", "w129", "w131",
    ),
    "five bytes packed digits": ("w134", "w136", "w137"),
}  # fmt: skip
READ_BY = [(name, sample) for name, samples in FORMAT_OF.items() for sample in samples]
CODES = [("sign nul six digits", "w012")] + [
    ("channel sign point with codes", name) for name in ("w029", "w030", "w031")
]

# A comma and three digits: the sample asks for the gauge's own format to decide, which this one is.
DECIDED = {("decimal comma", "w101")}


def shipped(name: str) -> GaugeFormat:
    found = find_format(name)
    assert isinstance(found, GaugeFormat)
    return found


def read_all(form: GaugeFormat, *chunks: bytes) -> list[Reading | Refusal]:
    framer = form.framer(trust_first=True)
    frames = [frame for chunk in chunks for frame in framer.feed(chunk)]
    return [form.read(frame) for frame in frames + framer.silence()]


def stream_of(sample: dict) -> bytes:
    stream = bytes.fromhex(sample["hex"])
    missing_end = sample["framing"]["terminator"] is None and sample["id"] != "w078"
    if sample["meaning"]["status"] == "reading" and missing_end:
        stream += b"\r"  # "not quoted": the source of the sample left the line end out
    return stream


@pytest.mark.parametrize(("name", "sample_id"), READ_BY)
def test_sample_gives_exactly_its_value_in_every_cut(name: str, sample_id: str) -> None:
    sample = BY_ID[sample_id]
    meaning = sample["meaning"]
    form = shipped(name)
    if meaning["unit"] is not None and sample_id != "w082":
        form = form.with_unit(Unit(meaning["unit"]))  # known from the gauge's record
    stream = stream_of(sample) if "ended" not in name else bytes.fromhex(sample["hex"])
    expected = meaning.get("values") or [meaning["value"]]
    cuts = [(stream[:at], stream[at:]) for at in range(len(stream) + 1)]
    cuts.append(tuple(bytes([byte]) for byte in stream))
    for cut in cuts:
        results = read_all(form, *cut)
        assert len(results) == len(expected)
        for result, value in zip(results, expected, strict=True):
            if value is None:
                assert isinstance(result, Refusal)
                continue
            assert isinstance(result, Reading), result
            assert str(result.value) == str(Decimal(value))
            assert not (result.value.is_zero() and result.value.is_signed())
            assert result.unit == meaning["unit"]
            assert result.format == name


@pytest.mark.parametrize(("name", "sample_id"), CODES)
def test_codes_are_told_and_are_no_values(name: str, sample_id: str) -> None:
    (result,) = read_all(shipped(name), bytes.fromhex(BY_ID[sample_id]["hex"]))
    assert isinstance(result, Refusal)
    assert result.status is not None
    assert "look at its display" in result.reason or "press again" in result.reason


@pytest.mark.parametrize("name", [name for name in format_names() if name != "auto"])
def test_no_format_makes_a_value_of_what_is_none(name: str) -> None:
    form = shipped(name)
    for sample in LINE_SAMPLES:
        known = (name, sample["id"]) in DECIDED or sample["id"] == "w140"
        if sample["meaning"]["status"] in ("reading", "multi") or known:
            continue
        # w043 was captured after opening in the middle of a stream.
        framer = form.framer(trust_first=sample["id"] != "w043")
        frames = framer.feed(bytes.fromhex(sample["hex"])) + framer.flush()
        results = [form.read(frame) for frame in frames]
        assert not [r for r in results if isinstance(r, Reading)], (name, sample["id"])


def test_confirm_flag_is_read() -> None:
    form = shipped("five bytes packed digits")
    confirmed = {
        name: result.confirmed
        for name in ("w134", "w136", "w137")
        for result in read_all(form, bytes.fromhex(BY_ID[name]["hex"]))
        if isinstance(result, Reading)
    }
    assert confirmed == {"w134": False, "w136": True, "w137": False}


def test_lost_bytes_cost_one_packet_and_the_next_is_read() -> None:
    damaged, good = read_all(
        shipped("five bytes packed digits"), bytes.fromhex(BY_ID["w140"]["hex"])
    )
    assert isinstance(damaged, Refusal)
    assert isinstance(good, Reading)
    assert str(good.value) == "12.3456"


def test_damaged_check_is_told() -> None:
    (result,) = read_all(
        shipped("hexadecimal low byte first with sum"), bytes.fromhex(BY_ID["w132"]["hex"])
    )
    assert isinstance(result, Refusal)
    assert "check byte" in result.reason


def test_unit_that_is_no_length_is_refused() -> None:
    (result,) = read_all(shipped("seven wide unit mode"), b"   3.14 mV   N1    \r\n")
    assert isinstance(result, Refusal)

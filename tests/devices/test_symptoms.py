import json
from pathlib import Path

import pytest

from seatproof.devices.symptoms import explain_bytes, parity_of

SAMPLES = json.loads((Path(__file__).parent / "data" / "samples.json").read_text("utf-8"))
BY_ID = {s["id"]: bytes.fromhex(s["hex"]) for s in SAMPLES if s["encoding"] == "bytes"}


def with_parity(text: bytes, odd: bool) -> bytes:
    return bytes(b | 0x80 if b.bit_count() % 2 != odd else b for b in text)


@pytest.mark.parametrize(
    ("sample", "words"),
    [
        ("w065", "parity to 7E"),
        ("w066", "parity to 7E"),
        ("w063", "wrong speed"),
        ("w052", "wrong parity"),
        ("w015", "check data bits"),
        ("w112", "check data bits"),
    ],
)
def test_samples_of_a_wrongly_set_line_are_explained(sample: str, words: str) -> None:
    explained = explain_bytes(BY_ID[sample])
    assert explained is not None
    assert words in explained


@pytest.mark.parametrize("odd", [False, True])
def test_parity_in_the_highest_bit_is_named(odd: bool) -> None:
    assert parity_of(with_parity(b"01A+00024.35\r", odd)) == ("O" if odd else "E")


def test_plain_text_has_no_symptom_and_no_parity() -> None:
    assert explain_bytes(b"01A+00024.35") is None
    assert parity_of(b"01A+00024.35") is None
    assert parity_of(with_parity(b"+066.22", odd=False) + b"\x82") is None

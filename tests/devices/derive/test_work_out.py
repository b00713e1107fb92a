from decimal import Decimal

import pytest

from seatproof.core.units import Unit
from seatproof.devices.declared.check import CheckRule
from seatproof.devices.declared.framing import AnyLine, CheckBehind, Length, Marks, Quiet
from seatproof.devices.derive.candidate import Question
from seatproof.devices.derive.press import KnownPress, Shown, parse_shown
from seatproof.devices.derive.show import show_frame
from seatproof.devices.derive.work_out import WorkedOut, proof, work_out
from seatproof.devices.formats import Reading, Refusal
from seatproof.devices.framing import Frame


def worked_out(*presses: tuple[bytes, str]) -> WorkedOut:
    return work_out([KnownPress(raw, parse_shown(shown)) for raw, shown in presses])


def read(found: WorkedOut, raw: bytes) -> str | None:
    assert found.format is not None, found.trouble
    result = proof(found.format, KnownPress(raw, Shown(Decimal(0))))
    return str(result.value) if isinstance(result, Reading) else None


def test_channel_sign_and_zeros() -> None:
    found = worked_out(
        (b"01A+00024.35\r", "24.35 mm"),
        (b"01A-00000.12\r", "-0.12 mm"),
        (b"01A+00001.75\r", "1.75 mm"),
    )
    assert found.is_settled
    assert found.format is not None
    assert isinstance(found.format.framing, AnyLine)
    assert found.format.unit is Unit.MM
    assert read(found, b"01A-00110.01\r") == "-110.01"
    for other in (b"01B+00024.35\r", b"01A+0024.35\r", b"01A+000.9587\r", b"911\r"):
        assert read(found, other) is None


def test_sign_with_a_nul_and_implied_decimals() -> None:
    found = worked_out(
        (b"-\x00009891\r\x12", "-9.891"),
        (b"-\x00000800\r\x12", "-0.800"),
        (b"+\x00012345\r\x12", "12.345"),
    )
    assert found.is_settled
    assert read(found, b"-\x00000012\r\x12") == "-0.012"
    assert read(found, b"\x00009891\r\x12") is None
    assert read(found, b"+\x00--To--\r\x12") is None


def test_packet_with_flags_takes_only_flags_it_has_seen() -> None:
    found = worked_out(
        (bytes.fromhex("aa 56 34 12 00"), "12.3456"),
        (bytes.fromhex("aa 10 00 00 02"), "-0.0010"),
        (bytes.fromhex("aa 10 32 04 00"), "4.3210"),
    )
    assert found.is_settled
    assert found.format is not None
    assert found.format.framing == Length(length=5, sync=b"\xaa")
    assert read(found, bytes.fromhex("aa 00 00 00 02")) == "0.0000"
    assert read(found, bytes.fromhex("aa 56 34 12 01")) is None  # inches, perhaps


def test_hexadecimal_with_a_sum_asks_for_a_negative_value_and_guesses_none() -> None:
    found = worked_out(
        (b":0b00Dfa0049\r\n", "2.50"),
        (b":0b00D7b01cb\r\n", "3.79"),
        (b":0b00Ddf3e6c\r\n", "160.95"),
    )
    assert found.questions == (Question.NEGATIVE,)
    assert read(found, b":0b00Dca0b24\r\n") == "30.18"
    assert read(found, b":0b00D9700e7\r\n") is None  # its sum is wrong
    low, high = 0x9C, 0xFF  # −1.00 in two's complement, or 654.36
    total = 0x0B + 0x44 + low + high & 0xFF
    assert read(found, f":0b00D9cff{total:02x}\r\n".encode()) is None


def test_number_filled_up_with_blanks_before_its_unit_and_mode() -> None:
    found = worked_out(
        (b"   3.14 mil  N1    \r\n", "3.14 mil"),
        (b"  -3.14 mil  N1    \r\n", "-3.14 mil"),
        (b"  12.34 mil  N1    \r\n", "12.34 mil"),
    )
    assert found.is_settled
    assert read(found, b" 123.45 mil  N1    \r\n") == "123.45"
    assert read(found, b"   3.14 mil  N2    \r\n") is None
    assert read(found, b"   3.14  mm  N1    \r\n") is None


@pytest.mark.parametrize(
    ("framing", "presses"),
    [
        (Marks(start=b"[", end=b"]"), (b"[+12300]", b"[-00007]", b"[+00050]")),
        (Quiet(), (b"+12300", b"-00007", b"+00050")),
    ],
)
def test_framings_without_a_line_end(framing: object, presses: tuple[bytes, ...]) -> None:
    found = worked_out(*zip(presses, ("12.300", "-0.007", "0.050"), strict=True))
    assert found.is_settled
    assert found.format is not None
    assert found.format.framing == framing


# --- what is left open, and what cannot be -------------------------------------------------------


def test_unit_in_the_frame_against_the_display_is_no_format() -> None:
    found = worked_out((b"1.5in\r", "1.5 mm"), (b"-12.5in\r", "-12.5 mm"), (b"0.2in\r", "0.2 mm"))
    assert found.format is None


@pytest.mark.parametrize(
    ("presses", "question"),
    [
        ([(b"1.25\r", "1.25"), (b"12.50\r", "12.50"), (b"0.11\r", "0.11")], Question.NEGATIVE),
        ([(b"-1.25\r", "-1.25"), (b"-2.50\r", "-2.50"), (b"-0.11\r", "-0.11")], Question.POSITIVE),
        ([(b"11.25\r", "11.25"), (b"-12.50\r", "-12.50"), (b"20.11\r", "20.11")], Question.SIZE),
        ([(b"1.25\r", "1.25"), (b"-12.50\r", "-12.50")], Question.OTHER),
        (
            [(b"\xaa\x23\x01\x00\x07", "1.23"), (b"\xaa\x11\x09\x00\x17", "-9.11"),
             (b"\xaa\x15\x03\x00\x07", "3.15")],
            Question.LARGER,
        ),
    ],
)  # fmt: skip
def test_press_that_is_missing_is_named_and_its_value_is_refused_until_then(
    presses: list[tuple[bytes, str]], question: Question
) -> None:
    found = worked_out(*presses)
    assert question in found.questions
    assert not found.is_settled
    assert found.format is not None


def test_value_without_its_sign_is_never_learned_as_positive() -> None:
    found = worked_out((b"1.25\r", "-1.25"), (b"12.50\r", "12.50"), (b"0.11\r", "0.11"))
    assert found.format is None


def test_leading_zeros_that_may_hide_a_minus_stay_zeros() -> None:
    found = worked_out((b"0001250\r", "1.250"), (b"0012500\r", "12.500"), (b"0000110\r", "0.110"))
    assert found.questions == (Question.NEGATIVE,)
    assert read(found, b"0045678\r") == "45.678"
    assert read(found, b"8001250\r") is None


@pytest.mark.parametrize(
    ("presses", "words"),
    [
        ([(b"1.25\r", "1.25")], "At least two"),
        ([(b"1.25\r", "1.25"), (b"", "2.25")], "sent nothing"),
        ([(b"1.25\r", "1.25"), (b"1.25\r", "1.25")], "the same value"),
        ([(b"1.25\r", "1.25 mm"), (b"2.25\r", "2.25 in")], "different units"),
        ([(b"1.25\r", "1.25"), (b"1.25\r", "2.25"), (b"1.25\r", "3.25")], "same bytes"),
        ([(b"1.25\r", "1.25"), (b"-2.25\r", "-2.25"), (b"13.25\r", "31.25")], "Press 3 does not"),
        ([(b"+066.\xb2\xb2\x8d", "66.22"), (b"+0\xb16.\xb2\xb2\x8d", "16.22")], "to 7E"),
        ([(b"abc\r", "1.25"), (b"abd\r", "2.25")], "plug-in"),
    ],
)
def test_presses_that_give_no_format_are_told_why(
    presses: list[tuple[bytes, str]], words: str
) -> None:
    found = worked_out(*presses)
    assert found.format is None
    assert words in found.trouble


@pytest.mark.parametrize(
    ("typed", "value", "unit"),
    [
        ("24.350", "24.350", None),
        (" -0,012 mm ", "-0.012", Unit.MM),
        ("− 1.5 in", "-1.5", Unit.INCH),
        ("-0.000", "0.000", None),
        ("+7 µm", "7", Unit.UM),
    ],
)
def test_displays_are_typed_as_they_show(typed: str, value: str, unit: Unit | None) -> None:
    shown = parse_shown(typed)
    assert (str(shown.value), shown.unit) == (value, unit)


@pytest.mark.parametrize("typed", ["", "x", "1.2.3", "1,234.5", "1.5 kg", "--1", "٣.١", "1e3"])
def test_displays_that_are_no_number_are_told(typed: str) -> None:
    with pytest.raises(ValueError, match="as the display shows it"):
        parse_shown(typed)


def test_proof_of_a_press_with_two_frames_is_none() -> None:
    found = worked_out((b"1.25\r", "1.25"), (b"-12.50\r", "-12.50"), (b"0.11\r", "0.11"))
    assert found.format is not None
    two = KnownPress(b"1.25\r1.25\r", parse_shown("1.25"))
    assert proof(found.format, two) is None
    assert isinstance(proof(found.format, KnownPress(b"x\r", parse_shown("1.25"))), Refusal)


def test_bytes_are_underlined_by_meaning() -> None:
    found = worked_out(
        (b"01A+00024.35mm\r", "24.35"),
        (b"01A-00000.12mm\r", "-0.12"),
        (b"01A+00001.75mm\r", "1.75"),
    )
    assert found.format is not None
    lines = show_frame(found.format, Frame(b"01A+00024.35mm", b"01A+00024.35mm\r")).splitlines()
    captions = {line.rpartition("^")[2].strip(): line.count("^") for line in lines[2:]}
    assert captions == {"always the same": 8, "sign": 2, "value": 23, "unit": 5, "end": 2}
    assert lines[0].startswith("30 31 41 2b")
    assert (
        len({line.index(caption) for line, caption in zip(lines[2:], captions, strict=True)}) == 1
    )


def xor(data: bytes) -> int:
    made = 0
    for byte in data:
        made ^= byte
    return made


def test_check_characters_behind_an_end_mark_are_found_and_verified() -> None:
    def sent(body: bytes) -> bytes:
        covered = body + b"\x03"
        return b"\x02" + covered + bytes([xor(covered)]) + b"\r\n"

    found = worked_out(
        (sent(b"+024.350"), "24.350"), (sent(b"-000.012"), "-0.012"), (sent(b"+110.004"), "110.004")
    )
    assert found.is_settled
    assert found.format is not None
    assert found.format.framing == Marks(
        bytes_behind=3, check=CheckBehind(rule=CheckRule.XOR, form="byte")
    )
    assert read(found, sent(b"+012.345")) == "12.345"
    damaged = sent(b"+012.345").replace(b"345", b"346")
    assert read(found, damaged) is None


def test_bytes_behind_an_end_mark_that_are_no_check_are_told() -> None:
    presses = [(b"+024.350", b"#4"), (b"-000.012", b"#9"), (b"+110.004", b"#2")]
    found = worked_out(
        *(
            (b"\x02" + body + b"\x03" + behind, body.decode().lstrip("+"))
            for body, behind in presses
        )
    )
    assert found.format is not None
    assert "2 bytes whose meaning is not known behind" in found.format.in_words()


def test_check_characters_behind_a_star_are_found_and_verified() -> None:
    def sent(body: bytes) -> bytes:
        return b"$" + body + b"*" + f"{xor(body):02X}".encode() + b"\r\n"

    found = worked_out(
        (sent(b"+24.350"), "24.350"), (sent(b"-00.012"), "-0.012"), (sent(b"+99.004"), "99.004")
    )
    assert found.is_settled
    assert read(found, sent(b"+12.345")) == "12.345"
    assert read(found, sent(b"+12.345").replace(b"345", b"346")) is None


def test_two_frames_glued_by_a_bouncing_button_are_no_larger_number() -> None:
    found = worked_out((b"163850\r", "16.3850"), (b"1230\r", "0.1230"), (b"-98765\r", "-9.8765"))
    for glued in (b"163851638516\r", b"16385016385\r", b"98769876\r"):
        assert read(found, glued) is None, glued


def test_gauge_that_leaves_zeros_out_is_not_doubted_for_it() -> None:
    found = worked_out((b"24.35\r", "24.35"), (b"-0.1\r", "-0.1"), (b"7.255\r", "7.255"))
    assert found.format is not None
    assert not found.format.pressing.same_digits
    same = worked_out((b"24.35\r", "24.35"), (b"-0.10\r", "-0.10"), (b"7.25\r", "7.25"))
    assert same.format is not None
    assert same.format.pressing.same_digits

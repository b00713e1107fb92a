from decimal import Decimal
from pathlib import Path

import pytest

from seatproof.core.units import Unit
from seatproof.devices.declared.check import CheckRule
from seatproof.devices.declared.file import load_format, save_format
from seatproof.devices.declared.format import GaugeFormat
from seatproof.devices.declared.framing import CheckBehind, Length, Marks
from seatproof.devices.declared.known import find_format, format_names
from seatproof.devices.declared.pressing import Pressing
from seatproof.devices.declared.text import TextLayout
from seatproof.devices.errors import FormatError
from seatproof.devices.formats import Reading, Refusal
from seatproof.devices.framing import Frame, FrameFault
from seatproof.devices.picking import Take

NEEDY = GaugeFormat(
    name="needy",
    layout=TextLayout(lead=b"\xfe\0", sign="always", min_digits=5, max_digits=5, decimals=3),
    unit=Unit.MM,
    status={b"E1": "The gauge is off: switch it on."},
)


def reading(form: GaugeFormat, data: bytes, fault: FrameFault | None = None) -> Reading:
    result = form.read(Frame(data, data + b"\r", fault))
    assert isinstance(result, Reading), result
    return result


def refusal(form: GaugeFormat, data: bytes, fault: FrameFault | None = None) -> Refusal:
    result = form.read(Frame(data, data + b"\r", fault))
    assert isinstance(result, Refusal), result
    return result


@pytest.mark.parametrize("suffix", [".toml", ".json"])
@pytest.mark.parametrize("name", ["needy", *(n for n in format_names() if n != "auto")])
def test_format_survives_its_file(name: str, suffix: str, tmp_path: Path) -> None:
    form = NEEDY if name == "needy" else find_format(name)
    assert isinstance(form, GaugeFormat)
    path = tmp_path / f"mine{suffix}"
    save_format(form, path)
    assert load_format(path) == form
    assert find_format(str(path)) == form
    assert [p.name for p in tmp_path.iterdir()] == [path.name]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("name = ", "not valid TOML"),
        ('name = "x"', "fault at layout"),
        ('name = "x"\nlayout = { kind = "text", mark = ";" }', "point, a comma or nothing"),
        ('name = "a/b"\nlayout = { kind = "text" }', "fault at name"),
        ('name = "x"\nlayout = { kind = "text", lead = "\u0416" }', "ff"),
    ],
)
def test_faulty_file_is_told_with_its_fault(text: str, words: str, tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(FormatError, match=words):
        load_format(path)


def test_missing_names_and_files_are_told(tmp_path: Path) -> None:
    with pytest.raises(FormatError, match=r"there are: auto, .*packed digits"):
        find_format("guess")
    with pytest.raises(FormatError, match="cannot be read"):
        find_format(str(tmp_path / "none.toml"))
    with pytest.raises(FormatError, match="cannot be written"):
        save_format(NEEDY, tmp_path / "none" / "mine.toml")


def test_unit_of_the_record_is_the_readings_and_another_in_the_frame_is_refused() -> None:
    assert reading(NEEDY, b"\xfe\0+24.350").unit is Unit.MM
    named = GaugeFormat(
        name="named", layout=TextLayout(units={b"mm": Unit.MM, b"in": Unit.INCH}), unit=Unit.MM
    )
    assert reading(named, b"1.5mm").unit is Unit.MM
    assert "sent in, and its record says mm" in refusal(named, b"1.5in").reason


def test_status_is_told_by_its_own_sentence_and_code() -> None:
    told = refusal(NEEDY, b"E1")
    assert (told.reason, told.status) == ("The gauge is off: switch it on.", "E1")
    assert refusal(NEEDY, b"E1", FrameFault.TORN_START).status is None


def test_layout_of_one_length_proves_the_first_frame_whole() -> None:
    assert str(reading(NEEDY, b"\xfe\0+24.350", FrameFault.TORN_START).value) == "24.350"
    loose = GaugeFormat(name="loose", layout=TextLayout())
    assert "beginning may be missing" in refusal(loose, b"4.350", FrameFault.TORN_START).reason
    assert refusal(NEEDY, b"\xfe\0+24.350", FrameFault.NO_END)


def test_wrong_speed_and_eights_are_told_in_declared_formats_too() -> None:
    form = GaugeFormat(name="digits", layout=TextLayout(mark=b"", decimals=3))
    assert "wrong speed" in refusal(form, bytes.fromhex("9e 86 00 87 f8 fe e6")).reason
    assert "eights" in refusal(form, b"888888").reason


def test_parts_cover_the_raw_frame_with_its_marks() -> None:
    form = GaugeFormat(name="marked", framing=Marks(), layout=TextLayout(sign="always", decimals=2))
    parts = form.parts(Frame(b"-1.25", b"\x02-1.25\x03"))
    assert [(p.start, p.stop, p.meaning) for p in parts] == [
        (0, 1, "start"), (1, 2, "sign"), (2, 6, "value"), (6, 7, "end"),
    ]  # fmt: skip


def test_check_characters_behind_the_end_mark_are_verified() -> None:
    # By hand: 2d ^ 31 ^ 2e ^ 32 ^ 35 = 35, with the end mark 36, and with both marks 34.
    for check, sent in (
        (CheckBehind(rule=CheckRule.XOR, form="hex", with_end=False), b"35"),
        (CheckBehind(rule=CheckRule.XOR, form="byte"), b"\x36"),
        (CheckBehind(rule=CheckRule.XOR, form="byte", with_start=True), b"\x34"),
        (CheckBehind(rule=CheckRule.XOR, form="half bytes", with_end=False), b"35"),
    ):
        form = GaugeFormat(
            name="checked",
            framing=Marks(check=check),
            layout=TextLayout(sign="always", decimals=2),
        )
        framer = form.framer(trust_first=True)
        results = [
            form.read(frame)
            for frame in framer.feed(
                b"\x02-1.25\x03" + sent + b"\r\n\x02-1.35\x03" + sent + b"\r\n\x02-1.25\x03" + sent
            )
        ]
        assert [isinstance(result, Reading) for result in results] == [True, False, True], check
        assert isinstance(results[1], Refusal)
        assert "check characters do not fit" in results[1].reason
        whole = Frame(b"-1.25", b"\x02-1.25\x03" + sent)
        assert [part.meaning for part in form.parts(whole)] == [
            "start", "sign", "value", "end", "check characters",
        ]  # fmt: skip
        assert "check characters (xor) behind" in form.in_words()


def test_bytes_behind_the_end_mark_that_nobody_understands_are_told() -> None:
    marks = Marks(end=b"\x17", bytes_behind=3)
    assert "3 bytes whose meaning is not known behind" in marks.in_words()
    one = Marks(bytes_behind=2, check=CheckBehind(rule=CheckRule.SUM))
    assert "check characters (sum) and 1 byte whose" in one.in_words()
    form = GaugeFormat(name="one", framing=one, layout=TextLayout(decimals=1))
    sent = b"\x021.5\x03" + bytes([(0x31 + 0x2E + 0x35 + 0x03) & 0xFF]) + b"?"
    (frame,) = form.framer(trust_first=True).feed(sent)
    assert isinstance(form.read(frame), Reading)
    assert [part.meaning for part in form.parts(frame)][-3:] == [
        "end", "check characters", "behind the end",
    ]  # fmt: skip


def test_frames_of_one_length_are_no_proof_of_where_they_begin() -> None:
    layout = TextLayout(sign="never", min_digits=6, max_digits=6, mark=b"", decimals=3)
    counted = GaugeFormat(name="counted", framing=Length(length=6), layout=layout)
    framer = counted.framer(trust_first=False)
    frames = framer.feed(b"345" + b"012" + b"345" + b"012") + framer.silence()
    assert all(isinstance(counted.read(frame), Refusal) for frame in frames)
    ended = GaugeFormat(name="ended", layout=layout)
    (frame,) = ended.framer(trust_first=False).feed(b"012345\r")
    assert isinstance(ended.read(frame), Reading), "its end and its length prove it whole"


def test_pressing_is_saved_with_the_format(tmp_path: Path) -> None:
    pressing = Pressing(take=Take.STABLE, stable_within=Decimal("0.001"), burst_window_s=0.01)
    form = GaugeFormat(name="mine", layout=TextLayout(), pressing=pressing)
    for name in ("g.toml", "g.json"):
        save_format(form, tmp_path / name)
        assert load_format(tmp_path / name) == form
    assert form.pressing.picker().take is Take.STABLE


def test_words_say_what_is_declared() -> None:
    words = NEEDY.in_words()
    assert words.startswith("A frame ends at CR, LF or both. It begins with the bytes fe 00; ")
    assert "5 digits with a decimal point, 3 of them decimals" in words
    assert words.endswith("The unit is mm by the gauge's record.")
    assert "has 9 bytes" in Length(length=9).in_words()


# --- plug-ins ------------------------------------------------------------------------------------

PLUG_IN = '''
"""Thirteen half bytes from an interface board that sends each as one byte."""

from decimal import Decimal

from seatproof.core.units import Unit
from seatproof.devices.declared.format import GaugeFormat
from seatproof.devices.declared.request import Request
from seatproof.devices.declared.text import TextLayout
from seatproof.devices.framers import LengthFramer
from seatproof.devices.formats import Reading, Refusal, as_text


class Thirteen:
    name = "half bytes of a plug-in"

    def framer(self, *, trust_first):
        return LengthFramer(13, sync=None, trust_first=trust_first, gap_s=0.1)

    def read(self, frame):
        head, sign, digits = frame.data[:4], frame.data[4:5], frame.data[5:11]
        decimals, unit = frame.data[11:12], frame.data[12:]
        is_sound = head == b"ffff" and sign in b"08" and digits.isdigit()
        if not (frame.whole and is_sound and decimals in b"012345" and unit in b"01"):
            return Refusal("The frame is damaged: press again.", as_text(frame.data), frame.raw)
        value = Decimal(int(digits)).scaleb(-int(decimals)) * (-1 if sign == b"8" else 1)
        return Reading(value, Unit.INCH if unit == b"1" else Unit.MM, None,
                       as_text(frame.data), frame.raw, self.name)


DECLARED = GaugeFormat(name="declared", layout=TextLayout(), request=Request(octets=b"?"))


class Crashing(Thirteen):
    name = "crashing"

    def read(self, frame):
        return frame.data["value"]
'''


@pytest.fixture
def plug_in(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    (tmp_path / "thirteen.py").write_text(PLUG_IN, encoding="utf-8")
    info = tmp_path / "thirteen-1.0.dist-info"
    info.mkdir()
    (info / "METADATA").write_text("Metadata-Version: 2.1\nName: thirteen\nVersion: 1.0\n")
    (info / "entry_points.txt").write_text(
        "[seatproof.formats]\nhalf bytes of a plug-in = thirteen:Thirteen\n"
        "broken = thirteen:Missing\ncrashing = thirteen:Crashing\ndeclared = thirteen:DECLARED\n"
    )
    monkeypatch.syspath_prepend(str(tmp_path))
    return "half bytes of a plug-in"


@pytest.mark.parametrize(
    ("data", "value", "unit"),
    [
        (b"ffff001234530", "12.345", "mm"),
        (b"ffff800005030", "-0.050", "mm"),
        (b"ffff002540040", "2.5400", "mm"),
        (b"ffff099999551", "9.99995", "in"),
        (b"fff7012500030", None, None),
        (b"ffff012b00030", None, None),
        (b"ffff01250003", None, None),
    ],
)
def test_plug_in_reads_what_the_product_does_not_know(
    data: bytes, value: str | None, unit: str | None, plug_in: str
) -> None:
    assert plug_in in format_names()
    form = find_format(plug_in)
    framer = form.framer(trust_first=True)
    (result,) = [form.read(frame) for frame in framer.feed(data) + framer.silence()]
    if value is None:
        assert isinstance(result, Refusal)
    else:
        assert isinstance(result, Reading)
        assert (str(result.value), result.unit) == (value, unit)


@pytest.mark.usefixtures("plug_in")
def test_plug_in_that_crashes_at_a_frame_refuses_it() -> None:
    form = find_format("crashing")
    result = form.read(Frame(b"1.5", b"1.5\r"))
    assert isinstance(result, Refusal)
    assert 'plug-in of the format "crashing"' in result.reason
    assert (result.text, result.raw) == ("1.5", b"1.5\r")


@pytest.mark.usefixtures("plug_in")
def test_plug_in_may_give_a_declared_format_with_all_that_it_says() -> None:
    form = find_format("declared")
    assert isinstance(form, GaugeFormat)
    assert form.request is not None


@pytest.mark.usefixtures("plug_in")
def test_plug_in_that_does_not_work_is_told() -> None:
    with pytest.raises(FormatError, match="plug-in does not work"):
        find_format("broken")

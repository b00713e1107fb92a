import itertools
from decimal import Decimal

from seatproof.devices.arrival import Doubt, DoubtFinder
from seatproof.devices.formats import Reading, Refusal, read_frame
from seatproof.devices.framing import Frame


def reading(text: str) -> Reading:
    return Reading(Decimal(text), None, None, text, text.encode() + b"\r", "auto")


def test_identical_frame_in_a_moment_is_a_repeat_and_later_is_none() -> None:
    finder = DoubtFinder()
    assert finder.doubts_about(reading("1.5"), 10.0) == ()
    assert finder.doubts_about(reading("1.5"), 10.004) == (Doubt.REPEATED, Doubt.BURST)
    assert finder.doubts_about(reading("1.5"), 10.25) == (Doubt.REPEATED,)
    assert finder.doubts_about(reading("1.5"), 10.56) == ()


def test_different_values_in_one_burst_are_marked() -> None:
    finder = DoubtFinder()
    assert finder.doubts_about(reading("24.35"), 10.0) == ()
    assert finder.doubts_about(reading("24.36"), 10.0) == (Doubt.BURST,)
    assert finder.doubts_about(reading("24.37"), 10.2) == ()


def test_refusals_are_never_marked_and_part_nothing() -> None:
    finder = DoubtFinder(repeat_window_s=1.0, burst_window_s=0.5)
    assert finder.doubts_about(reading("1.5"), 10.0) == ()
    assert finder.doubts_about(Refusal("No.", "x", b"x"), 10.1) == ()
    assert finder.doubts_about(reading("1.5"), 10.7) == (Doubt.REPEATED,)


_seconds = itertools.count(1)


def changed(finder: DoubtFinder, text: str) -> bool:
    content = read_frame(Frame(text.encode(), text.encode() + b"\r"))
    assert isinstance(content, Reading)
    return Doubt.CHANGED in finder.doubts_about(content, float(next(_seconds)))


def test_number_of_one_width_that_lost_a_digit_is_marked_and_the_next_is_not() -> None:
    finder = DoubtFinder()
    texts = ["01A+00110.012", "01A+00110.01", "01A+00110.013", "01A+0110.013", "01A+00110.014"]
    assert [changed(finder, text) for text in texts] == [False, True, False, True, False]
    plain = DoubtFinder()
    assert [changed(plain, text) for text in ("+166.22", "+066.22", "+66.22")] == [
        False, False, True,
    ]  # fmt: skip


def test_numbers_without_filling_zeros_may_have_any_length() -> None:
    finder = DoubtFinder()
    assert not any(changed(finder, text) for text in ("0.05", "12.50", "-112.50", "0.00"))


def test_gauge_whose_decimals_change_is_marked_once_and_then_believed() -> None:
    finder = DoubtFinder()
    texts = ["110.012", "4.33118", "4.33119", "4.33120", "110.012"]
    assert [changed(finder, text) for text in texts] == [False, True, False, False, True]


def test_channels_have_shapes_of_their_own() -> None:
    finder = DoubtFinder()
    one = Reading(Decimal("4.825"), None, "1", "1:+004.825", b"1:+004.825\r", "auto")
    two = Reading(Decimal("12.46"), None, "3", "3:+0012.46", b"3:+0012.46\r", "auto")
    found = [finder.doubts_about(r, float(n)) for n, r in enumerate((one, two, one, two))]
    assert found == [()] * 4

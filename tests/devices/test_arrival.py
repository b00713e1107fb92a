import itertools
from decimal import Decimal

import pytest

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
    status = Refusal("The gauge has no value.", "911", b"911\r", status="911")
    assert finder.doubts_about(status, 10.1) == ()
    assert finder.doubts_about(reading("1.5"), 10.7) == (Doubt.REPEATED,)


def test_value_a_moment_after_a_damaged_frame_may_be_the_rest_of_it() -> None:
    finder = DoubtFinder()
    torn = Refusal("No.", "1", b"1")
    assert finder.doubts_about(torn, 10.0, may_be_torn=True) == ()
    assert finder.doubts_about(reading("24.350"), 10.2) == (Doubt.AFTER_DAMAGE,)
    assert finder.doubts_about(reading("24.351"), 11.0) == ()
    assert finder.doubts_about(torn, 12.0, may_be_torn=True) == ()
    assert finder.doubts_about(reading("24.352"), 12.5) == (), "pressed again"
    heading = Refusal("No.", "DIAMETER", b"DIAMETER\r")
    assert finder.doubts_about(heading, 13.0) == ()
    assert finder.doubts_about(reading("24.353"), 13.0) == (), "a line before each value is none"


def test_gauges_on_one_interface_may_send_in_one_burst() -> None:
    finder = DoubtFinder()
    foot_switch = [
        Reading(Decimal("4.825"), None, channel, "4.825", b"4.825\r", "auto") for channel in "213"
    ]
    assert [finder.doubts_about(r, 10.0) for r in foot_switch] == [()] * 3
    assert finder.doubts_about(foot_switch[0], 10.05) == (Doubt.REPEATED, Doubt.BURST)


def test_windows_can_be_set_for_a_foot_switch_that_presses_thirty_times_a_second() -> None:
    finder = DoubtFinder(repeat_window_s=0.01, burst_window_s=0.01)
    assert not any(finder.doubts_about(reading("1.5"), n / 30) for n in range(60))
    with pytest.raises(ValueError, match="shorter"):
        DoubtFinder(burst_window_s=-1.0)


def test_capture_without_times_has_doubts_about_the_digits_alone() -> None:
    finder = DoubtFinder()
    assert [finder.doubts_about(reading("1.50"), None) for _ in range(3)] == [()] * 3
    assert finder.doubts_about(reading("1.5"), None) == (Doubt.CHANGED,)


def test_values_of_a_stream_are_no_presses_and_only_their_digits_are_compared() -> None:
    finder = DoubtFinder()
    assert not any(finder.doubts_about(reading("1.50"), n / 50, is_press=False) for n in range(50))
    assert finder.doubts_about(reading("150"), 1.0, is_press=False) == (Doubt.CHANGED,)


def test_second_value_that_is_not_like_the_first_leaves_open_which_was_damaged() -> None:
    finder = DoubtFinder()
    assert finder.doubts_about(auto("01A+0110.012"), 1.0) == (), "nothing to compare it with"
    assert finder.doubts_about(auto("01A+00110.013"), 2.0) == (Doubt.DIFFERS,)
    assert finder.doubts_about(auto("01A+00110.014"), 3.0) == ()
    assert finder.doubts_about(auto("01A+0110.014"), 4.0) == (Doubt.CHANGED,)


def test_lost_minus_is_seen_where_the_gauge_writes_plus_signs() -> None:
    finder = DoubtFinder()
    assert finder.doubts_about(auto("+0.012"), 1.0) == ()
    assert finder.doubts_about(auto("-0.012"), 2.0) == ()
    assert finder.doubts_about(auto("0.012"), 3.0) == (Doubt.CHANGED,)
    bare = DoubtFinder()
    texts = ["-0.012", "0.012", "-0.013", "0.013"]
    assert [bare.doubts_about(auto(t), float(n)) for n, t in enumerate(texts)] == [()] * 4


def test_lost_unit_is_seen() -> None:
    finder = DoubtFinder()
    assert finder.doubts_about(auto("0.9586 in"), 1.0) == ()
    assert finder.doubts_about(auto("0.9586"), 2.0) == (Doubt.DIFFERS,)


def test_gauge_that_leaves_zeros_out_can_be_told_of() -> None:
    finder = DoubtFinder(same_digits=False)
    texts = ["12.35", "12.3", "12.34", "12"]
    assert [finder.doubts_about(reading(t), float(n)) for n, t in enumerate(texts)] == [()] * 4


_seconds = itertools.count(1)


def auto(text: str) -> Reading:
    content = read_frame(Frame(text.encode(), text.encode() + b"\r"))
    assert isinstance(content, Reading)
    return content


def changed(finder: DoubtFinder, text: str) -> bool:
    content = read_frame(Frame(text.encode(), text.encode() + b"\r"))
    assert isinstance(content, Reading)
    doubts = finder.doubts_about(content, float(next(_seconds)))
    return not {Doubt.CHANGED, Doubt.DIFFERS}.isdisjoint(doubts)


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

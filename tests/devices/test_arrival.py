from decimal import Decimal

from seatproof.devices.arrival import Doubt, DoubtFinder
from seatproof.devices.formats import Reading, Refusal


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

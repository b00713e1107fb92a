from dataclasses import replace
from datetime import UTC, datetime
from decimal import Decimal

import pytest

from seatproof.core.units import Unit
from seatproof.devices.arrival import Arrival, Doubt
from seatproof.devices.formats import Reading, Refusal
from seatproof.devices.picking import Picker, Take

AT = datetime(2031, 5, 6, tzinfo=UTC)


def arrival(
    text: str, at_s: float, *, confirmed: bool | None = None, unit: Unit | None = None
) -> Arrival:
    reading = Reading(Decimal(text), unit, None, text, text.encode(), "auto", confirmed)
    return Arrival(reading, 1, AT, at_s)


def refused(at_s: float) -> Arrival:
    return Arrival(Refusal("No.", "x", b"x"), 1, AT, at_s)


def values(picker: Picker, arrivals: list[Arrival], now_s: float) -> list[str]:
    presses = [press for item in arrivals for press in picker.feed(item).presses]
    presses += picker.step(now_s).presses
    return [str(p.content.value) for p in presses if isinstance(p.content, Reading)]


def test_button_gauge_gives_each_frame_and_refusals_too() -> None:
    picker = Picker()
    assert picker.takes_each
    assert picker.feed(refused(0.0)).presses == (refused(0.0),)
    assert values(picker, [arrival("1.5", 0.1), arrival("2.5", 0.2)], 1.0) == ["1.5", "2.5"]


def test_confirm_mark_is_one_press_however_long_the_button_is_held() -> None:
    picker = Picker(Take.CONFIRMED)
    stream = [False, False, True, True, False, True]
    arrivals = [
        arrival(f"{n}.5", n / 10, confirmed=confirmed) for n, confirmed in enumerate(stream)
    ]
    assert values(picker, [*arrivals, refused(0.9)], 1.0) == ["2.5", "5.5"]


def test_key_takes_the_newest_value_once() -> None:
    picker = Picker(Take.LAST)
    assert values(picker, [arrival("1.5", 0.0), arrival("2.5", 0.1), refused(0.2)], 0.3) == []
    picker.press()
    assert values(picker, [], 0.3) == ["2.5"]
    picker.press()
    assert "no value to take" in picker.step(0.4).sentence
    picker.feed(arrival("3.5", 0.5))
    picker.press()
    assert "no value to take" in picker.step(5.0).sentence, "too old to be what is shown"


@pytest.mark.parametrize(("take", "expected"), [(Take.MAXIMUM, "24.357"), (Take.MINIMUM, "24.350")])
def test_window_gives_its_largest_or_smallest_value(take: Take, expected: str) -> None:
    picker = Picker(take, window_s=2.0)
    assert values(picker, [arrival("99.000", 0.5)], 0.6) == [], "before the window"
    picker.press()
    assert values(picker, [], 1.0) == []
    rocking = ["24.351", "24.357", "24.350"]
    arrivals = [arrival(text, 1.5 + n / 2) for n, text in enumerate(rocking)]
    assert values(picker, [*arrivals, refused(2.6)], 2.9) == []
    assert values(picker, [arrival("99.000", 3.05)], 3.1) == [expected]


def test_values_of_two_gauges_or_units_are_not_compared() -> None:
    one = Reading(Decimal("1.5"), None, "1", "1:+001.500", b"1:+001.500\r", "auto")
    other = Reading(Decimal("2.5"), None, "2", "2:+002.500", b"2:+002.500\r", "auto")
    for take in (Take.MAXIMUM, Take.STABLE):
        picker = Picker(take, window_s=1.0, stable_within=Decimal(5), stable_count=2)
        picker.press()
        picker.step(0.0)
        assert not picker.feed(Arrival(one, 1, AT, 0.1)).presses
        assert not picker.feed(Arrival(other, 2, AT, 0.2)).presses
        assert "several channels" in picker.step(1.1).sentence


def test_largest_value_is_none_that_lost_its_point_on_the_way() -> None:
    picker = Picker(Take.MAXIMUM, window_s=1.0)
    picker.press()
    picker.step(0.0)
    damaged = replace(arrival("243.5", 0.2), doubts=(Doubt.CHANGED,))
    assert values(picker, [arrival("24.35", 0.1), damaged, arrival("24.34", 0.3)], 1.1) == ["24.35"]


def test_unit_that_is_switched_within_a_window_takes_no_value() -> None:
    picker = Picker(Take.MAXIMUM, window_s=1.0)
    picker.press()
    picker.step(0.0)
    arrivals = [arrival("25.0", 0.1, unit=Unit.MM), arrival("1.0", 0.2, unit=Unit.INCH)]
    assert values(picker, arrivals, 1.1) == []


def test_stable_value_is_the_one_at_rest() -> None:
    picker = Picker(Take.STABLE, stable_within=Decimal("0.001"), stable_count=3, window_s=5.0)
    picker.press()
    picker.step(0.0)
    texts = ["1.000", "1.004", "1.003", "1.006", "1.007", "1.006", "1.006"]
    arrivals = [arrival(text, n / 10) for n, text in enumerate(texts)]
    assert values(picker, arrivals, 1.0) == ["1.006"]


def test_window_without_a_value_says_so() -> None:
    for take in (Take.MAXIMUM, Take.STABLE):
        picker = Picker(take, window_s=1.0)
        picker.press()
        picker.step(0.0)
        picked = picker.step(1.5)
        assert picked.presses == ()
        assert "No value came" in picked.sentence
    restless = Picker(Take.STABLE, window_s=1.0)
    restless.press()
    restless.step(0.0)
    restless.feed(arrival("1.5", 0.5))
    assert "did not come to rest" in restless.step(1.5).sentence


def test_impossible_windows_are_mistakes_of_ours() -> None:
    with pytest.raises(ValueError, match="needs time"):
        Picker(Take.MAXIMUM, window_s=0.0)
    with pytest.raises(ValueError, match="two values"):
        Picker(Take.STABLE, stable_count=1)

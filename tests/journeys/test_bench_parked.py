"""Presses that cannot be right where they came, in the real window: parked, decided on, recorded.

And a value that only breaks the trend of its neighbours, which may be the shaft's own: logged.
"""

import threading

import pytest
from PySide6.QtCore import Qt

from seatproof.core.plan.points import PointKey
from seatproof.gui.bench.last_value import ValueKind
from tests.journeys.bench_person import FIRST_SEAT, SECOND_SEAT, Person, plan_text

TWO_SEATS = plan_text(FIRST_SEAT, SECOND_SEAT)
ONE_SEAT = plan_text(FIRST_SEAT)


@pytest.fixture(autouse=True)
def no_thread_left():
    before = set(threading.enumerate())
    yield
    left = [thread.name for thread in threading.enumerate() if thread not in before]
    assert not left, f"still running after the test: {left}"


@pytest.fixture
def someone(qtbot, tmp_path):
    with Person(qtbot, tmp_path) as person:
        yield person


def the_parked(someone, finding):
    """Return the one press that waits, which the window shows with its finding."""
    someone.until(lambda: len(someone.model.parked) == 1)
    someone.settle()
    (notice,) = someone.model.parked
    assert someone.seen(f"Parked: {notice.text}")
    assert someone.seen(finding)
    assert someone.bench.value._heading.text().endswith(ValueKind.PARKED.value)
    return notice


def assert_decided(someone, seq, *, fate):
    """Nothing waits, on the screen and in the archive."""
    someone.settle()
    assert not someone.bench.parked.isVisible()
    stored = someone.stored()
    assert stored.waiting_presses() == ()
    assert stored.parked[seq].decision == fate
    return stored


def values_at(state, key):
    return [reading.received.value for reading in state.readings_at(key)]


KINDS = {
    "outside the window": (
        ("110.012",),
        ("55.000",),
        "is more than 1 mm from the nominal size 110 mm of seat A",
        "window",
    ),
    "inches": ((), ("4.33110",), "the gauge may be switched to inches", "inches"),
    "the neighbour's size": (
        ("110.012",),
        ("100.013",),
        "it would fit seat B",
        "neighbouring seat",
    ),
    "repeated": ((), ("110.012", "110.012"), "as from a bouncing or held button", "line"),
    "burst": ((), ("110.012", "110.019"), "faster than anybody presses", "line"),
}


@pytest.mark.parametrize("kind", KINDS)
def test_each_kind_is_parked_and_thrown_away_with_a_reason(someone, kind):
    before, sent, finding, cause = KINDS[kind]
    someone.begin(TWO_SEATS)
    model = someone.model
    someone.press(*before)
    someone.gauge.press(*sent)
    notice = the_parked(someone, finding)
    logged = [*before, *sent[:-1]]
    following = model.next_point
    assert model.progress == (len(logged), 6)
    someone.tap(f"discard_parked_{notice.seq}")
    assert someone.seen("Why is this press thrown away?")
    assert len(someone.stored().waiting_presses()) == 1  # nothing is done before the answer
    someone.key(Qt.Key.Key_2)
    stored = assert_decided(someone, notice.seq, fate="thrown away: Gauge was not on the shaft")
    press = stored.parked[notice.seq]
    assert (press.received.value, press.cause) == (sent[-1], cause)
    assert press.key == following.key == stored.cursor
    assert [reading.received.value for reading in stored.readings.values()] == logged
    discarded = stored.last
    assert (discarded.kind, discarded.actor) == ("parked discarded", "Ann")
    assert discarded.payload["parked"] == notice.seq


def test_a_value_far_off_is_used_here_and_then_counts_as_wear(someone):
    someone.begin(ONE_SEAT)
    someone.press("108.700")
    notice = the_parked(someone, "is more than 1 mm from the nominal size")
    someone.tap(f"use_parked_{notice.seq}")
    someone.key(Qt.Key.Key_1)
    reason = "The value is right: checked by hand"
    stored = assert_decided(someone, notice.seq, fate=f"used at A 1/1: {reason}")
    (reading,) = stored.readings.values()
    assert (reading.received.value, reading.reason) == ("108.700", reason)
    assert (reading.key, reading.from_parked) == (PointKey("A", 1, 1), notice.seq)
    assert someone.bench.value.figures.text == "108.700"
    assert "below the lower limit" in someone.marks()
    someone.press("108.710")  # as worn as its neighbour: plausible now
    assert someone.model.parked == ()
    assert someone.bench.progress.text() == "2 of 3 points"
    assert values_at(someone.stored(), PointKey("A", 1, 2)) == ["108.710"]


def test_inches_are_offered_and_used_as_inches(someone):
    someone.begin(ONE_SEAT)
    someone.press("4.33110")
    notice = the_parked(someone, "switched to inches")
    assert someone.text_of(f"use_parked_{notice.seq}") == "Use at A 1/1, read as inches"
    someone.tap(f"use_parked_{notice.seq}")
    someone.key(Qt.Key.Key_1)
    stored = assert_decided(
        someone, notice.seq, fate="used at A 1/1: The value is right: checked by hand"
    )
    (reading,) = stored.readings.values()
    assert (reading.received.value, reading.received.unit) == ("4.33110", "in")
    assert float(reading.value_mm) == pytest.approx(4.3311 * 25.4, abs=1e-9)
    assert stored.last.payload["read_as"] == "in"
    assert stored.parked[notice.seq].received.unit == "mm"  # as it was thought to be


def test_a_neighbours_size_is_used_at_the_neighbour_and_the_walk_stays(someone):
    someone.begin(TWO_SEATS)
    someone.press("110.012", "100.013")
    notice = the_parked(someone, "it would fit seat B")
    assert someone.text_of(f"use_parked_{notice.seq}_there") == "Use at B 1/1"
    someone.tap(f"use_parked_{notice.seq}_there")
    someone.key(Qt.Key.Key_1)
    stored = assert_decided(
        someone, notice.seq, fate="used at B 1/1: The value is right: checked by hand"
    )
    assert values_at(stored, PointKey("B", 1, 1)) == ["100.013"]
    assert someone.instruction.startswith("Measure seat A, station 1 (130 mm), at 60°")
    someone.press("110.013")
    assert values_at(someone.stored(), PointKey("A", 1, 2)) == ["110.013"]


def test_the_second_of_two_equal_presses_is_used_at_the_next_point(someone):
    someone.begin(ONE_SEAT)
    someone.gauge.press("110.012", "110.012")
    notice = the_parked(someone, "the same value came twice in a moment")
    someone.tap(f"use_parked_{notice.seq}")
    someone.key(Qt.Key.Key_2)
    stored = assert_decided(
        someone, notice.seq, fate="used at A 1/2: Button was pressed twice on purpose"
    )
    assert values_at(stored, PointKey("A", 1, 1)) == ["110.012"]
    assert values_at(stored, PointKey("A", 1, 2)) == ["110.012"]
    assert someone.instruction == "Measure seat A, station 1 (130 mm), at 120°."


def test_equal_values_at_the_pace_of_a_hand_are_two_readings(someone):
    someone.begin(ONE_SEAT)
    someone.press("110.012", "110.012")
    assert someone.model.parked == ()
    assert someone.bench.progress.text() == "2 of 3 points"


def test_a_press_without_an_open_point_takes_the_place_of_a_reading(someone):
    someone.begin(ONE_SEAT)
    someone.press("110.012", "110.013", "110.014", "110.018")
    notice = the_parked(someone, "No point is open.")
    here = f"use_parked_{notice.seq}"
    assert someone.text_of(here) == "No point is open"
    assert someone.instruction == "All points are done. Decide on the parked presses, then seal."
    someone.bench.setFocus(Qt.FocusReason.OtherFocusReason)
    someone.key(Qt.Key.Key_2)  # the second point of the walk
    someone.settle()
    assert someone.text_of(f"{here}_there") == "Use at A 1/2"
    someone.tap(f"{here}_there")
    someone.key(Qt.Key.Key_1)
    reason = "The value is right: checked by hand"
    stored = assert_decided(someone, notice.seq, fate=f"used at A 1/2: {reason}")
    assert values_at(stored, PointKey("A", 1, 2)) == ["110.018"]
    old = next(one for one in stored.readings.values() if one.received.value == "110.013")
    assert not old.counts
    assert old.replaced_by == stored.last.seq
    assert someone.instruction == "All points are done. Seal the inspection."


def test_a_whole_burst_is_decided_on_press_by_press(someone):
    someone.begin(ONE_SEAT)
    someone.gauge.press("110.012", "110.015", "110.013")
    someone.until(lambda: len(someone.model.parked) == 2)
    first, second = someone.model.parked
    someone.tap(f"discard_parked_{second.seq}")
    someone.tap("reason_later")
    someone.tap(f"use_parked_{first.seq}")
    someone.tap("reason1")
    stored = someone.stored()
    assert stored.waiting_presses() == ()
    assert list(stored.owed) == [stored.parked[second.seq].decided_by]
    assert [one.received.value for one in stored.readings.values()] == ["110.012", "110.015"]


def test_a_value_that_breaks_the_trend_is_logged_and_asked_for_once_more(someone):
    someone.begin(plan_text(FIRST_SEAT, stations=2, orientations=6))
    round_the_seat = ("110.012", "110.013") * 4
    someone.press(*round_the_seat)
    here = someone.model.next_point
    assert here.key == PointKey("A", 2, 3)
    someone.press("110.032")
    assert someone.model.parked == ()
    assert someone.model.last.kind is ValueKind.LOGGED
    assert someone.instruction.endswith("(reading 2 of 2).")
    assert someone.model.next_point == here
    someone.until(lambda: someone.seen("departs by"))
    stored = someone.stored()
    assert stored.last.payload["repeat"]["cause"] == "trend"
    assert values_at(stored, here.key) == ["110.032"]
    (wanted,) = stored.repeats_wanted(here.key)
    assert "departs by" in wanted.why
    assert not someone.model.can_seal
    someone.press("110.012")
    assert someone.model.next_point.key == PointKey("A", 2, 4)
    assert values_at(someone.stored(), here.key) == ["110.032", "110.012"]
    assert "2 readings, 20.0 µm apart" in someone.bench.value.note.text()


def test_an_inch_value_after_a_value_in_mm_is_offered_as_inches(someone):
    someone.begin(ONE_SEAT)
    someone.press("110.012", "4.33110")  # in the place of a bouncing button's second press, too
    (notice,) = someone.model.parked
    assert someone.text_of(f"use_parked_{notice.seq}").endswith("read as inches")


def test_a_value_far_beyond_all_wear_opens_no_window(someone):
    someone.begin(ONE_SEAT)
    someone.press("110.012", "55.000")
    (notice,) = someone.model.parked
    someone.tap(f"use_parked_{notice.seq}")
    someone.key(Qt.Key.Key_1)
    someone.until(lambda: not someone.model.parked)
    someone.press("55.001")
    assert len(someone.model.parked) == 1
    assert someone.stored().worn == {}

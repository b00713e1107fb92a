"""Presses that cannot be right, worn seats, trends, several gauges, and reasons that are owed."""

from datetime import timedelta
from decimal import Decimal
from math import cos, radians

import pytest

from seatproof.core.record.entries import OWED
from seatproof.core.record.errors import CommandRefusedError
from seatproof.core.record.inspection import Press
from seatproof.core.record.kinds import GaugeInService
from seatproof.core.record.plausibility import trend_break, window_mm
from seatproof.core.record.state import LoggedReading, ParkedPress, fold
from seatproof.core.units import Unit

WORN = "worn: checked by hand"


def second_gauge(bench, **changes):
    return GaugeInService.model_validate(
        bench.state.gauge.model_dump() | {"inventory_number": "M-2", **changes}
    )


def take(bench, value, **more):
    press = Press(Decimal(value), None, value, value.encode(), "number", 1, **more)
    return bench.inspection.take(press)


# --- parked ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("value", "cause", "fits"),
    [
        ("90.010", "neighbouring seat", "B"),
        ("3.937", "inches", ""),
        ("2540", "millimetres", ""),
        ("100.51", "window", ""),
        ("99.49", "window", ""),
    ],
)
def test_parked_press_says_what_it_may_be(bench_of, strict_of, value, cause, fits):
    parked = bench_of(toml=strict_of()).press(value)
    assert isinstance(parked, ParkedPress)
    assert (parked.cause, parked.fits) == (cause, fits)


def test_plan_sets_the_window(bench_of, strict_of):
    bench = bench_of(toml=strict_of())
    assert isinstance(bench.press("100.5"), LoggedReading)  # the plan's 0.5 mm, on the edge
    assert bench.press("100.501").finding.startswith(
        "100.501 mm is more than 0.5 mm from the nominal size 100 mm of seat A"
    )


def test_press_of_the_neighbour_is_used_there(bench_of, strict_of, at):
    bench = bench_of(toml=strict_of(checks=""))
    parked = bench.press("90.010")
    there = bench.state.next_open(seat_id=parked.fits)
    reading = bench.inspection.use_parked(parked.seq, there, "was at the other end")
    assert reading.key == at(1, 1, "B")
    assert bench.state.cursor == at(1, 1)
    assert bench.state.worn == {}


def test_inch_value_is_used_as_inches_and_keeps_what_was_sent(bench_of, at):
    bench = bench_of()
    parked = bench.press("3.9366")
    reading = bench.inspection.use_parked(parked.seq, at(1, 1), "inches", read_as=Unit.INCH)
    assert reading.value_mm == Decimal("99.98964")  # 3.9366 · 25.4
    assert (reading.received.value, reading.received.unit) == ("3.9366", "in")
    assert reading.received.raw_hex == parked.received.raw_hex
    assert bench.state.worn == {}
    assert bench.state.events[-1].payload["read_as"] == "in"


def test_confirmed_wear_widens_the_window_of_its_seat_alone(bench_of, strict_of, at):
    bench = bench_of(toml=strict_of(checks=""))
    plan = bench.state.plan
    parked = bench.press("98.9")
    used = bench.inspection.use_parked(parked.seq, at(1, 1), WORN)
    assert window_mm(bench.state, plan.seat("A")) == (Decimal("98.4"), Decimal("100.5"))
    assert window_mm(bench.state, plan.seat("B")) == (Decimal("89"), Decimal("91"))
    assert isinstance(bench.press("98.6"), LoggedReading)
    assert "outside 98.4 mm to 100.5 mm, which is plausible at seat A since" in (
        bench.press("98.3").finding
    )
    bench.inspection.take_back("slipped after all", seq=used.seq)
    assert window_mm(bench.state, plan.seat("A")) == (Decimal("99.5"), Decimal("100.5"))


def test_indicator_of_a_radial_set_is_not_held_against_the_size(bench_of, plan_of, at):
    more = """
[[seat]]
id = "AR"
name = "First seat, by indicator"
from = 0
length = 60
nominal = 100
method = "radial"
same_seat_as = "A"
stations = [30]
orientations = 4
"""
    bench = bench_of(toml=plan_of(stations=[30], more=more))
    for _ in range(2):
        bench.press("99.99")
    assert isinstance(bench.press("-0.012"), LoggedReading)
    parked = bench.press("99.99")
    assert parked.cause == "window"
    assert "from the zero of the indicator on seat AR" in parked.finding


# --- trends ---------------------------------------------------------------------------------------


def grid(bench, odd=None, **sizes):
    """Press an oval, tapered seat; `odd` is the point that is off and by how much."""
    for _ in range(200):
        key = bench.state.cursor
        if key is None:
            return
        point = next(one for one in bench.state.plan.points() if one.key == key)
        size = 99.990 + 0.004 * cos(2 * radians(point.angle_deg)) + 0.00005 * point.z_mm
        if odd is not None and key == odd[0] and not bench.state.counting.get(key):
            size += odd[1]
        bench.press(f"{size:.3f}")


@pytest.fixture
def wide(bench_of):
    return bench_of(stations=[10, 20, 30, 40, 50], orientations=4)


def test_oval_and_tapered_seat_breaks_no_trend(wide):
    grid(wide)
    assert wide.state.repeats == {}


@pytest.mark.parametrize("off_mm", [0.012, -0.012])
def test_value_that_breaks_the_trend_is_logged_and_asked_for_again(wide, at, off_mm):
    grid(wide, odd=(at(4, 3), off_mm))
    state = wide.state
    (asked,) = state.repeats[at(4, 3)]
    sign = "+" if off_mm > 0 else "−"
    assert asked.cause == "trend"
    assert asked.why.startswith(f"The value at A 4/3 departs by {sign}")
    first, again = state.readings_at(at(4, 3))  # both count: none was parked or replaced
    assert abs(first.value_mm - again.value_mm) == Decimal("0.012")
    assert state.cursor is None
    assert state.parked == {}


def test_confirmed_defect_is_not_asked_for_for_ever(wide, at):
    grid(wide, odd=(at(4, 3), 0.012))
    wide.inspection.aim(at(4, 3), "look again")
    wide.press("100.002")
    assert wide.state.cursor is None


def test_departure_within_the_gauges_step_is_no_break(bench_of, at):
    bench = bench_of(stations=[10, 20, 30, 40, 50], orientations=4)
    bench.fill(lambda point: "99.992" if point.key == at(4, 3) else "99.990")
    assert bench.state.repeats == {}


def test_trend_of_few_points_is_none(bench_of, at):
    bench = bench_of(stations=2)
    bench.fill(lambda point: "99.99" if point.key != at(2, 1) else "100.1")
    assert trend_break(bench.state, at(2, 1)) is None
    assert trend_break(bench_of().state, at(1, 1)) is None


# --- several gauges -------------------------------------------------------------------------------


def test_press_belongs_to_the_gauge_that_sent_it(bench_of, strict_of):
    bench = bench_of(toml=strict_of(checks=""))
    bench.inspection.put_in_service(second_gauge(bench, seats=("B",), unit="in"))
    assert take(bench, "99.99").gauge.inventory_number == "M-1"  # it alone serves seat A
    parked = take(bench, "3.5430", gauge="M-2")
    assert (parked.cause, parked.fits) == ("gauge", "B")
    assert parked.received.value_mm == "89.99220"
    with pytest.raises(CommandRefusedError, match="Gauge M-9 was not put in service"):
        take(bench, "99.99", gauge="M-9")


def test_typed_value_is_marked(bench_of):
    reading = take(bench_of(), "99.99", by_hand=True)
    assert reading.received.by_hand


def test_gauge_out_of_range_stops_unless_overridden(bench_of, strict_of):
    bench = bench_of(toml=strict_of())
    gauge = second_gauge(bench, range_from_mm="75", range_to_mm="99")
    with pytest.raises(CommandRefusedError, match="Gauge M-2 measures 75 mm to 99 mm, but seat A"):
        bench.inspection.put_in_service(gauge)
    bench.inspection.put_in_service(gauge.model_copy(update={"seats": ("B",)}))
    bench.inspection.put_in_service(gauge.model_copy(update={"override_reason": "no other"}))


# --- reasons owed ---------------------------------------------------------------------------------


def test_reasons_are_owed_and_given(bench_of, at):
    bench = bench_of(stations=2)
    do = bench.inspection
    bench.press("99.99")
    bench.press("99.98")
    do.take_back(owed=True)
    withdrawn = bench.state.last.seq
    bench.press("99.97")
    do.aim(at(1, 1), owed=True)
    aimed = bench.state.last.seq
    assert bench.state.redo_reason == OWED
    redone = bench.press("99.96")
    parked = bench.press("120")
    do.discard_parked(parked.seq, owed=True)
    discarded = bench.state.last.seq
    other = bench.press("121")
    used = do.use_parked(other.seq, at(2, 1), owed=True)
    do.skip(owed=True)
    skipped = bench.state.last.seq
    assert list(bench.state.owed) == [withdrawn, aimed, discarded, used.seq, skipped]
    assert bench.state.readings[redone.seq].reason == OWED
    for of, reason in zip(bench.state.owed, "abcde", strict=True):
        do.give_reason(of, reason)
    state = bench.state
    assert state.owed == {}
    assert [reading.fate for reading in state.readings.values() if not reading.counts] == [
        "measured again: b",
        "taken back: a",
    ]
    assert state.readings[redone.seq].reason == "b"
    assert state.readings[used.seq].reason == "d"
    assert state.parked[parked.seq].decision == "thrown away: c"
    assert state.parked[other.seq].decision == "used at A 2/1: d"
    assert state.skipped == {at(2, 2): "e"}
    with pytest.raises(CommandRefusedError, match="No reason is owed there"):
        do.give_reason(withdrawn, "again")
    assert fold(state.events) == state


def test_redo_that_was_not_done_owes_nothing(bench_of, at):
    bench = bench_of()
    bench.press("99.99")
    bench.inspection.aim(at(1, 1), owed=True)
    bench.inspection.aim(at(1, 2))
    assert bench.state.owed == {}


def test_reason_owed_for_a_redo_may_be_given_before_it(bench_of, at):
    bench = bench_of()
    bench.press("99.99")
    bench.inspection.aim(at(1, 1), owed=True)
    bench.inspection.give_reason(bench.state.last.seq, "burr")
    assert bench.press("99.98").reason == "burr"


def test_measured_after_all_a_skipped_point_owes_nothing(bench_of, at):
    bench = bench_of()
    bench.inspection.skip(owed=True)
    bench.inspection.aim(at(1, 1))
    bench.press("99.99")
    assert bench.state.owed == {}
    assert bench.state.skipped == {}


def test_reason_is_given_or_owed(bench_of):
    bench = bench_of()
    bench.press("99.99")
    with pytest.raises(CommandRefusedError, match="either given or owed"):
        bench.inspection.take_back("burr", owed=True)


# --- the walk -------------------------------------------------------------------------------------


def test_walk_is_changed_on_the_spot_and_survives_a_restart(bench_of, at):
    bench = bench_of(orientations=3)
    bench.press("99.99")
    bench.inspection.choose_walk("orientation by orientation", there_and_back=True)
    visited = []
    while bench.state.cursor is not None:
        visited.append(bench.state.cursor)
        bench.press("99.99")
    assert visited == [
        *(at(1, 2), at(1, 3)),  # the next point stays; from there the new order, down the third
        *(at(2, 3), at(3, 3), at(2, 1), at(3, 1), at(3, 2), at(2, 2)),
    ]
    assert bench.resume().state == bench.state


def test_next_leaves_the_point_open_and_comes_back_to_it(bench_of, at):
    bench = bench_of()
    assert bench.inspection.move_on() == at(1, 2)
    bench.fill(lambda point: "99.99")
    assert bench.state.open_points() == ()
    with pytest.raises(CommandRefusedError, match="No other point is open"):
        bench.inspection.move_on()


def test_nothing_measured_cannot_be_repeated(bench_of, at):
    bench = bench_of()
    with pytest.raises(CommandRefusedError, match="no reading to repeat yet"):
        bench.inspection.ask_repeat("why")
    with pytest.raises(CommandRefusedError, match="A 1/2 has no reading to repeat"):
        bench.inspection.ask_repeat("why", at(1, 2))


# --- times ----------------------------------------------------------------------------------------


def test_times_that_cannot_be_real_are_told(bench_of):
    bench = bench_of(orientations=12)
    bench.press("99.99")
    assert bench.state.clock_doubts == ()
    bench._now -= timedelta(minutes=3)
    bench.press("99.99")
    (backwards,) = bench.state.clock_doubts
    assert backwards.startswith("The clock went back by 178.999999 s between events 4 and 5")

    steady = bench._now

    def fast():
        nonlocal steady
        steady += timedelta(seconds=20 / 35)
        return steady

    bench.inspection.clock = fast
    bench.fill(lambda point: "99.99")  # 34 more, at a distance of 20 s / 35
    assert bench.state.clock_doubts[1] == (
        "35 readings came within 19.4 s (events 5 to 39), faster than a hand goes from point to "
        "point."
    )

"""What an inspector does, and what becomes of it in the state."""

import re
from decimal import Decimal

import pytest

from seatproof.core.plan.errors import PlanError
from seatproof.core.record.errors import ChainBrokenError, CommandRefusedError
from seatproof.core.record.inspection import Inspection, Press
from seatproof.core.record.kinds import Identification
from seatproof.core.record.state import LoggedReading, ParkedPress
from seatproof.core.units import Unit

REASON = "burr filed off"


def values(state, key):
    return [str(reading.value_mm) for reading in state.readings_at(key)]


# --- opening --------------------------------------------------------------------------------------


def test_plan_that_is_none_opens_nothing(bench_of):
    with pytest.raises(PlanError):
        bench_of(toml="format = 1")


@pytest.mark.parametrize("actor", ["", "  "])
def test_nameless_inspector_is_refused(bench_of, plan_of, actor):
    bench = bench_of()
    with pytest.raises(CommandRefusedError, match="Say who measures"):
        Inspection.create(
            bench.store,
            plan_toml=plan_of(),
            identification=Identification(sheet_number="1"),
            actor=actor,
            clock=bench.clock,
        )
    assert len(bench.store.kept) == 3


def test_press_without_a_gauge_is_refused(bench_of, plan_of):
    store = bench_of().store
    bench = bench_of(store)
    bare = Inspection.create(
        store,
        plan_toml=plan_of(),
        identification=Identification(sheet_number="1"),
        actor="x",
        clock=bench.clock,
    )
    with pytest.raises(CommandRefusedError, match="Put a gauge in service"):
        bare.take(Press(value=Decimal(100), unit=None, text="", raw=b"", format="", arrival=1))


@pytest.mark.parametrize("value", ["-40.1", "150.1", "NaN", "Infinity", "sNaN"])
def test_temperature_that_cannot_be_is_refused(bench_of, value):
    bench = bench_of()
    for shaft, gauge in ((value, "20"), ("20", value)):
        with pytest.raises(CommandRefusedError, match=r"temperature of .* cannot be right"):
            bench.inspection.note_temperatures(Decimal(shaft), Decimal(gauge))
    assert bench.state.temperatures == ()


def test_resuming_gives_the_equal_state(bench_of, at):
    bench = bench_of(repeats=2)
    for value in ("99.99", "99.991", "99.992", "130", "99.993"):
        bench.press(value)
    bench.inspection.take_back(REASON)
    bench.inspection.aim(at(1, 1), REASON)
    assert bench.resume().state == bench.state


def test_resuming_what_is_not_there_is_refused(bench_of):
    bench = bench_of()
    with pytest.raises(ChainBrokenError, match="the record holds no events"):
        Inspection.resume(bench.store, "unknown", actor="x", clock=bench.clock)


def test_failed_store_changes_nothing(bench_of):
    bench = bench_of()
    before = bench.state

    def full(event):
        raise OSError("disk full")

    bench.store.append = full
    with pytest.raises(OSError, match="disk full"):
        bench.press("99.99")
    assert bench.state is before
    del bench.store.append
    assert isinstance(bench.press("99.99"), LoggedReading)


# --- presses --------------------------------------------------------------------------------------


def test_presses_go_along_the_walk_with_every_detail_kept(bench_of, at):
    bench = bench_of()
    reading = bench.press("99.9900")
    assert reading == bench.state.readings_at(at(1, 1))[0]
    assert reading.received.value == "99.9900"  # every digit as sent
    assert reading.received.raw_hex == b"99.9900\r\n".hex()
    assert (reading.received.gauge, reading.received.arrival) == ("M-1", 1)
    assert reading.actor == "Åsa Test"
    assert bench.state.cursor == at(1, 2)
    bench.fill(lambda point: "99.99")
    assert bench.state.cursor is None
    assert bench.state.open_points() == ()


def test_inch_press_is_exact_in_millimetres(bench_of, at):
    bench = bench_of(unit="in", nominal=4, length=2, stations=[0.5, 1.5])
    bench.press("3.99995")
    assert values(bench.state, at(1, 1)) == ["101.598730"]  # 3.99995 · 25.4


def test_repeats_stay_on_their_point_until_all_are_in(bench_of, at):
    bench = bench_of(repeats=3)
    cursors = []
    for value in ("99.99", "99.991", "99.992", "99.99"):
        cursors.append(bench.state.cursor)
        bench.press(value)
    assert cursors == [at(1, 1)] * 3 + [at(1, 2)]
    assert values(bench.state, at(1, 1)) == ["99.99", "99.991", "99.992"]


def test_press_with_no_open_point_is_parked(bench_of):
    bench = bench_of()
    bench.fill(lambda point: "99.99")
    parked = bench.press("99.99")
    assert isinstance(parked, ParkedPress)
    assert parked.key is None
    assert parked.finding == "No point is open."


def test_press_that_the_line_doubts_is_parked_at_its_point(bench_of, at):
    bench = bench_of()
    bench.press("99.990")
    second = bench.press("99.990", doubts=("it came twice", "it came in a burst"))
    assert isinstance(second, ParkedPress)
    assert second.key == at(1, 2)
    assert second.finding == "Doubtful as a press: it came twice; it came in a burst."
    assert bench.state.cursor == at(1, 2)


def test_equal_value_at_the_next_point_is_logged(bench_of):
    bench = bench_of()
    bench.press("99.990")
    assert isinstance(bench.press("99.990"), LoggedReading)


@pytest.mark.parametrize(
    ("value", "is_parked"),
    [
        ("101", False),
        ("99", False),
        ("101.001", True),
        ("98.999", True),
        ("0", True),
        ("-100", True),
    ],
)
def test_value_farther_off_than_a_millimetre_is_parked(bench_of, value, is_parked):
    bench = bench_of()  # nominal size 100 mm
    taken = bench.press(value)
    assert isinstance(taken, ParkedPress) is is_parked
    if is_parked:
        sent = value.replace("-", "−")
        assert taken.finding == (
            f"{sent} mm is more than 1 mm from the nominal size 100 mm of seat A."
        )
        assert bench.state.waiting_presses() == (taken,)


def test_gauge_switched_to_inches_is_recognised(bench_of):
    # 100 mm are 3.937 in; read as millimetres that is far off, as inches it fits.
    finding = bench_of().press("3.937").finding
    assert finding == (
        "3.937 mm is more than 1 mm from the nominal size 100 mm of seat A; the gauge may be "
        "switched to inches."
    )


def test_gauge_switched_to_millimetres_is_recognised(bench_of):
    bench = bench_of(unit="in", nominal=4, length=2, stations=2)
    assert bench.press("101.6").finding == (
        "101.6 in is more than 0.04 in from the nominal size 4 in of seat A; the gauge may be "
        "switched to millimetres."
    )
    assert isinstance(bench.press("4.04"), LoggedReading)  # on the edge


def test_value_of_the_neighbour_seat_is_recognised(bench_of, kiln_fan_toml):
    bench = bench_of(toml=kiln_fan_toml)
    assert bench.press("100.010").finding == (
        "100.010 mm is more than 1 mm from the nominal size 110 mm of seat A; it would fit seat B."
    )


def test_other_unit_than_the_gauge_in_service_is_parked(bench_of):
    assert bench_of().press("3.937", unit=Unit.INCH).finding == (
        "The gauge sent 3.937 in, but it is in service as a gauge that shows mm."
    )


def test_metric_gauge_serves_for_an_inch_plan(bench_of):
    bench = bench_of(
        unit="in", nominal=4, length=2, stations=2, gauge={"inventory_number": "M-2", "unit": "mm"}
    )
    assert isinstance(bench.press("101.59"), LoggedReading)


# --- parked presses -------------------------------------------------------------------------------


def test_parked_press_can_be_used_where_it_belongs(bench_of, at):
    bench = bench_of()
    parked = bench.press("102")
    reading = bench.inspection.use_parked(parked.seq, at(2, 1), "measured there in fact")
    assert (reading.key, reading.from_parked) == (at(2, 1), parked.seq)
    assert bench.state.cursor == at(1, 1)
    assert bench.state.waiting_presses() == ()
    assert bench.state.parked[parked.seq].decided_by == reading.seq
    for key in (at(1, 1), at(1, 2)):
        assert bench.state.cursor == key
        bench.press("99.99")
    assert bench.state.cursor == at(2, 2)  # 2/1 has its value


def test_used_press_supersedes_what_was_there(bench_of, at):
    bench = bench_of()
    first = bench.press("99.99")
    parked = bench.press("102")
    second = bench.inspection.use_parked(parked.seq, at(1, 1), REASON)
    assert values(bench.state, at(1, 1)) == ["102"]
    replaced = bench.state.readings[first.seq]
    assert replaced.replaced_by == second.seq
    assert replaced.fate == f"measured again: {REASON}"


def test_used_press_joins_the_repeats_of_an_unfinished_point(bench_of, at):
    bench = bench_of(repeats=2)
    bench.press("99.99")
    parked = bench.press("102")
    bench.inspection.use_parked(parked.seq, at(1, 1), REASON)
    assert values(bench.state, at(1, 1)) == ["99.99", "102"]
    assert bench.state.cursor == at(1, 2)


def test_using_a_press_elsewhere_leaves_the_redo_as_it_is(bench_of, at):
    """The next press on the point to be redone once counted beside the old one."""
    bench = bench_of()
    bench.press("99.99")
    parked = bench.press("102")
    bench.inspection.aim(at(1, 1), REASON)
    bench.inspection.use_parked(parked.seq, at(3, 1), "belongs there")
    assert bench.state.redo_reason == REASON
    bench.press("99.98")
    assert values(bench.state, at(1, 1)) == ["99.98"]


def test_using_a_press_elsewhere_is_not_the_redo(bench_of, at):
    bench = bench_of(repeats=2)
    for value in ("99.99", "99.991", "99.98"):  # the last one is the first of 1/2
        bench.press(value)
    parked = bench.press("102")
    bench.inspection.aim(at(1, 1), REASON)
    bench.inspection.use_parked(parked.seq, at(1, 2), "belongs there")
    assert values(bench.state, at(1, 2)) == ["99.98", "102"]


def test_press_used_on_the_point_to_be_redone_is_the_redo(bench_of, at):
    bench = bench_of(repeats=3)
    bench.press("99.99")
    parked = bench.press("102")
    bench.inspection.aim(at(1, 1), REASON)
    bench.inspection.use_parked(parked.seq, at(1, 1), REASON)
    assert values(bench.state, at(1, 1)) == ["102"]
    assert bench.state.redo_reason == ""


def test_parked_press_is_decided_on_once(bench_of, at):
    bench = bench_of()
    used, discarded = bench.press("102"), bench.press("103")
    bench.inspection.use_parked(used.seq, at(1, 1), REASON)
    bench.inspection.discard_parked(discarded.seq, "gauge slipped")
    assert bench.state.parked[discarded.seq].decision == "thrown away: gauge slipped"
    for seq in (used.seq, discarded.seq, 1, 999):
        with pytest.raises(CommandRefusedError, match="does not wait for a decision"):
            bench.inspection.use_parked(seq, at(1, 1), REASON)
        with pytest.raises(CommandRefusedError, match="does not wait for a decision"):
            bench.inspection.discard_parked(seq, REASON)


# --- the walk -------------------------------------------------------------------------------------


def test_aiming_moves_the_cursor_and_the_walk_goes_on_from_there(bench_of, at):
    bench = bench_of()
    bench.inspection.aim(at(3, 1))
    for key in (at(3, 1), at(3, 2), at(1, 1)):  # round to the beginning
        assert bench.state.cursor == key
        bench.press("99.99")


def test_redo_needs_a_reason_and_supersedes(bench_of, at):
    bench = bench_of()
    first = bench.press("99.99")
    with pytest.raises(CommandRefusedError, match=r"Point A 1/1 is measured already"):
        bench.inspection.aim(at(1, 1), "  ")
    bench.inspection.aim(at(1, 1), REASON)
    second = bench.press("99.98")
    assert values(bench.state, at(1, 1)) == ["99.98"]
    assert second.reason == REASON
    assert bench.state.readings[first.seq].fate == f"measured again: {REASON}"
    assert bench.state.cursor == at(1, 2)


def test_redo_takes_the_place_of_all_repeats(bench_of, at):
    bench = bench_of(repeats=2)
    for value in ("99.99", "99.991"):
        bench.press(value)
    bench.inspection.aim(at(1, 1), REASON)
    bench.press("99.98")
    assert values(bench.state, at(1, 1)) == ["99.98"]
    assert bench.state.cursor == at(1, 1)
    bench.press("99.981")
    assert values(bench.state, at(1, 1)) == ["99.98", "99.981"]
    assert bench.state.cursor == at(1, 2)


def test_redo_is_off_when_another_point_is_aimed_at(bench_of, at):
    bench = bench_of()
    bench.press("99.99")
    bench.inspection.aim(at(1, 1), REASON)
    bench.inspection.aim(at(1, 2))
    bench.press("99.98")
    assert values(bench.state, at(1, 1)) == ["99.99"]


def test_going_back_to_unfinished_repeats_adds_to_them(bench_of, at):
    bench = bench_of(repeats=2)
    bench.press("99.99")
    bench.inspection.aim(at(2, 1))
    bench.inspection.aim(at(1, 1))
    bench.press("99.98")
    assert values(bench.state, at(1, 1)) == ["99.99", "99.98"]


def test_parked_press_leaves_the_redo_waiting(bench_of, at):
    bench = bench_of()
    bench.press("99.99")
    bench.inspection.aim(at(1, 1), REASON)
    bench.press("120")
    assert (bench.state.cursor, bench.state.redo_reason) == (at(1, 1), REASON)


def test_taking_back_withdraws_the_newest_that_counts(bench_of, at):
    bench = bench_of()
    first, second = bench.press("99.99"), bench.press("99.98")
    assert bench.inspection.take_back(REASON) == at(1, 2)
    assert bench.state.readings[second.seq].fate == f"taken back: {REASON}"
    assert bench.inspection.take_back(REASON) == at(1, 1)
    assert bench.state.cursor == at(1, 1)
    with pytest.raises(CommandRefusedError, match="no such reading to take back"):
        bench.inspection.take_back(REASON)
    assert set(bench.state.readings) == {first.seq, second.seq}  # both are still there
    bench.press("99.97")
    assert values(bench.state, at(1, 1)) == ["99.97"]


def test_skipped_point_can_be_measured_after_all(bench_of, at):
    bench = bench_of()
    assert bench.inspection.skip("keyway") == at(1, 1)
    assert bench.state.skipped == {at(1, 1): "keyway"}
    bench.fill(lambda point: "99.99")
    assert bench.state.cursor is None
    bench.inspection.aim(at(1, 1))
    bench.press("99.98")
    assert bench.state.skipped == {}
    assert values(bench.state, at(1, 1)) == ["99.98"]


def test_measured_point_cannot_be_left_out(bench_of, at):
    bench = bench_of()
    bench.press("99.99")
    bench.inspection.aim(at(1, 1), REASON)
    with pytest.raises(CommandRefusedError, match=r"Point A 1/1 is measured already, so"):
        bench.inspection.skip("keyway")


def test_nothing_is_left_to_skip_at_the_end(bench_of):
    bench = bench_of()
    for _ in range(6):
        bench.inspection.skip("keyway")
    with pytest.raises(CommandRefusedError, match="No point is open"):
        bench.inspection.skip("keyway")


def test_point_that_the_plan_has_not_is_refused(bench_of, at):
    bench = bench_of()
    parked = bench.press("120")
    for key in (at(1, 3), at(0, 1), at(4, 1), at(1, 0), at(1, 1, "B")):
        with pytest.raises(
            CommandRefusedError, match=f"The plan has no point {re.escape(str(key))}"
        ):
            bench.inspection.aim(key)
        with pytest.raises(CommandRefusedError, match="The plan has no point"):
            bench.inspection.use_parked(parked.seq, key, REASON)


@pytest.mark.parametrize(
    ("reason", "said"), [("", "Give a reason"), (" \n", "Give a reason"), ("x" * 10_001, "shorter")]
)
def test_reason_is_given_and_not_a_book(bench_of, at, reason, said):
    bench = bench_of()
    bench.press("99.99")
    parked = bench.press("120")
    count = len(bench.store.kept)
    for command in (
        lambda: bench.inspection.take_back(reason),
        lambda: bench.inspection.skip(reason),
        lambda: bench.inspection.discard_parked(parked.seq, reason),
        lambda: bench.inspection.use_parked(parked.seq, at(1, 1), reason),
    ):
        with pytest.raises(CommandRefusedError, match=said):
            command()
    assert len(bench.store.kept) == count


# --- the seal -------------------------------------------------------------------------------------


def test_seal_waits_for_all_that_is_open(bench_of):
    bench = bench_of(stations=5)
    assert bench.inspection.unfinished() == (
        "10 points are not measured (A 1/1, A 1/2, A 2/1, A 2/2, A 3/1, A 3/2 and 4 more); "
        "measure them, or skip each with a reason.",
    )
    for _ in range(9):
        bench.press("99.99")
    parked = bench.press("120")
    assert bench.inspection.unfinished() == (
        "Point A 5/2 is not measured; measure it, or skip it with a reason.",
        "1 parked press waits for a decision.",
    )
    with pytest.raises(CommandRefusedError, match=r"cannot be sealed yet: Point A 5/2 is not"):
        bench.inspection.seal({}, "s")
    bench.inspection.skip("keyway")
    bench.inspection.discard_parked(parked.seq, "slipped")
    assert bench.inspection.unfinished() == ()


def test_seal_asks_for_gauge_and_cautions(plan_of, bench_of):
    bench = bench_of()
    bare = Inspection.create(
        bench.store,
        plan_toml=plan_of(),
        identification=Identification(sheet_number="1"),
        actor="x",
        clock=bench.clock,
    )
    assert bare.unfinished()[:2] == (
        "No gauge was put in service.",
        "The cautions were not acknowledged.",
    )


def test_nothing_is_changed_after_the_seal(bench_of, at):
    bench = bench_of()
    bench.fill(lambda point: "99.99")
    gauge = bench.state.gauge
    event = bench.inspection.seal({"a": "1"}, "I measured.")
    assert bench.state.sealed_by == event
    assert bench.state.sealed.content == {"a": "1"}
    assert bench.state.cursor is None
    count = len(bench.store.kept)
    for command in (
        lambda: bench.press("99.99"),
        lambda: bench.inspection.aim(at(1, 1), REASON),
        lambda: bench.inspection.take_back(REASON),
        lambda: bench.inspection.put_in_service(gauge),
        lambda: bench.inspection.note_temperatures(Decimal(20), Decimal(20)),
        lambda: bench.inspection.acknowledge_cautions(("x",)),
        lambda: bench.inspection.seal({}, "again"),
        lambda: bench.inspection.skip(REASON),
    ):
        with pytest.raises(CommandRefusedError):
            command()
    assert len(bench.store.kept) == count
    assert bench.resume().state == bench.state


def test_inspectors_are_all_who_took_part(bench_of):
    bench = bench_of(stations=1)
    bench.press("99.99")
    other = Inspection.resume(bench.store, bench.state.inspection, actor=" Bo ", clock=bench.clock)
    bench.inspection = other
    bench.press("99.99")
    other.seal({}, "s")
    assert other.state.inspectors == ("Åsa Test", "Bo")

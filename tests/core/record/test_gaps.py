"""What stands between an inspection and its seal, and which points it puts in doubt."""

from datetime import timedelta
from decimal import Decimal

import pytest

from seatproof.core.record.errors import CommandRefusedError
from seatproof.core.record.gaps import GapKind, doubted, gaps


def kinds(bench):
    return [gap.kind for gap in gaps(bench.state)]


def gap(bench, kind):
    (found,) = [one for one in gaps(bench.state) if one.kind is kind]
    return found


@pytest.fixture
def strict(bench_of, strict_of):
    """Return what opens an inspection of the strict plan."""

    def opened(gauge=None, **changes):
        return bench_of(toml=strict_of(**changes), gauge=gauge)

    return opened


def prepare(bench, standard_of, checked):
    """Do everything that comes before the first press."""
    for seat in ("A", "B"):
        for condition in bench.state.plan.conditions:
            bench.inspection.answer_condition(seat, condition, "met")
    bench.inspection.put_in_service(standard_of())
    checked(bench, ["100.000"], shaft_c="21", gauge_c="21", standard_c="21")


def fill(bench):
    bench.fill(lambda point: "99.99" if point.seat_id == "A" else "89.99")


def test_clean_inspection_has_no_gap(strict, standard_of, checked):
    bench = strict()
    prepare(bench, standard_of, checked)
    fill(bench)
    checked(bench, ["100.001"], "closing")
    assert gaps(bench.state) == ()
    assert doubted(bench.state) == {}
    event = bench.inspection.seal({}, "s")
    assert bench.state.sealed_by == event
    assert gaps(bench.state) == ()


def test_old_plan_asks_for_nothing_new(bench_of):
    bench = bench_of()
    bench.fill(lambda point: "99.99")
    assert gaps(bench.state) == ()


def test_everything_left_out_is_listed(strict):
    bench = strict()
    fill(bench)
    assert kinds(bench) == [
        GapKind.CONDITION,
        GapKind.CONDITION,
        GapKind.OPENING,
        GapKind.CLOSING,
        GapKind.STANDARD,
        GapKind.STANDARD,
        GapKind.TEMPERATURES,
    ]
    everywhere = {point.key for point in bench.state.plan.points()}
    assert set(gap(bench, GapKind.OPENING).points) == everywhere
    assert set(doubted(bench.state)) == everywhere


def test_gap_needs_a_reason_and_keeps_it(strict, at):
    bench = strict()
    fill(bench)
    with pytest.raises(CommandRefusedError, match=r"cannot be sealed yet: .* 8 readings came from"):
        bench.inspection.seal({}, "s", {gap(bench, GapKind.CLOSING).what: "battery died"})
    assert bench.state.sealed is None
    reasons = {
        what: f"because {number}" for number, what in enumerate(bench.inspection.unfinished())
    }
    bench.inspection.seal({}, "s", reasons)
    closed = bench.state.sealed.gaps
    assert [(one.what, one.reason) for one in closed] == list(reasons.items())
    assert at(1, 1) in [place.key for place in closed[0].points]
    assert [one.what for one in gaps(bench.state)] == list(reasons)


def test_no_reason_closes_what_can_be_done_in_a_moment(bench_of):
    bench = bench_of(stations=1)
    bench.press("99.99")
    bench.inspection.skip(owed=True)
    owed = gap(bench, GapKind.OWED)
    assert owed.what == "A reason is owed for event 5: why A 1/2 is skipped; give it."
    assert not owed.reason_may_close
    with pytest.raises(CommandRefusedError, match="A reason is owed"):
        bench.inspection.seal({}, "s", {owed.what: "no"})
    bench.inspection.give_reason(5, "keyway")
    assert gaps(bench.state) == ()
    assert list(bench.state.skipped.values()) == ["keyway"]


def test_drift_marks_every_reading_since_the_last_good_check(strict, standard_of, checked, at):
    bench = strict()
    prepare(bench, standard_of, checked)
    bench.press("99.990")
    checked(bench, ["100.001"], "between")  # 1 µm since the opening check: within 2 µm
    bench.press("99.991")
    bench.press("99.992")
    bad = checked(bench, ["100.005", "100.006"], "between")
    # 100.0055 − 100.0002 against 100.001 − 100.0002
    assert (bad.deviation_mm, bad.drift_mm) == (Decimal("0.0053"), Decimal("0.0045"))
    assert not bad.good
    found = gap(bench, GapKind.DRIFT)
    assert found.points == (at(1, 2), at(2, 1))
    assert found.what.startswith("Gauge M-1 was found off by +4.5 µm at event")
    # The gauge is set anew, checked, and the two are measured again.
    checked(bench, ["100.000"], "between")
    for key in found.points:
        bench.inspection.aim(key, "gauge had drifted")
        bench.press("99.991")
    assert GapKind.DRIFT not in kinds(bench)


def test_readings_after_a_bad_check_are_in_doubt_until_the_next_good_one(
    strict, standard_of, checked, at
):
    bench = strict()
    prepare(bench, standard_of, checked)
    checked(bench, ["100.010"], "between")
    bench.press("99.990")
    checked(bench, ["100.010"], "between")  # unchanged, and still off
    assert gap(bench, GapKind.DRIFT).points == (at(1, 1),)
    checked(bench, ["100.000"], "between")
    bench.press("99.991")
    assert gap(bench, GapKind.DRIFT).points == (at(1, 1),)


def test_readings_before_the_opening_check_stay_unchecked(strict, standard_of, checked, at):
    bench = strict()
    bench.press("99.99")
    prepare(bench, standard_of, checked)
    bench.press("99.99")
    assert gap(bench, GapKind.OPENING).points == (at(1, 1),)


def test_check_at_zero_is_none_where_a_standard_is_asked_for(strict, standard_of, checked):
    bench = strict()
    bench.inspection.put_in_service(standard_of())
    checked(bench, ["0.000"], on="", expected="0")
    bench.press("99.99")
    assert GapKind.OPENING in kinds(bench)
    assert "on a setting standard" in gap(bench, GapKind.OPENING).what


def test_knock_asks_for_a_check_whatever_the_plan_says(bench_of, checked, at):
    bench = bench_of()
    bench.press("99.99")
    bench.inspection.call_attention("knock", gauge="M-1")
    bench.press("99.991")
    found = gap(bench, GapKind.CHECK)
    assert found.points == (at(1, 2),)
    assert "after event 5 (knock) without a good check since" in found.what
    checked(bench, ["0.000"], "between", on="", expected="0")
    assert GapKind.CHECK not in kinds(bench)


def test_disagreeing_repeats_ask_again_and_stay_a_gap_until_one_goes(strict, at):
    bench = strict(checks="", repeats=2)
    bench.press("99.990")
    second = bench.press("99.996")
    assert bench.state.cursor == at(1, 1)
    (wanted,) = bench.state.repeats_wanted(at(1, 1))
    assert wanted.cause == "spread"
    assert wanted.why.startswith("The readings at A 1/1 differ by 6.0 µm, and the plan allows 3 µm")
    bench.press("99.991")
    assert bench.state.cursor == at(1, 2)  # asked once, not for ever
    assert gap(bench, GapKind.SPREAD).points == (at(1, 1),)
    bench.inspection.take_back("not held square", seq=second.seq)
    assert GapKind.SPREAD not in kinds(bench)
    assert bench.state.is_complete(at(1, 1))


def test_repeat_that_was_asked_and_not_made_is_a_gap(bench_of, at):
    bench = bench_of()
    bench.press("99.99")
    assert bench.inspection.ask_repeat("value is doubted") == at(1, 1)
    assert bench.inspection.move_on() == at(1, 2)
    bench.fill(lambda point: "99.99" if point.key != at(1, 1) else "99.991")
    assert [str(one.value_mm) for one in bench.state.readings_at(at(1, 1))] == ["99.99", "99.991"]
    bench.inspection.ask_repeat("once more", at(2, 1))
    found = gap(bench, GapKind.REPEAT)
    assert found.points == (at(2, 1),)
    assert found.what == "Point A 2/1 was to be measured once more, and was not: once more"


@pytest.mark.parametrize(("due", "is_gap"), [("2024-05-16", True), ("2024-05", False)])
def test_expired_calibration_is_a_gap_unless_overridden(bench_of, due, is_gap):
    overridden = bench_of(gauge={"calibration_due": due, "override_reason": "no other to be had"})
    overridden.press("99.99")
    assert GapKind.CALIBRATION not in kinds(overridden)
    if is_gap:
        with pytest.raises(CommandRefusedError, match="calibration of gauge M-1 was due on"):
            bench_of(gauge={"calibration_due": due})
    else:
        bench_of(gauge={"calibration_due": due})


def test_calibration_that_runs_out_in_the_middle_is_noticed(bench_of, at):
    bench = bench_of(gauge={"calibration_due": "2024-05-17"})
    bench.press("99.99")
    bench._now += timedelta(days=1)
    bench.press("99.99")
    assert gap(bench, GapKind.CALIBRATION).points == (at(1, 2),)


def test_seat_left_out_is_not_missing(bench_of, strict_of, at):
    bench = bench_of(toml=strict_of(checks=""))
    said = bench.state.identification.model_copy(update={"seats": ("B",)})
    bench.inspection.correct_identification(said, "only seat B is done today")
    assert bench.state.cursor == at(1, 1, "B")
    assert [seat.id for seat in bench.state.seats] == ["B"]
    fill(bench)
    assert kinds(bench) == [GapKind.CONDITION]
    with pytest.raises(CommandRefusedError, match="Seat A is not to be done"):
        bench.inspection.aim(at(1, 1))

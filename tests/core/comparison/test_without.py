"""What would follow without a reading: against inspections in which it was never taken."""

from decimal import Decimal

import pytest

from seatproof.core.comparison.without import changes, evaluate_without, without_readings
from seatproof.core.evaluation.evaluate import evaluate
from seatproof.core.evaluation.requirement import Characteristic
from seatproof.core.record.gaps import GapKind, gaps
from seatproof.core.verdict.rule import Verdict


def measured(bench_of, *departures_um, **more):
    bench = bench_of(stations=1, orientations=4, **more)
    for departure in departures_um:
        bench.press(Decimal(100) + Decimal(departure) / 1000)
    return bench.state


def test_a_point_without_its_reading_is_as_if_it_had_not_been_measured(bench_of):
    state = measured(bench_of, -10, -10, -10, -2)
    last = max(state.readings)
    never = measured(bench_of, -10, -10, -10)
    found, expected = evaluate_without(state, {last}).seat("A"), evaluate(never).seat("A")
    assert [size.size_mm for size in found.sizes] == [size.size_mm for size in expected.sizes]
    assert found.verdict is expected.verdict
    # Not silently the better verdict: a point is missing now.
    assert GapKind.MISSING in {gap.kind for gap in gaps(without_readings(state, {last}))}


def test_one_of_several_repeats_leaves_the_others(bench_of):
    state = measured(bench_of, -10, -4, -10, -10, -10, -10, -10, -10, repeats=2)
    second = state.readings_at(next(iter(state.counting)))[1]
    assert evaluate(state).seat("A").sizes[0].size_mm == pytest.approx(99.993)
    assert evaluate_without(state, {second.seq}).seat("A").sizes[0].size_mm == pytest.approx(99.99)


def test_the_record_stays_as_it_is(bench_of):
    state = measured(bench_of, -10, -10, -10, -2)
    before, counting = evaluate(state), dict(state.counting)
    evaluate_without(state, set(state.readings))
    assert dict(state.counting) == counting
    assert evaluate(state).seat("A").sizes == before.seat("A").sizes


def test_changes_put_each_requirement_beside_itself(bench_of):
    state = measured(bench_of, -10, -10, -10, 30)
    before = evaluate(state)
    after = evaluate_without(state, {max(state.readings)})
    size = next(
        one for one in changes(before, after) if one.before.characteristic is Characteristic.SIZE
    )
    assert size.before.verdict is Verdict.DOES_NOT_CONFORM
    assert size.after.verdict is Verdict.NOT_PROVEN  # a point is missing

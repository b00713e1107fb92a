"""The worth of a next reading against simulation and against what common sense would measure."""

from decimal import Decimal
from math import sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from seatproof.core.evaluation.evaluate import evaluate
from seatproof.core.foresight.advice import advise
from seatproof.core.foresight.next_reading import Aim, best_per_point, chance_to_settle
from seatproof.core.verdict.judge import judge
from seatproof.core.verdict.knowledge import Estimate
from seatproof.core.verdict.limits import Limits
from seatproof.core.verdict.rule import Rule, Verdict

GUARDED = Rule(guarded=True)
LIMITS = Limits.of(-22, 0)


@pytest.mark.parametrize("value", [-2.2, -19.5, -0.4, 1.9])
@pytest.mark.parametrize("readings", [1, 4])
def test_chance_agrees_with_simulated_further_readings(value, readings):
    common, own = 0.6, 1.5
    now, then = (sqrt(common**2 + own**2 / count) for count in (readings, readings + 1))
    rng = np.random.default_rng(9)
    # A true size as it may be after the readings so far, one reading more, and the new mean.
    shared = rng.normal(0.0, common, 40_000)
    true = value + rng.normal(0.0, own / sqrt(readings), 40_000) + shared
    new = true - shared + rng.normal(0.0, own, 40_000)
    mean = (readings * value + new) / (readings + 1)
    zones = judge(Estimate(value, then), LIMITS, GUARDED)
    proved = (mean >= zones.acceptance.lower) & (mean <= zones.acceptance.upper)
    proved |= (mean < zones.refusal.lower) | (mean > zones.refusal.upper)
    chance = chance_to_settle(value, now, then, LIMITS, GUARDED)
    assert chance == pytest.approx(np.mean(proved), abs=0.012)


@given(st.floats(-30, 10), st.floats(0.1, 5), st.floats(0.1, 1.0))
def test_chance_is_a_probability(value, now, part):
    assert 0.0 <= chance_to_settle(value, now, now * part, LIMITS, GUARDED) <= 1.0


def test_reading_that_thins_nothing_changes_nothing():
    assert chance_to_settle(-1.0, 1.5, 1.5, LIMITS, GUARDED) == 0.0
    assert chance_to_settle(-11.0, 1.5, 1.5, LIMITS, GUARDED) == 1.0


def measured(bench, size_of):
    bench.fill(size_of)
    state = bench.state
    evaluation = evaluate(state)
    return evaluation.seat("A"), advise(state, evaluation, "A")


def test_missing_points_come_first_in_the_order_of_the_walk(bench_of, at):
    bench = bench_of(repeats=2)
    for _ in range(3):
        bench.press("99.990")
    found = advise(bench.state, evaluate(bench.state), "A")
    assert [one.key for one in found[:2]] == [at(1, 2), at(2, 1)]
    assert {one.aim for one in found} == {Aim.MISSING}


def test_settled_seat_needs_no_reading(bench_of):
    result, found = measured(bench_of(), lambda point: "99.990")
    assert result.verdict is Verdict.CONFORMS
    assert found == ()


def test_point_near_its_limit_is_read_again(bench_of, at):
    near = {at(2, 1): "99.9987", at(3, 2): "99.9992"}
    bench = bench_of(expanded=0.0022, repeatability=0.001)
    result, found = measured(bench, lambda point: near.get(point.key, "99.990"))
    assert result.verdict is Verdict.NOT_PROVEN
    assert {one.key for one in found} == set(near)
    # The one just inside the guard band is settled more easily than the one at the limit.
    assert found[0].key == at(2, 1)
    assert found[0].chance > found[1].chance > 0.0
    assert found[0].standard_then_um < found[0].standard_now_um


def test_doubt_about_one_reading_does_not_ask_for_others(bench_of):
    # Repeats 8 µm apart are doubted, though their mean lies well inside like all others.
    values = iter(["99.986", "99.994"])
    result, found = measured(
        bench_of(more=TAPERED, repeats=2), lambda point: next(values, "99.990")
    )
    assert result.verdict is Verdict.NOT_PROVEN
    assert found == ()


def test_common_part_that_dominates_leaves_no_advice(bench_of):
    # u is all common: no reading moves anything.
    result, found = measured(
        bench_of(expanded=0.006, repeatability=0.00001), lambda point: "99.998"
    )
    assert result.verdict is Verdict.NOT_PROVEN
    assert found == ()


def test_mean_is_helped_alike_by_every_point(bench_of):
    bench = bench_of(judged="overall mean", expanded=0.0024, repeatability=0.0012)
    result, found = measured(bench, lambda point: "99.9992")
    assert result.verdict is Verdict.NOT_PROVEN
    assert len(found) == 6
    assert found[0].chance == pytest.approx(found[-1].chance)


TAPERED = """
[seat.taper]
tolerance = 0.004
sense = "diametral"
"""


def test_taper_is_helped_at_the_ends(bench_of):
    bench = bench_of(more=TAPERED, repeatability=0.0009, stations=[10, 20, 50])
    # u = 0.9/√2 · 60/√866.7 = 1.30 µm: up to 4 − 1.645 · 1.30 = 1.87 µm would be accepted.
    result, found = measured(
        bench, lambda point: Decimal("99.9880") + Decimal("0.000034") * Decimal(point.z_mm)
    )
    assert result.verdict is Verdict.NOT_PROVEN
    assert {one.aim for one in found} == {Aim.TAPER}
    assert found[0].key.station == 3
    # Mean position 26.67 mm: arms −16.7, −6.7 and 23.3 mm, so the middle station helps least.
    assert found[-1].key.station == 2


def test_best_advice_is_kept_once_for_each_point(bench_of):
    near = bench_of(more=TAPERED, repeatability=0.0012, expanded=0.0026)
    _, found = measured(
        near, lambda point: Decimal("99.9970") + Decimal("0.00002") * Decimal(point.z_mm)
    )
    assert {one.aim for one in found} == {Aim.SIZE, Aim.TAPER}
    best = best_per_point(found, 3)
    assert len({one.key for one in best}) == len(best) == 3
    assert best[0] == found[0]


BUDGET = """
method = "budget"
drift = 0.0005
basis = "made up for a test"
"""


def test_budget_gives_advice_too(plan_of, bench_of, at):
    head, rest = plan_of(repeats=2).split("[uncertainty]")
    toml = f"{head}[uncertainty]{BUDGET}[decision]{rest.split('[decision]')[1]}"
    bench = bench_of(toml=toml, gauge={"permissible_error_mm": "0.001"})
    bench.inspection.note_temperatures(Decimal(20), Decimal(20))
    readings = iter(range(100))

    def size(point):
        middle = Decimal("99.9978") if point.key == at(2, 1) else Decimal("99.990")
        return middle + (Decimal("0.001") if next(readings) % 2 else Decimal("-0.001"))

    result, found = measured(bench, size)
    assert result.verdict is Verdict.NOT_PROVEN
    assert [one.key for one in found] == [at(2, 1)]
    now = result.requirements[0].standard_um
    assert found[0].standard_now_um == pytest.approx(now, rel=1e-6)
    # s = √2 µm from pairs 2 µm apart; the third reading takes s²·(1/2 − 1/3) off the variance.
    assert now**2 - found[0].standard_then_um ** 2 == pytest.approx(2.0 / 6.0, rel=1e-6)

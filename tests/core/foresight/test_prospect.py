"""Forecasts against the evaluation of inspections that were then really carried out."""

from decimal import Decimal
from math import cos, radians

import numpy as np
import pytest

from seatproof.core.evaluation.evaluate import evaluate
from seatproof.core.evaluation.requirement import Characteristic
from seatproof.core.evaluation.sizes import gauge_facts
from seatproof.core.foresight.ahead import GaugeAhead
from seatproof.core.foresight.design import Design, least_design, seat_with
from seatproof.core.foresight.errors import DesignError, NoSuchSeatError
from seatproof.core.foresight.outlook import foresee
from seatproof.core.foresight.smallest import smallest_design
from seatproof.core.plan.file import parse_plan
from seatproof.core.uncertainty.gauge import CurvePoint, Evidence, GaugeFacts, SettingStandard
from seatproof.core.verdict.rule import Verdict

SIZE, TAPER = Characteristic.SIZE, Characteristic.TAPER
ROUNDNESS, CYLINDRICITY = Characteristic.ROUNDNESS, Characteristic.CYLINDRICITY

FORM = """
[seat.roundness]
tolerance = 0.006
sense = "radial"
[seat.cylindricity]
tolerance = 0.008
sense = "radial"
[seat.taper]
tolerance = 0.006
sense = "diametral"
[seat.odd_lobes]
at_most = 0.001
basis = "made up for a test"
"""
BUDGET = """
method = "budget"
repeatability = 0.0009
repeatability_readings = 31
alignment = 0.00075
faces = 0.001
force = 0.0006
drift = 0.001
basis = "made up for a test"
"""
GAUGE = {"permissible_error_mm": "0.005", "range_from_mm": "75", "range_to_mm": "100"}


def budgeted(text):
    head, rest = text.split("[uncertainty]")
    return f"{head}[uncertainty]{BUDGET}[decision]{rest.split('[decision]')[1]}"


def prospect(outlook, characteristic):
    return next(one for one in outlook.prospects if one.characteristic is characteristic)


def gauge_at(evidence, celsius=26.0):
    """Return the micrometer of a worked example: step 1 µm, ±5 µm, or U = 1.2 µm, or a standard."""
    facts = GaugeFacts(
        1.0,
        5.0,
        25.0,
        (CurvePoint(75.0, 1.0, 1.2, 2.0), CurvePoint(105.0, 2.0, 1.2, 2.0)),
        SettingStandard(100.0, 1.0, 2.0),
        evidence,
    )
    return GaugeAhead(facts, 11.5e-6, celsius, celsius)


# Worked by hand from the contributions of the example: u_c and U at 95.45 %.
@pytest.mark.parametrize(
    ("evidence", "standard_um", "expanded_um"),
    [
        (Evidence.PERMISSIBLE_ERROR, 3.25, 6.51),
        (Evidence.CERTIFICATE, 1.618, 3.24),
        (Evidence.SETTING_STANDARD, 1.530, 3.06),
    ],
)
def test_budget_of_a_worked_example_is_foreseen(plan_of, evidence, standard_um, expanded_um):
    plan = parse_plan(budgeted(plan_of(repeats=3)))
    found = prospect(foresee(plan, "A", gauge_at(evidence)), SIZE)
    assert found.standard_um == pytest.approx(standard_um, abs=0.005)
    assert found.expanded_um == pytest.approx(expanded_um, abs=0.01)
    guard_um = 1.6449 * found.standard_um
    assert found.zone.lower == pytest.approx(-22 + guard_um, abs=0.01)
    assert found.zone.upper == pytest.approx(-guard_um, abs=0.01)


def test_better_evidence_is_foreseen_beside_it(plan_of):
    plan = parse_plan(budgeted(plan_of(repeats=3)))
    outlook = foresee(plan, "A", gauge_at(Evidence.PERMISSIBLE_ERROR))
    expanded = {grade.evidence: grade.expanded_um for grade in outlook.grades}
    assert expanded[Evidence.CERTIFICATE] == pytest.approx(3.24, abs=0.01)
    assert expanded[Evidence.SETTING_STANDARD] == pytest.approx(3.06, abs=0.01)


@pytest.mark.parametrize("judged", ["local sizes", "station means", "overall mean"])
@pytest.mark.parametrize("with_budget", [False, True])
@pytest.mark.parametrize("repeats", [1, 3])
def test_forecast_is_what_the_inspection_then_has(plan_of, bench_of, judged, with_budget, repeats):
    text = plan_of(
        judged=judged, repeats=repeats, orientations=[0, 60, 120], more=FORM, limits=
        'tolerance_class = "h7"',
    )  # fmt: skip
    toml = budgeted(text) if with_budget else text
    bench = bench_of(toml=toml, gauge=GAUGE)
    gauge = None
    if with_budget:
        bench.inspection.note_temperatures(Decimal(24), Decimal(26))
        facts = gauge_facts(bench.state.gauge)
        gauge = GaugeAhead(facts, float(bench.state.gauge.expansion_per_kelvin), 24.0, 26.0)
    bench.fill(lambda point: "99.985")
    result = evaluate(bench.state).seat("A")
    outlook = foresee(bench.state.plan, "A", gauge)
    assert outlook.lacking == ()
    for characteristic in (SIZE, TAPER):
        found = result.requirement(characteristic)
        expected = prospect(outlook, characteristic)
        assert expected.expanded_um == pytest.approx(found.expanded_um, rel=1e-6)
        assert expected.standard_um == pytest.approx(found.standard_um, rel=1e-6)
        assert expected.coverage_factor == pytest.approx(found.coverage_factor)
    assert all(one.provable for one in outlook.prospects)
    assert result.verdict is Verdict.CONFORMS


def verdicts(bench_of, toml, size_of):
    bench = bench_of(toml=toml)
    bench.fill(size_of)
    return {one.characteristic: one.verdict for one in evaluate(bench.state).seat("A").requirements}


@pytest.mark.parametrize("inside", [True, False])
def test_edges_of_every_zone_are_those_of_the_verdict(plan_of, bench_of, inside):
    toml = plan_of(orientations=[0, 45, 90, 135], more=FORM, limits='tolerance_class = "h8"')
    outlook = foresee(parse_plan(toml), "A")
    step_um = -0.002 if inside else 0.002

    def found(characteristic, size_of):
        return verdicts(bench_of, toml, size_of)[characteristic] is Verdict.CONFORMS

    zone = prospect(outlook, SIZE).zone
    at_edge = Decimal(100) + Decimal(f"{(zone.upper + step_um) / 1000:.7f}")
    assert found(SIZE, lambda point: at_edge) is inside

    def oval(point, half_range_um):
        return Decimal(f"{99.97 + half_range_um / 1000 * cos(radians(2 * point.angle_deg)):.7f}")

    for characteristic in (ROUNDNESS, CYLINDRICITY):
        edge_um = prospect(outlook, characteristic).zone.upper + step_um
        assert found(characteristic, lambda point, edge_um=edge_um: oval(point, edge_um)) is inside

    slope = (prospect(outlook, TAPER).zone.upper + step_um) / 60_000
    assert found(TAPER, lambda point: Decimal(f"{99.97 + slope * point.z_mm:.7f}")) is inside


def test_perfect_seats_stray_as_far_as_foreseen(plan_of):
    plan = parse_plan(plan_of(orientations=[0, 45, 90, 135], more=FORM))
    outlook = foresee(plan, "A")
    # 0.5 µm of scatter at 3 stations and 4 orientations, 20 000 times; medians scatter by 1 %.
    read = np.random.default_rng(6).normal(0.0, 0.5, (20_000, 3, 4))
    expected = {
        SIZE: np.median(read.max(axis=(1, 2))),
        ROUNDNESS: np.median(np.ptp(read, axis=2).max(axis=1)) / 2,
        CYLINDRICITY: np.median(np.ptp(read.reshape(-1, 12), axis=1)) / 2,
        # Stations at 10, 30, 50 mm: slope = (m3 − m1) / 40 mm, over the 60 mm of the seat.
        TAPER: np.median(np.abs(read.mean(axis=2) @ [-1.5, 0.0, 1.5])),
    }
    for characteristic, median_um in expected.items():
        assert prospect(outlook, characteristic).stray_um == pytest.approx(median_um, rel=0.03)


def test_share_is_what_zone_and_straying_leave(plan_of):
    found = prospect(foresee(parse_plan(plan_of()), "A"), SIZE)
    assert found.share == pytest.approx((found.zone.width - 2 * found.stray_um) / 22)


def test_tolerance_too_narrow_for_the_uncertainty_cannot_be_proven(plan_of):
    # U = 2 µm, k = 2: u = 1 µm; 3.92 µm is the narrowest zone with any acceptable value.
    for upper, provable in (("100.0035", False), ("100.008", True)):
        limits = f"lower_size = 100\nupper_size = {upper}"
        found = prospect(foresee(parse_plan(plan_of(limits=limits)), "A"), SIZE)
        assert found.provable is provable
        assert found.needed_um == pytest.approx(float(Decimal(upper) - 100) * 1000 / 3.92, rel=1e-3)
    assert (
        "leaves no value"
        in prospect(
            foresee(parse_plan(plan_of(limits="lower_size = 100\nupper_size = 100.0035")), "A"),
            SIZE,
        ).why_not
    )


def test_simple_acceptance_is_foreseen_by_its_limit_on_u(plan_of):
    for largest, provable in ((0.0015, False), (0.0025, True)):
        text = plan_of(rule="simple") + f"largest_uncertainty = {largest}\n"
        found = prospect(foresee(parse_plan(text), "A"), SIZE)
        assert (found.provable, found.needed_um) == (provable, None)
        assert (found.zone.lower, found.zone.upper) == (-22.0, 0.0)


def test_limit_on_u_is_foreseen_for_form_and_taper_too(plan_of):
    for largest, provable in ((0.0004, False), (0.0025, True)):
        text = plan_of(rule="simple", orientations=4, more=FORM)
        found = foresee(parse_plan(f"{text}largest_uncertainty = {largest}\n"), "A")
        for characteristic in (ROUNDNESS, CYLINDRICITY, TAPER):
            one = prospect(found, characteristic)
            assert one.provable is provable
            assert ("larger than the plan allows" in one.why_not) is not provable


def test_what_two_points_cannot_show_is_said(plan_of):
    blind = FORM.split("[seat.odd_lobes]")[0]
    found = foresee(parse_plan(plan_of(orientations=[0, 60, 120], more=blind)), "A")
    for characteristic in (ROUNDNESS, CYLINDRICITY):
        one = prospect(found, characteristic)
        assert (one.provable, one.in_reach) == (False, False)
        assert "Odd lobes" in one.why_not
    few = foresee(parse_plan(plan_of(orientations=[0, 90], more=FORM)), "A")
    assert "orientations" in prospect(few, ROUNDNESS).why_not
    assert prospect(few, ROUNDNESS).in_reach
    flat = foresee(parse_plan(plan_of(orientations=4, more=FORM)), "A", design=Design(1, 4, 1))
    assert "two stations" in prospect(flat, TAPER).why_not
    short = foresee(parse_plan(plan_of(orientations=4, more=FORM)), "A", design=Design(2, 4, 1))
    assert "barrel" in prospect(short, CYLINDRICITY).why_not


def test_budget_without_a_gauge_says_what_is_lacking(plan_of):
    plan = parse_plan(budgeted(plan_of(more=FORM, orientations=3)))
    outlook = foresee(plan, "A")
    assert "nothing was said of the gauge" in outlook.lacking[0]
    assert not outlook.provable
    assert all("gauge" in one.why_not for one in outlook.prospects)
    unbounded = foresee(plan, "A", GaugeAhead(GaugeFacts(1.0)))
    assert "Nothing bounds the error" in unbounded.lacking[0]
    assert smallest_design(plan, "A").found is None


def test_assumptions_stand_beside_the_forecast(plan_of):
    bare = 'method = "budget"\nbasis = "made up for a test"\n'
    plan = parse_plan(budgeted(plan_of()).replace(BUDGET, f"\n{bare}"))
    assumed = " ".join(foresee(plan, "A", gauge_at(Evidence.PERMISSIBLE_ERROR)).assumptions)
    assert "repeatability" in assumed
    assert "drift" in assumed
    far = GaugeAhead(
        GaugeFacts(1.0, 5.0, 25.0, (), SettingStandard(75.0, 1.0), Evidence.SETTING_STANDARD)
    )
    assert "25 mm away" in " ".join(foresee(plan, "A", far).assumptions)


# Designs


def test_stated_uncertainty_is_split_by_the_repeats_of_the_plan(plan_of):
    # U = 2 µm of a size of 4 readings, s = 0.5: common² = 1 − 0.25/4; one reading: √(…+0.25).
    plan = parse_plan(plan_of(repeats=4))
    one = prospect(foresee(plan, "A", design=Design(3, 2, 1)), SIZE)
    assert one.standard_um == pytest.approx((1 - 0.25 / 4 + 0.25) ** 0.5)
    assert prospect(foresee(plan, "A"), SIZE).standard_um == pytest.approx(1.0)


def test_other_design_is_spread_evenly_and_keeps_what_is_the_plans(plan_of):
    seat = parse_plan(plan_of()).seat("A")
    assert seat.stations_mm == (10, 30, 50)
    assert seat_with(seat, Design(3, 2, 5)).stations_mm == (10, 30, 50)
    other = seat_with(seat, Design(4, 3, 1))
    assert other.stations_mm == (0, 20, 40, 60)
    assert other.orientations_deg == (0, 60, 120)
    assert other.limits_mm == seat.limits_mm


@pytest.mark.parametrize(
    ("length", "nominal", "stations", "orientations"),
    [
        (40, 79, 2, 3),
        (41, 80, 3, 4),
        (120, 249, 3, 4),
        (121, 250, 4, 6),
        (181, 100, 5, 4),
    ],
)
def test_fewest_points_proposed_grow_with_the_seat(
    plan_of, length, nominal, stations, orientations
):
    text = plan_of(
        length=length, nominal=nominal, shaft_length=length, stations=2, orientations=2
    )  # fmt: skip
    least = least_design(parse_plan(text).seat("A"))
    assert (least.stations, least.orientations, least.repeats) == (stations, orientations, 1)


def test_ring_in_halves_is_measured_at_three_stations_at_least(plan_of):
    text = plan_of(length=30, shaft_length=30, stations=2).replace(
        'id = "A"', 'id = "A"\nring = "halves"'
    )
    assert least_design(parse_plan(text).seat("A")).stations == 3


@pytest.mark.parametrize("numbers", [(0, 1, 1), (1, 0, 1), (1, 1, 0), (1, 1, 21), (101, 1, 1)])
def test_impossible_designs_are_refused(numbers):
    with pytest.raises(DesignError, match="give a number from 1"):
        Design(*numbers)


def test_seat_that_is_not_there_is_named_with_those_that_are(plan_of):
    with pytest.raises(NoSuchSeatError, match="those that are: A"):
        foresee(parse_plan(plan_of()), "B")


# The smallest set


def test_no_smaller_set_would_do(plan_of):
    # Scatter of 1.2 µm: a repeat or two are needed to leave half of every tolerance.
    plan = parse_plan(
        plan_of(more=FORM, expanded=0.0035, repeatability=0.0012, limits='tolerance_class = "h7"')
    )
    smallest = smallest_design(plan, "A", share=0.3)
    chosen = smallest.found.design
    assert chosen.repeats > 1
    assert smallest.found.share >= 0.3
    least = smallest.least
    for stations in range(least.stations, 8):
        for orientations in (4, 6, 8):
            for repeats in range(1, 6):
                design = Design(stations, orientations, repeats)
                if design.readings < chosen.readings:
                    outlook = foresee(plan, "A", design=design)
                    assert outlook.share < 0.3 or not outlook.provable


def test_share_that_cannot_be_had_is_answered_by_the_best(plan_of):
    smallest = smallest_design(parse_plan(plan_of()), "A", share=0.95)
    assert smallest.found is None
    assert 0.5 < smallest.best.share < 0.95


def test_requirement_out_of_reach_does_not_stop_the_search(plan_of):
    blind = FORM.split("[seat.odd_lobes]")[0]
    smallest = smallest_design(parse_plan(plan_of(more=blind)), "A", share=0.3)
    assert smallest.found is not None
    assert not smallest.found.provable
    assert smallest.found.provable_in_reach

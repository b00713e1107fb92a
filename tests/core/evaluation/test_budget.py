"""Budgets of a seat through the whole way from plan and record, against figures worked by hand."""

from decimal import Decimal
from math import hypot, inf, pi, sqrt

import numpy as np
import pytest

from seatproof.core.evaluation.evaluate import evaluate, evaluate_fully
from seatproof.core.evaluation.requirement import Characteristic
from seatproof.core.evaluation.sizes import local_size_at, local_sizes
from seatproof.core.record.gaps import gaps
from seatproof.core.record.kinds import ReferenceCheck, StandardInService
from seatproof.core.uncertainty.repeatability import Repeatability, largest_contribution
from seatproof.core.verdict.rule import Rule, Verdict

CONFORMS, FAILS, UNKNOWN = Verdict.CONFORMS, Verdict.DOES_NOT_CONFORM, Verdict.NOT_PROVEN
SIZE, TAPER, ROUNDNESS = Characteristic.SIZE, Characteristic.TAPER, Characteristic.ROUNDNESS

BUDGET = """
method = "budget"
alignment = 0.00075
faces = 0.001
force = 0.0006
basis = "made up for a test"
"""
KNOWN = {"permissible_error_mm": "0.005", "range_from_mm": "75", "range_to_mm": "100"}
CURVE = tuple(
    {"size_mm": size, "error_mm": error, "expanded_mm": "0.0012"}
    for size, error in (("75", "0.001"), ("95", "-0.001"), ("105", "-0.003"))
)


@pytest.fixture
def budgeted(plan_of, bench_of):
    """Return what opens an inspection whose plan works with a budget."""

    def opened(budget="drift = 0.001\n", checks="", gauge=None, temperatures=(26, 26), **changes):
        text = plan_of(**{"stations": [10, 30, 50], "orientations": 3, **changes})
        head, rest = text.split("[uncertainty]")
        _, tail = rest.split("[decision]")
        toml = f"{head}[uncertainty]{BUDGET}{budget}\n[decision]{tail}\n{checks}"
        bench = bench_of(toml=toml, gauge=KNOWN | (gauge or {}))
        if temperatures is not None:
            bench.inspection.note_temperatures(*(Decimal(t) for t in temperatures))
        return bench

    return opened


def measure(bench, values_um):
    """Press at every point; `values_um` holds the departures of its readings in turn."""
    numbers = iter(range(10**6))
    bench.fill(
        lambda point: Decimal(100) + Decimal(values_um[next(numbers) % len(values_um)]) / 1000
    )
    return evaluate(bench.state).seat("A")


def check(bench, deviation_um, phase="between", standard="", expected="100"):
    bench.inspection.check_reference(
        ReferenceCheck(
            phase=phase,
            occasion="time",
            gauge="M-1",
            standard=standard,
            expected_mm=expected,
            received=(_received(bench, Decimal(expected) + Decimal(deviation_um) / 1000),),
        )
    )


def _received(bench, value_mm):
    return {
        "value": str(value_mm),
        "unit": "mm",
        "value_mm": str(value_mm),
        "text": str(value_mm),
        "raw_hex": "",
        "format": "number",
        "gauge": "M-1",
        "arrival": 1,
    }


def rows(budget):
    return {row.name: row for row in budget.rows}


# --- the whole budget ----------------------------------------------------------------------------


def test_budget_of_a_local_size_is_the_one_worked_by_hand(budgeted):
    # Three readings at each of nine points, -11, -10, -9 µm: s = 1 µm, 18 degrees of freedom.
    result = measure(budgeted(repeats=3), [-11, -10, -9])
    parts = {
        "repeatability": 1 / sqrt(3),
        "resolution, reference": 0.5 / sqrt(3),
        "error of indication": 5 / sqrt(3),
        "reference checks and drift": 1 / sqrt(3),
        "temperature difference of shaft and gauge": 1.15 / sqrt(3),
        "expansion coefficient of the shaft": 0.6 / sqrt(3),
        "expansion coefficient of the gauge": 0.6 / sqrt(3),
        "measuring faces": 1 / sqrt(3),
        "measuring force": 0.6 / sqrt(3),
        "alignment": 0.75 / sqrt(3),
    }
    found = result.budget
    assert {row.name: row.standard_um for row in found.rows} == pytest.approx(parts, abs=1e-9)
    combined = hypot(*parts.values())
    assert found.standard_um == pytest.approx(combined, abs=1e-9)
    dof = combined**4 / (parts["repeatability"] ** 4 / 18)
    assert found.dof == pytest.approx(dof, rel=1e-9)
    assert rows(found)["repeatability"].dof == 18
    size = result.requirement(SIZE)
    assert size.standard_um == pytest.approx(combined, abs=1e-9)
    assert size.expanded_um == pytest.approx(found.coverage_factor * combined, abs=1e-9)
    assert size.degrees_of_freedom == pytest.approx(dof, rel=1e-9)


def test_common_errors_cancel_in_the_taper_and_stay_in_the_mean(budgeted):
    result = measure(budgeted(repeats=2, budget="drift = 0\n"), [-11, -9])
    local, mean, taper, barrel = result.budgets
    # s = √2 µm. Six readings at a station; Σ(z - 30)² = 800 mm², over 60 mm of length.
    assert rows(mean)["repeatability"].standard_um == pytest.approx(sqrt(2 / 18), abs=1e-9)
    assert rows(mean)["error of indication"].standard_um == pytest.approx(5 / sqrt(3), abs=1e-9)
    assert rows(taper)["error of indication"].standard_um == pytest.approx(0.0, abs=1e-9)
    assert rows(taper)["repeatability"].standard_um == pytest.approx(
        60 * sqrt(2 / 6) / sqrt(800), abs=1e-9
    )
    # Alignment may be alike at a station: at worst it is in the taper as if read once at each.
    assert rows(taper)["alignment"].standard_um == pytest.approx(
        60 * 0.75 / sqrt(3) / sqrt(800), abs=1e-9
    )
    # Middle less the mean of both ends, the ends 20 mm of 30 mm away: (30/20)² of it.
    assert rows(barrel)["repeatability"].standard_um == pytest.approx(
        (30 / 20) ** 2 * sqrt(2 / 6) * sqrt(1.5), abs=1e-9
    )
    assert local.standard_um > mean.standard_um > taper.standard_um


@pytest.mark.parametrize(
    ("judged", "readings"), [("local sizes", 2), ("station means", 6), ("overall mean", 18)]
)
def test_what_is_judged_has_its_own_uncertainty(budgeted, judged, readings):
    result = measure(budgeted(repeats=2, judged=judged, budget="drift = 0\n"), [-11, -9])
    rest = hypot(0.5, 5, 1.15, 0.6, 0.6, 1, 0.6, 0.75) / sqrt(3)
    assert result.requirement(SIZE).standard_um == pytest.approx(
        hypot(rest, sqrt(2 / readings)), abs=1e-9
    )


def test_plan_can_fix_the_coverage_factor_and_its_probability(budgeted):
    fixed = measure(budgeted(repeats=2, budget="drift = 0\ncoverage_factor = 3\n"), [-11, -9])
    assert fixed.requirement(SIZE).coverage_factor == 3.0
    assert fixed.budget.coverage_probability is None
    wide = measure(
        budgeted(budget="drift = 0\ncoverage_probability = 0.99\nrepeatability = 0.001\n"), [-10]
    )
    assert wide.requirement(SIZE).coverage_factor == pytest.approx(2.5758, abs=1e-4)


# --- grades of evidence ---------------------------------------------------------------------------


def test_certificate_corrects_the_size_and_brings_its_own_uncertainty(budgeted):
    bench = budgeted(
        repeats=2,
        temperatures=(20, 20),
        gauge={"error_curve": CURVE, "evidence": "certificate"},
    )
    result = measure(bench, [-11, -9])
    # Error at 100 mm between -1 and -3 µm: the gauge shows 2 µm too little.
    assert all(size.curve_um == pytest.approx(2.0, abs=3e-3) for size in result.sizes)
    assert result.mean_mm == pytest.approx(99.992, abs=3e-6)
    assert rows(result.budget)["error of indication"].standard_um == pytest.approx(0.6, abs=1e-6)
    assert [grade.in_use for grade in result.grades] == [False, True, False]
    for key, size in result.size_at.items():
        assert local_size_at(bench.state, key) == size


def test_better_grade_is_offered_with_its_gain(budgeted):
    result = measure(budgeted(repeats=3), [-11, -10, -9])
    makers, certificate, standard = result.grades
    assert makers.in_use
    assert makers.expanded_um == pytest.approx(result.requirement(SIZE).expanded_um, abs=1e-9)
    rest = makers.standard_um**2 - 25 / 3
    assert certificate.standard_um == pytest.approx(sqrt(rest + 0.625**2), abs=1e-9)
    assert standard.standard_um == pytest.approx(sqrt(rest + 0.25 / 3), abs=1e-9)


@pytest.mark.parametrize(
    ("standard_mm", "half_width_um", "in_use"), [("99.5", 0.5, 2), ("98", 5.0, 0)]
)
def test_setting_standard_near_the_size(budgeted, standard_mm, half_width_um, in_use):
    bench = budgeted(repeats=2, gauge={"evidence": "setting standard"})
    bench.inspection.put_in_service(
        StandardInService(inventory_number="S", size_mm=standard_mm, expanded_mm="0.001")
    )
    check(bench, 0, "opening", "S", standard_mm)
    result = measure(bench, [-11, -9])
    found = rows(result.budget)
    assert found["setting standard"].standard_um == pytest.approx(0.5, abs=1e-12)
    assert found["error of indication"].value == pytest.approx(half_width_um, abs=1e-12)
    assert [grade.in_use for grade in result.grades].index(True) == in_use
    assert bool(result.notes) is (in_use == 0)


def test_seat_goes_by_the_checks_on_the_standard_of_its_own_size(budgeted):
    """A check on another seat's standard must neither hide a drift nor stand for the error here."""
    bench = budgeted(repeats=2, gauge={"evidence": "setting standard"})
    for number, size in (("S-100", "100"), ("S-110", "110")):
        bench.inspection.put_in_service(
            StandardInService(inventory_number=number, size_mm=size, expanded_mm="0.001")
        )
    check(bench, 1.0, "opening", "S-100", "100")
    check(bench, 9.0, "opening", "S-110", "110")
    bench.fill(lambda point: "99.990")
    check(bench, 9.0, "closing", "S-110", "110")
    check(bench, 2.0, "closing", "S-100", "100")
    found = rows(evaluate(bench.state).seat("A").budget)
    assert found["error of indication"].basis == "set on a standard 0 mm from the size"
    # The larger of the two errors found on the seat's own standard.
    assert found["reference checks and drift"].value == pytest.approx(2.0, abs=1e-9)


def test_standard_that_is_only_at_hand_says_nothing_of_the_gauge(budgeted):
    bench = budgeted(repeats=2, gauge={"evidence": "setting standard"})
    bench.inspection.put_in_service(
        StandardInService(inventory_number="S", size_mm="99.5", expanded_mm="0.001")
    )
    result = measure(bench, [-11, -9])
    assert rows(result.budget)["error of indication"].value == pytest.approx(5.0, abs=1e-12)
    assert result.notes[0].startswith("The gauge was not checked on a setting standard.")


def test_gauge_of_which_nothing_is_known_proves_nothing(budgeted):
    bench = budgeted(repeats=2, gauge={"permissible_error_mm": None})
    requirement = measure(bench, [-11, -9]).requirement(SIZE)
    assert requirement.verdict is UNKNOWN
    assert "enter its permissible error" in requirement.reasons[0]


# --- temperatures ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("shaft_c", "gauge_c", "added_um"), [(30, 20, -11.5), (10, 20, 11.5), (20, 30, 11.5)]
)
def test_correction_and_its_uncertainty_have_the_right_signs(budgeted, shaft_c, gauge_c, added_um):
    bench = budgeted(temperatures=(shaft_c, gauge_c), budget="drift = 0\nrepeatability = 0.001\n")
    result = measure(bench, [-10])
    assert result.sizes[0].correction_um == pytest.approx(added_um, abs=2e-3)
    found = rows(result.budget)
    # ± 1e-6/K over 100 mm: 0.1 µm for every kelvin away from 20 °C, each body by its own.
    shaft, gauge = (found[f"expansion coefficient of the {body}"] for body in ("shaft", "gauge"))
    assert shaft.sensitivity == pytest.approx(-100_000 * (shaft_c - 20), abs=1e-6)
    assert gauge.sensitivity == pytest.approx(100_000 * (gauge_c - 20), abs=1e-6)


def test_without_temperatures_nothing_is_proven(budgeted):
    bench = budgeted(temperatures=None, budget="drift = 0\nrepeatability = 0.001\n")
    requirement = measure(bench, [-10]).requirement(SIZE)
    assert requirement.verdict is UNKNOWN
    assert "No temperatures were noted" in requirement.reasons[0]


# --- repeatability --------------------------------------------------------------------------------


def test_single_readings_without_a_stated_repeatability_prove_nothing(budgeted):
    requirement = measure(budgeted(), [-10]).requirement(SIZE)
    assert requirement.verdict is UNKNOWN
    assert any("No point was read twice" in reason for reason in requirement.reasons)


def test_stated_repeatability_has_the_degrees_of_freedom_it_came_from(budgeted):
    budget = "drift = 0\nrepeatability = 0.0009\nrepeatability_readings = 31\n"
    row = rows(measure(budgeted(budget=budget), [-10]).budget)["repeatability"]
    assert (row.value, row.dof) == (pytest.approx(0.9, abs=1e-12), 30)


def test_repeats_that_do_not_scatter_leave_the_step_of_the_gauge(budgeted):
    found = rows(measure(budgeted(repeats=3), [-10]).budget)
    assert "repeatability" not in found
    assert found["resolution, reading"].standard_um == pytest.approx(0.5 / sqrt(3), abs=1e-12)


def test_wild_repeat_is_told_although_it_raises_the_pooled_scatter(budgeted):
    bench = budgeted(repeats=2, orientations=6)
    presses = iter(range(10**6))

    def value(point):
        wild = point.key.station == 2 and point.key.orientation == 3 and next(presses) == 0
        return Decimal("100.012") if wild else Decimal("99.990")

    bench.fill(value)
    reasons = evaluate(bench.state).seat("A").requirement(SIZE).reasons
    assert any("A 2/3 lie 22.0 µm apart" in reason for reason in reasons)


def test_ordinary_repeats_are_not_told(budgeted):
    reasons = measure(budgeted(repeats=2, orientations=6), [-10, -9]).requirement(SIZE).reasons
    assert reasons == ()


@pytest.mark.parametrize(
    ("how", "departure", "worth"),
    [("mean", -26 / 3, 3.0), ("median", -9.0, 6 / 3.141592653589793), ("largest", -7.0, 1.0)],
)
def test_what_the_plan_makes_of_repeats(budgeted, how, departure, worth):
    bench = budgeted(
        repeats=3, more=f'repeat_value = "{how}"\n', temperatures=(20, 20), budget="drift = 0\n"
    )
    result = measure(bench, [-10, -9, -7])
    assert (result.sizes[0].size_mm - 100) * 1000 == pytest.approx(departure, abs=1e-6)
    assert result.sizes[0].worth == pytest.approx(worth, abs=1e-12)
    assert rows(result.budget)["repeatability"].divisor == pytest.approx(sqrt(worth), abs=1e-9)


# --- reference checks and drift -------------------------------------------------------------------


def test_drift_between_two_checks_bounds_the_readings_between(budgeted):
    bench = budgeted(repeats=2, budget="")
    check(bench, 0, "opening")
    measure(bench, [-11, -9])
    check(bench, 2, "closing")
    result = evaluate(bench.state).seat("A")
    row = rows(result.budget)["reference checks and drift"]
    assert (row.value, row.basis) == (pytest.approx(2.0, abs=1e-9), "found at the checks")
    # It does not cancel between the ends of the seat, which were measured one after the other.
    assert rows(result.budgets[2])["reference checks and drift"].standard_um > 0.5


def test_drift_that_nobody_bounds_proves_nothing(budgeted):
    bench = budgeted(repeats=2, budget="")
    check(bench, 0, "opening")
    requirement = measure(bench, [-11, -9]).requirement(SIZE)
    assert any("neither stated nor shown" in reason for reason in requirement.reasons)
    check(bench, 0, "closing")
    assert evaluate(bench.state).seat("A").requirement(SIZE).reasons == ()


CHECKS = "[checks]\nopening = true\nclosing = true\ndrift = 0.002\n"


def test_missing_closing_check_and_drift_beyond_its_limit_prove_nothing(budgeted):
    bench = budgeted(repeats=2, budget="", checks=CHECKS)
    check(bench, 0, "opening")
    before = measure(bench, [-11, -9]).requirement(SIZE)
    assert before.verdict is UNKNOWN
    assert any("check it once more" in reason for reason in before.reasons)
    check(bench, 3, "closing")
    after = evaluate(bench.state).seat("A").requirement(SIZE)
    assert after.verdict is UNKNOWN
    assert any("in doubt: measure them again" in reason for reason in after.reasons)


def test_deviation_in_the_words_of_the_gap_accepts_a_drift(budgeted):
    bench = budgeted(repeats=2, budget="", checks=CHECKS)
    check(bench, 0, "opening")
    measure(bench, [-11, -9])
    check(bench, 3, "closing")
    (gap,) = [gap for gap in gaps(bench.state) if gap.points]
    bench.inspection.note_deviation("Something else.", "No matter.")
    assert evaluate(bench.state).seat("A").requirement(SIZE).verdict is UNKNOWN
    bench.inspection.note_deviation(gap.what, "The seat is far from both limits.")
    result = evaluate(bench.state).seat("A")
    assert result.requirement(SIZE).verdict is CONFORMS  # U has the drift in it
    assert any("far from both limits" in note for note in result.notes)


def test_gap_of_the_record_counts_for_a_stated_uncertainty_too(bench_of):
    bench = bench_of(stations=1, orientations=1)
    bench.inspection.call_attention("knock")
    bench.press("99.990")
    requirement = evaluate(bench.state).seat("A").requirement(SIZE)
    assert requirement.verdict is UNKNOWN
    assert any("(knock) without a good check since" in reason for reason in requirement.reasons)


# --- several gauges -------------------------------------------------------------------------------


def test_each_gauge_has_its_own_rows(budgeted):
    bench = budgeted(repeats=1, orientations=1, budget="drift = 0\nrepeatability = 0.001\n")
    bench.press("99.990")
    gauge = bench.state.gauge.model_copy(
        update={"inventory_number": "M-2", "permissible_error_mm": "0.002"}
    )
    bench.inspection.put_in_service(gauge)
    while bench.state.cursor is not None:
        bench.press("99.990")
    result = evaluate(bench.state).seat("A")
    local, mean, taper, _ = result.budgets
    assert rows(local)["error of indication (M-1)"].standard_um == pytest.approx(5 / sqrt(3))
    assert rows(local)["error of indication (M-2)"].standard_um == 0.0
    # One station of three by the first gauge: a third of its error in the mean, two of the other's.
    assert rows(mean)["error of indication (M-1)"].standard_um == pytest.approx(5 / sqrt(3) / 3)
    assert rows(mean)["error of indication (M-2)"].standard_um == pytest.approx(4 / sqrt(3) / 3)
    # And they do not cancel in the taper: 60 mm over 40 mm between the outer stations.
    assert rows(taper)["error of indication (M-1)"].standard_um == pytest.approx(
        5 / sqrt(3) * 60 / 40
    )


# --- the full evaluation --------------------------------------------------------------------------


def test_full_evaluation_gives_the_same_numbers_for_the_same_record(budgeted):
    bench = budgeted(repeats=2, more='roundness = {tolerance = 0.01, sense = "radial"}\n')
    measure(bench, [-11, -9])
    one, other = (evaluate_fully(bench.state).seat("A") for _ in range(2))
    assert one == other
    assert one.simulation.seed == other.simulation.seed
    assert one.simulation.stable
    assert one.requirement(SIZE).probability == one.simulation.probability
    live = evaluate(bench.state).seat("A")
    assert [r.verdict for r in live.requirements] == [r.verdict for r in one.requirements]
    bench.inspection.add_note("Something more in the record.")
    assert evaluate_fully(bench.state).seat("A").simulation.seed != one.simulation.seed


def test_seal_does_not_change_the_seed(budgeted):
    bench = budgeted(repeats=2)
    measure(bench, [-11, -9])
    before = evaluate_fully(bench.state)
    bench.inspection.seal({"title": "x"}, "statement")
    assert evaluate_fully(bench.state) == before


def test_progress_is_told_to_the_end_of_all_seats(budgeted):
    bench = budgeted(repeats=2)
    measure(bench, [-11, -9])
    told = []
    evaluate_fully(bench.state, told.append)
    assert told[-1] == 1.0
    assert told == sorted(told)


def test_stated_uncertainty_is_not_simulated(bench_of):
    bench = bench_of()
    bench.fill(lambda point: "99.990")
    assert evaluate_fully(bench.state) == evaluate(bench.state)
    assert evaluate(bench.state).seat("A").simulation is None
    assert evaluate(bench.state).seat("A").budgets == ()


# --- rules and what would settle ------------------------------------------------------------------


def test_rule_of_probability_asks_for_all_sizes_together(budgeted):
    """Each of many sizes near a limit conforms alone; that all do is less probable."""
    small = "drift = 0\nrepeatability = 0.002\ntemperature_kelvin = 0\nexpansion_kelvin = 0\n"
    gauge = {"permissible_error_mm": "0.0001"}
    common = {"budget": small, "gauge": gauge, "stations": 5, "orientations": 6}
    alone = measure(budgeted(rule="guard band", **common), [-4]).requirement(SIZE)
    together = measure(budgeted(rule="probability", **common), [-4]).requirement(SIZE)
    assert alone.verdict is CONFORMS
    assert together.verdict is UNKNOWN
    assert together.reasons[0].startswith("Each value conforms alone")


def test_simple_acceptance_is_refused_where_u_is_too_large(budgeted):
    bench = budgeted(repeats=2, rule='simple"\nlargest_uncertainty = 0.004\n#"')
    requirement = measure(bench, [-11, -9]).requirement(SIZE)
    assert requirement.verdict is UNKNOWN
    assert requirement.reasons == ("U is larger than the plan allows for simple acceptance.",)


def test_what_would_settle_a_size_near_its_limit(budgeted):
    requirement = measure(budgeted(repeats=3), [-5, -4, -3]).requirement(SIZE)
    assert requirement.verdict is UNKNOWN
    said = " ".join(requirement.settle)
    assert "a setting standard within 1 mm of the size would settle it" in said.replace(
        "A s", "a s"
    )
    assert measure(budgeted(repeats=3), [-11, -10, -9]).requirement(SIZE).settle == ()


def test_local_size_at_a_point_that_was_not_measured(budgeted):
    bench = budgeted()
    key = bench.state.cursor
    assert local_size_at(bench.state, key) is None
    bench.press("99.990")
    assert (
        local_size_at(bench.state, key) == local_sizes(bench.state, bench.state.plan.seat("A"))[0]
    )


# --- the end of a certificate ---------------------------------------------------------------------

UP_TO_100 = tuple(
    {"size_mm": size, "error_mm": error, "expanded_mm": "0.0012"}
    for size, error in (("75", "0.001"), ("100", "-0.002"))
)


@pytest.mark.parametrize(("value_um", "half_width_um"), [(12, 5.0), (-12, None)])
def test_certificate_that_ends_below_a_reading_bounds_nothing(budgeted, value_um, half_width_um):
    """Beyond its last size nothing is corrected, so the whole permissible error stays."""
    bench = budgeted(
        repeats=2,
        limits='tolerance_class = "js9"',
        gauge={"error_curve": UP_TO_100, "evidence": "certificate"},
    )
    result = measure(bench, [value_um - 1, value_um + 1])
    row = rows(result.budget)["error of indication"]
    if half_width_um is None:
        assert row.standard_um == pytest.approx(0.6, abs=1e-6)
        # -1 µm at 99.988 mm of a line from 1 µm at 75 mm to -2 µm at 100 mm, turned round.
        assert result.sizes[0].curve_um == pytest.approx(2 - 3 * 0.011 / 25, abs=1e-3)
        return
    assert row.standard_um == pytest.approx(half_width_um / sqrt(3), abs=1e-9)
    assert all(size.curve_um == 0.0 for size in result.sizes)
    assert any("permissible error is used instead" in note for note in result.notes)
    in_use = {grade.evidence: grade.in_use for grade in result.grades}
    assert (in_use["permissible error"], in_use["certificate"]) == (True, False)


# --- the largest of the repeats -------------------------------------------------------------------


def test_largest_of_repeats_has_its_bias_in_the_budget_and_not_in_the_taper(budgeted):
    """1 µm of scatter; the largest of three lies 3/(2·√π) of it above their mean."""
    budget = "drift = 0\nrepeatability = 0.001\n"
    bench = budgeted(repeats=3, more='repeat_value = "largest"\n', budget=budget)
    local, mean, taper, _ = measure(bench, [-11, -10, -9]).budgets
    bias = 3 / (2 * sqrt(pi))
    assert rows(local)["largest of the repeats"].standard_um == pytest.approx(bias, abs=1e-6)
    assert rows(mean)["largest of the repeats"].standard_um == pytest.approx(bias, abs=1e-6)
    assert rows(taper)["largest of the repeats"].standard_um == pytest.approx(0.0, abs=1e-9)
    as_mean = measure(budgeted(repeats=3, budget=budget), [-11, -10, -9])
    assert "largest of the repeats" not in rows(as_mean.budget)


@pytest.mark.parametrize("points", [1, 4, 12])
@pytest.mark.parametrize("repeats", [2, 3, 5, 20])
def test_largest_of_repeats_is_seldom_accepted_at_the_lower_limit(repeats, points):
    """10,000 means of so many points whose true size lies just on the lower limit."""
    scatter = Repeatability(1.0, inf, "stated")
    bias = largest_contribution(scatter, repeats)
    guard = Rule(guarded=True).guard_band(hypot(1 / sqrt(points), bias.standard_um))
    read = np.random.default_rng(7).normal(size=(10_000, points, repeats))
    accepted = np.mean(np.max(read, axis=2).mean(axis=1) >= guard)
    assert accepted <= 0.065  # two repeats at one point: 5.8 in 100
    # Without the bias in it the band would let through two to twenty times as many.
    assert np.mean(np.max(read, axis=2).mean(axis=1) >= 1.645 / sqrt(points)) > 0.09

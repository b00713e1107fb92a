"""Evaluations against a vector worked by hand, independent computation, and promised risks."""

from decimal import Decimal
from math import sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from seatproof.core.evaluation.evaluate import evaluate
from seatproof.core.evaluation.requirement import Characteristic
from seatproof.core.evaluation.uncertain import StatedUncertainties
from seatproof.core.form.quantiles import range_quantile
from seatproof.core.plan.file import parse_plan
from seatproof.core.verdict.rule import Verdict

CONFORMS, FAILS, UNKNOWN = Verdict.CONFORMS, Verdict.DOES_NOT_CONFORM, Verdict.NOT_PROVEN
SIZE, ROUNDNESS = Characteristic.SIZE, Characteristic.ROUNDNESS
CYLINDRICITY, TAPER = Characteristic.CYLINDRICITY, Characteristic.TAPER
Z95 = 1.6448536269514722  # one-sided 95 % of the normal distribution, from tables

# A vector worked by hand: ⌀ 100, departures in µm, at z = 8, 30, 52 mm and 0°, 45°, 90°, 135°.
WORKED = {
    8: (-12, -9, -8, -11),
    30: (-11, -8, -7, -10),
    52: (-9, -6, -6, -8),
}


def form(name, tolerance, sense="radial"):
    return f'{name} = {{tolerance = {tolerance}, sense = "{sense}"}}\n'


ODD = 'odd_lobes = {at_most = 0.002, basis = "last three-point check"}\n'


@pytest.fixture(scope="session")
def evaluated(bench_of):
    """Return what evaluates a seat of ⌀ 100 from departures in µm, None for a point skipped."""

    def evaluated(departures, **changes):
        table = departures if isinstance(departures, dict) else {30: tuple(departures)}
        width = len(next(iter(table.values())))
        defaults = {"stations": list(table), "orientations": width}
        # So coarse a step that no press asks for a repeat because of its neighbours.
        bench = bench_of(gauge={"resolution": "0.1"}, **{**defaults, **changes})
        for z_mm in table:
            for departure in table[z_mm]:
                if departure is None:
                    bench.inspection.skip("keyway")
                    continue
                for _ in range(bench.state.plan.seat("A").repeats):
                    bench.press(Decimal(100) + Decimal(str(departure)) / 1000)
        return evaluate(bench.state).seat("A")

    return evaluated


# --- the worked vector ----------------------------------------------------------------------------


def test_worked_vector(evaluated):
    result = evaluated(WORKED)
    um = [(station.mean_mm - 100) * 1000 for station in result.stations]
    assert um == pytest.approx([-10.00, -9.00, -7.25], abs=1e-6)
    assert (result.mean_mm - 100) * 1000 == pytest.approx(-8.75, abs=1e-6)
    assert [station.range_um for station in result.stations] == pytest.approx([4, 4, 3], abs=1e-6)
    ovality = [station.ovality for station in result.stations]
    assert [fit.ovality_um for fit in ovality] == pytest.approx([4.47, 4.47, 3.61], abs=0.005)
    assert [fit.major_axis_deg for fit in ovality] == pytest.approx([76.7, 76.7, 73.2], abs=0.05)
    assert result.taper.slope_um_per_mm == pytest.approx(0.0625, abs=1e-9)
    assert result.taper.over(44.0) == pytest.approx(2.75, abs=1e-6)
    assert result.taper.over(60.0) == pytest.approx(3.75, abs=1e-6)
    assert result.taper.larger_end == "farthest from the datum"
    assert str(result.smallest.key) == "A 1/1"
    assert str(result.largest.key) == "A 3/2"


def test_worked_vector_against_its_requirements(evaluated):
    result = evaluated(
        WORKED, more=form("roundness", 0.0075) + form("taper", 0.008, "diametral") + ODD
    )
    size = result.requirement(SIZE)
    # h6 over 80 up to 120 mm: 0/-22 µm. U = 2 µm, k = 2: u = 1 µm, guard band 1.645 µm.
    assert (size.lower_um, size.upper_um) == (-22.0, 0.0)
    assert (size.smallest_um, size.largest_um) == pytest.approx((-12, -6), abs=1e-6)
    assert size.expanded_um == pytest.approx(2.0, abs=1e-9)
    assert size.guard_um == pytest.approx(Z95, abs=1e-9)
    assert size.verdict is CONFORMS
    assert [str(key) for key in size.decisive] == ["A 1/1", "A 3/2"]
    taper = result.requirement(TAPER)
    assert taper.smallest_um == pytest.approx(3.75, abs=1e-6)
    # By hand: s = 0.5 µm, four readings a station, Σ(z - 30)² = 968 mm², over 60 mm.
    assert taper.expanded_um == pytest.approx(2 * 60 * 0.25 / sqrt(968), abs=1e-6)
    assert taper.verdict is CONFORMS
    assert taper.reasons == ("Larger at the end farthest from the datum.",)
    roundness = result.requirement(ROUNDNESS)
    assert roundness.smallest_um == pytest.approx(2.0, abs=1e-6)  # half of 4 µm, radial
    assert result.verdict is CONFORMS


# --- size -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("departure", "rule", "verdict"),
    [
        # Limits 0/-22 µm, u = 1 µm: proven inside from -20.355 to -1.645, outside beyond ±1.645.
        ("-1.646", "guard band", CONFORMS),
        ("-1.644", "guard band", UNKNOWN),
        ("0", "guard band", UNKNOWN),
        ("1.644", "guard band", UNKNOWN),
        ("1.646", "guard band", FAILS),
        ("-20.354", "guard band", CONFORMS),
        ("-20.356", "guard band", UNKNOWN),
        ("-23.646", "guard band", FAILS),
        ("0", "simple", CONFORMS),
        ("0.001", "simple", FAILS),
        ("-22", "simple", CONFORMS),
        ("-22.001", "simple", FAILS),
    ],
)
def test_size_at_the_edges(evaluated, departure, rule, verdict):
    assert evaluated((departure,), rule=rule).requirement(SIZE).verdict is verdict


def test_edge_of_the_guard_band_is_inside(evaluated):
    # At 50 % the guard band is nothing, so that its edge is the limit exactly.
    for departure in ("0", "-22"):
        requirement = evaluated((departure,), probability=0.5).requirement(SIZE)
        assert (requirement.guard_um, requirement.verdict) == (0.0, CONFORMS)


@pytest.mark.parametrize(
    ("judged", "extremes", "verdict"),
    [
        # Station means -2, -8, -14; one local size lies above the limit by 3 µm.
        ("local sizes", (-16.0, 3.0), FAILS),
        ("station means", (-14.0, -2.0), CONFORMS),
        ("overall mean", (-8.0, -8.0), CONFORMS),
    ],
)
def test_judged_statistic_decides(evaluated, judged, extremes, verdict):
    table = {10: (3, -7), 30: (-6, -10), 50: (-12, -16)}
    requirement = evaluated(table, judged=judged).requirement(SIZE)
    assert (requirement.smallest_um, requirement.largest_um) == pytest.approx(extremes, abs=1e-6)
    assert requirement.verdict is verdict


@pytest.mark.parametrize(
    ("judged", "readings"), [("local sizes", 2), ("station means", 6), ("overall mean", 12)]
)
def test_averaging_thins_the_random_part_only(evaluated, judged, readings):
    # U/k = 1 µm of a local size of two readings, s = 0.5 µm: common variance 1 - 0.25/2 = 0.875.
    table = {10: (-9, -9, -9), 50: (-9, -9, -9)}
    requirement = evaluated(table, judged=judged, repeats=2).requirement(SIZE)
    assert requirement.expanded_um == pytest.approx(2 * sqrt(0.875 + 0.25 / readings), abs=1e-9)


def test_repeatability_beyond_the_stated_uncertainty_is_not_hidden(plan_of):
    plan = parse_plan(plan_of(expanded=0.001, repeatability=0.003))
    stated = StatedUncertainties.of(plan, plan.seat("A"))
    assert stated.of_mean(1) == pytest.approx(3.0, abs=1e-9)  # not 0.5 µm


def test_no_readings_prove_nothing(evaluated):
    result = evaluated((None, None), more=form("roundness", 0.01) + form("taper", 0.01) + ODD)
    for requirement in result.requirements:
        assert requirement.verdict is UNKNOWN
        assert requirement.smallest_um is None
        assert requirement.expanded_um is None
    assert result.requirement(SIZE).reasons == ("No readings yet.",)
    assert (result.smallest, result.largest, result.mean_mm, result.taper) == (None,) * 4


# --- gaps -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("departures", "verdict", "reasons"),
    [
        ((-9, -9, None), UNKNOWN, ("1 point is not measured.",)),
        ((-9, None, None), UNKNOWN, ("2 points are not measured.",)),
        ((9, None, -9), FAILS, ("1 point is not measured.",)),  # one proof of fault is enough
        ((-9, -9, -9), CONFORMS, ()),
    ],
)
def test_gap_takes_a_proof_of_conformity_away_only(evaluated, departures, verdict, reasons):
    requirement = evaluated(departures).requirement(SIZE)
    assert (requirement.verdict, requirement.reasons) == (verdict, reasons)


def test_point_with_fewer_readings_than_asked_proves_nothing(bench_of):
    """The uncertainty was once that of all readings the plan asks for."""
    bench = bench_of(stations=1, orientations=1, repeats=4)
    bench.press("99.991")
    bench.inspection.skip("no time")
    requirement = evaluate(bench.state).seat("A").requirement(SIZE)
    # U/k = 1 µm of four readings, s = 0.5 µm: common variance 1 - 0.25/4, now with one reading.
    assert requirement.expanded_um == pytest.approx(2 * sqrt(1 - 0.25 / 4 + 0.25), abs=1e-9)
    assert requirement.verdict is UNKNOWN
    assert requirement.reasons == ("1 point has fewer readings than the plan asks for.",)


# --- taper ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("table", "value_um", "larger_end"),
    [
        ({10: (-5,), 50: (-9,)}, -6.0, "nearest the datum"),  # -4 µm over 40 mm, 60 mm long
        ({10: (-9,), 50: (-5,)}, 6.0, "farthest from the datum"),
    ],
)
def test_taper_has_a_sign_that_says_which_end_is_larger(evaluated, table, value_um, larger_end):
    requirement = evaluated(table, more=form("taper", 0.009)).requirement(TAPER)
    assert requirement.smallest_um == pytest.approx(value_um, abs=1e-6)
    assert requirement.reasons == (f"Larger at the end {larger_end}.",)
    assert requirement.upper_um == pytest.approx(18.0, abs=1e-9)  # radial tolerance, diametral here
    assert requirement.verdict is CONFORMS


def test_level_seat_has_no_larger_end(evaluated):
    requirement = evaluated({10: (-5,), 50: (-5,)}, more=form("taper", 0.009)).requirement(TAPER)
    assert (requirement.smallest_um, requirement.reasons) == (0.0, ())


def test_taper_needs_two_stations(evaluated):
    requirement = evaluated((-9, -9), more=form("taper", 0.009)).requirement(TAPER)
    assert requirement.verdict is UNKNOWN
    assert requirement.reasons == ("Readings at two stations at least are needed.",)


departures = st.integers(-22, 0)


@settings(max_examples=30, deadline=None)
@given(
    st.dictionaries(st.integers(0, 60), st.tuples(departures, departures), min_size=2, max_size=5)
)
def test_taper_agrees_with_numpy(evaluated, table):
    result = evaluated(table, more=form("taper", 0.02))
    z_mm = np.array(list(table), dtype=float)
    means = np.array([np.mean(row) for row in table.values()])
    slope, _ = np.polyfit(z_mm, means, 1)
    assert result.requirement(TAPER).smallest_um == pytest.approx(60 * slope, abs=1e-6)
    # Standard error of a slope with s = 0.5 µm, two readings a station, by the normal equations.
    design = np.column_stack([np.ones_like(z_mm), z_mm])
    covariance = np.linalg.inv(design.T @ design) * 0.25 / 2
    assert result.requirement(TAPER).expanded_um == pytest.approx(
        2 * 60 * float(np.sqrt(covariance[1, 1])), rel=1e-6
    )


# --- form from two points -------------------------------------------------------------------------


def test_two_points_never_prove_form_without_an_assumption(evaluated):
    more = form("roundness", 0.05) + form("cylindricity", 0.05)
    result = evaluated({10: (-9,) * 6, 50: (-9,) * 6}, more=more)
    for characteristic in (ROUNDNESS, CYLINDRICITY):
        requirement = result.requirement(characteristic)
        assert requirement.verdict is UNKNOWN
        assert requirement.reasons == (
            f"Two-point readings cannot prove {characteristic}: odd lobes are invisible to them, "
            "and the plan assumes nothing about them.",
        )


def test_assumption_stands_beside_the_verdict_it_allows(evaluated):
    more = form("roundness", 0.008) + form("cylindricity", 0.008) + ODD
    table = {10: (-9, -10, -9, -10), 30: (-9, -10, -9, -10), 50: (-10, -9, -10, -9)}
    result = evaluated(table, more=more)
    said = "Assumes odd lobes of at most 0.002 mm (radial)"
    roundness, cylindricity = result.requirement(ROUNDNESS), result.requirement(CYLINDRICITY)
    assert roundness.verdict is cylindricity.verdict is CONFORMS
    assert roundness.reasons == (f"{said}: last three-point check.",)
    assert cylindricity.reasons == (f"{said}, and a straight axis: last three-point check.",)


@pytest.mark.parametrize(
    ("tolerance_um", "verdict"), [(3.2, UNKNOWN), (3.6, UNKNOWN), (3.8, CONFORMS)]
)
def test_assumed_odd_lobes_and_noise_take_their_room(evaluated, tolerance_um, verdict):
    # Half range 0.5 µm, odd lobes 2 µm; noise of four readings of s = 0.5 µm stays below
    # 3.633·s (Harter's table of the range), half of it 0.908 µm: 3.41 µm in all. Four orientations
    # hide none of a range of 1 µm along 0° and 90°; its 45° axis hides √2 - 1 of it: 0.207 µm more.
    more = form("roundness", f"{tolerance_um / 1000:.4f}") + ODD
    requirement = evaluated((-9, -10, -10, -9), more=more).requirement(ROUNDNESS)
    assert requirement.expanded_um == pytest.approx(3.633 * 0.5 / 2, abs=5e-4)
    assert requirement.guard_um == requirement.expanded_um
    assert requirement.verdict is verdict


def test_ovality_between_the_orientations_counts(evaluated):
    """An ovality on the axes between four orientations shows √½ of itself in their range."""
    more = form("roundness", 0.0089) + 'odd_lobes = {at_most = 0, basis = "b"}\n'
    # d = -10 + 8·cos 2(θ - 22.5°): read at 0°, 45°, 90°, 135° as ±5.657, ovality 16 µm, radial 8.
    departures = [round(-10 + 8 * np.cos(2 * np.radians(a - 22.5)), 4) for a in (0, 45, 90, 135)]
    requirement = evaluated(tuple(departures), more=more).requirement(ROUNDNESS)
    assert requirement.smallest_um == pytest.approx(
        5.657, abs=1e-3
    )  # + 0.908 of noise is below 8.9
    assert requirement.verdict is UNKNOWN


@pytest.mark.parametrize("orientations", [[0, 20, 40], [0, 30, 60]])
def test_bunched_orientations_accept_a_bad_section_no_more_often_than_stated(
    evaluated, orientations
):
    """A roundness just above the tolerance, its axis where the orientations see least of it."""
    more = form("roundness", 0.004) + 'odd_lobes = {at_most = 0, basis = "b"}\n'
    rng = np.random.default_rng(11)
    middle = np.mean(orientations)
    accepted = 0
    for number in range(200):
        axis = middle + 90 * (number % 4) / 4
        true = -10 + 4.1 * np.cos(2 * np.radians(np.array(orientations) - axis))
        read = true + rng.normal(0, 0.5, size=len(orientations))
        result = evaluated(tuple(np.round(read, 4)), more=more, orientations=orientations)
        accepted += result.requirement(ROUNDNESS).verdict is CONFORMS
    assert accepted <= 20  # 10 expected at 5 %; 20 is three standard deviations above


def test_cylindricity_of_two_stations_is_not_proven(evaluated):
    more = form("cylindricity", 0.05) + ODD
    result = evaluated({10: (-9,) * 6, 50: (-9,) * 6}, more=more)
    requirement = result.requirement(CYLINDRICITY)
    assert requirement.verdict is UNKNOWN
    assert "three or more along the seat" in requirement.reasons[0]


@pytest.mark.parametrize("orientations", [2, [0, 1]])
def test_two_orientations_prove_no_form(evaluated, orientations):
    """Two directions at 90° miss an ovality at 45° altogether."""
    more = form("roundness", 0.02) + form("cylindricity", 0.02) + ODD
    result = evaluated((-9, -9), more=more, orientations=orientations)
    for characteristic in (ROUNDNESS, CYLINDRICITY):
        requirement = result.requirement(characteristic)
        assert requirement.verdict is UNKNOWN
        assert "three or more" in requirement.reasons[0]


@pytest.mark.parametrize(
    ("range_um", "verdict"),
    [
        # Tolerance 4 µm radial; half of the noise's range stays below 0.908 µm (see above).
        (8, UNKNOWN),
        (9, UNKNOWN),
        (10, FAILS),
    ],
)
def test_diameters_alone_can_prove_that_form_does_not_conform(evaluated, range_um, verdict):
    requirement = evaluated(
        (-15, -15 + range_um, -15, -15 + range_um), more=form("roundness", 0.004)
    ).requirement(ROUNDNESS)
    assert requirement.smallest_um == pytest.approx(range_um / 2, abs=1e-6)
    assert requirement.verdict is verdict
    if verdict is FAILS:
        assert requirement.reasons == (
            "The diameters alone differ by more than the tolerance allows.",
        )


def test_simple_rule_has_no_guard_for_form_either(evaluated):
    more = form("roundness", 0.004)
    requirement = evaluated((-15, -6.9, -15, -6.9), more=more, rule="simple").requirement(ROUNDNESS)
    assert (requirement.guard_um, requirement.verdict) == (0.0, FAILS)


def test_worst_station_of_several_is_given_a_share_of_the_risk(evaluated):
    table = {10: (-9, -9, -9, -9), 30: (-9, -9, -9, -9), 50: (-12, -9, -9, -9)}
    requirement = evaluated(table, more=form("roundness", 0.02)).requirement(ROUNDNESS)
    assert [str(key) for key in requirement.decisive] == ["A 3/1", "A 3/2"]
    # Bonferroni: each of three stations at 1 - 5 %/3.
    assert requirement.expanded_um == pytest.approx(range_quantile(4, 1 - 0.05 / 3) / 4, abs=1e-9)


def test_form_of_another_sense_is_halved(evaluated):
    requirement = evaluated((-9, -9), more=form("roundness", 0.008, "diametral"))
    assert requirement.requirement(ROUNDNESS).upper_um == pytest.approx(4.0, abs=1e-9)


def test_worst_requirement_is_the_verdict_of_the_seat(evaluated):
    result = evaluated((-9, 9, -9, 9), more=form("roundness", 0.1))
    assert (result.requirement(SIZE).verdict, result.requirement(ROUNDNESS).verdict) == (
        FAILS,
        UNKNOWN,
    )
    assert result.verdict is FAILS
    with pytest.raises(KeyError):
        result.requirement(TAPER)


# --- risks and invariances ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("rule", "lowest", "highest"), [("guard band", 0.03, 0.07), ("simple", 0.45, 0.55)]
)
def test_shaft_on_the_limit_is_accepted_as_seldom_as_promised(bench_of, rule, lowest, highest):
    # True size exactly on the upper limit of h6, readings with the stated u = 1 µm (gauge step
    # 0.0001 µm): 800 evaluated shafts scatter by 0.8 % and 1.8 %.
    rng = np.random.default_rng(11)
    bench = bench_of(stations=1, orientations=1, rule=rule)
    accepted = 0
    for error_um in rng.normal(0.0, 1.0, 800):
        bench.press(Decimal(100) + Decimal(f"{error_um / 1000:.7f}"))
        accepted += evaluate(bench.state).seat("A").verdict is CONFORMS
        bench.inspection.take_back("next shaft")
    assert lowest < accepted / 800 < highest


def test_noise_alone_seldom_proves_a_round_shaft_out_of_round(evaluated):
    # Diameters differ truly by twice the tolerance, as two lobes of its height make them: with the
    # bound at 95 % at most one in twenty may be found not to conform. 300 shafts scatter by 1.3 %.
    rng = np.random.default_rng(3)
    true_um = np.array([-15.0, -7.0, -15.0, -7.0])
    failed = 0
    for _ in range(300):
        read = np.round(true_um + rng.normal(0.0, 0.5, 4), 4)
        result = evaluated(tuple(read), more=form("roundness", 0.004))
        failed += result.requirement(ROUNDNESS).verdict is FAILS
    assert failed / 300 <= 0.07


tables = st.lists(st.tuples(*[departures] * 4), min_size=3, max_size=3)
MORE = form("roundness", 0.006) + form("cylindricity", 0.008) + form("taper", 0.006) + ODD


@settings(max_examples=25, deadline=None)
@given(table=tables, order=st.permutations([0, 1, 2]))
def test_order_of_measuring_changes_nothing(evaluated, table, order):
    z_mm = (10, 30, 50)
    plain = evaluated(dict(zip(z_mm, table, strict=True)), more=MORE)
    shuffled = evaluated({z_mm[i]: table[i] for i in order}, more=MORE)
    for one, other in zip(plain.requirements, shuffled.requirements, strict=True):
        assert one.verdict is other.verdict
        assert one.smallest_um == pytest.approx(other.smallest_um, abs=1e-6)
        assert one.expanded_um == pytest.approx(other.expanded_um, abs=1e-9)


@settings(max_examples=25, deadline=None)
@given(table=tables, shift_um=st.integers(-50, 50))
def test_shifting_all_sizes_leaves_form_and_taper(evaluated, table, shift_um):
    z_mm = (10, 30, 50)
    shifted = [tuple(value + shift_um for value in row) for row in table]
    plain = evaluated(dict(zip(z_mm, table, strict=True)), more=MORE)
    moved = evaluated(dict(zip(z_mm, shifted, strict=True)), more=MORE)
    size, moved_size = plain.requirement(SIZE), moved.requirement(SIZE)
    assert moved_size.largest_um == pytest.approx(size.largest_um + shift_um, abs=1e-6)
    for characteristic in (ROUNDNESS, CYLINDRICITY, TAPER):
        assert moved.requirement(characteristic).smallest_um == pytest.approx(
            plain.requirement(characteristic).smallest_um, abs=1e-6
        )


def test_evaluation_of_a_whole_plan_gives_every_seat(bench_of, kiln_fan_toml):
    bench = bench_of(toml=kiln_fan_toml)
    bench.fill(lambda point: "110.014" if point.seat_id == "A" else "100.014")
    result = evaluate(bench.state)
    assert [seat.seat.id for seat in result.seats] == ["A", "B"]
    assert result.seat("A").verdict is CONFORMS
    # Seat B asks for form, but assumes nothing about odd lobes.
    assert result.seat("B").verdict is result.verdict is UNKNOWN
    with pytest.raises(KeyError):
        result.seat("C")


# --- readings that do not carry a proof ----------------------------------------------------------


def test_repeats_that_disagree_prove_nothing(bench_of):
    # h6 at 100 mm is 0 to -22 µm; the mean of -60 and +40 µm is -10 µm, well inside.
    bench = bench_of(stations=1, orientations=1, repeats=2)
    bench.press("99.940")
    bench.press("100.040")
    requirement = evaluate(bench.state).seat("A").requirement(SIZE)
    assert requirement.verdict is UNKNOWN
    assert "100.0 µm apart" in requirement.reasons[0]


def test_repeats_within_their_repeatability_raise_no_doubt(bench_of):
    # The range of two normal values is below 4.65 times their deviation in 999 of 1000 cases
    # (the quantile of |x - y| is √2 times the normal's 99.95 %, 3.29): 2.3 µm for 0.5 µm.
    for second, is_doubted in (("99.992", False), ("99.9924", True)):
        bench = bench_of(stations=1, orientations=1, repeats=2)
        bench.press("99.990")
        bench.press(second)
        requirement = evaluate(bench.state).seat("A").requirement(SIZE)
        assert (requirement.verdict is UNKNOWN) is is_doubted


def test_correction_larger_than_the_stated_uncertainty_proves_nothing(bench_of):
    # 1.15 µm for each kelvin at 100 mm of steel; U is 2 µm.
    for shaft_c, is_doubted in (("21.7", False), ("21.8", True), ("18.2", True)):
        bench = bench_of(stations=1, orientations=1)
        bench.inspection.note_temperatures(Decimal(shaft_c), Decimal(20))
        bench.press("99.990")
        requirement = evaluate(bench.state).seat("A").requirement(SIZE)
        assert (requirement.verdict is UNKNOWN) is is_doubted
        assert (
            any("closer to one temperature" in reason for reason in requirement.reasons)
            is is_doubted
        )


def test_doubts_never_soften_what_does_not_conform(bench_of):
    bench = bench_of(stations=1, orientations=1, repeats=2)
    bench.press("100.200")
    bench.press("100.300")
    assert evaluate(bench.state).seat("A").requirement(SIZE).verdict is FAILS

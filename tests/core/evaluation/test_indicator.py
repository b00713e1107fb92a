"""Form and run-out from indicators, alone and together with diameters, against simulated shafts."""

from decimal import Decimal
from math import sqrt

import numpy as np
import pytest

from seatproof.core.evaluation.doubts import Doubts
from seatproof.core.evaluation.evaluate import evaluate, evaluate_fully
from seatproof.core.evaluation.indicator_form import roundness_from_radii
from seatproof.core.evaluation.profiles import StationProfile
from seatproof.core.evaluation.requirement import Characteristic
from seatproof.core.form.circle import points_from_radii
from seatproof.core.form.mzc import minimum_zone_circle
from seatproof.core.form.quantiles import range_quantile
from seatproof.core.form.setup import RADIAL, Setup
from seatproof.core.plan.file import parse_plan
from seatproof.core.plan.points import PointKey
from seatproof.core.verdict.rule import Verdict

CONFORMS, FAILS, UNKNOWN = Verdict.CONFORMS, Verdict.DOES_NOT_CONFORM, Verdict.NOT_PROVEN
ROUNDNESS, CYLINDRICITY = Characteristic.ROUNDNESS, Characteristic.CYLINDRICITY
RUN_OUT, TOTAL = Characteristic.RUN_OUT, Characteristic.TOTAL_RUN_OUT
Z95 = 1.6448536269514722


def tolerance(name, um):
    return f'{name} = {{tolerance = {um / 1000}, sense = "radial"}}\n'


def further(method, orientations=12, extra="", seat_id="A2"):
    return f"""
[[seat]]
id = "{seat_id}"
name = "Further set"
same_seat_as = "A"
from = 0
length = 60
nominal = 100
method = "{method}"
stations = [10, 30, 50]
orientations = {orientations}
repeats = 1
{extra}
"""


@pytest.fixture
def shaft(bench_of):
    """Return what measures a seat of ⌀ 100 whose radius departs by `profile(θ, z)` µm."""

    def measured(profile, more, *, eccentric_um=0.0, **changes):
        bench = bench_of(
            gauge={"resolution": "0.0001"},
            **{"stations": [10, 30, 50], "orientations": 4, "more": more, **changes},
        )

        def value(point):
            seat = bench.state.plan.seat(point.seat_id)
            turn = np.radians(point.angle_deg)
            if seat.method == "two-point":
                um = profile(turn, point.z_mm) + profile(turn + np.pi, point.z_mm)
                return Decimal(100) + Decimal(f"{um:.6f}") / 1000
            if seat.method == "radial":
                um = profile(turn, point.z_mm) + eccentric_um * np.cos(turn - 0.3)
                return Decimal(f"{um:.6f}") / 1000
            grid = np.linspace(0, 2 * np.pi, 720, endpoint=False)
            spectrum = np.fft.rfft(profile(grid, point.z_mm)) / 360
            setup = Setup.vee(float(seat.vee_angle_deg))
            um = sum(
                (setup.factor(n) * spectrum[n] * np.exp(1j * n * turn)).real for n in range(2, 16)
            )
            return Decimal(f"{um:.6f}") / 1000

        bench.fill(value)
        return bench

    return measured


def lobes(number, height_um, phase=0.4):
    return lambda turn, z_mm: height_um / 2 * np.cos(number * turn + phase) + 0 * z_mm


# --- roundness ------------------------------------------------------------------------------------


def test_three_lobes_that_diameters_cannot_see_fail_by_radii(shaft):
    bench = shaft(lobes(3, 12.0, 0.0), tolerance("roundness", 6) + further("radial", 24))
    result = evaluate(bench.state).seat("A")
    assert max(station.range_um for station in result.stations) == pytest.approx(0.0, abs=1e-3)
    roundness = result.requirement(ROUNDNESS)
    assert roundness.smallest_um == pytest.approx(
        12.0, abs=0.3
    )  # 24 orientations miss 1 - cos 7.5°
    assert roundness.verdict is FAILS
    assert {key.seat_id for key in roundness.decisive} == {"A2"}
    (profile, *_) = evaluate(bench.state).seat("A2").profiles
    assert profile.circle.reference == "minimum zone"
    assert profile.roundness_um == pytest.approx(12.0, abs=1e-3)


@pytest.mark.parametrize("circle", ['reference_circle = "least squares"\n', ""])
def test_eccentricity_of_the_set_up_is_no_roundness(shaft, circle):
    more = tolerance("roundness", 6) + tolerance("run_out", 200)
    bench = shaft(lobes(2, 2.0, 0.0), more + further("radial", extra=circle), eccentric_um=80.0)
    result = evaluate(bench.state).seat("A")
    assert result.requirement(ROUNDNESS).smallest_um == pytest.approx(2.0, abs=0.1)
    assert result.requirement(ROUNDNESS).verdict is CONFORMS
    # The nearest of twelve orientations lies 12.8° off the eccentricity: 2·80·cos 12.8°, ± 2 µm.
    assert result.requirement(RUN_OUT).smallest_um == pytest.approx(156.0, abs=2.0)


def test_guard_of_a_zone_is_that_of_one_difference(shaft):
    # s = 0.5 µm stated: √2·0.5 = 0.707 µm, one-sided 95 %: 1.163 µm.
    for limit_um, verdict in ((11.4, CONFORMS), (11.0, UNKNOWN), (9.0, UNKNOWN), (6.0, FAILS)):
        bench = shaft(lobes(2, 10.0, 0.0), tolerance("roundness", limit_um) + further("radial"))
        requirement = evaluate(bench.state).seat("A").requirement(ROUNDNESS)
        assert requirement.smallest_um == pytest.approx(10.0, abs=1e-3)
        assert requirement.guard_um == pytest.approx(Z95 * 0.5 * sqrt(2), abs=1e-6)
        assert requirement.verdict is verdict, limit_um
    # Beyond the limit by the range of the noise of twelve readings, three stations at 1 - 5 %/3.
    assert 10 - range_quantile(12, 1 - 0.05 / 3) * 0.5 > 6.0
    assert 10 - range_quantile(12, 1 - 0.05 / 3) * 0.5 < 9.0


@pytest.mark.parametrize(("count", "lobed"), [(12, 2), (12, 3), (24, 5)])
def test_noise_alone_seldom_proves_or_disproves_roundness(plan_of, count, lobed):
    """A section out of round by just its tolerance is accepted, or refused, once in twenty."""
    plan = parse_plan(plan_of(more=tolerance("roundness", 5) + further("radial", count)))
    angles = np.arange(count) * 360.0 / count
    # An undulation of which the orientations meet both extremes: the true zone is 5 µm.
    true = 2.5 * np.cos(lobed * np.radians(angles))
    points = [PointKey("A2", 1, number + 1) for number in range(count)]
    rng = np.random.default_rng(count + lobed)
    true_um = zone_um(angles, true)
    verdicts = []
    for _ in range(300):
        read = true * 5.0 / true_um + rng.normal(0, 0.5, count)
        profile = StationProfile(
            set_id="A2",
            setup=RADIAL,
            station=1,
            z_mm=10.0,
            keys=tuple(points),
            angle_deg=tuple(angles),
            reading_um=tuple(read),
            worth=1.0,
            scatter=((1, 0.0),) * count,
            step_um=0.1,
            circle=circle_of(angles, read),
            why_no_circle="",
        )
        found = roundness_from_radii(plan, plan.seat("A"), (profile,), Doubts())
        verdicts.append(found.verdict)
    # 5 % of 300 is 15, with a standard deviation of 3.8.
    assert verdicts.count(CONFORMS) <= 26
    assert verdicts.count(FAILS) <= 26


def circle_of(angles, um):
    return minimum_zone_circle(points_from_radii(angles, 50 + np.asarray(um) / 1000)).circle


def zone_um(angles, um):
    return circle_of(angles, um).zone * 1000


def test_three_orientations_give_no_roundness(shaft):
    bench = shaft(lobes(2, 2.0), tolerance("roundness", 6) + further("radial", 3))
    requirement = evaluate(bench.state).seat("A").requirement(ROUNDNESS)
    assert (requirement.verdict, requirement.smallest_um) == (UNKNOWN, None)
    assert "Three readings lie on any circle" in requirement.reasons[0]


def test_set_not_measured_proves_nothing(bench_of):
    more = tolerance("roundness", 6) + tolerance("run_out", 9) + tolerance("cylindricity", 9)
    bench = bench_of(stations=[10], orientations=1, more=more + further("radial"))
    result = evaluate(bench.state).seat("A")
    for characteristic in (ROUNDNESS, RUN_OUT, CYLINDRICITY):
        assert result.requirement(characteristic).verdict is UNKNOWN
        assert result.requirement(characteristic).reasons == ("No radial readings yet.",)
    assert evaluate(bench.state).seat("A2").requirements == ()


# --- vee and diameters together -------------------------------------------------------------------


def test_vee_and_diameters_together_find_what_neither_shows(shaft):
    def profile(turn, z_mm):
        return lobes(2, 4.0)(turn, z_mm) + lobes(3, 6.0, 1.1)(turn, z_mm)

    grid = np.radians(np.arange(0, 360, 0.5))
    true = np.ptp(profile(grid, 0.0))
    more = tolerance("roundness", 20) + further("vee", 24, "vee_angle_deg = 90")
    result = evaluate(shaft(profile, more, orientations=12).state).seat("A")
    roundness = result.requirement(ROUNDNESS)
    assert roundness.smallest_um == pytest.approx(true, abs=0.02)
    assert [station.sets for station in result.combined] == [("A2", "A")] * 3
    # A vee of 90° is blind to 7 and 9 lobes, and diameters are to all odd ones.
    assert roundness.verdict is UNKNOWN
    assert any("None of the set-ups shows 7, 9 lobes" in reason for reason in roundness.reasons)


def test_two_vees_and_diameters_leave_nothing_unseen(shaft):
    more = (
        tolerance("roundness", 20)
        + further("vee", 36, "vee_angle_deg = 72")
        + further("vee", 36, "vee_angle_deg = 108", seat_id="A3")
    )
    bench = shaft(lobes(3, 6.0), more, orientations=18)
    roundness = evaluate(bench.state).seat("A").requirement(ROUNDNESS)
    assert roundness.smallest_um == pytest.approx(6.0, abs=0.02)
    assert roundness.verdict is CONFORMS


# --- run-out and cylindricity ---------------------------------------------------------------------


def test_run_out_is_of_a_station_and_total_run_out_of_the_seat(shaft):
    def cone(turn, z_mm):
        return lobes(2, 2.0, 0.0)(turn, z_mm) + 0.1 * (z_mm - 30)

    more = tolerance("run_out", 20) + tolerance("total_run_out", 20)
    result = evaluate(shaft(cone, more + further("radial")).state).seat("A")
    assert result.requirement(RUN_OUT).smallest_um == pytest.approx(2.0, abs=1e-3)
    # 0.1 µm per mm over 40 mm, on either side of the same ovality.
    assert result.requirement(TOTAL).smallest_um == pytest.approx(6.0, abs=1e-3)
    stations = {key.station for key in result.requirement(TOTAL).decisive}
    assert stations == {1, 3}


def test_cylindricity_is_of_the_minimum_zone_before_the_seal(shaft):
    def barrel(turn, z_mm):
        return lobes(3, 3.0)(turn, z_mm) - 0.01 * (z_mm - 30) ** 2

    bench = shaft(barrel, tolerance("cylindricity", 20) + further("radial"), eccentric_um=5.0)
    live = evaluate(bench.state).seat("A").requirement(CYLINDRICITY)
    fully = evaluate_fully(bench.state).seat("A").requirement(CYLINDRICITY)
    assert "least-squares" in live.judged
    assert "minimum zone" in fully.judged
    assert fully.smallest_um <= live.smallest_um + 1e-9
    # The barrel is 4 µm high at the ends, the lobes 3 µm peak to valley beside it.
    assert fully.smallest_um == pytest.approx(7.0, abs=0.6)
    assert fully.verdict is CONFORMS


def test_least_squares_zone_beyond_the_limit_proves_no_fault_yet(shaft):
    bench = shaft(lobes(3, 30.0), tolerance("cylindricity", 5) + further("radial"))
    live = evaluate(bench.state).seat("A").requirement(CYLINDRICITY)
    assert live.verdict is UNKNOWN
    assert evaluate_fully(bench.state).seat("A").requirement(CYLINDRICITY).verdict is FAILS


def test_seat_that_is_measured_by_radii_alone_has_no_size(bench_of):
    limits = 'method = "radial"\n' + tolerance("roundness", 6)
    bench = bench_of(limits=limits, orientations=8, gauge={"resolution": "0.0001"})
    bench.fill(lambda point: "0.001")
    result = evaluate(bench.state).seat("A")
    assert [one.characteristic for one in result.requirements] == [ROUNDNESS]
    assert (result.sizes, result.stations, result.mean_mm) == ((), (), None)
    assert result.verdict is CONFORMS
    assert evaluate_fully(bench.state) == evaluate(bench.state)


# --- the error of indication ----------------------------------------------------------------------

BUDGET = 'method = "budget"\nrepeatability = 0.0005\ndrift = 0\nbasis = "made up for a test"\n'


def budgeted_run_out(plan_of, bench_of, gauge, high_um=5, limit_um=10, **changes):
    more = 'method = "radial"\n' + tolerance("run_out", limit_um)
    text = plan_of(limits="", more=more, orientations=4, **changes)
    head, rest = text.split("[uncertainty]")
    _, tail = rest.split("[decision]")
    bench = bench_of(toml=f"{head}[uncertainty]\n{BUDGET}[decision]{tail}", gauge=gauge)
    turn = iter(range(1000))
    bench.fill(lambda point: Decimal(high_um if next(turn) % 2 else 0) / 1000)
    return evaluate(bench.state).seat("A").requirement(RUN_OUT)


def test_budget_has_the_error_of_indication_in_a_difference(plan_of, bench_of):
    """√2 · 0.5 µm of scatter, and 3 µm/√3 of the indicator."""
    found = budgeted_run_out(plan_of, bench_of, {"permissible_error_mm": "0.003"})
    expected = sqrt(2 * 0.5**2 + 3**2 / 3)
    assert found.standard_um == pytest.approx(expected, abs=1e-9)
    assert found.guard_um == pytest.approx(Z95 * expected, abs=1e-6)
    assert found.verdict is CONFORMS  # 5 + 3.07 µm of 10 µm
    near = budgeted_run_out(plan_of, bench_of, {"permissible_error_mm": "0.003"}, high_um=8)
    assert near.verdict is UNKNOWN


@pytest.mark.parametrize(("high_um", "verdict"), [(13, UNKNOWN), (14, FAILS)])
def test_indicator_may_explain_what_is_beyond_the_limit(plan_of, bench_of, high_um, verdict):
    """The range of 4 scatters by 0.5 µm at 3 stations (1.667 % of risk each), and 1.645 · 1.73."""
    found = budgeted_run_out(plan_of, bench_of, {"permissible_error_mm": "0.003"}, high_um=high_um)
    scatter = range_quantile(4, 1 - 0.05 / 3) * 0.5
    assert 13 < 10 + sqrt(scatter**2 + (Z95 * sqrt(3)) ** 2) < 14
    assert found.verdict is verdict


def test_indicator_whose_error_nobody_bounds_proves_nothing(plan_of, bench_of):
    found = budgeted_run_out(plan_of, bench_of, {})
    assert found.verdict is UNKNOWN
    assert any("Nothing bounds the error of the indicator" in one for one in found.reasons)


@pytest.mark.parametrize("rule", ["guard band", "simple", "probability"])
def test_probability_of_one_half_asks_for_no_guard(shaft, rule):
    more = tolerance("roundness", 6) + further("vee", 24, "vee_angle_deg = 90\n")
    bench = shaft(lobes(2, 2.0, 0.0), more, rule=rule, probability=0.5, orientations=12)
    found = evaluate(bench.state).seat("A").requirement(ROUNDNESS)
    assert found.smallest_um == pytest.approx(2.0, abs=0.1)

"""Values exactly on their limits, in mm and in inches, and the limit that a plan sets to U."""

from decimal import Decimal
from math import erf, erfc, inf, sqrt

import pytest

from seatproof.core.evaluation.evaluate import evaluate
from seatproof.core.evaluation.requirement import Characteristic
from seatproof.core.evaluation.sizes import difference_um, mean
from seatproof.core.uncertainty.coverage import Coverage, effective_dof
from seatproof.core.verdict.rule import Verdict

CONFORMS, FAILS, UNKNOWN = Verdict.CONFORMS, Verdict.DOES_NOT_CONFORM, Verdict.NOT_PROVEN
SIZE, TAPER = Characteristic.SIZE, Characteristic.TAPER
ROUNDNESS, CYLINDRICITY = Characteristic.ROUNDNESS, Characteristic.CYLINDRICITY
RUN_OUT = Characteristic.RUN_OUT

MM_LIMITS = "lower_size = 99.991\nupper_size = 100.013\n"
INCH_LIMITS = "lower_size = 3.9371\nupper_size = 3.9379\n"
INCH = {
    "unit": "in",
    "nominal": "3.9375",
    "length": 2,
    "shaft_length": 2,
    "stations": [0.5, 1.5],
    "limits": INCH_LIMITS,
    "expanded": 0.0001,
    "repeatability": 0.00002,
    "gauge": {"resolution": "0.00005"},
}


def judged(bench, values):
    """Press the values in turn at all points and return the verdict on size."""
    turn = iter(range(10**6))
    bench.fill(lambda point: values[next(turn) % len(values)])
    return evaluate(bench.state).seat("A").requirement(SIZE).verdict


@pytest.mark.parametrize(
    ("values", "verdict"),
    [
        (["3.9379", "3.9371"], CONFORMS),
        (["3.93795", "3.9371"], FAILS),
        (["3.9379", "3.93705"], FAILS),
    ],
)
def test_local_sizes_on_limits_in_inches_are_inside(bench_of, values, verdict):
    assert judged(bench_of(rule="simple", **INCH), values) is verdict


@pytest.mark.parametrize("unit", ["mm", "in"])
@pytest.mark.parametrize("apart", range(1, 10))
def test_station_mean_on_its_limit_is_inside_however_it_came_about(bench_of, unit, apart):
    """Both readings of a station lie equally far from the limit, on either side of it."""
    if unit == "mm":
        limit, step, common = Decimal("100.013"), Decimal("0.001"), {"limits": MM_LIMITS}
    else:
        limit, step, common = Decimal("3.9379"), Decimal("0.00005"), INCH
    values = [str(limit + apart * step), str(limit - apart * step)]
    bench = bench_of(rule="simple", judged="station means", **common)
    assert judged(bench, values) is CONFORMS
    beyond = bench_of(rule="simple", judged="station means", **common)
    assert judged(beyond, [str(limit + apart * step), str(limit - (apart - 1) * step)]) is FAILS


def test_means_and_differences_are_those_of_the_decimals_that_were_read():
    for thousandths in range(99_900, 100_100):
        low, high = thousandths / 1000, (thousandths + 5) / 1000
        assert difference_um(high, low) == 5.0
        assert mean([low, (thousandths + 2) / 1000]) == (thousandths + 1) / 1000


@pytest.mark.parametrize("tenths", [41, 49, 51, 59, 61, 69, 71, 82, 93, 97])
@pytest.mark.parametrize("sense", ["radial", "diametral"])
def test_range_on_the_limit_of_form_is_inside(bench_of, tenths, sense):
    """Two orientations whose diameters differ by just what the tolerance allows."""
    tolerance_mm = Decimal(tenths) / 10_000
    range_mm = tolerance_mm * (2 if sense == "radial" else 1)
    for base in (Decimal("99.9903"), Decimal("99.9817"), Decimal("99.9811")):
        form = f'{{tolerance = {tolerance_mm}, sense = "{sense}"}}\n'
        bench = bench_of(rule="simple", more=f"roundness = {form}cylindricity = {form}")
        turn = iter(range(100))
        values = (base, base + range_mm)
        bench.fill(lambda point, v=values, t=turn: str(v[next(t) % 2]))
        result = evaluate(bench.state).seat("A")
        for characteristic in (ROUNDNESS, CYLINDRICITY):
            # Odd lobes stay unseen, so nothing is proven; but it is not found to be broken.
            assert result.requirement(characteristic).verdict is UNKNOWN
            assert result.requirement(characteristic).smallest_um == float(range_mm * 500)


def test_run_out_on_its_limit_is_inside(bench_of):
    for low in ("0.0013", "0.0041", "-0.0027"):
        toml_more = 'method = "radial"\nrun_out = {tolerance = 0.0101, sense = "radial"}\n'
        bench = bench_of(rule="simple", limits="", more=toml_more)
        turn = iter(range(100))
        high = Decimal(low) + Decimal("0.0101")
        bench.fill(lambda point, v=(low, str(high)), t=turn: v[next(t) % 2])
        requirement = evaluate(bench.state).seat("A").requirement(RUN_OUT)
        assert (requirement.verdict, requirement.smallest_um) == (CONFORMS, 10.1)


@pytest.mark.parametrize("micrometres", [3, 5, 6, 7, 9, 11])
def test_taper_on_its_limit_is_inside(bench_of, micrometres):
    """Two stations 40 mm apart on a seat of 60 mm: 2/3 of the taper over its length."""
    allowed = Decimal(micrometres) * 3 / 2000
    for base in (Decimal("99.981"), Decimal("99.983"), Decimal("99.987")):
        for extra, verdict in ((Decimal(0), CONFORMS), (Decimal("0.0001"), FAILS)):
            bench = bench_of(
                rule="simple",
                stations=[10, 50],
                more=f'taper = {{tolerance = {allowed}, sense = "diametral"}}\n',
            )
            ends = {10.0: base, 50.0: base + Decimal(micrometres) / 1000 + extra}
            bench.fill(lambda point, e=ends: str(e[point.z_mm]))
            assert evaluate(bench.state).seat("A").requirement(TAPER).verdict is verdict


# --- the plan's limit on U ------------------------------------------------------------------------

FORM = (
    'roundness = {tolerance = 0.010, sense = "radial"}\n'
    'cylindricity = {tolerance = 0.010, sense = "radial"}\n'
    'taper = {tolerance = 0.010, sense = "diametral"}\n'
    'odd_lobes = {at_most = 0.001, basis = "made up for a test"}\n'
)


def _simple(bench_of, largest):
    bench = bench_of(
        rule=f'simple"\nlargest_uncertainty = {largest}\n#"', more=FORM, orientations=4
    )
    bench.fill(lambda point: "99.990")
    return evaluate(bench.state).seat("A").requirements


def test_limit_on_u_holds_for_size_form_and_taper_alike(bench_of):
    """The stated U of 2 µm and repeatability of 0.5 µm give less U to form and taper than that.

    The taper's is 2 · 0.5/√4 · 60/√800 = 1.06 µm.
    """
    assert {one.verdict for one in _simple(bench_of, "0.0021")} == {CONFORMS}
    refused = _simple(bench_of, "0.00105")
    taper = next(one for one in refused if one.characteristic is TAPER)
    assert taper.expanded_um == pytest.approx(2 * 0.5 / sqrt(4) * 60 / sqrt(800), abs=1e-9)
    assert taper.verdict is UNKNOWN
    for requirement in _simple(bench_of, "0.0005"):
        assert requirement.verdict is UNKNOWN
        assert "U is larger than the plan allows for simple acceptance." in requirement.reasons


# --- degrees of freedom ---------------------------------------------------------------------------


def test_degrees_of_freedom_are_not_cut_by_rounding():
    """k of 4 degrees of freedom is 2.87, of 3 it is 3.31 (GUM, table G.2, 95.45 %)."""
    assert Coverage().factor(4.0 - 1e-12) == pytest.approx(2.87, abs=0.005)
    assert Coverage().factor(3.99) == pytest.approx(3.31, abs=0.005)
    assert Coverage().factor(1.0 - 1e-15) == pytest.approx(13.97, abs=0.005)


def test_effective_degrees_of_freedom_are_not_below_the_fewest():
    for thousandths in range(1, 400):
        parts = [(thousandths / 1000, 3.0), (0.0, 1.0), (0.0, inf)]
        assert effective_dof(parts) >= 3.0


# --- what repeats count for -----------------------------------------------------------------------


@pytest.mark.parametrize("how", ["mean", "median", "largest"])
def test_u_of_a_local_size_is_the_stated_one_whatever_is_made_of_repeats(bench_of, how):
    bench = bench_of(repeats=3, more=f'repeat_value = "{how}"\n')
    bench.fill(lambda point: "99.990")
    requirement = evaluate(bench.state).seat("A").requirement(SIZE)
    assert requirement.expanded_um == pytest.approx(2.0, abs=1e-12)


# --- a taper is limited either way ----------------------------------------------------------------


@pytest.mark.parametrize(("of_u", "verdict"), [(1.70, UNKNOWN), (1.95, UNKNOWN), (1.97, CONFORMS)])
def test_taper_of_nothing_conforms_only_where_both_limits_hold(bench_of, of_u, verdict):
    """Within ±1.96 u lies 95 % of a normal distribution; within ±1.70 u 91 % only."""
    u = 0.5 / sqrt(2) * 60 / sqrt(800)
    bench = bench_of(more=f'taper = {{tolerance = {of_u * u / 1000:.9f}, sense = "diametral"}}\n')
    bench.fill(lambda point: "99.990")
    requirement = evaluate(bench.state).seat("A").requirement(TAPER)
    assert requirement.standard_um == pytest.approx(u, abs=1e-12)
    assert requirement.verdict is verdict
    assert requirement.probability == pytest.approx(erf(of_u / sqrt(2)), abs=1e-5)


def test_guard_that_is_shown_is_the_one_that_was_applied(bench_of):
    """Limits 4 u apart: 1 - Q(t) - Q(4 - t) = 0.95 at t = 1.78, and not at 1.645."""
    limits = "lower_size = 99.988\nupper_size = 99.992\n"  # u is 1 µm
    for value, verdict in (("99.9898", CONFORMS), ("99.98970", UNKNOWN)):
        bench = bench_of(limits=limits)
        bench.fill(lambda point, v=value: v)
        requirement = evaluate(bench.state).seat("A").requirement(SIZE)
        t = requirement.guard_um
        assert 0.5 * erfc(t / sqrt(2)) + 0.5 * erfc((4 - t) / sqrt(2)) == pytest.approx(0.05)
        assert requirement.verdict is verdict

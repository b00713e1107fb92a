"""Local sizes: means of repeats, and the reduction to 20 °C."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from seatproof.core.evaluation.evaluate import evaluate
from seatproof.core.evaluation.sizes import mean, readings_behind


def sizes(bench, seat="A"):
    return evaluate(bench.state).seat(seat).sizes


def test_local_size_is_the_mean_of_the_repeats(bench_of):
    bench = bench_of(stations=1, orientations=1, repeats=3)
    for value in ("99.990", "99.994", "99.991"):
        bench.press(value)
    (size,) = sizes(bench)
    assert size.size_mm == float(Decimal("299.975") / 3)
    assert size.spread_um == pytest.approx(4.0, abs=1e-9)
    assert (size.readings, size.correction_um) == (3, 0.0)


def test_superseded_and_withdrawn_readings_do_not_count(bench_of, at):
    bench = bench_of(stations=1)
    bench.press("99.990")
    bench.press("99.980")
    bench.inspection.aim(at(1, 1), "burr")
    bench.press("99.991")
    bench.inspection.aim(at(1, 2), "burr")
    bench.press("99.970")
    bench.inspection.take_back("slipped")
    assert [(size.key, size.size_mm) for size in sizes(bench)] == [(at(1, 1), 99.991)]


@pytest.mark.parametrize(
    ("shaft_c", "gauge_c", "correction_um"),
    [
        # By hand for 100 mm, α = 11.5e-6 /K for shaft and gauge: 1.15 µm per kelvin; a warm shaft
        # reads too large, a warm gauge too small.
        ("30", "20", -11.5),
        ("10", "20", 11.5),
        ("20", "30", 11.5),
        ("20", "10", -11.5),
        ("23", "23", 0.0),
        ("25", "22", -3.45),
        ("15", "18", 3.45),
    ],
)
def test_sizes_are_reduced_to_20_degrees(bench_of, shaft_c, gauge_c, correction_um):
    bench = bench_of(stations=1, orientations=1)
    bench.inspection.note_temperatures(Decimal(shaft_c), Decimal(gauge_c))
    bench.press("100.000")
    (size,) = sizes(bench)
    assert size.correction_um == pytest.approx(correction_um, abs=1e-9)  # µm
    assert size.size_mm == pytest.approx(100.0 + correction_um / 1000, abs=1e-12)  # mm
    assert evaluate(bench.state).seat("A").corrected is (correction_um != 0.0)


@given(
    st.floats(-30, 100).map(lambda t: round(t, 1)), st.floats(-30, 100).map(lambda t: round(t, 1))
)
def test_reduction_agrees_with_the_exact_ratio_of_expansions(bench_of, shaft_c, gauge_c):
    # Independent form: what the gauge shows is d·(1 + α_s·Δ_s) in units of (1 + α_g·Δ_g). The
    # linear form differs from it by products of two expansions: below 1e-6 of the size here.
    bench = bench_of(
        stations=1, orientations=1, shaft_expansion="16e-6",
        gauge={"expansion_per_kelvin": "0.0000105"},
    )  # fmt: skip
    bench.inspection.note_temperatures(Decimal(str(shaft_c)), Decimal(str(gauge_c)))
    bench.press("100.500")
    exact = 100.5 * (1 + 10.5e-6 * (gauge_c - 20)) / (1 + 16e-6 * (shaft_c - 20))
    assert sizes(bench)[0].size_mm == pytest.approx(exact, abs=4e-4)  # mm
    assert abs(sizes(bench)[0].size_mm - exact) <= 100.5 * 3e-6


def test_temperatures_hold_from_where_they_were_noted(bench_of):
    bench = bench_of(stations=1, orientations=3, shaft_expansion="10e-6")
    bench.press("100")
    bench.inspection.note_temperatures(Decimal(30), Decimal(20))
    bench.press("100")
    bench.inspection.note_temperatures(Decimal(40), Decimal(20))
    bench.press("100")
    assert [size.correction_um for size in sizes(bench)] == pytest.approx([0, -10, -20], abs=1e-9)


def test_each_reading_has_the_expansion_of_its_own_gauge(bench_of):
    bench = bench_of(stations=1, orientations=2)
    bench.inspection.note_temperatures(Decimal(20), Decimal(30))
    bench.press("100")
    gauge = bench.state.gauge
    bench.inspection.put_in_service(
        gauge.model_copy(update={"inventory_number": "M-2", "expansion_per_kelvin": "0"})
    )
    bench.press("100")
    assert [size.correction_um for size in sizes(bench)] == pytest.approx([11.5, 0], abs=1e-9)


@given(st.floats(1e-3, 4000), st.integers(1, 50))
def test_mean_of_equal_values_is_that_value(value, count):
    assert mean([value] * count) == value


def test_readings_behind_a_mean():
    # Variances s²/1 and s²/3: that of their mean is (1 + 1/3)/4·s² = s²/3.
    assert readings_behind([1, 3]) == pytest.approx(3.0, abs=1e-12)
    assert readings_behind([2, 2, 2]) == pytest.approx(6.0, abs=1e-12)

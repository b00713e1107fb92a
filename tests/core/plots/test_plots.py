"""Plots as data: what is drawn where, with few readings, equal readings and none."""

from decimal import Decimal
from math import cos, radians

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from seatproof.core.evaluation.evaluate import evaluate
from seatproof.core.plots.along import along_plot
from seatproof.core.plots.polar import polar_plot

ROUND = 'roundness = {tolerance = 0.008, sense = "radial"}'


@pytest.fixture(scope="session")
def evaluated(bench_of):
    """Return what evaluates rows of departures (µm) from ⌀ 100, None for a point not measured."""

    def evaluated(*rows, **changes):
        bench = bench_of(
            **{"stations": len(rows), "orientations": len(rows[0]), "more": ROUND} | changes
        )
        for departure in (departure for row in rows for departure in row):
            if departure is None:
                bench.inspection.skip("keyway")
            else:
                bench.press(Decimal(100) + Decimal(str(departure)) / 1000)
        return evaluate(bench.state).seat("A")

    return evaluated


# --- round the shaft ------------------------------------------------------------------------------


def test_half_a_diameter_s_departure_stands_at_both_its_ends(evaluated):
    (trace,) = polar_plot(evaluated((-12, -9, -8, -11))).traces
    # The mean is -10 µm (the fit's d0 too, the orientations being spread evenly).
    assert trace.angles_deg == (0, 45, 90, 135, 180, 225, 270, 315)
    assert trace.deviations_um == (-1.0, 0.5, 1.0, -0.5) * 2
    # d = -2·cos 2θ + 1·sin 2θ in diameter: half of it on each side.
    expected = [-cos(2 * radians(a)) + 0.5 * cos(2 * radians(a - 45)) for a in trace.curve_deg]
    assert trace.curve_um == pytest.approx(expected, abs=6e-4)
    assert trace.curve_deg[::18] == (0.0, 90.0, 180.0, 270.0)


@pytest.mark.parametrize("departures", [(-9, -9, -9, -9), (-9, -9), (-9,)])
def test_equal_readings_do_not_break_the_scale(evaluated, departures):
    plot = polar_plot(evaluated(departures, more=""))
    assert set(plot.traces[0].deviations_um) == {0.0}
    # Room is 0.3 · 50 mm for one micrometre at least: 15 000 times, rounded down to 10 000.
    assert plot.magnification == 10_000
    assert plot.band_um is None


def test_nothing_measured_gives_an_empty_plot(evaluated):
    result = evaluated((None, None))
    plot = polar_plot(result)
    assert plot.traces == ()
    assert plot.band_um == (-4.0, 4.0)
    assert along_plot(result).sizes == along_plot(result).means == along_plot(result).line == ()
    assert along_plot(result).extent_um() == (-22.0 - 1.645, 0.0 + 1.645)  # h6 and its guard bands


def test_station_with_too_few_readings_has_points_but_no_curve(evaluated):
    plot = polar_plot(evaluated((-9, None, -8, -10), (-9, None, None, -8), (None,) * 4))
    first, second = plot.traces
    assert (len(first.deviations_um), len(first.curve_um)) == (6, 72)
    assert (len(second.deviations_um), second.curve_um) == (4, ())
    assert [trace.station for trace in plot.traces] == [1, 2]


def test_only_the_stations_asked_for_are_drawn(evaluated):
    result = evaluated((-9, -8), (-7, -6), (-5, -4))
    assert [trace.station for trace in polar_plot(result, [3, 1]).traces] == [1, 3]
    assert polar_plot(result, []).traces == ()


def test_tolerance_band_lies_about_the_middle_of_what_was_found(evaluated):
    # Deviations -1.5 to 0.5 µm about the mean of -9 µm: the band is ±4 µm about their middle.
    plot = polar_plot(evaluated((-12, -8, -8, -8)))
    lowest, highest = min(plot.traces[0].deviations_um), max(plot.traces[0].deviations_um)
    assert (lowest, highest) == (-1.5, 0.5)
    assert plot.band_um == (-4.5, 3.5)


def test_relative_place_is_magnified(evaluated):
    plot = polar_plot(evaluated((-9, -9)))
    assert plot.relative(0.0) == 1.0
    # 1 µm on a radius of 50 mm, magnified 2000 times: 2 mm of 50.
    assert plot.magnification == 2000
    assert plot.relative(1.0) == pytest.approx(1.04, abs=1e-12)


rows = st.lists(st.tuples(*[st.none() | st.integers(-900, 900)] * 3), min_size=1, max_size=3)


@settings(max_examples=40, deadline=None)
@given(rows, st.sampled_from(["", ROUND]))
def test_every_shaft_fits_its_circle(evaluated, table, more):
    result = evaluated(*table, more=more)
    plot = polar_plot(result)
    drawn = [value for trace in plot.traces for value in (*trace.deviations_um, *trace.curve_um)]
    drawn += plot.band_um or ()
    for value in drawn:
        assert 0.69 <= plot.relative(value) <= 1.31
    # Grid circles: at least one, at most as many as can be told apart, within the room.
    assert 1 <= 0.3 * 50_000 / plot.magnification / plot.grid_um <= 4.01
    if plot.band_um and plot.traces:
        measured = [value for trace in plot.traces for value in trace.deviations_um]
        middle = (max(measured) + min(measured)) / 2
        assert sum(plot.band_um) / 2 == pytest.approx(middle, abs=1.1e-3)
    along = along_plot(result)
    lowest, highest = along.extent_um()
    for value in (along.lower_um, along.upper_um, *(size.departure_um for size in along.sizes)):
        assert lowest <= value <= highest


# --- along the seat -------------------------------------------------------------------------------


def test_departures_stand_at_their_stations(evaluated):
    plot = along_plot(evaluated((-12, -8), (-9, None), (-4, -6), stations=[10, 30, 50]))
    assert (plot.nominal_mm, plot.from_mm, plot.to_mm) == (100.0, 0.0, 60.0)
    assert (plot.lower_um, plot.upper_um) == (-22.0, 0.0)  # h6
    assert plot.guard_um == 1.645
    assert [(size.station, size.z_mm, size.departure_um) for size in plot.sizes] == [
        (1, 10.0, -12.0), (1, 10.0, -8.0), (2, 30.0, -9.0), (3, 50.0, -4.0), (3, 50.0, -6.0),
    ]  # fmt: skip
    assert plot.means == ((10.0, -10.0), (30.0, -9.0), (50.0, -5.0))


def test_fitted_line_ends_at_the_ends_of_the_seat(evaluated):
    plot = along_plot(evaluated((-10, -10), (-6, -6), stations=[10, 50]))
    # 4 µm over 40 mm: 1 µm for the 10 mm beyond either station.
    assert plot.line == ((0.0, -11.0), (60.0, -5.0))
    assert plot.extent_um() == (-22.0 - 1.645, 0.0 + 1.645)  # h6 and its guard bands
    assert along_plot(evaluated((-10, -10))).line == ()


def test_values_beyond_the_limits_widen_the_plot(evaluated):
    assert along_plot(evaluated((-30, 12))).extent_um() == (-30.0, 12.0)

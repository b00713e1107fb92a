"""The plots of a review as data: reference circles, the taper band, spectra, the unrolled map."""

from decimal import Decimal
from math import cos, radians, sin

import numpy as np
import pytest

from seatproof.core.evaluation.evaluate import evaluate
from seatproof.core.form.circle import ReferenceCircle
from seatproof.core.form.undulation import Seen
from seatproof.core.plots.form import form_plot, has_profiles
from seatproof.core.plots.taper import taper_plot
from seatproof.core.plots.undulations import station_spectra
from seatproof.core.plots.unrolled import unrolled_map

LSC, MZC, MCC, MIC = ReferenceCircle
ROUND = 'roundness = {tolerance = 0.008, sense = "radial"}'
RADIAL = """
[[seat]]
id = "A2"
name = "Radial set"
same_seat_as = "A"
from = 0
length = 60
nominal = 100
method = "radial"
stations = [30]
orientations = 24
repeats = 1
"""


@pytest.fixture(scope="session")
def evaluated(bench_of):
    """Return what evaluates rows of departures (µm) from ⌀ 100."""

    def evaluated(*rows, **changes):
        bench = bench_of(
            **{"stations": len(rows), "orientations": len(rows[0]), "more": ROUND} | changes
        )
        for departure in (departure for row in rows for departure in row):
            bench.press(Decimal(100) + Decimal(str(departure)) / 1000)
        return evaluate(bench.state).seat("A")

    return evaluated


@pytest.fixture(scope="session")
def turned(bench_of):
    """Return a seat turned against an indicator: three lobes of 2 µm, 5 µm off the axis."""
    bench = bench_of(
        stations=[10, 30, 50], orientations=4, more=RADIAL, gauge={"resolution": "0.0001"}
    )
    while (key := bench.state.cursor) is not None:
        angle = float(bench.state.plan.seat(key.seat_id).orientations_deg[key.orientation - 1])
        um = 2 * cos(radians(3 * angle)) + 3 * cos(radians(angle)) + 4 * sin(radians(angle))
        value = Decimal(100) if key.seat_id == "A" else Decimal(str(round(um / 1000, 6)))
        bench.press(value)
    return evaluate(bench.state).seat("A2")


@pytest.mark.parametrize("circle", list(ReferenceCircle))
def test_diameters_have_no_reference_circle(evaluated, circle):
    result = evaluated((-12, -9, -8, -11), (-10, -10, -7, -10))
    plot = form_plot(result, circle)
    trace = plot.traces[0]
    assert not has_profiles(result)
    # Half of what the diameters depart from their mean, at both ends, whatever is chosen.
    assert trace.departures_um == pytest.approx([-1.0, 0.5, 1.0, -0.5] * 2)
    assert (trace.is_profile, trace.zone_um) == (False, None)
    assert (trace.contacts_out, trace.contacts_in) == ((), ())
    inner, outer = plot.band_um()
    assert outer - inner == pytest.approx(plot.tolerance_um) == pytest.approx(8.0)


def test_radial_readings_show_the_centre_and_the_least_zone(turned):
    (trace,) = form_plot(turned, LSC).traces
    # Three lobes evenly round do not move the least-squares centre.
    assert trace.centre_um == pytest.approx((3.0, 4.0), abs=0.06)
    assert trace.is_profile
    assert has_profiles(turned)
    assert trace.zone_um == pytest.approx(4.0, abs=0.12)
    zones = {circle: form_plot(turned, circle).traces[0].zone_um for circle in ReferenceCircle}
    assert min(zones, key=zones.get) is MZC
    assert turned.profiles[0].circle.zone * 1000 in [pytest.approx(zone) for zone in zones.values()]
    outside = form_plot(turned, MCC).traces[0]
    assert outside.highest_um == pytest.approx(0.0, abs=1e-6)
    assert len(outside.contacts_out) >= 2
    inside = form_plot(turned, MIC).traces[0]
    assert inside.lowest_um == pytest.approx(0.0, abs=1e-6)


def test_one_station_and_a_magnification_can_be_chosen(evaluated):
    result = evaluated((-12, -9, -8, -11), (-10, -10, -7, -10))
    plot = form_plot(result, LSC, station=2, magnification=500)
    assert [trace.station for trace in plot.traces] == [2]
    # 500 times a micrometre is half a millimetre, of a radius of 50.
    assert float(plot.relative(1.0)) == pytest.approx(1.01)


def test_taper_band_is_that_of_the_fit_and_widens_outwards(evaluated):
    result = evaluated((-12, -10), (-9, -9), (-5, -8))
    plot = taper_plot(result)
    half = (plot.band_high_um - plot.band_low_um) / 2
    assert half[0] == pytest.approx(result.taper.confidence_half_width_um(plot.from_mm))
    assert half[0] > half[len(half) // 2] < half[-1]
    low, high = (float(limit) for limit in result.seat.limits_mm)
    assert (plot.lower_um, plot.upper_um) == pytest.approx(((low - 100) * 1e3, (high - 100) * 1e3))
    assert [line.departure_um for line in plot.generatrices] == [
        pytest.approx((-12, -9, -5)),
        pytest.approx((-10, -9, -8)),
    ]


def test_two_stations_leave_no_band(evaluated):
    plot = taper_plot(evaluated((-12, -10), (-9, -9)))
    assert len(plot.band_z_mm) == 0
    assert plot.line


def test_spectrum_of_radii_finds_its_lobes(turned):
    (spectrum,) = station_spectra(turned)
    amplitudes = {one.number: one.amplitude_um for one in spectrum.profile.undulations}
    assert amplitudes.pop(3) == pytest.approx(2.0, abs=0.1)
    assert max(amplitudes.values()) < 0.1


def test_diameters_do_not_show_odd_lobes(evaluated):
    (spectrum,) = station_spectra(evaluated((-12, -9, -8, -11, -10, -10)))
    seen = {one.number: one.seen for one in spectrum.profile.undulations}
    assert seen[2] is Seen.DETERMINED
    assert seen[3] is Seen.INVISIBLE


def test_a_station_without_a_spectrum_says_why(evaluated):
    (spectrum,) = station_spectra(evaluated((-12, -9), more=""))
    assert spectrum.profile is None
    assert spectrum.why_not


def test_map_departs_from_the_mean_of_all(evaluated):
    found = unrolled_map(evaluated((-12, -10), (-9, -9)))
    assert [point.departure_um for point in found.points] == pytest.approx([-2, 0, 1, 1], abs=1e-6)
    assert found.largest_um == pytest.approx(2.0)
    assert found.span_deg == 180


def test_map_of_an_indicator_goes_round(turned):
    found = unrolled_map(turned)
    assert found.span_deg == 360
    assert len(found.points) == 24
    assert np.mean([point.departure_um for point in found.points]) == pytest.approx(0, abs=1e-9)

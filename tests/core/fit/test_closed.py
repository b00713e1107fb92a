"""A whole fit of a closed ring: clearance left, running, warnings, and what a plan tells."""

from decimal import Decimal

import pytest

from seatproof.core.files import example
from seatproof.core.fit.bore import Bore, bore_by_class
from seatproof.core.fit.closed import ClosedFit, ClosedRing, OuterRing
from seatproof.core.fit.errors import BoreTableError, DimensionError
from seatproof.core.fit.estimate import fit_closed
from seatproof.core.fit.halves import HalvesFit
from seatproof.core.fit.interference import SeatSize, Warmth
from seatproof.core.fit.of_plan import fit_of
from seatproof.core.fit.press import Cylinder
from seatproof.core.plan.file import parse_plan

SEAT = SeatSize(100.024, 100.024, 100.024, 0.0026)
BORE = bore_by_class(Decimal(100), "normal")
RING = ClosedRing(BORE, Cylinder(100.0, 124.0), clearance_um=(30.0, 58.0))


def warned(fit, text):
    return any(text in warning for warning in fit.warnings)


def test_internal_clearance_that_is_left():
    # 58 − 0.806·21.4 = 40.7; 30 − 0.806·46.6 = −7.6.
    left = fit_closed(SEAT, RING).room.clearance
    assert left.most_um == pytest.approx(40.7, abs=0.05)
    assert left.least_um == pytest.approx(-7.6, abs=0.05)
    assert left.probable_um == pytest.approx(44.0 - 34.0 * 100 / 124, abs=1e-9)


def test_clearance_that_may_be_used_up_is_warned_of():
    assert warned(fit_closed(SEAT, RING), "preloaded")
    wide = ClosedRing(BORE, RING.section, (60.0, 90.0))
    assert not warned(fit_closed(SEAT, wide), "preloaded")


def test_running_ring_is_looser_on_its_shaft_and_the_outer_ring_counts():
    running = Warmth(60.0, 75.0)
    without = fit_closed(SEAT, RING, running=running)
    assert without.running.interference.most_um == pytest.approx(46.6 - 17.25, abs=0.01)
    assert warned(without, "as warm as the inner one")
    # Outer raceway 150 mm at 55 °C: grows by 60.4 µm; inner raceway 124 mm at 75 °C by 78.4 µm.
    outer = OuterRing(150.0, 55.0)
    with_it = fit_closed(SEAT, RING, running=running, outer=outer)
    lost = without.running.clearance.least_um - with_it.running.clearance.least_um
    assert lost == pytest.approx(11.5e-6 * (55 * 124 - 35 * 150) * 1000, abs=1e-6)
    assert not warned(with_it, "as warm as the inner one")


def test_hollow_shaft_presses_less_and_leaves_more_clearance():
    solid = fit_closed(SEAT, RING)
    hollow = fit_closed(SEAT, RING, shaft=Cylinder(60.0, 100.0))
    assert hollow.room.most.pressure_mpa < solid.room.most.pressure_mpa
    assert hollow.room.clearance.least_um > solid.room.clearance.least_um


def test_yield_strength_is_compared_where_it_is_known():
    assert warned(fit_closed(SEAT, RING), "No yield strength")
    assert not warned(fit_closed(SEAT, ClosedRing(BORE, RING.section, yield_mpa=500.0)), "yield")
    assert warned(fit_closed(SEAT, ClosedRing(BORE, RING.section, yield_mpa=80.0)), "may yield")


@pytest.mark.parametrize(
    ("outer_mm", "shaft_bore_mm", "sentence"),
    [(102.0, 0.0, "thinner than"), (215.0, 0.0, "whole bearing"), (124.0, 95.0, "wall is thin")],
)
def test_sections_beyond_the_formula_are_warned_of(outer_mm, shaft_bore_mm, sentence):
    ring = ClosedRing(BORE, Cylinder(100.0, outer_mm))
    fit = fit_closed(SEAT, ring, shaft=Cylinder(shaft_bore_mm, 100.0))
    assert warned(fit, sentence)
    assert not warned(fit_closed(SEAT, RING), sentence)


def test_looseness_and_doubt_are_told():
    loose = SeatSize(99.97, 99.97, 99.97, 0.002)
    assert warned(fit_closed(loose, RING), "can creep")
    between = SeatSize(99.99, 99.99, 99.99, 0.002)
    assert warned(fit_closed(between, RING), "loose or tight")
    assert warned(fit_closed(SeatSize(100.5, 100.5, 100.5, 0.0), RING), "check the sizes")


def test_without_a_section_only_the_interference_is_known():
    fit = fit_closed(SEAT, ClosedRing(BORE, clearance_um=(30.0, 58.0)))
    assert fit.room.interference.most_um == pytest.approx(46.6, abs=1e-6)
    assert (fit.room.most, fit.room.clearance) == (None, None)
    assert warned(fit, "maker knows it")
    with pytest.raises(DimensionError, match="section and its width"):
        fit_closed(SEAT, ClosedRing(BORE), friction=0.12)


def test_grip_and_heat():
    ring = ClosedRing(BORE, RING.section, width_mm=34.0)
    fit = fit_closed(SEAT, ring, friction=0.12, gap_um=50.0)
    assert fit.grip_n == pytest.approx(15_700, abs=20)
    assert fit.mounting.temperature_c == pytest.approx(104.0, abs=0.05)
    assert warned(fit, "no limit was given")
    limited = fit_closed(SEAT, ring, gap_um=50.0, heat_limit_c=90.0)
    assert warned(limited, "more heat than the limit")
    assert not warned(fit_closed(SEAT, ring, gap_um=50.0, heat_limit_c=110.0), "heat")


def test_impossible_ring_is_refused():
    with pytest.raises(DimensionError, match="smaller figure first"):
        ClosedRing(BORE, clearance_um=(58.0, 30.0))
    with pytest.raises(DimensionError, match="yield"):
        ClosedRing(BORE, yield_mpa=0.0)


# From a plan


def planned(fit_lines, seat="B", old="", new=""):
    text = example("kiln_fan.toml").read_text(encoding="utf-8")
    table = f"[seat.fit]\n{fit_lines}\n\n[uncertainty]"
    text = text.replace("[uncertainty]", table, 1)
    if old:
        assert old in text
        text = text.replace(old, new)
    return parse_plan(text).seat(seat)


def test_closed_ring_of_a_plan():
    seat = planned(
        'bore_class = "normal"\nring_outer = 124\nclearance_lower = 0.030\nclearance_upper = 0.058'
    )
    fit = fit_of(seat, SEAT)
    assert isinstance(fit, ClosedFit)
    assert fit.room == fit_closed(SEAT, RING, shaft=Cylinder(0.0, 100.0)).room


def test_stated_bore_and_hollow_shaft_of_a_plan():
    seat = planned(
        "bore_lower = 99.985\nbore_upper = 99.995\nshaft_bore = 60\nring_outer = 124\n"
        'source = "maker\'s sheet 17"'
    )
    fit = fit_of(seat, SEAT)
    assert fit.ring.bore == Bore(Decimal("99.985"), Decimal("99.995"), "maker's sheet 17")
    assert fit.shaft.inner_mm == 60.0


def test_plan_that_tells_too_little_gives_no_fit():
    assert fit_of(planned("ring_outer = 124"), SEAT) is None
    assert fit_of(planned('bore_class = "normal"', seat="A"), SEAT) is None


def test_ring_in_halves_of_a_plan():
    halves = 'ring = "closed"\nfrom = 820', 'ring = "halves"\nfrom = 820'
    fit = fit_of(planned("closing_diameter = 100\nring_outer = 124", "B", *halves), SEAT)
    assert isinstance(fit, HalvesFit)
    assert fit.largest.over_um == pytest.approx(26.6, abs=1e-6)
    assert fit_of(planned('bore_class = "normal"', "B", *halves), SEAT) is None


def test_bore_class_beyond_the_table_is_said():
    seat = planned('bore_class = "5"').model_copy(update={"nominal_mm": Decimal(300)})
    with pytest.raises(BoreTableError):
        fit_of(seat, SEAT)

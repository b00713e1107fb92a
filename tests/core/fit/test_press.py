"""Pressed rings against worked numbers and against the equations of elasticity, on a grid."""

from math import inf, nan, pi

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from seatproof.core.fit.errors import DimensionError
from seatproof.core.fit.heating import slip_on_temperature_c
from seatproof.core.fit.interference import Warmth
from seatproof.core.fit.press import Cylinder, axial_grip_n, press
from seatproof.core.fit.smoothing import smoothed

RING = Cylinder(100.0, 124.0)
SOLID = Cylinder(0.0, 100.0)
HOLLOW = Cylinder(60.0, 100.0)


# By the formulas of Lamé with E = 206 GPa: δ in µm, then MPa, MPa, µm.
@pytest.mark.parametrize(
    ("shaft", "interference_um", "pressure", "hoop", "growth_um"),
    [
        (SOLID, 21.5, 7.7, 36.5, 17.3),
        (SOLID, 46.5, 16.7, 79.0, 37.5),
        (HOLLOW, 21.5, 6.5, 30.5, 14.5),
        (HOLLOW, 46.5, 14.0, 66.1, 31.3),
    ],
)
def test_worked_pressures_stresses_and_growth(shaft, interference_um, pressure, hoop, growth_um):
    found = press(interference_um, RING, shaft)
    assert found.pressure_mpa == pytest.approx(pressure, abs=0.05)
    assert found.ring_hoop_mpa == pytest.approx(hoop, abs=0.06)
    assert found.growth_um == pytest.approx(growth_um, abs=0.05)


def test_one_steel_and_a_solid_shaft_follow_the_short_formulas():
    found = press(30.0, RING, SOLID)
    ratio = 100.0 / 124.0
    assert found.pressure_mpa == pytest.approx(206_000 * 0.030 / 200 * (1 - ratio**2))
    assert found.growth_um == pytest.approx(30.0 * ratio)


def test_growth_over_a_hollow_shaft_follows_its_short_formula():
    ratio, k = 100.0 / 124.0, 0.6
    expected = 30.0 * ratio * (1 - k**2) / (1 - k**2 * ratio**2)
    assert press(30.0, RING, HOLLOW).growth_um == pytest.approx(expected)


def displacement(cylinder, inside_mpa, outside_mpa, nodes=600):
    """Solve u'' + u'/r − u/r² = 0 between the radii, with pressures at both, on a grid.

    Plane stress: σ_r = E/(1−ν²)·(u' + ν·u/r), σ_θ = E/(1−ν²)·(u/r + ν·u'). Second order
    throughout, one-sided at the ends. Returns radii, u, σ_r, σ_θ.
    """
    r = np.linspace(cylinder.inner_mm / 2, cylinder.outer_mm / 2, nodes)
    h = r[1] - r[0]
    stiffness = cylinder.modulus_mpa / (1.0 - cylinder.poisson**2)
    derivative = np.zeros((nodes, nodes))
    for i in range(1, nodes - 1):
        derivative[i, i - 1 : i + 2] = np.array([-0.5, 0.0, 0.5]) / h
    derivative[0, :3] = np.array([-1.5, 2.0, -0.5]) / h
    derivative[-1, -3:] = np.array([0.5, -2.0, 1.5]) / h
    matrix = np.zeros((nodes, nodes))
    right = np.zeros(nodes)
    for i in range(1, nodes - 1):
        matrix[i, i - 1] = 1 / h**2 - 0.5 / (h * r[i])
        matrix[i, i] = -2 / h**2 - 1 / r[i] ** 2
        matrix[i, i + 1] = 1 / h**2 + 0.5 / (h * r[i])
    for end, load in ((0, inside_mpa), (-1, outside_mpa)):
        matrix[end] = stiffness * derivative[end]
        matrix[end, end] += stiffness * cylinder.poisson / r[end]
        right[end] = -load
    u = np.linalg.solve(matrix, right)
    slope = derivative @ u
    radial = stiffness * (slope + cylinder.poisson * u / r)
    hoop = stiffness * (u / r + cylinder.poisson * slope)
    return r, u, radial, hoop


@pytest.mark.parametrize(
    ("ring", "shaft"),
    [
        (RING, HOLLOW),
        (Cylinder(100.0, 112.0, 206_000.0, 0.3), Cylinder(30.0, 100.0, 110_000.0, 0.26)),
        (Cylinder(100.0, 160.0, 70_000.0, 0.34), Cylinder(80.0, 100.0, 206_000.0, 0.3)),
    ],
)
def test_equations_of_elasticity_on_a_grid_agree(ring, shaft):
    interference_um = 40.0
    found = press(interference_um, ring, shaft)
    p = found.pressure_mpa
    _, ring_u, ring_radial, ring_hoop = displacement(ring, p, 0.0)
    _, shaft_u, _, shaft_hoop = displacement(shaft, 0.0, p)
    # The ring gives outward and the shaft inward by the interference together.
    assert 2000.0 * (ring_u[0] - shaft_u[-1]) == pytest.approx(interference_um, rel=2e-4)
    assert 2000.0 * ring_u[-1] == pytest.approx(found.growth_um, rel=2e-4)
    assert ring_hoop[0] == pytest.approx(found.ring_hoop_mpa, rel=2e-4)
    assert ring_hoop[-1] == pytest.approx(found.raceway_hoop_mpa, rel=2e-4)
    assert shaft_hoop[0] == pytest.approx(found.shaft_hoop_mpa, rel=2e-3)
    equivalent = np.sqrt(ring_hoop**2 - ring_hoop * ring_radial + ring_radial**2)
    assert equivalent[0] == pytest.approx(found.ring_equivalent_mpa, rel=2e-4)
    assert np.max(equivalent) == pytest.approx(equivalent[0])  # the bore is the worst place


def test_solid_shaft_is_the_limit_of_ever_smaller_bores():
    solid = press(30.0, RING, SOLID)
    hollow = press(30.0, RING, Cylinder(1e-3, 100.0))
    assert hollow.pressure_mpa == pytest.approx(solid.pressure_mpa, rel=1e-8)
    # A hole, however small, doubles the stress at its edge.
    assert solid.shaft_hoop_mpa == pytest.approx(-solid.pressure_mpa)
    assert hollow.shaft_hoop_mpa == pytest.approx(-2.0 * solid.pressure_mpa, rel=1e-8)


@pytest.mark.parametrize("loose_um", [0.0, -5.0])
def test_nothing_presses_on_a_loose_ring(loose_um):
    found = press(loose_um, RING, SOLID)
    assert found == press(0.0, RING, HOLLOW)
    assert (found.pressure_mpa, found.growth_um, found.shaft_hoop_mpa) == (0.0, 0.0, 0.0)


outsides = st.floats(103.0, 180.0)
bores = st.floats(0.0, 90.0)


@given(st.floats(0.1, 200.0), outsides, bores)
def test_press_is_linear_and_growth_stays_below_the_interference(amount_um, outside, bore):
    ring, shaft = Cylinder(100.0, outside), Cylinder(bore, 100.0)
    one, two = press(amount_um, ring, shaft), press(2.0 * amount_um, ring, shaft)
    assert two.pressure_mpa == pytest.approx(2.0 * one.pressure_mpa)
    assert two.growth_um == pytest.approx(2.0 * one.growth_um)
    assert 0.0 < one.growth_um < amount_um
    assert one.ring_hoop_mpa > one.raceway_hoop_mpa > 0.0
    assert one.shaft_hoop_mpa < 0.0


@given(outsides, bores, st.floats(0.5, 5.0))
def test_hollower_shaft_and_thinner_ring_press_less(outside, bore, more):
    def pressure(ring_outside, shaft_bore):
        return press(30.0, Cylinder(100.0, ring_outside), Cylinder(shaft_bore, 100.0)).pressure_mpa

    assert pressure(outside, bore + more) < pressure(outside, bore)
    assert pressure(outside + more, bore) > pressure(outside, bore)


def test_axial_grip():
    # δ 34 µm, width 34 mm, µ 0.12: 12.24 MPa · π · 100 · 34 · 0.12 = 15.7 kN.
    pressure = press(34.0, RING, SOLID).pressure_mpa
    grip = axial_grip_n(pressure, 100.0, 34.0, 0.12)
    assert grip == pytest.approx(15_700, abs=20)
    assert grip == pytest.approx(pressure * pi * 100 * 34 * 0.12)


@pytest.mark.parametrize(("width", "friction"), [(0.0, 0.1), (34.0, -0.1), (nan, 0.1)])
def test_impossible_grip_is_refused(width, friction):
    with pytest.raises(DimensionError, match="above zero"):
        axial_grip_n(10.0, 100.0, width, friction)


# Smoothing


def test_smoothing_formulas_in_use():
    # 34 · 100/102 = 33.3, 34 · 100/103 = 33.0; Rz = 6 · (0.8 + 0.4) = 7.2: 0.72 and 5.76.
    found = [one.effective_um for one in smoothed(34.0, 100.0, (0.8, 0.4))]
    assert found == pytest.approx([33.33, 33.01, 33.28, 28.24], abs=0.005)
    assert len(smoothed(34.0, 100.0)) == 2
    assert [one.effective_um for one in smoothed(-3.0, 100.0, (0.8, 0.4))] == [-3.0]
    with pytest.raises(DimensionError, match="roughness"):
        smoothed(34.0, 100.0, (0.8, -0.1))


# Heating


def test_heat_for_slipping_on():
    # 46.6 + 50 µm over 100 mm of steel: 96.6e-3 / (100 · 11.5e-6) = 84.0 K above 20 °C.
    assert slip_on_temperature_c(46.6, 50.0, 100.0) == pytest.approx(104.0, abs=0.05)


def test_cold_shaft_needs_a_cooler_ring():
    assert slip_on_temperature_c(46.6, 50.0, 100.0, Warmth(shaft_c=0.0)) == pytest.approx(
        84.0, abs=0.05
    )


def test_loose_ring_needs_no_heat():
    assert slip_on_temperature_c(-60.0, 10.0, 100.0, Warmth(shaft_c=25.0)) == 25.0


@given(st.floats(-20, 80), st.floats(0, 100), st.floats(-10, 60))
def test_warmed_ring_has_just_the_gap(interference_um, gap_um, shaft_c):
    reached_c = slip_on_temperature_c(interference_um, gap_um, 100.0, Warmth(shaft_c=shaft_c))
    gap = Warmth(shaft_c, reached_c).added_um(100.0) + interference_um
    assert -gap >= gap_um - 1e-6
    if reached_c > shaft_c:
        assert -gap == pytest.approx(gap_um, abs=1e-6)


def test_ring_that_does_not_expand_cannot_be_warmed_on():
    with pytest.raises(DimensionError, match="expansion of the ring"):
        slip_on_temperature_c(10.0, 10.0, 100.0, Warmth(ring_expansion=0.0))
    with pytest.raises(DimensionError, match="gap"):
        slip_on_temperature_c(10.0, -1.0, 100.0)


# What cannot be


@pytest.mark.parametrize(
    "arguments",
    [
        (-1.0, 100.0),
        (100.0, 100.0),
        (nan, 100.0),
        (0.0, inf),
        (0.0, 100.0, 0.0),
        (0.0, 100.0, 206e3, 0.6),
    ],
)
def test_impossible_cylinders_are_refused(arguments):
    with pytest.raises(DimensionError, match="cannot be used"):
        Cylinder(*arguments)


def test_ring_and_shaft_must_meet():
    with pytest.raises(DimensionError, match="that of the ring's bore"):
        press(10.0, RING, Cylinder(0.0, 99.0))
    with pytest.raises(DimensionError, match="finite"):
        press(nan, RING, SOLID)

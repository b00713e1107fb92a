"""Rings in halves: joints by geometry, and what measured gaps tell."""

from math import nan, pi

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from seatproof.core.fit.errors import DimensionError
from seatproof.core.fit.halves import diameter_from_gaps, fit_halves, joints
from seatproof.core.fit.interference import SeatSize
from seatproof.core.fit.press import Cylinder, press


def test_ten_micrometres_over_open_both_joints_by_thirty_one():
    found = joints(100.010, 100.0)
    assert found.opening_um == pytest.approx(31.4, abs=0.05)
    assert found.opening_each_um == pytest.approx(15.7, abs=0.05)
    assert (found.looseness_um, found.over_um) == (0.0, pytest.approx(10.0, abs=1e-6))


def test_opening_is_what_the_arcs_of_two_halves_leave_of_the_shaft():
    # Two arcs, each half of the closed circle long, laid round a larger one: added up numerically.
    closing, shaft = 100.0, 100.05
    steps = np.full(200_000, pi / 200_000)
    half, around = float(np.sum(closing / 2 * steps)), float(np.sum(shaft / 2 * steps))
    expected_um = 1000.0 * (around - half)
    assert joints(shaft, closing).opening_each_um == pytest.approx(expected_um, rel=1e-6)


def test_feeler_step_of_a_hundredth_at_each_joint_is_six_micrometres_of_diameter():
    assert diameter_from_gaps(100.0, (0.01, 0.01)) == pytest.approx(100.0064, abs=5e-5)


def test_shaft_under_the_closing_diameter_is_loose():
    found = joints(99.985, 100.0)
    assert found.looseness_um == pytest.approx(15.0, abs=1e-6)
    assert (found.opening_um, found.forced_strain, found.forced_stress_mpa) == (0.0, 0.0, 0.0)


def test_joints_forced_shut_strain_the_ring():
    # 20 µm over 100 mm: 200 µm/m; 206 GPa · 2e-4 = 41.2 MPa on a shaft that does not give.
    found = joints(100.020, 100.0, ring_outer_mm=124.0)
    assert found.forced_strain == pytest.approx(2e-4, rel=1e-6)
    assert found.forced_stress_mpa == pytest.approx(41.2, rel=1e-6)
    # A closed ring pressed over the same excess; it gives a little, and so does the shaft.
    closed = press(20.0, Cylinder(100.0, 124.0), Cylinder(0.0, 100.0))
    assert found.forced_ring_stress_mpa == pytest.approx(closed.ring_hoop_mpa, rel=1e-6)
    assert found.forced_ring_stress_mpa < found.forced_stress_mpa


diameters = st.floats(99.9, 100.1)


@given(diameters)
def test_joints_are_open_or_the_ring_is_loose_never_both(shaft):
    found = joints(shaft, 100.0)
    assert found.opening_um * found.looseness_um == 0.0
    assert found.opening_um / pi - found.looseness_um == pytest.approx(found.over_um, abs=1e-9)


@given(st.floats(100.001, 100.5))
def test_gaps_tell_the_diameter_that_opened_them(shaft):
    each_mm = joints(shaft, 100.0).opening_each_um / 1000.0
    assert diameter_from_gaps(100.0, (each_mm, each_mm)) == pytest.approx(shaft, abs=1e-9)


def fitted(mean, *, gaps=None, expanded=0.003):
    return fit_halves(SeatSize(mean - 0.002, mean + 0.002, mean, expanded), 100.0, gaps_mm=gaps)


def warned(fit, text):
    return any(text in warning for warning in fit.warnings)


def test_uncertainty_widens_the_range_of_joints():
    found = fitted(100.02)
    assert found.smallest.over_um == pytest.approx(15.0, abs=1e-6)
    assert found.probable.over_um == pytest.approx(20.0, abs=1e-6)
    assert found.largest.over_um == pytest.approx(25.0, abs=1e-6)
    assert found.warnings == ()


def test_joints_that_close_are_warned_of():
    assert warned(fitted(99.98), "Do not run it")
    assert warned(fitted(100.003), "may close")


def test_gaps_that_contradict_the_gauge_are_warned_of():
    assert not fitted(100.02, gaps=(0.031, 0.032)).warnings
    assert warned(fitted(100.02, gaps=(0.06, 0.06)), "another shaft diameter")
    assert warned(fitted(100.02, gaps=(0.02, 0.043)), "differ")


@pytest.mark.parametrize("gaps", [(0.0, 0.01), (0.01, -0.01), (nan, 0.01)])
def test_joint_without_a_gap_tells_nothing(gaps):
    with pytest.raises(DimensionError, match="joint gap"):
        diameter_from_gaps(100.0, gaps)


@pytest.mark.parametrize(("shaft", "closing"), [(0.0, 100.0), (100.0, -1.0), (nan, 100.0)])
def test_impossible_diameters_are_refused(shaft, closing):
    with pytest.raises(DimensionError, match="above zero"):
        joints(shaft, closing)

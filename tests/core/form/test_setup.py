"""Vee set-ups: the printed factors, and the simulated contact of a lobed shaft in a block."""

import numpy as np
import pytest

from seatproof.core.form.errors import InputError
from seatproof.core.form.setup import RADIAL, TWO_POINT, Indicator, Setup, roundness_if

# Undulations 2, 3, 4, 5, 7, 9 for an indicator opposite the vee, as tables of the trade give them.
TABLE = {60.0: (0, 3, 0, 0, 0, 3), 90.0: (1.00, 2, 0.41, 2, 0, 0), 120.0: (1.58, 1, 0.42, 2, 2, 1)}


@pytest.mark.parametrize("block", TABLE)
def test_factors_meet_the_table(block):
    for n, factor in zip((2, 3, 4, 5, 7, 9), TABLE[block], strict=True):
        assert Setup.vee(block).magnification(n) == pytest.approx(factor, abs=0.005), n


def test_two_point_doubles_even_and_hides_odd():
    assert [TWO_POINT.magnification(n) for n in range(2, 8)] == [2, 0, 2, 0, 2, 0]
    assert TWO_POINT.invisible(7) == (3, 5, 7)
    assert RADIAL.factor(9) == 1.0


def simulated_reading(radius, undulations, amplitude, block_deg, inside, tilt_deg, turns_rad):
    """Rest a lobed shaft on both flats of a vee and read a flat indicator: no formula used.

    The shaft's support function h(φ) is found by brute force from its points; the centre follows
    from both flats touching.
    """
    t = np.linspace(0.0, 2 * np.pi, 20_001)
    r = radius + amplitude * np.cos(undulations * t)
    points = np.column_stack([r * np.cos(t), r * np.sin(t)])

    def support(direction_rad, turn):
        # The shaft turned by -turn, so that its place `turn` comes under the indicator at 0.
        angle = direction_rad + turn
        return np.max(points @ np.array([np.cos(angle), np.sin(angle)]))

    half = np.radians(90.0 - block_deg / 2.0)
    foot = 0.0 if inside else np.pi
    flats = [foot - half - np.radians(tilt_deg), foot + half - np.radians(tilt_deg)]
    normals = np.array([[np.cos(f), np.sin(f)] for f in flats])
    readings = []
    for turn in turns_rad:
        # Touching: support + normal · centre = radius of the perfect shaft.
        gaps = np.array([radius - support(f, turn) for f in flats])
        centre = np.linalg.solve(normals, gaps)
        readings.append(support(0.0, turn) + centre[0] - radius)
    return np.array(readings)


@pytest.mark.parametrize(
    ("block", "indicator", "tilt"),
    [
        (90.0, Indicator.OPPOSITE, 0.0),
        (60.0, Indicator.OPPOSITE, 0.0),
        (108.0, Indicator.OPPOSITE, 0.0),
        (120.0, Indicator.INSIDE, 0.0),
        (72.0, Indicator.INSIDE, 0.0),
        (60.0, Indicator.OPPOSITE, 30.0),
        (90.0, Indicator.OPPOSITE, 22.5),
        (120.0, Indicator.OPPOSITE, -60.0),
    ],
)
@pytest.mark.parametrize("undulations", [2, 3, 5, 8])
def test_simulated_contact_meets_the_complex_factor(block, indicator, tilt, undulations):
    amplitude = 5e-4
    turns = np.radians(np.arange(0.0, 360.0, 45.0 / 2))
    read = simulated_reading(
        30.0, undulations, amplitude, block, indicator is Indicator.INSIDE, tilt, turns
    )
    factor = Setup.vee(block, indicator, tilt).factor(undulations)
    expected = amplitude * (factor * np.exp(1j * undulations * turns)).real
    # Second order in the amplitude and the spacing of the simulated points: below 1e-3 of it.
    assert read == pytest.approx(expected, abs=2e-3 * amplitude)


@pytest.mark.parametrize("block", [40.0, 72.0, 90.0, 150.0])
def test_eccentricity_drops_out(block):
    for setup in (
        Setup.vee(block),
        Setup.vee(block, Indicator.INSIDE),
        Setup.vee(block, tilt_deg=10),
    ):
        t1, t2 = np.radians(setup.contacts_deg())
        a1, a2 = np.linalg.solve([[np.cos(t1), np.cos(t2)], [np.sin(t1), np.sin(t2)]], [1.0, 0.0])
        assert 1 - a1 * np.exp(1j * t1) - a2 * np.exp(1j * t2) == pytest.approx(0.0, abs=1e-12)
        assert setup.factor(1) == 0.0


def test_roundness_needs_the_undulation():
    assert roundness_if(Setup.vee(90.0), 8.0, 3) == pytest.approx(4.0)
    assert roundness_if(Setup.vee(60.0), 8.0, 5) is None
    assert Setup.vee(60.0).invisible(15) == (2, 4, 5, 7, 8, 10, 11, 13, 14)
    assert Setup.vee(90.0).invisible(15) == (7, 9, 15)


def test_labels_say_the_set_up():
    assert (
        Setup.vee(90.0, tilt_deg=22.5).label == "vee 90°, indicator opposite the vee, leaning 22.5°"
    )
    assert TWO_POINT.label == "two-point"


@pytest.mark.parametrize(
    "call",
    [
        lambda: Setup.vee(0.0),
        lambda: Setup.vee(180.0),
        lambda: Setup.vee(120.0, Indicator.INSIDE, 30.0),
        lambda: TWO_POINT.factor(0),
        lambda: TWO_POINT.contacts_deg(),
        lambda: roundness_if(TWO_POINT, -1.0, 2),
    ],
)
def test_impossible_set_ups_are_refused(call):
    with pytest.raises(InputError):
        call()

"""The reduction to 20 °C: signs and sizes, against a published example and finite differences."""

from math import hypot, sqrt

import pytest

from seatproof.core.uncertainty.temperature import Body, contributions, correction_um

STEEL, BRONZE = 11.5e-6, 18e-6


def test_published_example():
    # A length of 500.035 mm at 23.7 °C, 11.7e-6/K, is 500.01335 mm at 20 °C.
    corrected = 500.035 + correction_um(500.035, Body(23.7, 11.7e-6), Body(20.0, 0.0)) / 1000
    assert corrected == pytest.approx(500.01335, abs=5e-6)  # mm


@pytest.mark.parametrize(
    ("shaft_c", "gauge_c", "expected_um"),
    [
        (30.0, 20.0, -11.5),  # a warm shaft is smaller at 20 °C
        (10.0, 20.0, +11.5),
        (20.0, 30.0, +11.5),  # a warm gauge shows too little
        (20.0, 10.0, -11.5),
        (31.0, 31.0, 0.0),  # both of steel at one temperature: nothing to correct
        (50.0, 20.0, -34.5),
    ],
)
def test_signs_and_sizes_at_100_mm_of_steel(shaft_c, gauge_c, expected_um):
    found = correction_um(100.0, Body(shaft_c, STEEL), Body(gauge_c, STEEL))
    assert found == pytest.approx(expected_um, abs=1e-9)


@pytest.mark.parametrize("shaft_c", [-5.0, 20.0, 48.0])
@pytest.mark.parametrize("gauge_c", [12.0, 20.0, 35.0])
def test_sensitivities_are_the_derivatives_of_the_correction(shaft_c, gauge_c):
    shaft, gauge = Body(shaft_c, STEEL), Body(gauge_c, BRONZE)
    rows = contributions(110.0, shaft, gauge, difference_k=0.5, expansion_per_kelvin=1e-6)
    step = 1e-3
    by_shaft = (
        correction_um(110.0, Body(shaft_c + step, STEEL), gauge)
        - correction_um(110.0, Body(shaft_c - step, STEEL), gauge)
    ) / (2 * step)
    by_gauge = (
        correction_um(110.0, shaft, Body(gauge_c - step, BRONZE))
        - correction_um(110.0, shaft, Body(gauge_c + step, BRONZE))
    ) / (2 * step)
    difference = min(by_shaft, by_gauge)  # both negative: the steeper of the two
    of_shaft, of_gauge = (
        (
            correction_um(110.0, Body(shaft_c, STEEL + a), Body(gauge_c, BRONZE + b))
            - correction_um(110.0, Body(shaft_c, STEEL - a), Body(gauge_c, BRONZE - b))
        )
        / 2e-8
        for a, b in ((1e-8, 0.0), (0.0, 1e-8))
    )
    assert [row.sensitivity for row in rows] == pytest.approx(
        [difference, of_shaft, of_gauge], rel=1e-6, abs=1e-3
    )
    assert [row.unit for row in rows] == ["K", "1/K", "1/K"]


def test_expansion_matters_only_away_from_20_degrees():
    at_20 = Body(20.0, STEEL)
    rows = contributions(100.0, at_20, at_20, difference_k=1.0, expansion_per_kelvin=1e-6)
    assert [row.standard_um for row in rows[1:]] == [0.0, 0.0]
    assert rows[0].standard_um == pytest.approx(1.15 / 3**0.5, abs=1e-12)


@pytest.mark.parametrize(("of_shaft", "of_gauge"), [(STEEL, BRONZE), (BRONZE, STEEL), (STEEL,) * 2])
def test_difference_covers_two_thermometers_that_err_independently(of_shaft, of_gauge):
    """Each within ±0.5 K: the noted difference has √2 of that; 100 mm, so 1e5 µm."""
    known = [0.5 * 1e5 * of_shaft / sqrt(3), 0.5 * 1e5 * of_gauge / sqrt(3)]
    row, *_ = contributions(
        100.0,
        Body(31.0, of_shaft),
        Body(24.0, of_gauge),
        difference_k=0.5 * sqrt(2),
        expansion_per_kelvin=0.0,
    )
    assert row.standard_um >= hypot(*known) * (1 - 1e-12)
    assert row.standard_um == pytest.approx(0.5 * sqrt(2) * 1e5 * max(of_shaft, of_gauge) / sqrt(3))

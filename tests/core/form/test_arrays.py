"""The gate for numbers: shapes, finiteness, and lengths out of all proportion."""

import numpy as np
import pytest

from seatproof.core.form.arrays import finite_points, finite_vector, paired_vectors
from seatproof.core.form.errors import InputError
from seatproof.core.form.line import fit_line
from seatproof.core.form.lsc import least_squares_circle
from seatproof.core.form.lsq_cylinder import least_squares_cylinder
from seatproof.core.form.mcc import minimum_circumscribed_circle
from seatproof.core.form.mic import maximum_inscribed_circle
from seatproof.core.form.mzc import minimum_zone_circle
from seatproof.core.form.zone_cylinder import minimum_zone_cylinder

TURN = np.radians(np.arange(0.0, 360.0, 30.0))
ROUND = np.column_stack([np.cos(TURN) * (1 + 1e-4 * (np.arange(12) % 3)), np.sin(TURN)])
SEAT = np.concatenate([np.column_stack([ROUND, np.full(12, z)]) for z in (0.0, 1.0, 3.0)])
CIRCLES = (
    least_squares_circle,
    minimum_zone_circle,
    minimum_circumscribed_circle,
    maximum_inscribed_circle,
)


@pytest.mark.parametrize("factor", [1e60, 1e200, 1e-60, 1e-200])
def test_lengths_of_no_unit_are_refused(factor):
    for fit in CIRCLES:
        with pytest.raises(InputError, match="unit"):
            fit(ROUND * factor)
    for fit in (least_squares_cylinder, minimum_zone_cylinder):
        with pytest.raises(InputError, match="unit"):
            fit(SEAT * factor)
    with pytest.raises(InputError, match="unit"):
        fit_line(np.arange(5) * factor, 50.0 + np.arange(5))


@pytest.mark.parametrize("factor", [1e49, 1e30, 1e-30, 1e-48])
def test_every_length_that_passes_is_evaluated(factor):
    for fit in CIRCLES:
        found, plain = (getattr(one, "circle", one) for one in (fit(ROUND * factor), fit(ROUND)))
        assert found.zone == pytest.approx(plain.zone * factor, rel=1e-9)
    assert least_squares_cylinder(SEAT * factor).zone == pytest.approx(
        least_squares_cylinder(SEAT).zone * factor, rel=1e-9
    )
    assert minimum_zone_cylinder(SEAT * factor).cylinder.zone == pytest.approx(
        minimum_zone_cylinder(SEAT).cylinder.zone * factor, rel=1e-6
    )
    line = fit_line(np.arange(5) * factor, 50.0 + np.arange(5))
    assert line.slope == pytest.approx(1.0 / factor)


def test_zeros_are_no_lengths_out_of_proportion():
    assert finite_vector([0.0, 0.0], "values").tolist() == [0.0, 0.0]
    assert finite_points([[0.0, 1e-200], [1.0, 2.0]], 2).shape == (2, 2)


@pytest.mark.parametrize(
    "values", [["a"], [None], [[1.0]], [float("nan")], [float("inf")], [1e400]]
)
def test_what_is_no_number_is_refused(values):
    with pytest.raises(InputError):
        finite_vector(values, "values")


def test_partners_must_match():
    with pytest.raises(InputError, match="partner"):
        paired_vectors([1.0], "angles", [1.0, 2.0], "radii")

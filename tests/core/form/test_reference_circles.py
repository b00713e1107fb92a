"""Every circle of the reference collection, each result within the tolerance in its file."""

import numpy as np
import pytest

from seatproof.core.form.errors import FormError
from seatproof.core.form.lsc import least_squares_circle
from seatproof.core.form.mcc import minimum_circumscribed_circle
from seatproof.core.form.mic import maximum_inscribed_circle
from seatproof.core.form.mzc import minimum_zone_circle


def test_least_squares_circle_meets_the_reference(circle_set):
    expected, tolerance = circle_set.reference["lsc"], circle_set.tolerance
    if expected is None:
        with pytest.raises(FormError):
            least_squares_circle(circle_set.points)
        return
    fit = least_squares_circle(circle_set.points)
    centre = np.hypot(fit.centre_x - expected["cx"], fit.centre_y - expected["cy"])
    assert centre <= tolerance["lsc_centre_abs"]
    assert fit.radius == pytest.approx(expected["r"], abs=tolerance["lsc_r_abs"], rel=0)
    for got, key in (
        (fit.zone, "zone"),
        (fit.peak, "ronp"),
        (fit.valley, "ronv"),
        (fit.rms, "ronq"),
    ):
        assert got == pytest.approx(expected[key], abs=tolerance["zone_abs"], rel=0), key


def test_minimum_zone_meets_the_reference(circle_set):
    expected, tolerance = circle_set.reference["mzc"], circle_set.tolerance
    if expected is None:
        with pytest.raises(FormError):
            minimum_zone_circle(circle_set.points)
        return
    fit = minimum_zone_circle(circle_set.points)
    assert fit.circle.zone == pytest.approx(expected["zone"], abs=tolerance["zone_abs"], rel=0)
    assert fit.r_out - fit.r_in == pytest.approx(fit.circle.zone, abs=tolerance["zone_abs"], rel=0)
    if "mzc_centre_abs" in tolerance:
        away = np.hypot(fit.circle.centre_x - expected["cx"], fit.circle.centre_y - expected["cy"])
        assert away <= tolerance["mzc_centre_abs"]
    assert fit.proof.is_global
    if expected.get("growth"):
        assert fit.centre_unique == expected["centre_unique"]
    if expected.get("growth") is not None:
        # Growth depends on which near-ties count as contacts, so only its size is compared.
        assert fit.growth == pytest.approx(expected["growth"], rel=0.03)


def test_minimum_zone_proof_stands_by_itself(firm_circle_set):
    points = firm_circle_set.points
    fit = minimum_zone_circle(points)
    centre = np.array([fit.circle.centre_x, fit.circle.centre_y])
    proof = fit.proof
    assert min(*proof.outer_weights, *proof.inner_weights) >= 0
    unit = {}
    for index in (*proof.outer, *proof.inner):
        away = points[index] - centre
        unit[index] = away / np.hypot(*away)
    outer = sum(w * unit[i] for w, i in zip(proof.outer_weights, proof.outer, strict=True))
    inner = sum(w * unit[i] for w, i in zip(proof.inner_weights, proof.inner, strict=True))
    assert np.hypot(*(outer - inner)) < 1e-6
    angle = {index: np.arctan2(*direction[::-1]) for index, direction in unit.items()}
    order = sorted(unit, key=angle.__getitem__)
    sides = ["out" if index in proof.outer else "in" for index in order]
    assert sides in (["out", "in", "out", "in"], ["in", "out", "in", "out"])
    slack = 1e-12 * fit.circle.radius
    distance = np.hypot(*(points - centre).T)
    for index in proof.outer:
        assert distance[index] == pytest.approx(np.max(distance), abs=slack)
    for index in proof.inner:
        assert distance[index] == pytest.approx(np.min(distance), abs=slack)


def test_minimum_circumscribed_circle_meets_the_reference(circle_set):
    expected, tolerance = circle_set.reference["mcc"], circle_set.tolerance
    fit = minimum_circumscribed_circle(circle_set.points)
    assert fit.radius == pytest.approx(expected["r"], abs=tolerance["zone_abs"], rel=0)
    assert fit.zone == pytest.approx(expected["zone"], abs=tolerance["zone_abs"], rel=0)


def test_maximum_inscribed_circle_meets_the_reference(circle_set):
    expected, tolerance = circle_set.reference["mic"], circle_set.tolerance
    if expected is None or not expected["defined"]:
        with pytest.raises(FormError):
            maximum_inscribed_circle(circle_set.points)
        return
    fit = maximum_inscribed_circle(circle_set.points)
    assert fit.circle.radius == pytest.approx(expected["r"], abs=tolerance["zone_abs"], rel=0)
    assert fit.centre_unique == expected["centre_unique"]
    if expected["centre_unique"]:
        zone = pytest.approx(expected["zone"], abs=tolerance["zone_abs"], rel=0)
        assert fit.circle.zone == zone


@pytest.mark.parametrize(
    ("name", "fit", "cx", "cy", "r", "digits"),
    [
        # Published in a least-squares cookbook, 7 digits.
        ("cookbook_circle_arc_6pts", least_squares_circle, 9.88757, 3.6875, 27.35044, 6e-6),
        ("cookbook_circle_full_6pts", least_squares_circle, 10.50009, 9.65995, 23.33353, 6e-6),
        # Gander, Golub, Strebel 1994.
        ("paper_gander_1994_6pts", least_squares_circle, 4.739782, 2.983533, 4.714226, 6e-7),
        # Right by construction of the points.
        ("pair_lsc_20", least_squares_circle, 0.3, -0.2, 25.0, 1e-12),
        ("pair_lsc_50", least_squares_circle, 12.5, 7.25, 80.0, 1e-12),
        # The tests of an open geometry library.
        (
            "geometry_mcc_4pts",
            minimum_circumscribed_circle,
            26284.84180271327,
            65267.114509082545,
            247.4360455914027,
            1e-9,
        ),
    ],
)
def test_published_circles_agree(reference_sets, name, fit, cx, cy, r, digits):
    found = fit(reference_sets[name].points)
    assert (found.centre_x, found.centre_y, found.radius) == pytest.approx((cx, cy, r), abs=digits)


def test_constructed_minimum_zone_is_found(reference_sets):
    found = minimum_zone_circle(reference_sets["pair_mzc_interlaced_30"].points)
    centre = (found.circle.centre_x, found.circle.centre_y)
    assert (*centre, found.r_out, found.r_in) == pytest.approx(
        (1.5, -2.5, 50.004, 49.996), abs=1e-12
    )

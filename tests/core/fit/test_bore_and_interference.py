"""Bores by class, and interference with its range, against tables and hand-made numbers."""

from decimal import Decimal
from math import inf, nan, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from seatproof.core.fit.bore import BORE_CLASSES, Bore, bore_by_class, measured_bore
from seatproof.core.fit.errors import BoreClassError, BoreTableError, DimensionError
from seatproof.core.fit.interference import SeatSize, Warmth, interference
from seatproof.core.limits.iso286 import class_limits

# ISO 492, mean bore deviation, lower limits in µm; the upper limit is 0.
TABLE = {
    "normal": {18: -8, 30: -10, 50: -12, 80: -15, 120: -20, 180: -25, 250: -30},
    "6": {18: -7, 30: -8, 50: -10, 80: -12, 120: -15, 180: -18, 250: -22},
    "5": {18: -5, 30: -6, 50: -8, 80: -9, 120: -10, 180: -13, 250: -15},
}
STEPS = [18, 30, 50, 80, 120, 180, 250]


@pytest.mark.parametrize("bore_class", BORE_CLASSES)
@pytest.mark.parametrize("up_to", STEPS)
def test_bore_limits_of_a_class(bore_class, up_to):
    lower = Decimal(TABLE[bore_class][up_to]) / 1000
    at_the_end = bore_by_class(Decimal(up_to), bore_class)
    assert (at_the_end.lower_mm, at_the_end.upper_mm) == (up_to + lower, Decimal(up_to))
    if up_to < 250:
        beyond = STEPS[STEPS.index(up_to) + 1]
        nominal = Decimal(up_to) + Decimal("0.001")
        width = (
            bore_by_class(nominal, bore_class).upper_mm
            - bore_by_class(nominal, bore_class).lower_mm
        )
        assert width == Decimal(-TABLE[bore_class][beyond]) / 1000


def test_source_says_that_the_bore_was_not_measured_and_is_metric():
    assert "not measured" in bore_by_class(Decimal(100), "6").source
    assert "inch" not in bore_by_class(Decimal("17.5"), "6").source
    assert "inch bore is made to another table" in bore_by_class(Decimal("100.0125"), "6").source


@pytest.mark.parametrize("nominal", ["2.5", "250.001", "0", "NaN", "1000"])
def test_bore_outside_the_table_asks_for_its_limits(nominal):
    with pytest.raises(BoreTableError, match="State the bore's limits"):
        bore_by_class(Decimal(nominal), "normal")


def test_unknown_bore_class_names_those_there_are():
    with pytest.raises(BoreClassError, match="normal, 6, 5") as caught:
        bore_by_class(Decimal(100), "P6")
    assert caught.value.available == ("normal", "6", "5")


def test_measured_bore_lies_within_its_uncertainty():
    bore = measured_bore(Decimal("99.991"), Decimal("0.002"))
    assert (bore.lower_mm, bore.upper_mm) == (Decimal("99.989"), Decimal("99.993"))
    with pytest.raises(DimensionError, match="uncertainty"):
        measured_bore(Decimal("99.991"), Decimal("-0.002"))


@pytest.mark.parametrize(("lower", "upper"), [("0", "1"), ("2", "1"), ("NaN", "1"), ("1", "NaN")])
def test_bore_that_cannot_be_is_refused(lower, upper):
    with pytest.raises(DimensionError, match="bore"):
        Bore(Decimal(lower), Decimal(upper), "test")


def test_range_and_estimate_of_a_measured_seat():
    # Shaft 100 +24 ± 2.6 µm, bore 0/−20: (24 − 2.6) − 0 and (24 + 2.6) + 20;
    # middle 24 + 10, give or take √(2.6² + 10²) = 10.33.
    found = interference(
        SeatSize(100.024, 100.024, 100.024, 0.0026), bore_by_class(Decimal(100), "normal")
    )
    assert found.least_um == pytest.approx(21.4, abs=1e-6)
    assert found.most_um == pytest.approx(46.6, abs=1e-6)
    assert found.probable_um == pytest.approx(34.0, abs=1e-6)
    assert found.give_or_take_um == pytest.approx(sqrt(2.6**2 + 10**2), abs=1e-6)


# Ranges by design at 100 mm against 0/−20, from the limits of ISO 286: shaft − bore.
@pytest.mark.parametrize(
    ("shaft", "least", "most"),
    [
        ("g6", -34, 8),
        ("h6", -22, 20),
        ("j6", -9, 33),
        ("k6", 3, 45),
        ("m6", 13, 55),
        ("n6", 23, 65),
        ("p6", 37, 79),
    ],
)
def test_design_ranges_of_shaft_classes(shaft, least, most):
    limits = class_limits(Decimal(100), shaft)
    low, high = float(limits.min_mm), float(limits.max_mm)
    found = interference(
        SeatSize(low, high, (low + high) / 2, 0.0), bore_by_class(Decimal(100), "normal")
    )
    assert found.least_um == pytest.approx(least, abs=1e-6)
    assert found.most_um == pytest.approx(most, abs=1e-6)


def test_one_temperature_and_one_steel_change_nothing():
    bore = bore_by_class(Decimal(100), "normal")
    size = SeatSize(100.01, 100.02, 100.014, 0.003)
    assert interference(size, bore, Warmth(75.0, 75.0)) == interference(size, bore)


def test_ring_warmer_than_the_shaft_is_looser():
    # 11.5e-6 · 15 K · 99.99 mm = 17.25 µm.
    assert Warmth(60.0, 75.0).added_um(99.99) == pytest.approx(-17.248, abs=1e-3)


def test_shaft_that_expands_more_is_tighter_when_both_are_warm():
    # (17 − 11.5)e-6 · 50 K · 100 mm = 27.5 µm.
    assert Warmth(70.0, 70.0, 17e-6, 11.5e-6).added_um(100.0) == pytest.approx(27.5, abs=1e-9)


sizes = st.floats(20.0, 240.0)


@given(sizes, st.floats(0, 0.05), st.floats(0, 1), st.floats(0, 0.01))
def test_estimate_lies_in_its_range(smallest, spread, share, expanded):
    bore = Bore(Decimal(100), Decimal("100.02"), "test")
    size = SeatSize(smallest, smallest + spread, smallest + share * spread, expanded)
    found = interference(size, bore)
    assert found.least_um <= found.probable_um + 1e-6
    assert found.probable_um <= found.most_um + 1e-6
    bigger = SeatSize(
        *(v + 0.001 for v in (size.smallest_mm, size.largest_mm, size.mean_mm)), expanded
    )
    assert interference(bigger, bore).least_um == pytest.approx(found.least_um + 1.0, abs=1e-6)


@pytest.mark.parametrize(
    "arguments",
    [
        (0.0, 1.0, 0.5, 0.1),
        (2.0, 1.0, 1.5, 0.1),
        (1.0, 2.0, 3.0, 0.1),
        (1.0, inf, 1.5, 0.1),
        (nan, 1.0, 1.0, 0.1),
        (1.0, 2.0, 1.5, -0.1),
        (1.0, 2.0, 1.5, nan),
    ],
)
def test_sizes_that_are_none_are_refused(arguments):
    with pytest.raises(DimensionError, match="shaft"):
        SeatSize(*arguments)


@pytest.mark.parametrize(
    "arguments", [(-300.0,), (20.0, nan), (20.0, 2000.0), (20.0, 20.0, -1e-6), (20, 20, 0, 1.0)]
)
def test_impossible_temperatures_and_expansions_are_refused(arguments):
    with pytest.raises(DimensionError, match="of the"):
        Warmth(*arguments)

"""What good plans mean: exact lengths, limits, points, and the order of the walk."""

from decimal import Decimal

import pytest

from seatproof.core.files import example
from seatproof.core.plan.fields import length_text
from seatproof.core.plan.file import load_plan, parse_plan
from seatproof.core.plan.seat import FormTolerance
from seatproof.core.units import Unit


def test_kiln_fan_plan_is_read():
    plan = load_plan(example("kiln_fan.toml"))
    seat = plan.seat("A")
    assert plan.unit is Unit.MM
    assert plan.shaft.length_mm == 910
    assert plan.shaft.largest_diameter_mm == 140
    assert plan.shaft.steps()[2] == (150, 210, 110)
    # ISO 286-2: 110 k6 is +25/+3 µm.
    assert seat.limits_mm == (Decimal("110.003"), Decimal("110.025"))
    assert seat.stations_mm == (158, 169, 180, 191, 202)
    assert seat.orientations_deg == (0, 30, 60, 90, 120, 150)
    assert seat.to_mm == 210
    assert len(plan.points()) == 60


def test_inch_plan_is_exact_in_millimetres():
    plan = load_plan(example("screw_pump.toml"))
    seat = plan.seat("L")
    # By hand, 1 in = 25.4 mm: 3 15/16 in = 100.0125 mm; h7 over 80 up to 120 mm is 0/-35 µm.
    assert seat.nominal_mm == Decimal("100.0125")
    assert seat.limits_mm == (Decimal("99.9775"), Decimal("100.0125"))
    assert (seat.from_mm, seat.to_mm) == (Decimal("38.1"), Decimal("107.95"))
    assert seat.stations_mm == (Decimal("44.45"), Decimal("73.025"), Decimal("101.6"))
    assert seat.taper is not None
    assert seat.taper.tolerance == Decimal("0.01524")
    assert plan.stated_uncertainty.expanded_mm == Decimal("0.00381")
    assert plan.shaft.expansion_per_kelvin == Decimal("11.5e-6")  # no length, so not converted


def test_stated_sizes_are_the_limits(plan_of):
    text = plan_of(limits='upper_size = 100.01\nlower_size = "99.995"')
    (seat,) = parse_plan(text).seats
    assert seat.limits_mm == (Decimal("99.995"), Decimal("100.01"))


def test_stated_sizes_serve_beyond_the_tables(plan_of):
    text = plan_of(nominal=4000, limits="upper_size = 4000.1\nlower_size = 3999.9")
    assert parse_plan(text).seats[0].limits_mm[1] == Decimal("4000.1")


@pytest.mark.parametrize(
    ("stations", "edge", "at_mm"),
    [
        (1, 0, [30]),
        (1, 30, [30]),
        ([30], 30, [30]),
        (2, 5, [5, 55]),
        (4, 0, [0, 20, 40, 60]),
        ([50, 10], 10, [50, 10]),  # the order of the plan is the order of measuring
    ],
)
def test_stations_are_spread_over_what_can_be_measured(plan_of, stations, edge, at_mm):
    (seat,) = parse_plan(plan_of(stations=stations, more=f"edge_exclusion = {edge}")).seats
    assert list(seat.stations_mm) == at_mm


@pytest.mark.parametrize("stations", range(2, 101))
def test_first_and_last_station_are_the_ends_themselves(plan_of, stations):
    """A rounded step once carried the last one beyond the seat, and the plan was refused."""
    changes = {"unit": "in", "nominal": 4, "shaft_length": 3, "length": "2.31073"}
    (seat,) = parse_plan(plan_of(stations=stations, **changes)).seats
    assert seat.stations_mm[0] == 0
    assert seat.stations_mm[-1] == Decimal("2.31073") * Decimal("25.4")


def test_orientations_are_spread_over_half_a_turn(plan_of):
    (seat,) = parse_plan(plan_of(orientations=4)).seats
    assert list(seat.orientations_deg) == [0, 45, 90, 135]


def test_walk_goes_station_by_station_or_orientation_by_orientation(plan_of):
    changes = {"stations": [10, 50], "orientations": [0, 45, 90]}
    by_station = [str(point.key) for point in parse_plan(plan_of(**changes)).points()]
    assert by_station == ["A 1/1", "A 1/2", "A 1/3", "A 2/1", "A 2/2", "A 2/3"]
    other = parse_plan(plan_of(walk="orientation by orientation", **changes)).points()
    assert [str(point.key) for point in other] == [
        "A 1/1", "A 2/1", "A 1/2", "A 2/2", "A 1/3", "A 2/3",
    ]  # fmt: skip
    assert [(point.z_mm, point.angle_deg) for point in other[:3]] == [(10, 0), (50, 0), (10, 45)]


def test_unknown_seat_is_a_key_error(plan_of):
    with pytest.raises(KeyError):
        parse_plan(plan_of()).seat("Z")


@pytest.mark.parametrize(
    ("tolerance", "sense", "radial_um", "diametral_um"),
    [
        # IT5 over 80 up to 120 mm is 15 µm (ISO 286-1, Table 1).
        ("IT5/2", "radial", 7.5, 15.0),
        ("it5", "diametral", 7.5, 15.0),
        (0.008, "radial", 8.0, 16.0),
        ("0.008", "diametral", 4.0, 8.0),
    ],
)
def test_form_tolerance_has_both_senses(tolerance, sense, radial_um, diametral_um):
    form = FormTolerance.model_validate({"tolerance": tolerance, "sense": sense})
    assert form.radial_um(Decimal(110)) == pytest.approx(radial_um, abs=1e-12)
    assert form.diametral_um(Decimal(110)) == pytest.approx(diametral_um, abs=1e-12)


def test_length_text_has_no_endless_inch_decimals():
    assert length_text(Decimal("99.9775"), Unit.INCH) == "3.936122047 in"
    assert length_text(Decimal("1E+2"), Unit.MM) == "100 mm"

"""What a kept plan asks for, in words."""

from seatproof.core.files import example
from seatproof.core.plan.file import parse_plan
from seatproof.gui.plans.description import description
from seatproof.gui.shared.saying import use_language


def plan(name):
    return parse_plan(example(name).read_text())


def test_size_points_and_form_of_every_seat_are_told():
    text = description(plan("kiln_fan.toml"))
    assert "Drying-kiln fan, main shaft, version 1" in text
    assert "Seat A, Coupling side, locating bearing: ⌀ 110 mm k6" in text
    assert "110.003 mm to 110.025 mm, judged by: local sizes" in text  # ISO 286-2: +25 / +3 µm
    assert "stations at: 158, 169, 180, 191, 202 mm" in text
    assert "60 points; station by station" in text


def test_a_plan_in_inches_with_fitting_steps():
    text = description(plan("screw_pump.toml"))
    assert "⌀ 3.9375 in" in text
    assert "Fitting steps: " in text


def test_it_is_told_in_the_language_of_the_window_with_its_figures():
    use_language("de")
    text = description(plan("kiln_fan.toml"))
    assert "Sitz A, Coupling side, locating bearing: ⌀ 110 mm k6" in text
    assert "110,003 mm bis 110,025 mm, beurteilt nach: örtliche Maße" in text
    assert "Messebenen bei: 158; 169; 180; 191; 202 mm" in text
    assert "60 Punkte; Ebene für Ebene" in text
    assert "Rundheit: IT5/2 = 7,5 µm (radial)" in text  # ISO 286-1: IT5 at 110 is 15 µm

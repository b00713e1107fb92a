"""A seat measured in several ways is drawn once, and one without a size says so."""

from seatproof.core.drawing.end_view import end_view
from seatproof.core.drawing.shaft import side_elevation
from seatproof.core.drawing.shapes import Text
from seatproof.core.plan.file import parse_plan

FURTHER = """
[[seat]]
id = "A-vee"
name = "First seat in the vee"
same_seat_as = "A"
method = "vee"
vee_angle_deg = 90
from = 0
length = 60
nominal = 100
stations = [30]
orientations = 12
"""


def texts(drawing):
    return [shape.text for shape in drawing.shapes if isinstance(shape, Text)]


def test_further_set_adds_nothing_to_the_elevation(plan_of):
    alone, both = (
        side_elevation(parse_plan(text), 600, 300, 9) for text in (plan_of(), plan_of() + FURTHER)
    )
    assert texts(both) == texts(alone)


def test_seat_without_a_size_has_its_nominal_in_brackets(plan_of):
    plan = parse_plan(plan_of(limits='method = "radial"'))
    assert "A  (⌀100)" in texts(side_elevation(plan, 600, 300, 9))


def test_end_view_shows_all_orientations_of_a_radial_set(plan_of):
    plan = parse_plan(plan_of(limits='method = "radial"', orientations="[0, 90, 200]"))
    assert any("200" in text for text in texts(end_view(plan, plan.seats[0], 300, 300, 9)))

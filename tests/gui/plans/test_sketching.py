"""Whatever is typed, the drawing goes on."""

from hypothesis import given
from hypothesis import strategies as st

from seatproof.core.drawing.end_view import end_view
from seatproof.core.drawing.shaft import side_elevation
from seatproof.core.files import example
from seatproof.core.units import Unit
from seatproof.gui.plans.draft import blank, blank_seat, read_draft, toml_data
from seatproof.gui.plans.sketching import sketch_of

TEXT = st.sampled_from(["", "0", "1", "5", "60", "110", "1o", "-3", "0, 90", "99999", "k6", "1/3"])
KEYS = (
    "from", "length", "nominal", "tolerance_class", "stations", "orientations",
    "edge_exclusion", "lower_size", "upper_size",
)  # fmt: skip
SEAT = st.fixed_dictionaries(dict.fromkeys(KEYS, TEXT))
SECTION = st.fixed_dictionaries({"length": TEXT, "diameter": TEXT})


@given(st.lists(SECTION, max_size=3), st.lists(SEAT, max_size=3), st.sampled_from(["A", "B"]))
def test_any_draft_can_be_drawn_or_says_that_it_cannot(sections, seats, name):
    draft = blank()
    draft["shaft"]["section"] = sections
    draft["seat"] = [blank_seat(name) | seat for seat in seats]
    sketch = sketch_of(toml_data(draft), Unit.MM)
    if sketch is not None and sketch.seats:
        assert side_elevation(sketch, 500, 300, 9).shapes
        assert end_view(sketch, sketch.seats[0], 300, 250, 9).shapes


def test_a_half_written_seat_keeps_its_size_on_the_drawing():
    draft = read_draft(example("kiln_fan.toml").read_text())
    draft["seat"][0]["edge_exclusion"] = "40"
    sketch = sketch_of(toml_data(draft), Unit.MM)
    assert [seat.tolerance_class for seat in sketch.seats] == ["k6", "k6"]
    draft["seat"][0]["tolerance_class"] = "k"
    sketch = sketch_of(toml_data(draft), Unit.MM)
    assert [seat.tolerance_class for seat in sketch.seats] == [None, "k6"]

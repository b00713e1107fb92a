"""Plans as typed text, and back."""

import pytest

from seatproof.core.files import example
from seatproof.core.plan.file import parse_plan
from seatproof.gui.plans.draft import blank, blank_seat, read_draft, seat_of_section, toml_data
from seatproof.gui.plans.editor import PlanEditor


@pytest.mark.parametrize("name", ["kiln_fan.toml", "screw_pump.toml"])
def test_a_plan_that_is_only_looked_at_keeps_its_text(name):
    text = example(name).read_text()
    editor = PlanEditor(read_draft(text), text)
    assert editor.findings == ()
    assert editor.text == text
    assert not editor.is_changed


def test_the_spelling_of_fractions_stays_while_one_edits():
    draft = read_draft(example("screw_pump.toml").read_text())
    assert draft["seat"][0]["nominal"] == "3 15/16"
    assert draft["shaft"]["expansion_per_kelvin"] == "0.0000115"


def test_without_an_original_the_same_plan_comes_out():
    text = example("screw_pump.toml").read_text()
    editor = PlanEditor(read_draft(text))
    assert parse_plan(editor.text) == parse_plan(text)


LISTS = {
    "5": 5,
    "158, 180, 202": ["158", "180", "202"],
    "158 180.5 202": ["158", "180.5", "202"],
    "3 15/16; 4": ["3 15/16", "4"],
    "": None,
}


@pytest.mark.parametrize(("typed", "meant"), LISTS.items())
def test_counts_and_lists(typed, meant):
    draft = blank()
    draft["seat"] = [blank_seat("A") | {"stations": typed}]
    assert toml_data(draft)["seat"][0].get("stations") == meant


def test_what_a_choice_hides_is_kept_while_writing_and_left_out_of_the_plan():
    draft = blank()
    draft["seat"] = [blank_seat("A") | {"tolerance_class": "k6", "method": "radial"}]
    assert "tolerance_class" not in toml_data(draft)["seat"][0]
    draft["seat"][0]["method"] = "two-point"
    assert toml_data(draft)["seat"][0]["tolerance_class"] == "k6"


def test_a_sense_without_a_figure_is_no_tolerance():
    draft = blank()
    draft["seat"] = [blank_seat("A") | {"roundness": {"tolerance": "", "sense": "radial"}}]
    assert "roundness" not in toml_data(draft)["seat"][0]


def test_a_seat_takes_its_place_from_the_outline():
    draft = blank()
    draft["shaft"]["section"] = [
        {"length": "140", "diameter": "95"},
        {"length": "10.5", "diameter": "105"},
        {"length": "60", "diameter": "110"},
    ]
    seat = seat_of_section(draft, 2)
    assert (seat["from"], seat["length"], seat["nominal"]) == ("150.5", "60", "110")
    assert seat["edge_exclusion"] == "6"


@pytest.mark.parametrize(
    ("unit", "length", "edge"),
    [
        ("mm", "60", "6"),
        ("mm", "37.5", "3.75"),
        ("mm", "12", "2"),  # at least 2 mm
        ("mm", "6", "1.5"),  # 2 mm would be a third of it
        ("in", "3 15/16", "0.39375"),
        ("in", "1/2", "0.08"),
        ("mm", "6o", ""),
        ("mm", "0", ""),
    ],
)
def test_a_new_seat_leaves_out_its_edges(unit, length, edge):
    draft = blank()
    draft["plan"]["unit"] = unit
    draft["shaft"]["section"] = [{"length": length, "diameter": "110"}]
    seat = seat_of_section(draft, 0)
    assert seat["edge_exclusion"] == edge
    draft["seat"] = [seat]
    assert toml_data(draft)["seat"][0].get("edge_exclusion", "") == edge
    assert "edge_is_proposed" not in toml_data(draft)["seat"][0]

"""The editor's model: what is wrong where, suggestions, undo, and versions that stay."""

import pytest

from seatproof.core.files import example
from seatproof.core.plan.file import parse_plan
from seatproof.gui.plans.draft import blank, read_draft
from seatproof.gui.plans.editor import PlanEditor


@pytest.fixture
def kiln_fan():
    text = example("kiln_fan.toml").read_text()
    return PlanEditor(read_draft(text), text)


WRONG = [
    (("seat", 1, "stations"), "827, 900", ("seat", 1, "stations"), "900 mm lies outside"),
    (("seat", 0, "tolerance_class"), "K6", ("seat", 0, "tolerance_class"), "a class for holes"),
    (("seat", 0, "edge_exclusion"), "40", ("seat", 0, "edge_exclusion"), "leaves nothing"),
    (("seat", 0, "orientations"), "0, 200", ("seat", 0, "orientations"), "below 180°"),
    (("seat", 0, "roundness", "tolerance"), "IT99", ("seat", 0, "roundness", "tolerance"), "IT99"),
    (("seat", 0, "repeats"), "many", ("seat", 0, "repeats"), "whole number"),
    (("seat", 0, "nominal"), "108", ("seat", 0), "outline is 110 mm"),
    (("shaft", "section", 2, "diameter"), "11o", ("shaft", "section", 2, "diameter"), "11o"),
    (("shaft", "keyway", 0, "depth"), "80", ("shaft",), "leaves nothing"),
    (("uncertainty", "expanded"), "3 um", ("uncertainty", "expanded"), "leave out the unit"),
    (("decision", "probability"), "2", ("decision", "probability"), "0.999 or less"),
    (("plan", "title"), "", ("plan", "title"), "filled in"),
]


@pytest.mark.parametrize(("path", "value", "at", "says"), WRONG)
def test_what_is_wrong_is_told_at_its_field(kiln_fan, path, value, at, says):
    kiln_fan.put(path, value)
    (finding,) = kiln_fan.findings
    assert finding.path == at
    assert says in finding.sentence
    assert "_" not in finding.sentence
    assert kiln_fan.plan is None
    with pytest.raises(ValueError, match="not whole"):
        _ = kiln_fan.text


def test_fitting_steps_are_told_by_stage():
    text = example("screw_pump.toml").read_text()
    editor = PlanEditor(read_draft(text), text)
    editor.put(("fitting", 2, "stage", 1, "target"), "")
    (finding,) = editor.findings
    assert finding.path[:4] == ("fitting", 2, "stage", 1)


def test_comments_outlive_a_change(kiln_fan):
    kiln_fan.put(("seat", 0, "edge_exclusion"), "9")
    assert "# fillet, chamfer and half the width" in kiln_fan.text
    assert parse_plan(kiln_fan.text).seat("A").edge_exclusion_mm == 9


def test_limits_come_at_once_and_suggestions_with_them(kiln_fan):
    assert kiln_fan.limits_words(0) == "k6: 110.003 to 110.025 mm  (+3.0 µm to +25.0 µm)"
    kiln_fan.put(("seat", 0, "tolerance_class"), "m5")
    # ISO 286-2: 110 m5 is +28 / +13 µm
    assert kiln_fan.limits_words(0) == "m5: 110.013 to 110.028 mm  (+13.0 µm to +28.0 µm)"
    kiln_fan.use(0, kiln_fan.suggestions(0)[0])
    assert parse_plan(kiln_fan.text).seat("A").roundness.tolerance == "IT4/2"


def test_undo_takes_what_was_typed_into_one_field_together(kiln_fan):
    before = kiln_fan.text
    for text in ("9", "9.", "9.5"):
        kiln_fan.put(("seat", 0, "edge_exclusion"), text)
    kiln_fan.put(("seat", 1, "name"), "Other end")
    kiln_fan.undo()
    assert kiln_fan.value(("seat", 0, "edge_exclusion")) == "9.5"
    kiln_fan.undo()
    assert kiln_fan.text == before
    assert not kiln_fan.can_undo


def test_a_version_that_was_used_is_not_written_over():
    text = example("kiln_fan.toml").read_text()

    def why_fixed(title, version, now):
        return "It stays." if version == "1" and now != text else ""

    editor = PlanEditor(read_draft(text), text, why_fixed)
    assert editor.plan is not None
    editor.put(("seat", 0, "repeats"), "2")
    assert [(one.path, one.sentence) for one in editor.findings] == [
        (("plan", "version"), "It stays.")
    ]
    editor.put(("plan", "version"), "2")
    assert editor.plan is not None


def test_an_empty_plan_says_what_is_to_be_filled_in_and_nothing_is_called_wrong():
    editor = PlanEditor(blank())
    assert all(one.is_missing for one in editor.findings)
    assert [one.path[0] for one in editor.findings] == [
        "plan", "shaft", "shaft", "seat", "uncertainty", "uncertainty", "uncertainty",
    ]  # fmt: skip
    assert editor.sketch is None


def test_sections_change_places_and_go(kiln_fan):
    path = ("shaft", "section")
    kiln_fan.move_up(path, 1)
    assert kiln_fan.value((*path, 0, "diameter")) == "105"
    kiln_fan.remove(path, 0)
    assert kiln_fan.value((*path, 0, "diameter")) == "95"


def test_a_proposed_edge_follows_the_length_until_it_is_typed(kiln_fan):
    seat = ("seat", kiln_fan.add_seat())
    assert kiln_fan.value((*seat, "edge_exclusion")) == ""
    for length, edge in (("4", "1"), ("40", "4"), ("", ""), ("55", "5.5")):
        kiln_fan.put((*seat, "length"), length)
        assert kiln_fan.value((*seat, "edge_exclusion")) == edge
    kiln_fan.put((*seat, "edge_exclusion"), "7")
    kiln_fan.put((*seat, "length"), "60")
    assert kiln_fan.value((*seat, "edge_exclusion")) == "7"


def test_the_edge_of_a_seat_that_was_kept_stays(kiln_fan):
    before = kiln_fan.value(("seat", 0, "edge_exclusion"))
    kiln_fan.put(("seat", 0, "length"), "50")
    assert kiln_fan.value(("seat", 0, "edge_exclusion")) == before

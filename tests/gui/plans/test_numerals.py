"""Numbers as people of a language write them, while the plan's file keeps its points."""

import tomllib

import pytest

from seatproof.core.files import example
from seatproof.core.plan.file import parse_plan
from seatproof.gui.plans.draft import blank, blank_seat, proposed, read_draft, toml_data
from seatproof.gui.plans.editor import PlanEditor
from seatproof.gui.plans.numerals import joined, shown, split
from seatproof.gui.shared.saying import use_language


@pytest.mark.parametrize(
    ("text", "with_point", "with_comma"),
    [
        ("110.012", "110.012", "110,012"),
        ("-0.5", "-0.5", "-0,5"),
        ("3 15/16", "3 15/16", "3 15/16"),
        ("IT5/2", "IT5/2", "IT5/2"),
        ("60", "60", "60"),
    ],
)
def test_a_number_is_shown_with_the_sign_of_the_language(text, with_point, with_comma):
    assert shown(text) == with_point
    use_language("de")
    assert shown(text) == with_comma


LISTS = {
    "158; 180,5; 202": ["158", "180.5", "202"],
    "158 180,5 202": ["158", "180.5", "202"],
    "158, 180, 202": ["158", "180", "202"],
    "158, 180,5": ["158", "180.5"],
    "0,60,120": ["0", "60", "120"],
    "22,5": ["22.5"],
    "22.5; 45": ["22.5", "45"],
    "3 15/16; 4": ["3 15/16", "4"],
    "158\n180,5": ["158", "180.5"],
}


@pytest.mark.parametrize(("typed", "meant"), LISTS.items())
@pytest.mark.parametrize("language", ["de", "es"])
def test_lists_where_the_decimal_sign_is_a_comma(language, typed, meant):
    use_language(language)
    assert split(typed) == meant
    assert split(joined(meant)) == meant


def test_bolts_are_names_and_no_numbers():
    use_language("de")
    draft = blank()
    draft["fitting"] = [{"id": "s", "kind": "torque", "text": "x", "bolts": "1,2,3,4"}]
    assert toml_data(draft)["fitting"][0]["bolts"] == ["1", "2", "3", "4"]


@pytest.mark.parametrize("name", ["kiln_fan.toml", "screw_pump.toml"])
@pytest.mark.parametrize("language", ["de", "es"])
def test_a_plan_that_is_only_looked_at_keeps_its_text(language, name):
    use_language(language)
    text = example(name).read_text()
    editor = PlanEditor(read_draft(text), text)
    assert editor.findings == ()
    assert editor.text == text


def test_what_is_typed_with_a_comma_stands_in_the_file_with_a_point():
    use_language("de")
    text = example("kiln_fan.toml").read_text()
    editor = PlanEditor(read_draft(text), text)
    assert editor.value(("uncertainty", "expanded")) == "0,003"
    editor.put(("uncertainty", "expanded"), "0,0025")
    editor.put(("seat", 0, "nominal"), "110,0")
    editor.put(("seat", 0, "edge_exclusion"), "8,25")
    editor.put(("seat", 0, "stations"), "160,5; 180; 200")
    editor.put(("seat", 0, "roundness", "tolerance"), "0,006")
    assert editor.limits_words(0) == "k6: 110,003 bis 110,025 mm  (+3,0 µm bis +25,0 µm)"
    data = tomllib.loads(editor.text)
    assert data["uncertainty"]["expanded"] == 0.0025
    assert data["seat"][0]["edge_exclusion"] == 8.25
    assert [float(z) for z in data["seat"][0]["stations"]] == [160.5, 180, 200]
    assert parse_plan(editor.text).seat("A").roundness.limit_um(110) == 6


def test_the_version_is_text_and_keeps_its_point():
    use_language("de")
    text = example("kiln_fan.toml").read_text().replace('version = "1"', 'version = "1.5"')
    assert read_draft(text)["plan"]["version"] == "1.5"
    editor = PlanEditor(read_draft(text), text)
    editor.put(("plan", "version"), "1,6")
    assert parse_plan(editor.text).heading.version == "1,6"


def test_a_proposed_edge_is_written_as_people_write():
    use_language("es")
    draft = blank()
    draft["shaft"]["section"] = [{"length": "37,5", "diameter": "110"}]
    editor = PlanEditor(draft)
    editor.add_seat_on(0)
    assert editor.value(("seat", 0, "edge_exclusion")) == "3,75"
    assert toml_data(draft)["seat"][0]["edge_exclusion"] == "3.75"


def test_a_new_plan_proposes_in_the_window_s_language_and_a_read_one_gains_nothing():
    use_language("de")
    assert proposed()["plan"]["language"] == "de"
    assert proposed()["shaft"]["name"] == "Welle"
    assert blank()["plan"]["language"] == "en"
    assert blank_seat("A")["name"] == "Seat A"


def test_what_is_wrong_is_said_where_it_is_shown_and_kept_in_english():
    from seatproof.gui.plans.bound import remark_of

    use_language("de")
    text = example("kiln_fan.toml").read_text()
    editor = PlanEditor(read_draft(text), text)
    editor.put(("seat", 0, "edge_exclusion"), "40,5")
    (finding,) = editor.findings
    assert finding.sentence.startswith("Edge exclusion 40.5 mm at both ends leaves nothing")
    assert remark_of(finding).sentence == (
        "40,5 mm an beiden Enden ausgelassen lässt nichts von einer Länge von 60 mm; "
        "kleiner machen."
    )

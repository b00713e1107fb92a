"""Plans written back: comments and spelling stay, only what changed is touched."""

import difflib
import errno
import os
import re
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from seatproof.core.plan.errors import PlanError
from seatproof.core.plan.file import parse_plan, render_plan, save_plan
from seatproof.core.plan.model import Plan
from seatproof.core.units import Unit


def changed_lines(old, new):
    """Return what a line comparison shows: lines taken away and lines put in."""
    lines = list(difflib.ndiff(old.splitlines(), new.splitlines()))
    return (
        [line[2:] for line in lines if line.startswith("- ")],
        [line[2:] for line in lines if line.startswith("+ ")],
    )


@pytest.fixture(params=["kiln_fan_toml", "screw_pump_toml"])
def example_toml(request):
    return request.getfixturevalue(request.param)


def test_unchanged_plan_gives_the_same_text(example_toml):
    assert render_plan(parse_plan(example_toml), example_toml) == example_toml


ODD_BUT_GOOD = """
format = 1 # written by hand
plan.title = "  Trial  "
plan.unit = "in"
plan.version = "1"
uncertainty = { expanded = 0.000_1, repeatability = 4e-5, basis = "b" }

[[seat]]
id = "A"
name = "n"
from = 0x1
length = 2.50
nominal = "3 15/16"
tolerance_class = "h7"
stations = 2
orientations = ["0", 22.50]
roundness = { tolerance = "it6", sense = "radial" }

[shaft]
name = "s" # a comment
datum_face = "f"
angular_datum = "a"
section = [{ length = 4, diameter = "3 15/16" }]
"""


def test_odd_spelling_stays_where_another_value_changes():
    changed = ODD_BUT_GOOD.replace('name = "s"', 'name = "t"')
    written = render_plan(parse_plan(changed), ODD_BUT_GOOD)
    assert changed_lines(ODD_BUT_GOOD, written) == (
        ['name = "s" # a comment'],
        ['name = "t" # a comment'],
    )


def test_list_within_a_line_can_be_changed():
    changed = ODD_BUT_GOOD.replace("length = 4,", "length = 4.5,")
    written = render_plan(parse_plan(changed), ODD_BUT_GOOD)
    assert parse_plan(written) == parse_plan(changed)
    assert 'tolerance = "it6"' in written


ONE_VALUE = [
    ('drawing = "LB-KF-0417 rev C"', 'drawing = "LB-KF-0417 rev D"'),
    ('walk = "station by station"', 'walk = "orientation by orientation"'),
    ("edge_exclusion = 8 # fillet", "edge_exclusion = 8.25 # fillet"),
    ("expanded = 0.003 # U of one", "expanded = 0.0035 # U of one"),
    ('tolerance = "IT5/2" # of the', "tolerance = 0.0075 # of the"),
    ("stations = [827, 837, 847, 857, 867]", "stations = [827, 847.5, 867]"),
    ("diameter = 118", "diameter = 118.5"),
    ("expansion_per_kelvin = 11.5e-6", "expansion_per_kelvin = 1.2e-5"),
    ('organisation = "Lehmkuhle Brickworks, maintenance"', 'organisation = "Werk 2 \\"Süd\\""'),
]


@pytest.mark.parametrize(("old", "new"), ONE_VALUE)
def test_one_changed_value_touches_just_its_line(kiln_fan_toml, old, new):
    assert kiln_fan_toml.count(old) == 1
    changed = kiln_fan_toml.replace(old, new)
    written = render_plan(parse_plan(changed), kiln_fan_toml)
    gone, come = changed_lines(kiln_fan_toml, written)
    assert len(gone) == len(come) == 1
    assert gone[0].startswith(old)
    assert come[0].partition("#")[2] == gone[0].partition("#")[2]
    assert parse_plan(written) == parse_plan(changed)


def test_values_no_longer_stated_lose_their_lines_only(kiln_fan_toml):
    line = 'instructions = "Maker\'s mounting instructions, as listed in the work order"\n'
    roundness = '[seat.roundness]\ntolerance = "IT5/2" # of the nominal size\nsense = "radial"\n'
    changed = kiln_fan_toml.replace(roundness, "")
    written = render_plan(parse_plan(changed), kiln_fan_toml)
    gone, come = changed_lines(kiln_fan_toml, written)
    assert [text for text in gone if text] == roundness.splitlines()
    assert come == []
    # A default needs no line, but one that is there says so.
    emptied = render_plan(parse_plan(kiln_fan_toml.replace(line, "")), kiln_fan_toml)
    assert changed_lines(kiln_fan_toml, emptied) == ([line.strip()], ['instructions = ""'])


def test_keyways_can_be_taken_away(kiln_fan_toml):
    changed = re.sub(r"\[\[shaft\.keyway\]\]\n(?:\w+ = .*\n)+", "", kiln_fan_toml)
    written = render_plan(parse_plan(changed), kiln_fan_toml)
    assert "keyway" not in re.sub(r"#.*|angular_datum.*", "", written)
    assert parse_plan(written).shaft.keyways == ()


def _parts(text):
    """Return head, seat A, seat B and tail of the kiln fan's plan."""
    first, second = (match.start() for match in re.finditer(r"\[\[seat\]\]", text))
    tail = text.index("[uncertainty]")
    return text[:first], text[first:second], text[second:tail], text[tail:]


THIRD = """[[seat]]
id = "C"
name = "Fan wheel"
from = 240
length = 30
nominal = 140
tolerance_class = "k6"
stations = 2
orientations = [0, 22.5]

[seat.roundness]
tolerance = 0.0075
sense = "radial"

"""


def test_seats_can_be_removed_added_and_put_in_another_order(kiln_fan_toml):
    head, a, b, tail = _parts(kiln_fan_toml)
    for wanted in (
        head + a + tail,
        head + b + tail,
        head + b + a + tail,
        head + THIRD + a + b + tail,
        head + a + b + THIRD + tail,
        head + b + THIRD + tail,
    ):
        written = render_plan(parse_plan(wanted), kiln_fan_toml)
        assert parse_plan(written) == parse_plan(wanted)
        # All comments of what was kept are there, in the order wanted.
        assert re.findall(r"#.*", written) == re.findall(r"#.*", wanted)
        # Every seat stands apart from what is before it.
        assert written.count("\n\n[[seat]]") == wanted.count("[[seat]]")


def test_plan_of_another_unit_keeps_its_numbers(plan_of):
    metric, inch = plan_of(nominal=2, length=2), plan_of(nominal=2, length=2, unit="in")
    fits = {"[10, 30, 50]": "[1, 1.5, 2]"}
    for old, new in fits.items():
        metric, inch = metric.replace(old, new), inch.replace(old, new)
    written = render_plan(parse_plan(inch), metric)
    assert changed_lines(metric, written) == (['unit = "mm"'], ['unit = "in"'])


def test_digits_beyond_a_float_are_kept(plan_of):
    old = plan_of(seat_from="0.100000000001", length="50.000000000001")
    new = old.replace("50.000000000001", "50.000000000002")
    assert changed_lines(old, render_plan(parse_plan(new), old))[1] == ["length = 50.000000000002"]


def test_original_that_is_no_plan_is_refused(plan_of):
    with pytest.raises(PlanError, match="to be rewritten"):
        render_plan(parse_plan(plan_of()), "format = 1")


# --- any plan -------------------------------------------------------------------------------------

numbers = st.decimals(min_value=Decimal("0.001"), max_value=Decimal(2), places=5)
names = st.text(
    st.characters(exclude_categories=("Cc", "Cs", "Zl", "Zp")), min_size=1, max_size=12
).filter(str.strip)


@st.composite
def forms(draw):
    return {
        "tolerance": draw(
            st.sampled_from(["IT5", "IT6/2"])
            | st.decimals(min_value=Decimal("0.00001"), max_value=Decimal("0.03"), places=6)
        ),
        "sense": draw(st.sampled_from(["radial", "diametral"])),
    }


@st.composite
def plans(draw):
    """Draw a plan as its file's values; lengths are such as a drawing has, in mm or inches."""
    unit = draw(st.sampled_from(["mm", "in"]))
    seats, sections, start = [], [], Decimal(0)
    for seat_id in draw(st.lists(st.from_regex(r"[A-Z][0-9_-]?", fullmatch=True), unique=True,
                                 min_size=1, max_size=3)):  # fmt: skip
        length, nominal = 1 + draw(numbers), 2 + draw(numbers)
        sections.append({"length": length, "diameter": nominal})
        seat = {
            "id": seat_id,
            "name": draw(names),
            "from": start,
            "length": length,
            "nominal": nominal,
            "stations": draw(
                st.integers(1, 6)
                | st.lists(st.sampled_from([0, 1, 2, 3]), unique=True, min_size=1).map(
                    lambda eighths, start=start, length=length: [
                        start + length * eighth / 8 for eighth in eighths
                    ]
                )
            ),
            "orientations": draw(
                st.integers(1, 8)
                | st.lists(
                    st.decimals(min_value=0, max_value=Decimal("179.99"), places=2),
                    unique=True, min_size=1, max_size=5,
                )
            ),
            "repeats": draw(st.integers(1, 20)),
            "ring": draw(st.sampled_from(["closed", "halves"])),
            "judged": draw(st.sampled_from(["local sizes", "station means", "overall mean"])),
        }  # fmt: skip
        if draw(st.booleans()):
            seat["tolerance_class"] = draw(st.sampled_from(["h6", "js7", "k6"]))
        else:
            seat["lower_size"] = nominal - Decimal("0.0013")
            seat["upper_size"] = nominal + Decimal("0.0021")
        for name in draw(st.sets(st.sampled_from(["roundness", "cylindricity", "taper"]))):
            seat[name] = draw(forms())
        if draw(st.booleans()):
            seat["odd_lobes"] = {"at_most": Decimal("0.00005"), "basis": draw(names)}
        seats.append(seat)
        start += length
    data = {
        "format": 1,
        "walk": draw(st.sampled_from(["station by station", "orientation by orientation"])),
        "plan": {
            "title": draw(names),
            "version": draw(names),
            "unit": unit,
            "remark": draw(st.sampled_from(["", "two\nlines"])),
        },
        "shaft": {
            "name": "s", "datum_face": draw(names), "angular_datum": "a", "section": sections,
        },
        "seat": seats,
        "uncertainty": {
            "expanded": Decimal("0.0001"), "repeatability": Decimal("0.00005"), "basis": "b",
        },
    }  # fmt: skip
    if draw(st.booleans()):
        data["decision"] = {"rule": "simple", "probability": Decimal("0.9")}
    return Plan.model_validate(data, context={"unit": Unit(unit)})


@settings(max_examples=80, deadline=None)
@given(plan=plans())
def test_every_plan_reads_back_as_it_was_written(plan):
    assert parse_plan(render_plan(plan)) == plan


@settings(max_examples=40, deadline=None)
@given(old=plans(), new=plans())
def test_every_plan_can_be_written_over_every_other(old, new):
    text = render_plan(old)
    assert parse_plan(render_plan(new, text)) == new
    assert render_plan(old, text) == text


# --- files ----------------------------------------------------------------------------------------


def test_saved_plan_is_read_back_and_nothing_else_is_left(kiln_fan_toml, tmp_path):
    path = tmp_path / "plan.toml"
    save_plan(parse_plan(kiln_fan_toml), path, original=kiln_fan_toml)
    assert path.read_bytes() == kiln_fan_toml.encode()
    assert list(tmp_path.iterdir()) == [path]


def test_saving_never_overwrites_unless_asked(plan_of, tmp_path):
    path = tmp_path / "plan.toml"
    path.write_text("mine", encoding="utf-8")
    plan = parse_plan(plan_of())
    with pytest.raises(PlanError, match="the file exists already; choose another name"):
        save_plan(plan, path)
    assert path.read_text(encoding="utf-8") == "mine"
    save_plan(plan, path, replace=True)
    assert parse_plan(path.read_text(encoding="utf-8")) == plan


@pytest.mark.parametrize("step", ["write", "fsync", "replace"])
def test_failed_saving_leaves_nothing_behind(plan_of, tmp_path, monkeypatch, step):
    path = tmp_path / "plan.toml"
    path.write_text("mine", encoding="utf-8")

    def full(*args, **kwargs):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    if step == "write":
        opened = Path.open

        def open_full(self, *args, **kwargs):
            stream = opened(self, *args, **kwargs)
            stream.write = full
            return stream

        monkeypatch.setattr(Path, "open", open_full)
    else:
        monkeypatch.setattr(*((os, "fsync") if step == "fsync" else (Path, "replace")), full)
    with pytest.raises(PlanError, match="the file cannot be written"):
        save_plan(parse_plan(plan_of()), path, replace=True)
    monkeypatch.undo()
    assert list(tmp_path.iterdir()) == [path]
    assert path.read_text(encoding="utf-8") == "mine"


@pytest.mark.parametrize("place", ["missing/plan.toml", "file/plan.toml"])
def test_saving_where_there_is_no_folder_is_refused(plan_of, tmp_path, place):
    (tmp_path / "file").touch()
    with pytest.raises(PlanError, match="the file cannot be written"):
        save_plan(parse_plan(plan_of()), tmp_path / place)
    assert [path.name for path in tmp_path.iterdir()] == ["file"]

import argparse
import json
import os
import time
from pathlib import Path

import numpy as np
import pytest

from seatproof.core.form.lsc import least_squares_circle
from seatproof.gui.commands import form, form_file
from seatproof.gui.commands.errors import CommandError
from seatproof.gui.commands.form_file import read_form_file
from seatproof.gui.commands.form_points import Kind
from seatproof.gui.main import main

DATA = Path(__file__).parents[2] / "core" / "form" / "data"
# Keys that tell how the reference was searched, or list what is not the answer.
ABOUT_THE_SEARCH = {"searched_half_width", "local_optima_r_cx_cy", "centres"}
CYLINDERS = [path for path in sorted(DATA.glob("*.json")) if "cyl" in path.stem]


@pytest.fixture
def command():
    parser = argparse.ArgumentParser(prog="seatproof")
    form.add_parser(parser.add_subparsers(required=True))

    def call(*words):
        args = parser.parse_args(["form", *(str(word) for word in words)])
        return args.run(args)

    return call


@pytest.fixture
def as_json(command, capsys):
    def call(*words):
        assert command(*words, "--json") == 0
        written = capsys.readouterr()
        assert written.out.count("\n") == 1
        # On a slow machine the work is announced as it goes, and nothing else is said.
        for line in written.err.splitlines():
            assert line.startswith("seatproof: working on ")
        return json.loads(written.out)

    return call


@pytest.fixture
def written(tmp_path):
    def write(name, text):
        path = tmp_path / name
        path.write_text(text, encoding="utf-8")
        return path

    return write


def close(found, expected, tolerance):
    return abs(found - expected) <= tolerance


@pytest.mark.parametrize("path", sorted(DATA.glob("*.json")), ids=lambda path: path.stem)
def test_json_answers_in_the_keys_of_the_reference(as_json, path):
    given = json.loads(path.read_text())
    found, tolerance = as_json(path), given["tolerance"]
    assert found["unit"] == given["unit"]
    for key, expected in given["reference"].items():
        if key in {"sections", "taper_from_section_lsc_radii"}:
            continue
        if expected is None or expected.get("defined") is False:
            # A reference may be missing because it could not be certified; then ours may stand.
            if given["kind"] == "circle":
                assert found[key] is None
                assert found["reasons"][key]
            continue
        assert set(expected) - ABOUT_THE_SEARCH <= set(found[key])
        if given["kind"] == "circle":
            assert close(found[key]["zone"], expected["zone"], tolerance["zone_abs"]) or (
                key == "mic" and not expected["centre_unique"]
            )
        elif given["kind"] == "cylinder" and key in {"lsc", "mzc"}:
            assert close(found[key]["zone"], expected["zone"], tolerance[f"{key}_zone_abs"])
        elif given["kind"] == "cylinder":
            assert close(found[key]["r"], expected["r"], tolerance[f"{key}_r_abs"])
        else:
            assert found[key]["slope"] == pytest.approx(expected["slope"], rel=1e-9, abs=1e-12)


@pytest.mark.parametrize("path", CYLINDERS, ids=lambda path: path.stem)
def test_sections_and_their_taper_meet_the_reference(as_json, path):
    given = json.loads(path.read_text())
    found, tolerance = as_json(path), given["tolerance"]["lsc_zone_abs"]
    expected = given["reference"].get("sections")
    if expected is None:
        return
    assert len(found["sections"]) == len(expected)
    for one, other in zip(found["sections"], expected, strict=True):
        assert (one["z"], one["n"]) == (other["z"], other["n"])
        for key in ("lsc", "mzc"):
            if other[key] is not None:
                assert close(one[key]["zone"], other[key]["zone"], tolerance)
    taper = given["reference"]["taper_from_section_lsc_radii"]
    for key, value in taper.items():
        assert found["taper_from_section_lsc_radii"][key] == pytest.approx(value, abs=1e-11)


def test_text_says_what_the_readings_can_show(command, capsys):
    assert command(DATA / "few_8_45deg.json", "--repeatability", "0.0005") == 0
    text = capsys.readouterr().out
    for part in ("6.518", "5.828", "no two circles anywhere", "Few readings read low", "0.500 µm"):
        assert part in text
    assert "-0.000000" not in text


def test_text_of_the_smallest_reference_sets_is_whole(command, capsys):
    for path in sorted(DATA.glob("*.json")):
        if json.loads(path.read_text())["n"] > 12:
            continue
        assert command(path) == 0
        text = capsys.readouterr().out
        assert path.name in text
        assert "nan" not in text
        assert "None" not in text


def test_csv_of_radii_equals_the_json(as_json, written):
    given = json.loads((DATA / "uneven_17.json").read_text())
    rows = zip(given["theta_deg"], given["radius"], strict=True)
    lines = ["angle [deg], radius [mm]", *(f"{angle!r},{radius!r}" for angle, radius in rows)]
    from_csv = as_json(written("uneven.csv", "\n".join(lines)))
    from_json = as_json(DATA / "uneven_17.json")
    assert from_csv["mzc"] == from_json["mzc"]


def test_csv_headings_name_the_kind_and_the_unit(written):
    cases = {
        "x (mm), y (mm)\n1,2\n3,4": (Kind.CIRCLE, "mm"),
        "x_in\ty_in\tz_in\n1\t2\t3": (Kind.CYLINDER, "in"),
        'z [mm];"diameter [mm]"\n1,5;50,001': (Kind.LINE, "mm"),
        "# a note\nz mm, value µm\n1,2": (Kind.LINE, "mm"),
        "theta °, diameter mm\n0,50": (Kind.DIAMETERS, "mm"),
    }
    for text, (kind, unit) in cases.items():
        file = read_form_file(written("points.csv", text))
        assert (file.kind, file.unit) == (kind, unit), text
    mixed = read_form_file(written("points.csv", "z mm, value µm\n4,2"))
    assert mixed.points.tolist() == [[4.0, 0.002]]
    commas = read_form_file(written("points.csv", "z mm; diameter mm\n1,5;50,001"))
    assert commas.points.tolist() == [[1.5, 50.001]]


def test_diameters_say_that_they_are_not_the_roundness(command, as_json, capsys, written):
    path = written("d.csv", "angle deg, diameter mm\n0,49.988\n45,49.991\n90,49.992\n135,49.989\n")
    found = as_json(path, "--repeatability", "0.0005")
    assert found["ovality"] == pytest.approx(2 * np.sqrt(5) / 1000, abs=1e-10)
    assert found["closes"] is True
    assert command(path) == 0
    text = capsys.readouterr().out
    assert "4.47 µm of diameter" in text
    assert "not the roundness" in text


BAD = {
    "missing.json": (None, "cannot be read"),
    "a.json": ("{", "no JSON"),
    "b.json": ('{"kind": "sphere", "points": [[1, 2]]}', "kind"),
    "c.json": ('{"kind": "circle"}', "theta_deg"),
    "d.json": ('{"kind": "circle", "points": [[1, 2, 3]]}', "needs 2"),
    "e.json": ('{"kind": "circle", "theta_deg": [1, 2], "radius": [1]}', "2 angles"),
    "f.json": ('{"kind": "circle", "points": [[1, 2], [NaN, 3], [4, 5]]}', "point 2"),
    "g.json": ('{"kind": "line", "points": [[1, 2], [1, 3]]}', "second axial position"),
    "h.json": ('{"kind": "cylinder", "points": [[1, 2, 3], [2, 3, 4]]}', "6 different points"),
    "i.json": ('{"kind": "circle", "points": []}', "at least"),
    "a.csv": ("", "empty"),
    "b.csv": ("x mm, y\n1,2", "no unit"),
    "c.csv": ("x mm, weight kg\n1,2", "not known"),
    "d.csv": ("x mm, radius mm\n1,2", "fit no result"),
    "e.csv": ("x mm, y mm\n1,2,3", "line 2"),
    "f.csv": ("x mm, y mm\n1,two", "line 2"),
    "g.csv": ("angle mm, radius mm\n1,2", "cannot be in"),
    "h.csv": ("angle deg, diameter mm\n0,50\n90,50", "orientations"),
}


@pytest.mark.parametrize("name", BAD)
def test_unusable_input_is_one_sentence(command, written, tmp_path, name):
    text, part = BAD[name]
    path = tmp_path / name if text is None else written(name, text)
    with pytest.raises(CommandError, match=part) as caught:
        command(path)
    assert "\n" not in str(caught.value)


def test_a_line_of_points_still_has_its_circumscribed_circle(as_json):
    found = as_json(DATA / "collinear_3.json")
    assert found["lsc"] is None
    assert "straight line" in found["reasons"]["lsc"]
    assert found["mcc"]["r"] == pytest.approx(np.sqrt(4.5), abs=1e-14)


def test_long_work_tells_what_it_does(command, capsys, monkeypatch):
    monkeypatch.setattr(form, "_QUIET_S", 0.0)
    known = form.results

    def slow(file, stage):
        stage("a slow stage")
        time.sleep(0.05)  # longer than the quiet time, so that the note must come
        return known(file, stage)

    monkeypatch.setattr(form, "results", slow)
    assert command(DATA / "few_8_45deg.json") == 0
    err = capsys.readouterr().err
    assert "seatproof: working on" in err
    assert "the minimum zone circle" in err


@pytest.mark.parametrize(
    ("name", "content", "word"),
    [
        ("deep.json", "[" * 100_000, "nested too deeply"),
        (
            "long.json",
            '{"kind": "circle", "unit": "mm", "points": [[' + "9" * 5000 + ", 0]]}",
            "number out of range",
        ),
        ("metres.csv", "x [m], y [m]\n1, 2\n2, 3\n3, 1\n", 'the unit "m"'),
    ],
)
def test_awkward_files_end_with_one_sentence(tmp_path, capsys, name, content, word):
    path = tmp_path / name
    path.write_text(content, encoding="utf-8")
    assert main(["form", str(path)]) == 2
    error = capsys.readouterr().err
    assert word in error
    assert error.count("\n") == 1


UNREADABLE = {
    "text.json": (
        '{"kind": "circle", "points": [["1.5", 0], [0, 1], [1, 0]]}',
        "number 1 of point 1",
    ),
    "true.json": (
        '{"kind": "circle", "points": [[1, true], [0, 1], [1, 0]]}',
        "number 2 of point 1",
    ),
    "theta.json": (
        '{"kind": "circle", "theta_deg": [0, NaN, 9], "radius": [1, 1, 1]}',
        'value 2 of "theta_deg" is not a finite number',
    ),
    "radius.json": (
        '{"kind": "circle", "theta_deg": [0, 5, 9], "radius": [1, 1e999, 1]}',
        'value 2 of "radius" is not a finite number',
    ),
    "both.json": (
        '{"kind": "circle", "points": [[0, 1]], "theta_deg": [1], "radius": [1]}',
        "not both",
    ),
    "list.json": ("[1, 2, 3]", "no form file"),
    "unit.json": ('{"kind": "circle", "unit": 5, "points": [[0, 1]]}', '"unit" is not text'),
    "lines.json": ('{"kind": "circle", "unit": "a\\nb", "points": [[0, 1]]}', '"unit"'),
    "kind.json": ('{"points": [[0, 1]]}', '"kind" is missing'),
    "far.json": ('{"kind": "line", "points": [[0, 1], [1e200, 2]]}', "too large for a length"),
    "near.json": ('{"kind": "line", "points": [[0, 1], [1e-200, 2]]}', "too small for any unit"),
    "huge.json": (
        '{"kind": "cylinder", "points": [[1e200, 0, 0], [0, 1e200, 0], [0, 0, 1e200]]}',
        "too large for a length",
    ),
    "underscore.csv": ("x mm, y mm\n1_000,2\n", 'line 2: "1_000" in the column "x"'),
    "word.csv": ("x mm, y mm\n1,2\n\n# note\n3,abc\n", 'line 5: "abc" in the column "y"'),
    "nan.csv": ("x mm, y mm\n1,nan\n", "not a number"),
    "hex.csv": ("x mm, y mm\n1,0x10\n", "not a number"),
    "digits.csv": ("x mm, y mm\n1,\u0661\n", "not a number"),
    "large.csv": ("x mm, y mm\n1,1e400\n", "far too large"),
    "gap.csv": ("x mm, y mm\n1,\n", 'the column "y" is empty'),
    "comma.csv": ("x mm, y mm\n1,5,0\n", "put semicolons between the columns"),
    "thousands.csv": ("x mm; y mm\n1.234,5; 0\n", "not a number"),
    "quote.csv": ('x mm, y mm\n"1, 2\n3, 4\n', "line"),
    "bare.csv": ("0,1\n90,1\n", "begins with numbers"),
    "unit.csv": ("angle [grad], radius [mm]\n0,1\n", 'the unit "grad"'),
    "strange.csv": ("\x1b[31mred, y mm\n0,1\n", "\N{REPLACEMENT CHARACTER}"),
    "zero.csv": ("x mm, y mm\n\0\0\0", "no text file"),
}


@pytest.mark.parametrize("name", UNREADABLE)
def test_what_cannot_be_read_is_said_in_one_sentence(written, capsys, name):
    text, part = UNREADABLE[name]
    assert main(["form", str(written(name, text)), "--json"]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert part in told.err
    assert told.err.count("\n") == 1
    assert "\x1b" not in told.err


def test_what_is_no_file_of_points_is_refused_without_reading_it(tmp_path, capsys):
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    for path, part in ((tmp_path, "directory"), ("/dev/zero", "no file"), (pipe, "no file")):
        assert main(["form", str(path)]) == 2
        assert part in capsys.readouterr().err
    assert main(["form", "points\0.csv"]) == 2
    assert "no name of a file" in capsys.readouterr().err


def test_far_too_large_a_file_is_refused_before_it_is_read(tmp_path, capsys, monkeypatch):
    monkeypatch.setattr(form_file, "LARGEST_BYTES", 1000)
    path = tmp_path / "large.csv"
    path.write_text("x mm, y mm\n" + "1, 2\n" * 1000)
    assert main(["form", str(path)]) == 2
    assert "larger than" in capsys.readouterr().err


def test_every_usual_way_to_write_a_table_gives_the_same_points(written):
    plain = "x [mm], y [mm]\n1.5, 0\n0, 1.5\n-1.5, 1e-3\n"
    ways = {
        "plain": plain,
        "mark of the encoding": "\ufeff" + plain,
        "blank lines and notes": plain.replace("\n", "\n\n# a note, with a comma\n"),
        "semicolons": plain.replace(",", ";"),
        "decimal commas": "x [mm]; y [mm]\n1,5; 0\n0; 1,5\n-1,5; 1e-3\n",
        "tabs": plain.replace(", ", "\t"),
        "carriage returns": plain.replace("\n", "\r\n"),
        "quotation marks": '"x [mm]","y [mm]"\n"1.5","0"\n"0","1.5"\n"-1.5","0.001"\n',
        "quoted decimal commas": '"x [mm]","y [mm]"\n"1,5","0"\n"0","1,5"\n"-1,5","0,001"\n',
        "minus signs": plain.replace("-1", "\N{MINUS SIGN}1"),
        "other headings": plain.replace("x [mm], y [mm]", "X_mm, Y (MM)"),
    }
    expected = [[1.5, 0.0], [0.0, 1.5], [-1.5, 1e-3]]
    for way, text in ways.items():
        assert read_form_file(written("points.csv", text)).points.tolist() == expected, way


def test_units_of_the_headings_are_brought_together(written):
    radians = "angle [rad], radius [inch]\n0, 1\n1.5707963267948966, 2\n"
    file = read_form_file(written("points.csv", radians))
    assert file.unit == "in"
    assert file.points == pytest.approx(np.array([[1.0, 0.0], [0.0, 2.0]]), abs=1e-15)
    for name, factor in (("um", 1e-3), ("µm", 1e-3), ("mil", 0.0254), ("in", 25.4), ("mm", 1.0)):
        file = read_form_file(written("points.csv", f"z [mm], value [{name}]\n0, 1\n5, 2\n"))
        assert file.unit == "mm"
        assert file.points[:, 1] == pytest.approx([factor, 2 * factor], rel=1e-14)


def test_thousands_of_sections_are_taken_apart_at_once(as_json, written):
    angle = np.radians(np.tile(np.arange(0, 360, 90.0), 500))
    z = np.repeat(np.arange(500) * 0.1, 4)
    radius = 20.0 + 1e-3 * np.random.default_rng(1).normal(size=z.size)
    points = np.column_stack([radius * np.cos(angle), radius * np.sin(angle), z])
    mixed = np.random.default_rng(2).permutation(points)
    found = as_json(
        written("many.json", json.dumps({"kind": "cylinder", "points": mixed.tolist()}))
    )
    assert [section["z"] for section in found["sections"]] == pytest.approx(np.unique(z))
    assert {section["n"] for section in found["sections"]} == {4}
    seventh = found["sections"][7]["lsc"]
    assert seventh["r"] == pytest.approx(least_squares_circle(points[28:32, :2]).radius, abs=1e-12)

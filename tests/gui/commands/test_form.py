import argparse
import json
import time
from pathlib import Path

import numpy as np
import pytest

from seatproof.gui.commands import form
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


def test_text_of_every_reference_set_is_whole(command, capsys):
    for path in sorted(DATA.glob("*.json")):
        if "3600" in path.stem:
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
    "f.json": ('{"kind": "circle", "points": [[1, 2], [NaN, 3], [4, 5]]}', "point number 2"),
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
            "long",
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

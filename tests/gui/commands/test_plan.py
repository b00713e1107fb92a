import argparse

import pytest

from seatproof.core.files import example
from seatproof.core.plan.errors import PlanError
from seatproof.core.plan.file import load_plan
from seatproof.gui.commands import plan
from seatproof.gui.commands.errors import CommandError
from seatproof.gui.main import main

KILN = example("kiln_fan.toml")


@pytest.fixture
def command():
    parser = argparse.ArgumentParser(prog="seatproof")
    plan.add_parser(parser.add_subparsers(required=True))

    def call(*words):
        args = parser.parse_args(["plan", *map(str, words)])
        return args.run(args)

    return call


@pytest.fixture
def changed(tmp_path):
    """Return what writes the kiln fan's plan with one text replaced."""

    def written(old, new):
        text = KILN.read_text(encoding="utf-8")
        assert old in text
        path = tmp_path / "changed.toml"
        path.write_text(text.replace(old, new), encoding="utf-8")
        return path

    return written


def test_plan_is_shown(command, capsys):
    assert command(KILN) == 0
    written = capsys.readouterr()
    assert written.err == ""
    lines = written.out.splitlines()
    assert lines[0] == "Drying-kiln fan, main shaft, version 1"
    assert lines[1] == "  drawing LB-KF-0417 rev C; working unit mm"
    assert lines[3:7] == [
        "  seat A, Coupling side, locating bearing: ⌀ 110 mm k6, 110.003 mm to 110.025 mm, "
        "judged by local sizes",
        "    stations at 158, 169, 180, 191, 202 mm; orientations 0°, 30°, 60°, 90°, 120°, 150°; "
        "1 reading each",
        "    roundness within 7.5 µm = IT5/2 (radial)",
        "    taper within 8 µm (diametral)",
    ]
    assert lines[-1] == "  60 points in all, station by station"


def test_inch_plan_is_shown_in_inches_with_limits_inside_the_zone(command, capsys):
    assert command(example("screw_pump.toml")) == 0
    out = capsys.readouterr().out
    # 3 15/16 in h7, by hand: 99.9775 / 25.4 = 3.93612204..., rounded up.
    assert "⌀ 3.9375 in h7, 3.936123 in to 3.9375 in" in out
    assert "stations at 1.75, 2.875, 4 in" in out
    assert "taper within 0.0006 in (diametral)" in out


def test_every_problem_is_listed_and_one_is_the_error(command, changed, capsys):
    path = changed("repeats = 1", "repeats = 0")
    with pytest.raises(PlanError) as caught:
        command(path)
    assert capsys.readouterr().out.splitlines() == [
        'seat "A", repeats = 0: must be 1 or more',
        'seat "B", repeats = 0: must be 1 or more',
    ]
    assert str(caught.value).startswith(f'The plan {path} cannot be used: seat "A", repeats = 0')


def test_one_problem_is_not_said_twice(command, changed, capsys):
    with pytest.raises(PlanError):
        command(changed('unit = "mm"', 'unit = "cm"'))
    assert capsys.readouterr().out == ""


def test_program_gives_status_2_and_one_sentence(changed, capsys):
    assert main(["plan", str(changed('unit = "mm"', 'unit = "cm"'))]) == 2
    written = capsys.readouterr()
    assert written.out == ""
    assert written.err.startswith("seatproof: The plan ")
    assert written.err.count("\n") == 1


def test_copy_is_the_next_version_with_all_else_kept(command, tmp_path, capsys):
    copy = tmp_path / "next.toml"
    assert command(KILN, "--copy-to", copy) == 0
    assert capsys.readouterr().out.endswith(f"Written to {copy} as version 2.\n")
    text = KILN.read_text(encoding="utf-8")
    assert copy.read_text(encoding="utf-8") == text.replace('version = "1"', 'version = "2"')


@pytest.mark.parametrize(("stated", "version"), [("C", "C"), (" 7 b ", "7 b")])
def test_version_of_the_copy_can_be_stated(command, tmp_path, stated, version):
    copy = tmp_path / "next.toml"
    command(KILN, "--copy-to", copy, "--plan-version", stated)
    assert load_plan(copy).heading.version == version


def test_version_that_is_no_number_has_no_next_one(command, changed, tmp_path):
    path = changed('version = "1"', 'version = "C"')
    copy = tmp_path / "next.toml"
    with pytest.raises(PlanError, match='version "C" is no number, so name the next with --plan-'):
        command(path, "--copy-to", copy)
    assert not copy.exists()


@pytest.mark.parametrize("stated", ["", "  ", "x" * 201])
def test_version_that_is_none_is_refused(command, tmp_path, stated):
    copy = tmp_path / "next.toml"
    with pytest.raises(PlanError, match="plan, version"):
        command(KILN, "--copy-to", copy, "--plan-version", stated)
    assert not copy.exists()


def test_copy_never_overwrites(command, tmp_path):
    copy = tmp_path / "next.toml"
    copy.write_text("mine", encoding="utf-8")
    with pytest.raises(PlanError, match="exists already"):
        command(KILN, "--copy-to", copy)
    assert copy.read_text(encoding="utf-8") == "mine"


def test_version_without_a_copy_is_refused(command, capsys):
    with pytest.raises(CommandError, match="--copy-to"):
        command(KILN, "--plan-version", "2")
    assert capsys.readouterr().out == ""


def test_checks_conditions_and_further_sets_are_shown(command, capsys, tmp_path):
    text = KILN.read_text(encoding="utf-8").replace(
        'walk = "station by station"',
        'walk = "station by station"\nthere_and_back = true\nconditions = ["clean", "no burrs"]',
    )
    text += """
[checks]
opening = true
closing = true
standard = true
drift = 0.002

[[seat]]
id = "A-vee"
name = "Coupling side in the vee"
same_seat_as = "A"
method = "vee"
vee_angle_deg = 90
from = 150
length = 60
nominal = 110
stations = [180]
orientations = 12
"""
    path = tmp_path / "more.toml"
    path.write_text(text, encoding="utf-8")
    assert command(path) == 0
    shown = capsys.readouterr().out
    assert "⌀ 110 mm, in a vee of 90°, a further set on seat A" in shown
    assert "station by station, there and back" in shown
    assert (
        "reference check opening and closing on a setting standard, drift at most 0.002 mm" in shown
    )
    assert "condition of every seat: clean, no burrs" in shown


def test_strips_and_sheet_to_fill_in_are_written(command, capsys, tmp_path):
    strips, blank = tmp_path / "strips.pdf", tmp_path / "blank.pdf"
    assert command(KILN, "--strips", strips, "--blank", blank) == 0
    assert str(strips) in capsys.readouterr().out
    assert strips.read_bytes().startswith(b"%PDF")
    assert blank.read_bytes().startswith(b"%PDF")


def test_prints_that_cannot_be_written_are_refused(command, tmp_path):
    with pytest.raises(CommandError, match="no such folder"):
        command(KILN, "--strips", tmp_path / "nowhere" / "strips.pdf")

import argparse
import json

import pytest

from seatproof.core.files import example
from seatproof.core.quantities import QuantityError
from seatproof.gui.commands import fit
from seatproof.gui.commands.errors import CommandError

KNOWN = ("100.024", "--uncertainty", "0.0026", "--nominal", "100", "--bore-class", "normal")
SECTION = ("--ring-outer", "124", "--clearance", "0.030", "0.058")


@pytest.fixture
def command(capsys):
    parser = argparse.ArgumentParser(prog="seatproof")
    fit.add_parser(parser.add_subparsers(required=True))

    def call(*words):
        args = parser.parse_args(["fit", *map(str, words)])
        assert args.run(args) == 0
        return capsys.readouterr().out

    return call


@pytest.fixture
def document(command):
    def call(*words):
        return json.loads(command(*words, "--json"))

    return call


def test_closed_ring_as_json(document):
    found = document(*KNOWN, *SECTION)
    # By hand: 24 − 2.6, 24 + 2.6 + 20; 30 − 0.806·46.6; E·δ/(2d)·(1 − (d/F)²).
    assert found["room"]["interference"]["least_um"] == pytest.approx(21.4, abs=1e-6)
    assert found["room"]["interference"]["most_um"] == pytest.approx(46.6, abs=1e-6)
    assert found["room"]["clearance"]["least_um"] == pytest.approx(-7.6, abs=0.05)
    assert found["room"]["most"]["pressure_mpa"] == pytest.approx(16.78, abs=0.01)
    assert found["running"] is None
    assert (found["bore_lower_mm"], found["bore_upper_mm"]) == (99.98, 100.0)


def test_text_tells_figures_units_and_that_it_is_an_estimate(command):
    lines = command(*KNOWN, *SECTION, "--gap", "0.05", "--width", "34", "--friction", "0.12")
    assert "interference (+ tight)  +21.4 to +46.6 µm, probably +34.0 ± 10.3 µm" in lines
    assert "hoop stress, ring's bore 36.4 to 79.2 MPa, probably 57.8" in lines
    assert "internal clearance left  −7.6 to 40.7 µm" in lines
    assert "axial grip (probable)  15.7 kN" in lines
    assert "ring at 104 °C" in lines
    assert "! The internal clearance may be used up" in lines
    assert lines.rstrip().endswith("follow the bearing maker's instructions and limits.")


def test_several_sizes_give_their_extremes_and_mean(command):
    lines = command("100.021", "100.027", "100.024", *KNOWN[1:])
    assert "shaft  100.0210 to 100.0270 mm, mean 100.0240, U 2.6 µm" in lines


def test_running_temperatures_and_outer_ring(document):
    found = document(*KNOWN, *SECTION, "--running", "60", "75", "--outer-raceway", "150", "55")
    assert found["running"]["interference"]["most_um"] == pytest.approx(46.6 - 17.25, abs=0.01)
    assert found["running"]["warmth"]["ring_c"] == 75.0
    cold = document(*KNOWN, "--running", "-10", "-10")
    assert cold["running"]["interference"] == pytest.approx(cold["room"]["interference"], abs=1e-9)


def test_stated_and_measured_bores(document):
    stated = document(*KNOWN[:3], "--bore", "99.985", "99.995")
    assert stated["room"]["interference"]["most_um"] == pytest.approx(41.6, abs=1e-6)
    measured = document(*KNOWN[:3], "--measured-bore", "99.991", "0.002")
    assert measured["room"]["interference"]["least_um"] == pytest.approx(28.4, abs=1e-6)


def test_materials_of_ring_and_shaft_count(document):
    steel = document(*KNOWN, *SECTION)["room"]["most"]["pressure_mpa"]
    soft = document(*KNOWN, *SECTION, "--shaft-modulus", "110000")["room"]["most"]["pressure_mpa"]
    softer = document(*KNOWN, *SECTION, "--ring-modulus", "110000")["room"]["most"]["pressure_mpa"]
    assert steel > soft > softer


def test_ring_in_halves(command, document):
    words = ("100.010", "--uncertainty", "0.003", "--closing-diameter", "100")
    found = document(*words, "--gaps", "0.016", "0.016")
    assert found["probable"]["opening_um"] == pytest.approx(31.4, abs=0.05)
    assert found["told_by_gaps_mm"] == pytest.approx(100.0102, abs=1e-4)
    assert "joints open 15.7 µm each, 31.4 µm in all" in command(*words)
    loose = command("99.98", "--uncertainty", "0.003", "--closing-diameter", "100")
    assert "joints closed, loose by 20.0 µm" in loose
    assert "Do not run it" in loose


def test_inches_are_read_and_written(command):
    lines = command(
        "3.938", "--unit", "in", "--uncertainty", "0.0001", "--bore", "3.9365", "3 15/16"
    )
    assert "3.9365 to 3.9375 in" in lines
    assert "interference (+ tight)  +0.000400 to +0.001600 in" in lines


@pytest.fixture
def plan(tmp_path):
    text = example("kiln_fan.toml").read_text(encoding="utf-8")
    ring = '[seat.fit]\nbore_class = "6"\nring_outer = 124\n\n[uncertainty]'
    path = tmp_path / "plan.toml"
    path.write_text(text.replace("[uncertainty]", ring), encoding="utf-8")
    return path


def test_plan_describes_the_ring_and_options_overrule_it(document, plan):
    words = ("100.024", "--uncertainty", "0.0026", "--plan", plan, "--seat", "B")
    found = document(*words)
    assert found["bore_lower_mm"] == 99.985
    assert found["room"]["most"] is not None
    assert document(*words, "--bore-class", "5")["bore_lower_mm"] == 99.99
    thick = document(*words, "--ring-outer", "140")["room"]["most"]["pressure_mpa"]
    assert thick > found["room"]["most"]["pressure_mpa"]


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("100", "--uncertainty", "0.003"), "bore is not known"),
        ((*KNOWN, "--bore", "99", "100"), "Give the bore once"),
        ((*KNOWN[:3], "--bore-class", "normal"), "give --nominal"),
        ((*KNOWN[:3], "--bore-class", "normal", "--nominal", "300"), "not in the table"),
        ((*KNOWN[:3], "--bore-class", "4", "--nominal", "100"), "normal, 6, 5"),
        ((*KNOWN, "--seat", "A"), "name the plan"),
        ((*KNOWN, "--gaps", "0.01", "0.01"), "--closing-diameter"),
        ((*KNOWN, "--ring-outer", "90"), "larger than the inner one"),
        ((*KNOWN, "--friction", "0.1"), "section and its width"),
        ((*KNOWN, "--running", "warm", "60"), '"warm" is not a number'),
        ((*KNOWN, "--running", "inf", "60"), "not a finite number"),
        ((*KNOWN, "--clearance", "0.06", "0.03"), "smaller figure first"),
        (("0", *KNOWN[1:]), "above zero"),
    ],
)
def test_what_cannot_be_worked_out_is_said_in_a_sentence(command, words, sentence):
    with pytest.raises(CommandError, match=sentence):
        command(*words)


def test_plan_with_several_seats_needs_one_named(command, plan):
    with pytest.raises(CommandError, match="A, B"):
        command(*KNOWN, "--plan", plan)
    with pytest.raises(CommandError, match='no seat "C"; it has A, B'):
        command(*KNOWN, "--plan", plan, "--seat", "C")


def test_text_that_is_no_length_is_refused(command):
    with pytest.raises(QuantityError):
        command("100,024", *KNOWN[1:])


def test_help_defers_to_the_maker(command, capsys):
    with pytest.raises(SystemExit):
        command("--help")
    assert "bearing's maker" in " ".join(capsys.readouterr().out.split())

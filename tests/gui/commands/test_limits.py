import argparse
import json
import re
from decimal import Decimal

import pytest

from seatproof.core.limits.errors import ClassNotDefinedError, NominalSizeError
from seatproof.core.quantities import QuantityError
from seatproof.gui.commands import limits
from seatproof.gui.commands.errors import CommandError


@pytest.fixture
def command():
    parser = argparse.ArgumentParser(prog="seatproof")
    limits.add_parser(parser.add_subparsers(required=True))

    def call(*words):
        args = parser.parse_args(["limits", *words])
        return args.run(args)

    return call


def test_json_has_exactly_the_six_numbers_and_names(command, capsys):
    assert command("110", "k6", "--json") == 0
    written = capsys.readouterr()
    assert json.loads(written.out) == {
        "nominal_mm": 110,
        "class": "k6",
        "upper_um": 25,
        "lower_um": 3,
        "max_mm": 110.025,
        "min_mm": 110.003,
    }
    assert written.out.count("\n") == 1
    assert written.err == ""


def test_size_and_class_may_be_one_word_as_on_a_drawing(command, capsys):
    command("110k6", "--json")
    one_word = capsys.readouterr().out
    command("110", "k6", "--json")
    assert one_word == capsys.readouterr().out


def test_json_numbers_carry_no_binary_noise(command, capsys):
    # In floats 3.3 + 9 / 1000 is 3.3089999999999997 and 3.9375 * 25.4 is 100.01249999999999.
    assert command("3.3", "k6", "--json") == 0
    written = json.loads(capsys.readouterr().out, parse_float=str)
    assert (written["max_mm"], written["min_mm"]) == ("3.309", "3.301")
    assert command("3 15/16", "js7", "--unit", "in", "--json") == 0
    written = json.loads(capsys.readouterr().out, parse_float=str)
    assert written == {
        "nominal_mm": "100.0125",
        "class": "js7",
        "upper_um": "17.5",
        "lower_um": "-17.5",
        "max_mm": "100.03",
        "min_mm": "99.995",
    }


def test_text_says_which_number_is_which(command, capsys):
    assert command("100", "P7") == 0
    assert capsys.readouterr().out.splitlines() == [
        "100 mm, hole P7, ISO 286",
        "  upper limit deviation           -24 µm",
        "  lower limit deviation           -59 µm",
        "  tolerance                        35 µm",
        "  upper limit of size          99.976 mm",
        "  lower limit of size          99.941 mm",
    ]


def test_text_writes_a_plus_before_what_lies_above_the_nominal_size(command, capsys):
    assert command("110", "h6") == 0
    assert re.search(r"upper limit deviation +0 µm", capsys.readouterr().out)
    assert command("20", "js7") == 0
    assert re.search(r"upper limit deviation +\+10\.5 µm", capsys.readouterr().out)


def test_inch_limits_are_never_rounded_outward(command, capsys):
    assert command("3 15/16", "k6", "--unit", "in") == 0
    out = capsys.readouterr().out
    assert "3.9375 in (100.0125 mm), shaft k6" in out
    upper_in, lower_in = (Decimal(text) for text in re.findall(r"\((\S+) in\)", out))
    # By hand: 100.0375 / 25.4 = 3.93848425..., 100.0155 / 25.4 = 3.93761811...
    assert (upper_in, lower_in) == (Decimal("3.938484"), Decimal("3.937619"))
    assert "rounded into the tolerance zone" in out


def test_decimal_inches_are_read_too(command, capsys):
    assert command("3.9375", "h6", "--unit", "in", "--json") == 0
    assert json.loads(capsys.readouterr().out)["nominal_mm"] == 100.0125


def test_fraction_without_the_inch_unit_is_refused(command, capsys):
    with pytest.raises(QuantityError, match="add --unit in"):
        command("3 15/16", "h6")
    assert capsys.readouterr().out == ""


@pytest.mark.parametrize(
    ("words", "error"),
    [
        (("110,5", "k6"), QuantityError),
        (("110",), CommandError),
        (("-110", "k6"), QuantityError),
        (("0", "k6"), NominalSizeError),
        (("125", "k6", "--unit", "in"), NominalSizeError),
        (("110", "K9", "--json"), ClassNotDefinedError),
    ],
)
def test_bad_input_is_raised_and_nothing_is_printed(command, capsys, words, error):
    with pytest.raises(error):
        command(*words)
    assert capsys.readouterr().out == ""


def test_other_units_are_refused_by_name(command, capsys):
    with pytest.raises(SystemExit) as caught:
        command("110", "k6", "--unit", "um")
    assert caught.value.code == 2
    assert "'um'" in capsys.readouterr().err


def test_help_says_who_decides_on_the_class(command, capsys):
    with pytest.raises(SystemExit):
        command("--help")
    assert "drawing" in capsys.readouterr().out

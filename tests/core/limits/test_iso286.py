import csv
from decimal import Decimal
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from seatproof.core.limits.errors import (
    ClassNotDefinedError,
    ClassTextError,
    DeviationLetterError,
    GradeNotDefinedError,
    GradeTextError,
    LimitsError,
    NominalSizeError,
    SizeBelowZeroError,
)
from seatproof.core.limits.iso286 import (
    available_classes,
    class_limits,
    form_tolerance_um,
    standard_tolerance_um,
)
from seatproof.core.limits.tables import iso286_tables

HERE = Path(__file__).parent
GRADES = ["01", "0", *map(str, range(1, 19))]
UP_TO_JS = ["a", "b", "c", "cd", "d", "e", "ef", "f", "fg", "g", "h", "js"]
FROM_P = ["p", "r", "s", "t", "u", "v", "x", "y", "z", "za", "zb", "zc"]
SHAFT_LETTERS = [*UP_TO_JS, "j", "k", "m", "n", *FROM_P]
LETTERS = [*SHAFT_LETTERS, *map(str.upper, SHAFT_LETTERS)]

letters = st.sampled_from(LETTERS)
grades = st.sampled_from(GRADES)
nominals_mm = st.decimals(
    min_value=Decimal("0.001"), max_value=Decimal(3150), places=4, allow_nan=False
)


def read_rows(name):
    with (HERE / name).open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def deviations_um(nominal_mm, tolerance_class):
    limits = class_limits(Decimal(nominal_mm), tolerance_class)
    return limits.upper_um, limits.lower_um


def limits_of_a_part(nominal_mm, tolerance_class):
    """Return the limits, or None where they would leave a part no size."""
    try:
        return class_limits(nominal_mm, tolerance_class)
    except SizeBelowZeroError:
        return None


def published_um(row, prefix=""):
    return Decimal(row[f"{prefix}upper_um"]), Decimal(row[f"{prefix}lower_um"])


# Published values


def test_every_published_limit_is_reproduced():
    rows = read_rows("checks.csv")
    assert len(rows) == 3864
    different = [
        row for row in rows if deviations_um(row["nominal_mm"], row["class"]) != published_um(row)
    ]
    assert different == []


def test_every_published_limit_that_was_set_aside_differs_as_recorded():
    rows = read_rows("checks_excluded.csv")
    assert len(rows) == 73
    for row in rows:
        composed = deviations_um(row["nominal_mm"], row["class"])
        assert composed == published_um(row, "composed_")
        assert composed != published_um(row)


# ISO 286-1, worked with the tables by hand: base value, Δ and IT of the size step.
HAND_CASES = {
    ("25", "h6"): ("0", "-13"),
    ("50", "k5"): ("13", "2"),
    ("50", "js7"): ("12.5", "-12.5"),
    ("20", "P7"): ("-14", "-35"),  # base -22, Δ 8, IT7 21
    ("20", "P8"): ("-22", "-55"),  # above IT7 no Δ; IT8 33
    ("110", "k6"): ("25", "3"),
    ("100", "k6"): ("25", "3"),
    ("100", "k3"): ("6", "0"),  # k is 3 for IT4 to IT7 only
    ("100", "k8"): ("54", "0"),
    ("100", "K8"): ("16", "-38"),  # base -3, Δ 19, IT8 54
    ("100", "N8"): ("-4", "-58"),  # base -23, Δ 19, IT8 54
    ("100", "N9"): ("0", "-87"),
    ("2", "N9"): ("-4", "-29"),
    ("5", "M4"): ("-2.5", "-6.5"),  # base -4, Δ 1.5, IT4 4
    ("2", "j8"): ("8", "-6"),
    ("3", "K1"): ("0", "-0.8"),  # Δ is 0 up to 3 mm, for every grade
    ("100", "J8"): ("34", "-20"),
    ("100", "h01"): ("0", "-1"),
    ("100", "za18"): ("5735", "335"),
    ("300", "M6"): ("-9", "-41"),  # the standard's exception
    ("300", "M7"): ("0", "-52"),  # base -20, Δ 20: not excepted
    ("250", "M6"): ("-8", "-37"),  # base -17, Δ 9: the step below
    ("315.001", "M6"): ("-10", "-46"),  # base -21, Δ 11: the step above
    ("600", "P6"): ("-78", "-122"),  # no Δ above 500 mm
    ("22", "ef7"): ("-28", "-49"),  # as corrected in 2013
}


@pytest.mark.parametrize(("asked", "expected"), HAND_CASES.items())
def test_class_agrees_with_the_tables_by_hand(asked, expected):
    assert deviations_um(*asked) == tuple(map(Decimal, expected))


def test_limits_of_size_are_exact():
    limits = class_limits(Decimal("100.0125"), "js7")
    assert limits.max_mm == Decimal("100.03")
    assert limits.min_mm == Decimal("99.995")
    assert limits.tolerance_um == Decimal(35)


# IT5 and IT6 by ISO 286-1, Table 1; the inch size is 3 15/16 in.
@pytest.mark.parametrize(
    ("nominal_mm", "it5_um", "it6_um"),
    [
        ("0.007", 4, 6),
        ("3", 4, 6),
        ("3.001", 5, 8),
        ("79.999", 13, 19),
        ("80", 13, 19),
        ("80.001", 15, 22),
        ("80.000000001", 15, 22),
        ("100.0125", 15, 22),
        ("120", 15, 22),
        ("120.0001", 18, 25),
        ("500", 27, 40),
        ("500.001", 32, 44),
        ("3150", 96, 135),
    ],
)
def test_upper_end_of_a_step_belongs_to_it(nominal_mm, it5_um, it6_um):
    assert standard_tolerance_um(Decimal(nominal_mm), "IT5") == it5_um
    assert deviations_um(nominal_mm, "h6") == (0, -it6_um)


def test_letters_have_their_own_steps_within_a_step_of_the_grades():
    # r over 80 up to 100 is 51, over 100 up to 120 is 54 (Table 5); IT6 is 22 for both.
    assert deviations_um("100", "r6") == (73, 51)
    assert deviations_um("100.0125", "r6") == (76, 54)


@pytest.mark.parametrize(
    ("nominal_mm", "text", "expected_um"),
    [
        ("100", "IT5/2", "7.5"),
        ("100", "IT5", "15"),
        ("140", "IT3/2", "4"),
        ("600", "IT6/2", "22"),
        ("100", "IT7/10", "3.5"),
    ],
)
def test_form_tolerance_is_a_grade_or_a_part_of_one(nominal_mm, text, expected_um):
    assert form_tolerance_um(Decimal(nominal_mm), text) == Decimal(expected_um)


# What holds for every class


@given(nominals_mm, letters, grades)
def test_zone_is_as_wide_as_its_grade(nominal_mm, letter, grade):
    if f"{letter}{grade}" not in available_classes(nominal_mm, letter):
        with pytest.raises(ClassNotDefinedError):
            class_limits(nominal_mm, f"{letter}{grade}")
        return
    limits = limits_of_a_part(nominal_mm, f"{letter}{grade}")
    if limits is None:
        assert nominal_mm < 3  # the lowest limit at 3 mm is that of a18: 3 − 0.27 − 1.4 mm
        return
    tolerance_um = standard_tolerance_um(nominal_mm, f"IT{grade}")
    assert limits.tolerance_um == tolerance_um
    assert (limits.max_mm - limits.min_mm) * 1000 == tolerance_um
    assert limits.min_mm < limits.max_mm


@given(nominals_mm, st.sampled_from(UP_TO_JS), grades)
def test_holes_up_to_js_mirror_their_shafts(nominal_mm, letter, grade):
    shaft, hole = f"{letter}{grade}", f"{letter}{grade}".upper()
    is_shaft = shaft in available_classes(nominal_mm, letter)
    assert is_shaft == (hole in available_classes(nominal_mm, letter.upper()))
    # Below 3 mm a coarse shaft may be left without any size.
    if is_shaft and nominal_mm > 3:
        upper_um, lower_um = deviations_um(nominal_mm, shaft)
        assert deviations_um(nominal_mm, hole) == (-lower_um, -upper_um)


@given(
    st.decimals(min_value=Decimal("3.001"), max_value=Decimal(500), places=3),
    st.sampled_from(FROM_P),
    st.integers(3, 7),
)
def test_fit_of_a_hole_one_grade_coarser_is_the_same_either_way_round(nominal_mm, letter, grade):
    # ISO 286-1: Δ makes H7/p6 and P7/h6 the same fit. It is the rule that Δ was made for.
    hole = f"{letter.upper()}{grade}"
    if hole not in available_classes(nominal_mm, letter.upper()):
        return
    hole_basis = class_limits(nominal_mm, f"{letter}{grade - 1}")
    shaft_basis = class_limits(nominal_mm, hole)
    h_hole = class_limits(nominal_mm, f"H{grade}")
    h_shaft = class_limits(nominal_mm, f"h{grade - 1}")
    assert hole_basis.lower_um - h_hole.upper_um == h_shaft.lower_um - shaft_basis.upper_um


def test_grades_of_one_letter_have_no_gap():
    # Messages name only the two ends of what exists.
    ends = sorted({Decimal(1), *iso286_tables().shafts.up_to_mm})
    for nominal_mm in ends:
        for letter in LETTERS:
            positions = [
                GRADES.index(name.removeprefix(letter))
                for name in available_classes(nominal_mm, letter)
            ]
            assert all(first + 1 == second for first, second in pairwise(positions))


@pytest.mark.parametrize(
    ("nominal_mm", "letter", "first", "last", "count"),
    [
        ("110", "k", "k01", "k18", 20),
        ("110", "j", "j5", "j7", 3),
        ("2", "j", "j5", "j8", 4),
        ("110", "J", "J6", "J8", 3),
        ("110", "K", "K3", "K8", 6),
        ("110", "P", "P3", "P18", 16),
        ("3", "P", "P01", "P18", 20),
        ("3.001", "P", "P3", "P18", 16),
        ("500", "P", "P3", "P18", 16),
        ("600", "h", "h1", "h18", 18),
        ("600", "K", "K1", "K8", 8),
        ("1", "h", "h01", "h13", 15),
        ("1", "N", "N01", "N8", 10),
        ("1.001", "N", "N01", "N18", 20),
    ],
)
def test_available_classes(nominal_mm, letter, first, last, count):
    available = available_classes(Decimal(nominal_mm), letter)
    assert (available[0], available[-1], len(available)) == (first, last, count)


@pytest.mark.parametrize(
    ("nominal_mm", "letter"),
    [("24", "t"), ("14", "v"), ("18", "y"), ("1", "a"), ("1", "B"), ("50.1", "cd"), ("501", "za")],
)
def test_no_class_is_available_where_a_letter_is_not_used(nominal_mm, letter):
    assert available_classes(Decimal(nominal_mm), letter) == ()


# Refusals


@pytest.mark.parametrize(
    "text", ["", "k", "6", "6k", "k 6", " k6", "k6 ", "h6/H7", "k6.5", "k٦", "kkk6"]
)
def test_text_that_is_no_class_is_refused(text):
    with pytest.raises(ClassTextError, match="such as k6 for a shaft or H7 for a hole") as caught:
        class_limits(Decimal(110), text)
    assert caught.value.tolerance_class == text


@pytest.mark.parametrize("letter", ["i", "l", "o", "q", "w", "hh"])
def test_unknown_letter_is_refused_with_those_that_exist(letter):
    with pytest.raises(
        DeviationLetterError, match=r"No shaft .* a, b, c, cd, .* zb, zc\."
    ) as caught:
        class_limits(Decimal(110), f"{letter}6")
    assert caught.value.letter == letter
    assert sorted(caught.value.available) == sorted(SHAFT_LETTERS)
    with pytest.raises(DeviationLetterError, match=r"No hole .* A, B, C, CD, .* ZB, ZC\."):
        available_classes(Decimal(110), letter.upper())


@pytest.mark.parametrize("letter", ["Js", "jS", "Za", "Qz"])
def test_mixed_case_is_refused_with_the_way_to_write_it(letter):
    with pytest.raises(DeviationLetterError, match="small letters for a shaft, such as js"):
        class_limits(Decimal(110), f"{letter}7")


@pytest.mark.parametrize(
    "nominal_mm", ["0", "-110", "3150.0001", "1E+900000", "NaN", "sNaN", "Infinity"]
)
def test_size_outside_the_tables_is_refused(nominal_mm):
    with pytest.raises(NominalSizeError, match="over 0 and at most 3150 mm") as caught:
        class_limits(Decimal(nominal_mm), "k6")
    assert str(caught.value.nominal_mm) == nominal_mm
    assert caught.value.up_to_mm == 3150
    assert len(str(caught.value)) < 200
    with pytest.raises(NominalSizeError):
        form_tolerance_um(Decimal(nominal_mm), "IT5/2")


@pytest.mark.parametrize(
    ("nominal_mm", "tolerance_class", "sentence"),
    [
        ("110", "k19", "ISO 286 gives no k19 at 110 mm: at this size there are k01 to k18."),
        ("110", "k06", "ISO 286 gives no k06 at 110 mm: at this size there are k01 to k18."),
        ("110", "j8", "ISO 286 gives no j8 at 110 mm: at this size there are j5 to j7 "
         "(for a hole write J8)."),
        ("110", "K9", "ISO 286 gives no K9 at 110 mm: at this size there are K3 to K8 "
         "(for a shaft write k9)."),
        ("110", "P2", "ISO 286 gives no P2 at 110 mm: at this size there are P3 to P18 "
         "(for a shaft write p2)."),
        ("20", "t6", "ISO 286 gives no t6 at 20 mm: "
         "its letter is used over 24 up to 3150 mm only."),
        ("1.0", "a9", "ISO 286 gives no a9 at 1 mm: its letter is used over 1 up to 500 mm only."),
        ("600", "cd6", "ISO 286 gives no cd6 at 600 mm: "
         "its letter is used over 0 up to 50 mm only."),
        ("500.5", "h0", "ISO 286 gives no h0 at 500.5 mm: at this size there are h1 to h18."),
        ("1", "js14", "ISO 286 gives no js14 at 1 mm: at this size there are js01 to js13."),
        ("1", "N9", "ISO 286 gives no N9 at 1 mm: at this size there are N01 to N8 "
         "(for a shaft write n9)."),
    ],
)  # fmt: skip
def test_class_that_is_not_defined_is_refused_with_those_that_are(
    nominal_mm, tolerance_class, sentence
):
    with pytest.raises(ClassNotDefinedError) as caught:
        class_limits(Decimal(nominal_mm), tolerance_class)
    assert str(caught.value) == sentence
    assert caught.value.tolerance_class == tolerance_class
    assert caught.value.nominal_mm == Decimal(nominal_mm)


def test_refusal_carries_where_the_letter_is_used():
    with pytest.raises(ClassNotDefinedError) as caught:
        class_limits(Decimal(600), "v6")
    assert caught.value.available == ()
    assert caught.value.size_ranges_mm == ((14, 500),)
    assert caught.value.other_case is None


@pytest.mark.parametrize(
    "text", ["", "IT", "5", "it5", "IT 5", "IT5/0", "IT5/1", "IT5/11", "IT5/2.5", "T5"]
)
def test_text_that_is_no_grade_is_refused(text):
    with pytest.raises(
        GradeTextError, match="such as IT5, or a part of one, such as IT5/2"
    ) as caught:
        form_tolerance_um(Decimal(110), text)
    assert caught.value.text == text


def test_part_of_a_grade_is_no_standard_tolerance():
    with pytest.raises(GradeTextError, match=r"write IT and a number, such as IT5\."):
        standard_tolerance_um(Decimal(110), "IT5/2")


@pytest.mark.parametrize(
    ("nominal_mm", "grade", "first", "last"),
    [
        ("500.001", "IT01", "IT1", "IT18"),
        ("1", "IT14", "IT01", "IT13"),
        ("110", "IT19", "IT01", "IT18"),
        ("110", "IT05", "IT01", "IT18"),
    ],
)
def test_grade_that_is_not_defined_is_refused_with_those_that_are(nominal_mm, grade, first, last):
    with pytest.raises(GradeNotDefinedError, match=f"there are {first} to {last}") as caught:
        standard_tolerance_um(Decimal(nominal_mm), grade)
    assert caught.value.grade == grade
    assert caught.value.available[0] == first
    assert caught.value.available[-1] == last


def test_ends_of_the_bans_are_exact():
    assert standard_tolerance_um(Decimal(500), "IT01") == 4
    assert standard_tolerance_um(Decimal("1.0001"), "IT14") == 250
    assert deviations_um("1.0001", "a9") == (-270, -295)


@pytest.mark.parametrize(
    ("nominal_mm", "tolerance_class", "min_mm"),
    [("0.0005", "h6", "-0.0055"), ("0.006", "h6", "0.000"), ("1.2", "h18", "-0.2")],
)
def test_part_without_a_size_is_refused(nominal_mm, tolerance_class, min_mm):
    # IT6 up to 3 mm is 6 µm, IT18 1400 µm.
    with pytest.raises(SizeBelowZeroError, match="check the nominal size and its unit") as caught:
        class_limits(Decimal(nominal_mm), tolerance_class)
    assert caught.value.min_mm == Decimal(min_mm)
    assert class_limits(Decimal("0.0061"), "h6").min_mm == Decimal("0.0001")


@given(nominals_mm, st.text(max_size=6) | st.from_regex(r"[A-Za-z]{0,2}[0-9]{0,2}", fullmatch=True))
def test_any_text_gives_limits_or_a_sentence(nominal_mm, text):
    try:
        outcome = class_limits(nominal_mm, text).tolerance_class
    except LimitsError as error:
        outcome = str(error)
    assert outcome == text or outcome.endswith(".")

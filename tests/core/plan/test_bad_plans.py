"""Every bad plan gives sentences that name the field, the value found there, and the mend."""

import re

import pytest

from seatproof.core.plan.errors import PlanError, Problem
from seatproof.core.plan.file import MAX_PLAN_BYTES, load_plan, parse_plan


def problems_of(text):
    with pytest.raises(PlanError) as caught:
        parse_plan(text)
    for problem in caught.value.problems:
        # What a person is shown is one line of readable length, without Python's own words.
        assert "\n" not in str(problem)
        assert len(str(problem)) < 250
        assert not re.search(r"Decimal|None|True|False|Unit\.|Traceback|Input should", str(problem))
    return [str(problem) for problem in caught.value.problems]


# What is changed in the small plan, and everything that must then be said.
BAD_FIELDS = {
    # units and headings
    "unit": ({"unit": "cm"}, ["plan, unit = \"cm\": must be 'mm' or 'in'"]),
    "gauge's unit": ({"unit": "um"}, ["plan, unit = \"um\": must be 'mm' or 'in'"]),
    # the seat on the shaft
    "seat beyond the end": (
        {"length": 61},
        [
            "seat \"A\" ends at 61 mm, beyond the shaft's end at 60 mm; correct the seat's from or "
            "length, or the shaft's sections"
        ],
    ),
    "seat before the datum": ({"seat_from": -1}, ['seat "A", from = -1: must be 0 or more']),
    "no length": ({"length": 0}, ['seat "A", length = 0: must be greater than 0']),
    # stations
    "station outside": (
        {"stations": [10, 61]},
        [
            'seat "A": stations: 61 mm lies outside the measurable part of the seat, 0 mm to 60 mm '
            "from the datum face; move it or change the edge_exclusion"
        ],
    ),
    "station in the edge exclusion": (
        {"more": "edge_exclusion = 10.5"},
        [
            'seat "A": stations: 10 mm lies outside the measurable part of the seat, 10.5 mm to '
            "49.5 mm from the datum face; move it or change the edge_exclusion"
        ],
    ),
    "edge exclusion eats the seat": (
        {"more": "edge_exclusion = 31"},
        [
            'seat "A": edge_exclusion 31 mm at both ends leaves nothing of a length of 60 mm; '
            "make it smaller"
        ],
    ),
    "edge exclusion leaves a line for three stations": (
        {"more": "edge_exclusion = 30", "stations": 3},
        [
            'seat "A": edge_exclusion 30 mm at both ends leaves nothing of a length of 60 mm; '
            "make it smaller"
        ],
    ),
    "station twice": (
        {"stations": "[10, 30, 10.0]"},
        ['seat "A": stations: 10 mm stands twice; name every station once'],
    ),
    "no stations": ({"stations": 0}, ['seat "A", stations = 0: must give 1 to 100 stations']),
    "empty stations": ({"stations": []}, ['seat "A", stations = []: must give 1 to 100 stations']),
    "too many stations": (
        {"stations": 101},
        ['seat "A", stations = 101: must give 1 to 100 stations'],
    ),
    "stations as text": (
        {"stations": '"5"'},
        [
            'seat "A", stations = "5": is neither a count such as 5 nor a list of positions such '
            "as [158, 180, 202]"
        ],
    ),
    "stations as truth": (
        {"stations": "true"},
        ['seat "A", stations = true: is neither a count nor a list of positions'],
    ),
    "stations nested": (
        {"stations": "[[10]]"},
        ['seat "A", stations = [[10]]: is not a number; write it as 110 or 110.5'],
    ),
    "station not finite": (
        {"stations": "[10, nan]"},
        ['seat "A", stations = [10, NaN]: is not a finite number; write it as 110 or 110.5'],
    ),
    "station of a million digits": (
        {"stations": "[1e999999]"},
        [
            'seat "A", stations = [1E+999999]: has too many digits; at most 9 before and 12 after '
            "the point can be used"
        ],
    ),
    "count beyond 64 bits": (
        {"stations": "9" * 40},
        [
            'seat "A", stations = a whole number beyond what TOML allows: must give 1 to 100 '
            "stations"
        ],
    ),
    # orientations
    "negative orientation": (
        {"orientations": [0, -30]},
        [
            'seat "A", orientations = [0, -30]: holds -30°; a diameter is measured at 0° or more '
            "and below 180°, beyond which the same diameter comes again"
        ],
    ),
    "180°": (
        {"orientations": [0, 180]},
        [
            'seat "A", orientations = [0, 180]: holds 180°; a diameter is measured at 0° or more '
            "and below 180°, beyond which the same diameter comes again"
        ],
    ),
    "orientation twice": (
        {"orientations": "[0, 45, 45.0]"},
        ['seat "A", orientations = [0, 45, 45.0]: holds 45° twice; name every orientation once'],
    ),
    "too many orientations": (
        {"orientations": 361},
        ['seat "A", orientations = 361: must give 1 to 360 orientations'],
    ),
    "orientations in words": (
        {"orientations": '"six"'},
        [
            'seat "A", orientations = "six": is neither a count such as 6 nor a list of angles '
            "such as [0, 60, 120]"
        ],
    ),
    # repeats
    "no repeats": ({"repeats": 0}, ['seat "A", repeats = 0: must be 1 or more']),
    "many repeats": ({"repeats": 21}, ['seat "A", repeats = 21: must be 20 or less']),
    "half a repeat": (
        {"repeats": 1.5},
        ['seat "A", repeats = 1.5: is not a whole number; write it as 3, without quotes or point'],
    ),
    "repeats as text": (
        {"repeats": '"2"'},
        ['seat "A", repeats = "2": is not a whole number; write it as 3, without quotes or point'],
    ),
    "repeats as truth": (
        {"repeats": "true"},
        ['seat "A", repeats = true: is not a whole number; write it as 3, without quotes or point'],
    ),
    # limits of size
    "no such class": (
        {"limits": 'tolerance_class = "i6"'},
        [
            'seat "A": tolerance_class: No shaft has the letter i: there are a, b, c, cd, d, e, '
            "ef, f, fg, g, h, js, j, k, m, n, p, r, s, t, u, v, x, y, z, za, zb, zc"
        ],
    ),
    "no such grade": (
        {"limits": 'tolerance_class = "h99"'},
        [
            'seat "A": tolerance_class: ISO 286 gives no h99 at 100 mm: at this size there are '
            "h01 to h18"
        ],
    ),
    "class of a hole": (
        {"limits": 'tolerance_class = "H7"'},
        [
            'seat "A": tolerance_class: H7 is a class for holes; a shaft\'s seat has a small '
            "letter, such as h7"
        ],
    ),
    "class as a number": (
        {"limits": "tolerance_class = 6"},
        ['seat "A", tolerance_class = 6: is not text; put it between quotes'],
    ),
    "class and sizes": (
        {"limits": 'tolerance_class = "h6"\nupper_size = 100.01'},
        [
            'seat "A": has both a tolerance_class and stated sizes; keep one of the two, so that '
            "nobody has to guess which one counts"
        ],
    ),
    "no limits": (
        {"limits": ""},
        [
            'seat "A": has no limits of size; give a tolerance_class such as "k6", or both '
            "lower_size and upper_size"
        ],
    ),
    "one limit": (
        {"limits": "upper_size = 100.01"},
        [
            'seat "A": has no limits of size; give a tolerance_class such as "k6", or both '
            "lower_size and upper_size"
        ],
    ),
    "limits the wrong way round": (
        {"limits": "upper_size = 99.99\nlower_size = 100.01"},
        [
            'seat "A": upper_size 99.99 mm is not above lower_size 100.01 mm; they may be the '
            "wrong way round"
        ],
    ),
    "deviations for sizes": (
        {"limits": "upper_size = 0.025\nlower_size = 0.003"},
        [
            'seat "A": sizes 0.003 mm to 0.025 mm are far from the nominal 100 mm; give sizes, '
            "not deviations"
        ],
    ),
    "class beyond the tables": (
        {"nominal": 4000},
        [
            'seat "A": tolerance_class: The nominal size 4000 mm is outside the tables of ISO 286: '
            "it must be over 0 and at most 3150 mm"
        ],
    ),
    # numbers
    "not a number": (
        {"length": "nan"},
        ['seat "A", length = NaN: is not a finite number; write it as 110 or 110.5'],
    ),
    "infinite": (
        {"length": "-inf"},
        ['seat "A", length = -Infinity: is not a finite number; write it as 110 or 110.5'],
    ),
    "overflowing": (
        {"length": "1e9999999999"},
        [
            'seat "A", length = 1E+9999999999: has too many digits; at most 9 before and 12 after '
            "the point can be used"
        ],
    ),
    "more decimals than stay exact": (
        {"length": "10.0000000000001"},
        [
            'seat "A", length = 10.0000000000001: has too many digits; at most 9 before and 12 '
            "after the point can be used"
        ],
    ),
    "a kilometre": (
        {"shaft_length": 1_000_000},
        [
            "shaft, section 1, length = 1000000: is beyond 100000 mm; check the number and the "
            "plan's unit"
        ],
    ),
    "decimal comma": (
        {"length": '"55,5"'},
        [
            'seat "A", length = "55,5": "55,5" cannot be read as a length: write a point before '
            "the decimals and no thousands separator, as in 1250.5"
        ],
    ),
    "with unit": (
        {"length": '"55 mm"'},
        ['seat "A", length = "55 mm": "55 mm" cannot be read as a length: leave out the unit'],
    ),
    "a date": (
        {"length": "2024-05-17"},
        ['seat "A", length = 2024-05-17: is not a number; write it as 110 or 110.5'],
    ),
    # form
    "unknown grade": (
        {"more": 'roundness = {tolerance = "IT99", sense = "radial"}'},
        [
            'seat "A": roundness.tolerance: ISO 286 gives no IT99 at 100 mm: at this size there '
            "are IT01 to IT18"
        ],
    ),
    "division by nothing": (
        {"more": 'taper = {tolerance = "IT5/0", sense = "radial"}'},
        [
            'seat "A": taper.tolerance: "IT5/0" is not a standard tolerance grade: write IT and a '
            "number, such as IT5, or a part of one, such as IT5/2"
        ],
    ),
    "no tolerance at all": (
        {"more": 'cylindricity = {tolerance = 0, sense = "radial"}'},
        ['seat "A": cylindricity.tolerance must be above zero'],
    ),
    "micrometres for millimetres": (
        {"more": 'roundness = {tolerance = 8, sense = "radial"}'},
        [
            'seat "A": roundness.tolerance is more than 1 mm, which is no tolerance of form; '
            "write it in the plan's unit, mm"
        ],
    ),
    "form as a number": (
        {"more": "roundness = 0.008"},
        ['seat "A", roundness = 0.008: is not a table; write it as [name] with keys below'],
    ),
    "form without sense": (
        {"more": "roundness = {tolerance = 0.008}"},
        ['seat "A", roundness, sense: is missing; add it'],
    ),
    "form of another sense": (
        {"more": 'roundness = {tolerance = 0.008, sense = "diameter"}'},
        ["seat \"A\", roundness, sense = \"diameter\": must be 'radial' or 'diametral'"],
    ),
    "assumption without ground": (
        {"more": 'odd_lobes = {at_most = 0.002, basis = " "}'},
        ['seat "A", odd_lobes, basis = " ": is empty; write something'],
    ),
    # choices
    "judged": (
        {"judged": "mean"},
        ["seat \"A\", judged = \"mean\": must be 'local sizes', 'station means' or 'overall mean'"],
    ),
    "method": (
        {"more": 'method = "round"'},
        ["seat \"A\", method = \"round\": must be 'two-point', 'radial' or 'vee'"],
    ),
    "walk": (
        {"walk": "zigzag"},
        ["walk = \"zigzag\": must be 'station by station' or 'orientation by orientation'"],
    ),
    "probability in per cent": (
        {"probability": 95},
        ["decision, probability = 95: must be 0.999 or less"],
    ),
    "expansion in µm per metre": (
        {"shaft_expansion": 11.5},
        ["shaft, expansion_per_kelvin = 11.5: must be 0.0001 or less"],
    ),
    "no uncertainty": ({"expanded": 0}, ["uncertainty, expanded = 0: must be greater than 0"]),
    # keys
    "unknown key": (
        {"more": "repeat = 2"},
        ['seat "A", repeat = 2: is no key of a plan (is "repeats" meant?); correct or remove it'],
    ),
    "unknown key like none": (
        {"more": "zzz = 2"},
        ['seat "A", zzz = 2: is no key of a plan; correct or remove it'],
    ),
    "unknown key deeper": (
        {"more": 'taper = {tolerence = 0.01, tolerance = 0.01, sense = "radial"}'},
        [
            'seat "A", taper, tolerence = 0.01: is no key of a plan (is "tolerance" meant?); '
            "correct or remove it"
        ],
    ),
    "name inside the program": (
        {"more": "from_mm = 1"},
        ['seat "A", from_mm = 1: is no key of a plan (is "from" meant?); correct or remove it'],
    ),
    "control character": (
        {"more": 'odd_lobes = {at_most = 0.002, basis = "a\\u0007b"}'},
        [
            'seat "A", odd_lobes, basis = "a\\u0007b": holds a line break or a control character; '
            "write it on one line"
        ],
    ),
}


@pytest.mark.parametrize(("changes", "said"), BAD_FIELDS.values(), ids=BAD_FIELDS.keys())
def test_bad_field_is_named_with_value_and_mend(plan_of, changes, said):
    assert problems_of(plan_of(**changes)) == said


def test_the_small_plan_itself_is_good(plan_of):
    assert parse_plan(plan_of()).heading.title == "Trial shaft"


@pytest.mark.parametrize(
    ("line", "field"),
    [
        ("format = 1", "format"),
        ('title = "Trial shaft"', "plan, title"),
        ('unit = "mm"', "plan, unit"),
        ('datum_face = "left end face"', "shaft, datum_face"),
        ("diameter = 100", "shaft, section 1, diameter"),
        ('id = "A"', "seat 1, id"),
        ("stations = [10, 30, 50]", 'seat "A", stations'),
        ("orientations = [0, 90]", 'seat "A", orientations'),
        ('basis = "made up for a test"', "uncertainty, basis"),
    ],
)
def test_missing_field_is_named(plan_of, line, field):
    text = plan_of()
    assert text.count(line) == 1
    assert problems_of(text.replace(line, "")) == [f"{field}: is missing; add it"]


def test_empty_text_lacks_every_part():
    assert problems_of("") == [
        f"{part}: is missing; add it" for part in ("format", "plan", "shaft", "seat", "uncertainty")
    ]


def test_several_problems_are_all_listed(plan_of):
    text = plan_of(unit="cm", repeats=0, expanded="nan", walk="zigzag")
    assert [problem.partition(":")[0] for problem in problems_of(text)] == [
        'plan, unit = "cm"',
        'seat "A", repeats = 0',
        "uncertainty, expanded = NaN",
        'walk = "zigzag"',
    ]


def test_message_gives_the_first_problem_and_counts_the_others(plan_of):
    with pytest.raises(PlanError) as caught:
        parse_plan(plan_of(unit="cm", repeats=0, walk="zigzag"), source="fan.toml")
    assert str(caught.value) == (
        "The plan fan.toml cannot be used: plan, unit = \"cm\": must be 'mm' or 'in' "
        "(and 2 more: seatproof plan lists them all)"
    )
    assert caught.value.problems[1] == Problem('seat "A", repeats', "0", "must be 1 or more")


def test_newer_format_is_refused(plan_of):
    assert problems_of(plan_of().replace("format = 1", "format = 2")) == [
        "format = 2: is a plan format that this version does not know; it reads format 1"
    ]


def _two_seats(plan_of, **second):
    """Return the small plan with a second seat that begins where the first one ends."""
    seat = {"id": "B", "from": "60", "length": "40", "nominal": "100"} | second
    lines = "".join(
        f'{key} = "{value}"\n' if key == "id" else f"{key} = {value}\n"
        for key, value in seat.items()
    )
    return plan_of(shaft_length=100).replace(
        "[uncertainty]",
        f'[[seat]]\nname = "Second seat"\ntolerance_class = "h6"\nstations = 2\norientations = 2\n'
        f"{lines}\n[uncertainty]",
    )


def test_seats_may_touch(plan_of):
    assert [seat.id for seat in parse_plan(_two_seats(plan_of)).seats] == ["A", "B"]


def test_overlapping_seats_are_refused(plan_of):
    assert problems_of(_two_seats(plan_of, **{"from": "59.999"})) == [
        'seats "A" and "B" overlap along the shaft; correct the from or length of one of them'
    ]


def test_seat_id_twice_is_refused(plan_of):
    assert problems_of(_two_seats(plan_of, id="A")) == [
        'seat "A" stands twice; give every seat an id of its own'
    ]


@pytest.mark.parametrize("seat_id", ["", "B 1", "-B", "B234567890123", "Ä", "B/1"])
def test_seat_id_of_other_signs_is_refused(plan_of, seat_id):
    (said,) = problems_of(_two_seats(plan_of, id=seat_id))
    assert said.endswith(": may hold letters, digits, - and _ only, 12 at most")


def test_seat_unlike_the_outline_is_refused(plan_of):
    assert problems_of(_two_seats(plan_of, nominal="101")) == [
        'seat "B" has a nominal size of 101 mm, but the shaft\'s outline is 100 mm between 0 mm '
        "and 100 mm; correct one of the two"
    ]


KEYWAY = "[[shaft.keyway]]\nfrom = {}\nlength = 20\nwidth = {}\ndepth = {}\n[[seat]]"


@pytest.mark.parametrize(
    ("start", "width", "depth", "said"),
    [
        (
            50,
            12,
            5,
            "shaft: keyway 1 ends at 70 mm, beyond the shaft's end at 60 mm; shorten or move it",
        ),
        (
            0,
            100,
            5,
            "shaft: keyway 1, 100 mm wide and 5 mm deep, leaves nothing of a diameter of 100 mm; "
            "correct its width or depth",
        ),
        (
            0,
            12,
            50,
            "shaft: keyway 1, 12 mm wide and 50 mm deep, leaves nothing of a diameter of 100 mm; "
            "correct its width or depth",
        ),
    ],
)
def test_keyway_that_cannot_be_is_refused(plan_of, start, width, depth, said):
    text = plan_of().replace("[[seat]]", KEYWAY.format(start, width, depth))
    assert problems_of(text) == [said]


def test_lengths_are_said_in_the_plan_s_own_unit(plan_of):
    # 1 mm has no short inch decimal: it is rounded to a billionth of an inch.
    changes = {"unit": "in", "nominal": 4, "length": 6, "shaft_length": 5, "stations": 2}
    assert problems_of(plan_of(**changes)) == [
        "seat \"A\" ends at 6 in, beyond the shaft's end at 5 in; correct the seat's from or "
        "length, or the shaft's sections"
    ]


NO_TOML = {
    "prose": ("this is no plan", "it is not valid TOML: Expected '='"),
    "a zero byte": ("\0", "it is not valid TOML: Invalid statement"),
    "key twice": ("format = 1\nformat = 1\n", "it is not valid TOML: Cannot overwrite a value"),
    "digits without end": ("format = " + "9" * 5000, "it holds a number or a nesting far beyond"),
    "nesting without end": ("a = " + "[" * 5000, "it holds a number or a nesting far beyond"),
}


@pytest.mark.parametrize(("text", "said"), NO_TOML.values(), ids=NO_TOML.keys())
def test_what_is_no_toml_is_refused(text, said):
    (problem,) = problems_of(text)
    assert problem.startswith(said)


def test_files_that_are_no_plan_are_refused(tmp_path):
    (tmp_path / "latin.toml").write_bytes('title = "Löhne"'.encode("latin-1"))
    (tmp_path / "long.toml").write_bytes(b"#" * (MAX_PLAN_BYTES + 1))
    (tmp_path / "empty.toml").touch()
    for name, said in {
        "latin.toml": "the file is not UTF-8 text; name a plan file",
        "long.toml": "the file is far too long to be a plan; name a plan file",
        "missing.toml": "there is no such file; check the name",
        ".": "it is a folder; name a plan file in it",
        "empty.toml": "format: is missing; add it (and 4 more: seatproof plan lists them all)",
    }.items():
        path = tmp_path / name
        with pytest.raises(PlanError) as caught:
            load_plan(path)
        assert str(caught.value) == f"The plan {path} cannot be used: {said}"


def test_plan_with_a_byte_order_mark_is_read(plan_of, tmp_path):
    path = tmp_path / "plan.toml"
    path.write_text(plan_of(), encoding="utf-8-sig")
    assert load_plan(path) == parse_plan(plan_of())

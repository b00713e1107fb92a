"""Plans that drawings have to cope with, and an independent look at the drawings."""

import math
from collections.abc import Callable, Iterator
from functools import cache
from itertools import combinations, pairwise

import pytest
from reportlab.pdfbase.pdfmetrics import stringWidth

from seatproof.core.drawing.shapes import Anchor, Arc, Circle, Drawing, Line, Polyline, Text
from seatproof.core.files import example
from seatproof.core.plan.file import load_plan, parse_plan
from seatproof.core.plan.model import Plan
from seatproof.core.sheet.fonts import register_fonts

HEADING = """
format = 1
[plan]
title = "Odd shaft"
version = "1"
unit = "{unit}"
[shaft]
name = "Shaft"
datum_face = "left face"
angular_datum = "{angular_datum}"
[uncertainty]
expanded = 0.0003
repeatability = 0.0001
basis = "stated"
"""


def make_plan(sections, seats, keyways=(), *, unit="mm", angular_datum="punch mark") -> Plan:
    """Build a plan from (length, diameter), (id, from, length, nominal, further) and keyways."""
    text = HEADING.format(unit=unit, angular_datum=angular_datum)
    for length, diameter in sections:
        text += f"[[shaft.section]]\nlength = {length}\ndiameter = {diameter}\n"
    for start, length, width, depth, angle_deg in keyways:
        text += f"[[shaft.keyway]]\nfrom = {start}\nlength = {length}\nwidth = {width}\n"
        text += f"depth = {depth}\nangle_deg = {angle_deg}\n"
    for seat_id, start, length, nominal, further in seats:
        keys = {"stations": "3", "orientations": "4", "tolerance_class": '"k6"'} | further
        if "upper_size" in keys:
            del keys["tolerance_class"]
        text += f'[[seat]]\nid = "{seat_id}"\nname = "Seat"\nfrom = {start}\nlength = {length}\n'
        text += f"nominal = {nominal}\n"
        text += "".join(f"{key} = {value}\n" for key, value in keys.items())
    return parse_plan(text)


PLANS: dict[str, Callable[[], Plan]] = {
    "kiln fan": lambda: load_plan(example("kiln_fan.toml")),
    "screw pump": lambda: load_plan(example("screw_pump.toml")),
    "one section": lambda: make_plan([(300, 80)], [("A", 0, 300, 80, {})]),
    "twenty seats side by side": lambda: make_plan(
        [(1000, 60)], [(f"S{n + 1}", 50 * n, 50, 60, {}) for n in range(20)]
    ),
    "twenty seats between shoulders": lambda: make_plan(
        [(100, 50), *[(40, 60), (60, 50)] * 20],
        [(f"SEAT-{n + 1}", 100 + 100 * n, 40, 60, {"edge_exclusion": "4"}) for n in range(20)],
    ),
    "tiny seat on a long shaft": lambda: make_plan(
        [(4000, 60), (12, 50), (4000, 60)], [("A", 4000, 12, 50, {})]
    ),
    "flange": lambda: make_plan(
        [(100, 100), (30, 600), (80, 90)],
        [("A", 20, 60, 100, {}), ("B", 130, 60, 90, {})],
        [(40, 30, 20, 8, 90), (140, 40, 20, 8, 45)],
    ),
    "keyways all round": lambda: make_plan(
        [(400, 100), (60, 110), (300, 100)],
        [("A", 400, 60, 110, {"stations": "9", "orientations": "[15, 75, 135]"})],
        [
            (0, 80, 25, 9, 0),
            (110, 60, 25, 9, 45),
            (190, 60, 25, 9, 90),
            (270, 60, 25, 9, 180),
            (340, 60, 25, 9, 270),
            (500, 60, 25, 9, 300),
        ],
        angular_datum="centre line of the keyway at the coupling, the one beside the oil hole",
    ),
    "many stations and orientations": lambda: make_plan(
        [(50, 40), (60, 50), (50, 40)],
        [
            (
                "LONGNAME-123",
                50,
                60,
                50,
                {
                    "stations": "100",
                    "orientations": "72",
                    "upper_size": "50.0255",
                    "lower_size": "50.0025",
                },
            )
        ],
    ),
    "inch, seat at the far end": lambda: make_plan(
        [('"11 5/8"', 3), (0.5, '"2 15/16"')],
        [("E", '"11 5/8"', 0.5, '"2 15/16"', {"stations": "4"})],
        unit="in",
    ),
}


@cache
def planned_once(name: str) -> Plan:
    return PLANS[name]()


@pytest.fixture(scope="session")
def planned() -> Callable[[str], Plan]:
    return planned_once


@pytest.fixture(params=PLANS)
def plan(request) -> Plan:
    return planned_once(request.param)


@pytest.fixture(scope="session")
def build_plan() -> Callable[..., Plan]:
    return make_plan


# --- looking at a drawing ------------------------------------------------------------------------


def corners(text: Text) -> list[tuple[float, float]]:
    """The four corners of a text's ink, measured with the typeface itself."""
    length = stringWidth(text.text, register_fonts().text, text.size)
    start = {Anchor.START: 0.0, Anchor.MIDDLE: -length / 2, Anchor.END: -length}[text.anchor]
    cos, sin = math.cos(math.radians(text.angle_deg)), math.sin(math.radians(text.angle_deg))
    low = -text.drop - (0.2 * text.size if set(text.text) & set("gjpqy(),/_") else 0.0)
    high = -text.drop + 0.74 * text.size
    return [
        (text.x + along * cos - across * sin, text.y + along * sin + across * cos)
        for along in (start, start + length)
        for across in (low, high)
    ]


def box(text: Text) -> tuple[float, float, float, float]:
    xs, ys = zip(*corners(text), strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def segments(drawing: Drawing) -> Iterator[tuple[float, float, float, float]]:
    for shape in drawing.shapes:
        match shape:
            case Line():
                yield shape.x1, shape.y1, shape.x2, shape.y2
            case Polyline():
                points = [*shape.points, *(shape.points[:1] if shape.closed else ())]
                for a, b in pairwise(points):
                    yield *a, *b
            case Circle() | Arc():
                start, extent = (
                    (shape.start_deg, shape.extent_deg) if isinstance(shape, Arc) else (0, 360)
                )
                turns = [math.radians(start + extent * step / 90) for step in range(91)]
                points = [
                    (shape.x + shape.radius * math.cos(t), shape.y + shape.radius * math.sin(t))
                    for t in turns
                ]
                for a, b in pairwise(points):
                    yield *a, *b


def crosses(segment, area) -> bool:
    """Liang and Barsky's clipping: does any of the segment lie inside the area?"""
    x1, y1, x2, y2 = segment
    left, bottom, right, top = area
    enter, leave = 0.0, 1.0
    for step, start, low, high in ((x2 - x1, x1, left, right), (y2 - y1, y1, bottom, top)):
        if step == 0:
            if not low < start < high:
                return False
            continue
        near, far = sorted(((low - start) / step, (high - start) / step))
        enter, leave = max(enter, near), min(leave, far)
    return enter < leave


def texts_of(drawing: Drawing) -> list[Text]:
    return [shape for shape in drawing.shapes if isinstance(shape, Text)]


@pytest.fixture(scope="session")
def faults() -> Callable[[Drawing], list[str]]:
    """What a reader would object to: cut off, overlapping, struck through."""

    def look(drawing: Drawing) -> list[str]:
        found = []
        texts = texts_of(drawing)
        slack = 0.01
        for segment in segments(drawing):
            for x, y in (segment[:2], segment[2:]):
                if not (
                    -slack <= x <= drawing.width + slack and -slack <= y <= drawing.height + slack
                ):
                    found.append(f"a line leaves the box at {x:.1f}, {y:.1f}")
            for text in texts:
                left, bottom, right, top = box(text)
                ink = (left + 0.1, bottom + 0.1, right - 0.1, top - 0.1)
                if crosses(segment, ink):
                    found.append(f"a line {segment} goes through {text.text!r}")
        for text in texts:
            left, bottom, right, top = box(text)
            if left < -slack or bottom < -slack or right > drawing.width + slack:
                found.append(f"{text.text!r} is cut off")
            if top > drawing.height + slack:
                found.append(f"{text.text!r} is cut off above")
        for one, other in combinations(texts, 2):
            a, b = box(one), box(other)
            if a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]:
                found.append(f"{one.text!r} and {other.text!r} overlap")
        return found

    return look


@pytest.fixture(scope="session")
def words() -> Callable[[Drawing], list[str]]:
    return lambda drawing: [text.text for text in texts_of(drawing)]

"""The side elevation of a shaft: outline, keyways, seats, stations and dimensions.

The datum face is at the left. The shaft is seen from 0°, so that 0° faces the viewer and 90° is at
the top; beside it at the right, an end view with 0° to the right is its view from the left in first
angle projection (ISO 5456-2).
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from seatproof.core.drawing.dimensions import Dimensioning, dimensionings
from seatproof.core.drawing.keyways import Slot, slots
from seatproof.core.drawing.lettering import text_width
from seatproof.core.drawing.placement import Break, Placement, Stretch, place, widest_scale
from seatproof.core.drawing.seat_labels import Labelling, labellings
from seatproof.core.drawing.shapes import XY, Anchor, Drawing, Pen
from seatproof.core.drawing.sketch import Sketch
from seatproof.core.plan.model import Plan
from seatproof.core.units import Unit

# Below this share of the height, the shaft is too small beside its own lettering.
_LEAST_SHARE: Final = 0.36
_COMFORTABLE: Final = 2.0  # times the scale at which seats are just readable
_WORTH_A_BREAK: Final = 1.15  # times the scale of the whole shaft: less gain is not worth a break
_DATUM_WORDS: Final = ("datum", "face")
_UNIT_WORDS: Final = {Unit.MM: "mm", Unit.INCH: "inches"}


@dataclass(frozen=True, slots=True)
class SideElevation(Drawing):
    """A drawing of the shaft from the side, and where its points lie on it."""

    placement: Placement


@dataclass(frozen=True, slots=True)
class _Layout:
    labelling: Labelling
    dimensioning: Dimensioning
    placement: Placement
    size: float


def side_elevation(plan: Plan, width: float, height: float, text_size: float) -> SideElevation:
    """Draw a plan's shaft from the side, to scale.

    One scale holds along the shaft and across it. Where the seats would become unreadable, long
    plain parts are shortened by break lines, and the drawing says so; dimensions stay true.

    Parameters
    ----------
    plan : Plan
        A valid plan.
    width, height : float
        The box to fill, in points.
    text_size : float
        Height of the lettering in points; it is set smaller where the box leaves no room for it.

    Returns
    -------
    SideElevation

    Raises
    ------
    ValueError
        A measure of the box or of the lettering is not above zero.
    """
    if not (width > 0 and height > 0 and text_size > 0):
        raise ValueError(f"a drawing of {width} by {height}, lettered {text_size}, has no room")
    layout = _lay_out(plan, width, height, text_size)
    placement, size = layout.placement, layout.size
    radius_mm = float(plan.shaft.largest_diameter_mm) / 2
    top_y, bottom_y = placement.y(radius_mm), placement.y(-radius_mm)
    sketch = Sketch()
    _draw_exclusions(sketch, plan, placement)
    _draw_stations(sketch, plan, placement, top_y, bottom_y, size)
    _draw_body(sketch, plan, placement, size)
    _draw_datum(sketch, plan, placement, size)
    layout.labelling.draw(sketch, placement, width, top_y)
    layout.dimensioning.draw(sketch, placement, width, bottom_y)
    note = _note(plan, bool(placement.breaks), width, size)
    sketch.text(0.0, 0.24 * size, note, size, Pen.DIMENSION)
    return SideElevation(width, height, sketch.shapes, placement)


# --- layout --------------------------------------------------------------------------------------


def _lay_out(plan: Plan, width: float, height: float, text_size: float) -> _Layout:
    size = text_size
    while True:
        for dimensioning in dimensionings(plan, size):
            for labelling in labellings(plan, size):
                placement = _placed(plan, labelling, dimensioning, width, height)
                if placement is not None:
                    return _Layout(labelling, dimensioning, placement, size)
        size *= 0.9


def _placed(
    plan: Plan, labelling: Labelling, dimensioning: Dimensioning, width: float, height: float
) -> Placement | None:
    """Place the shaft between its lettering; None where that leaves no readable drawing."""
    size = labelling.size
    above, below = labelling.height, dimensioning.height + 1.3 * size
    margin = _datum_width(size)
    room_x, room_y = width - 2 * margin, height - above - below
    if room_x < width / 2 or room_y <= 0:
        return None
    stretches = _stretches(plan)
    diameter_mm = float(plan.shaft.largest_diameter_mm)
    by_height = room_y / diameter_mm
    readable = max(
        length / float(seat.length_mm)
        for seat, length in zip(labelling.seats, labelling.seat_lengths, strict=True)
    )
    scale = min(by_height, room_x / float(plan.shaft.length_mm))
    if scale < min(by_height, readable):
        # Once the shaft is broken anyway, it may as well fill the height, within reason.
        broken = widest_scale(stretches, room_x, least=3 * size)
        broken = min(by_height, _COMFORTABLE * readable, broken)
        scale = broken if broken > _WORTH_A_BREAK * scale else scale
    if scale == by_height and room_y < _LEAST_SHARE * height:
        return None
    axis_y = below + (height - above - below) / 2
    placement = place(stretches, scale=scale, left=margin, width=room_x, gap=size, axis_y=axis_y)
    if labelling.centres(placement, width) is None or not dimensioning.fits(placement, width):
        return None
    return placement


def _stretches(plan: Plan) -> list[Stretch]:
    occupied = [(float(seat.from_mm), float(seat.to_mm)) for seat in plan.seats_apart]
    occupied += [(slot.from_mm, slot.to_mm) for slot in slots(plan.shaft)]
    places = {float(place) for step in plan.shaft.steps() for place in step[:2]}
    places |= {place for pair in occupied for place in pair}
    ordered = sorted(places)
    return [
        Stretch(start, end, plain=not any(a < end and start < b for a, b in occupied))
        for start, end in pairwise(ordered)
    ]


def _datum_width(size: float) -> float:
    """Room that the datum mark takes beside the shaft."""
    return max(text_width(word, size) for word in _DATUM_WORDS) + 13 * size / 7


def _note(plan: Plan, is_shortened: bool, width: float, size: float) -> str:
    unit = _UNIT_WORDS[plan.unit]
    if not is_shortened:
        return f"Dimensions in {unit}"
    notes = (
        f"Shaft shortened at the break lines; dimensions are true lengths in {unit}",
        f"Shortened; true dimensions, in {unit}",
    )
    return next((note for note in notes if text_width(note, size) <= width), notes[-1])


# --- the shaft -----------------------------------------------------------------------------------


def _draw_exclusions(sketch: Sketch, plan: Plan, placement: Placement) -> None:
    for seat in plan.seats_apart:
        if seat.edge_exclusion_mm == 0:
            continue
        radius_mm = float(seat.nominal_mm) / 2
        for start, end in (
            (seat.from_mm, seat.from_mm + seat.edge_exclusion_mm),
            (seat.to_mm - seat.edge_exclusion_mm, seat.to_mm),
        ):
            left, right = placement.x(float(start)), placement.x(float(end))
            bottom, top = placement.y(-radius_mm), placement.y(radius_mm)
            sketch.box(left, bottom, right, top, Pen.FAINT, filled=True)


def _draw_stations(
    sketch: Sketch, plan: Plan, placement: Placement, top_y: float, bottom_y: float, size: float
) -> None:
    unit = size / 7
    top_y, bottom_y = top_y + 5 * unit, bottom_y - 3 * unit
    for seat in plan.seats_apart:
        lines = sorted(placement.x(float(z_mm)) for z_mm in seat.stations_mm)
        if all(after - before >= 2.5 * unit for before, after in pairwise(lines)):
            for x in lines:
                sketch.line(x, bottom_y, x, top_y, Pen.STATION)
            continue
        # Lines as close as that would blacken the seat; they only cross its contour.
        upper, lower = (placement.y(side * float(seat.nominal_mm) / 2) for side in (1, -1))
        for x in lines:
            sketch.line(x, upper - 3 * unit, x, top_y, Pen.STATION)
            sketch.line(x, bottom_y, x, lower + 3 * unit, Pen.STATION)


def _draw_body(sketch: Sketch, plan: Plan, placement: Placement, size: float) -> None:
    steps = [(float(a), float(b), float(d) / 2) for a, b, d in plan.shaft.steps()]
    keyways = slots(plan.shaft)
    overhang = 6 * size / 7
    left, right = placement.x(0.0), placement.x(steps[-1][1])
    sketch.line(left - overhang, placement.axis_y, right + overhang, placement.axis_y, Pen.CENTRE)
    for slot in keyways:
        for edge in slot.edges():
            points = ((placement.x(z_mm), placement.y(h_mm)) for z_mm, h_mm in edge.points)
            sketch.polyline(points, Pen.OUTLINE if edge.visible else Pen.HIDDEN)
    for start, end, radius_mm in steps:
        own = [slot for slot in keyways if start <= slot.from_mm and slot.to_mm <= end]
        for side in (1, -1):
            contour = _contour(start, end, radius_mm, own, side)
            for part in _parted(contour, placement.breaks):
                points = ((placement.x(z_mm), placement.y(h_mm)) for z_mm, h_mm in part)
                sketch.polyline(points, Pen.OUTLINE)
    for z_mm, radius_mm in _faces(steps):
        x = placement.x(z_mm)
        sketch.line(x, placement.y(-radius_mm), x, placement.y(radius_mm), Pen.OUTLINE)
    for gap in placement.breaks:
        middle_mm = (gap.from_mm + gap.to_mm) / 2
        half = placement.scale * next(r for start, end, r in steps if start <= middle_mm <= end)
        for x in (gap.from_x, gap.to_x):
            sketch.polyline(_zigzag(x, placement.axis_y, half, size / 7), Pen.THIN)


def _contour(
    start: float, end: float, radius_mm: float, keyways: list[Slot], side: int
) -> list[XY]:
    inner = sorted(point for slot in keyways for point in slot.contour_mm(side))
    return [(start, side * radius_mm), *inner, (end, side * radius_mm)]


def _parted(contour: list[XY], breaks: tuple[Break, ...]) -> Iterator[list[XY]]:
    """Yield what the breaks leave of a contour line, which is straight wherever a break lies."""
    part = [contour[0]]
    for point in contour[1:]:
        for gap in breaks:
            if part[-1][0] <= gap.from_mm and gap.to_mm <= point[0]:
                yield [*part, (gap.from_mm, point[1])]
                part = [(gap.to_mm, point[1])]
        part.append(point)
    yield part


def _faces(steps: list[tuple[float, float, float]]) -> Iterator[tuple[float, float]]:
    """Yield (z_mm, radius_mm) of every face: both ends, and the shoulders between them."""
    yield 0.0, steps[0][2]
    for (_, z_mm, before), (_, _, after) in pairwise(steps):
        if before != after:
            yield z_mm, max(before, after)
    yield steps[-1][1], steps[-1][2]


def _zigzag(x: float, axis_y: float, half: float, unit: float) -> list[XY]:
    """Draw a break line across the shaft: straight, with zigzags (ISO 128, line type 01.1)."""
    tall = min(unit, half / 3)
    middles = (-half / 2, half / 2) if half > 10 * unit else (0.0,)
    points = [(x, axis_y - half - 2.5 * unit)]
    for middle in middles:
        y = axis_y + middle
        points += [
            (x, y - 2.4 * tall),
            (x - 1.8 * tall, y - 0.8 * tall),
            (x + 1.8 * tall, y + 0.8 * tall),
            (x, y + 2.4 * tall),
        ]
    return [*points, (x, axis_y + half + 2.5 * unit)]


def _draw_datum(sketch: Sketch, plan: Plan, placement: Placement, size: float) -> None:
    """Stand the datum triangle on the datum face, with its words in a frame (as in ISO 5459)."""
    unit = size / 7
    half = placement.scale * float(plan.shaft.sections[0].diameter_mm) / 2
    x, y = placement.x(0.0), placement.axis_y + half / 2
    apex_x, _ = sketch.datum_triangle(x, y, 180, min(5 * unit, half / 2), Pen.DATUM)
    right = x - 8 * unit
    left = right - max(text_width(word, size) for word in _DATUM_WORDS) - 4 * unit
    sketch.line(apex_x, y, right, y, Pen.DATUM)
    sketch.box(left, y - 1.15 * size, right, y + 1.15 * size, Pen.DATUM)
    for word, baseline in zip(_DATUM_WORDS, (y + 0.2 * size, y - 0.86 * size), strict=True):
        sketch.text((left + right) / 2, baseline, word, size, Pen.DATUM, anchor=Anchor.MIDDLE)

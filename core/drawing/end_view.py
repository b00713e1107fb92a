"""The end view of a seat: its circle, keyways, orientations and the way angles are counted.

Seen looking at the datum face. 0° points to the right, as angles are drawn everywhere in
mathematics, and angles grow anticlockwise; placed at the right of the side elevation, that is also
the shaft's view from the left in first angle projection (ISO 5456-2).
"""

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from seatproof.core.drawing.keyways import Slot, slots
from seatproof.core.drawing.lettering import Box, text_box, text_width, wrap
from seatproof.core.drawing.seat_labels import seat_text
from seatproof.core.drawing.shapes import XY, Align, Anchor, Drawing, Pen
from seatproof.core.drawing.sketch import Sketch
from seatproof.core.plan.model import Plan
from seatproof.core.plan.seat import Seat
from seatproof.core.plan.shaft import Shaft

# A keyway on a section many times the seat's size would make the seat a dot; it is left out.
_LARGEST_RATIO: Final = 2.0
_NOTE_LINES: Final = 3
_VIEW_NOTE: Final = "Seen looking at the datum face"


@dataclass(frozen=True, slots=True)
class EndPlacement:
    """The way from a place on a seat's circle to a place on paper.

    Attributes
    ----------
    x, y : float
        The shaft's axis on paper, in points.
    radius : float
        The seat's nominal radius on paper, in points.
    """

    x: float
    y: float
    radius: float

    def point(self, angle_deg: float, fraction: float = 1.0) -> XY:
        """Return where an angle at a fraction of the seat's radius lies."""
        angle = math.radians(angle_deg)
        distance = self.radius * fraction
        return self.x + distance * math.cos(angle), self.y + distance * math.sin(angle)


@dataclass(frozen=True, slots=True)
class EndView(Drawing):
    """A drawing of one seat seen from the datum face, and where its points lie on it."""

    placement: EndPlacement


def end_view(plan: Plan, seat: Seat, width: float, height: float, text_size: float) -> EndView:
    """Draw a seat as seen looking at the datum face.

    Every orientation of a two-point measurement is a full diameter, labelled at its own angle only.
    Keyways lie at their angle on the circle of their own section, to the seat's scale.

    Parameters
    ----------
    plan : Plan
    seat : Seat
        One of the plan's seats.
    width, height : float
        The box to fill, in points.
    text_size : float
        Height of the lettering in points; it is set smaller where the box leaves no room for it.

    Returns
    -------
    EndView

    Raises
    ------
    ValueError
        A measure of the box or of the lettering is not above zero.
    """
    if not (width > 0 and height > 0 and text_size > 0):
        raise ValueError(f"a drawing of {width} by {height}, lettered {text_size}, has no room")
    size = text_size
    while (rim := _rim_radius(plan, seat, width, height, size)) < 0.2 * min(width, height):
        size *= 0.9
    seat_mm = float(seat.nominal_mm) / 2
    shown = [s for s in slots(plan.shaft) if s.radius_mm <= _LARGEST_RATIO * seat_mm]
    largest_mm = max([seat_mm, *(slot.radius_mm for slot in shown)])
    notes = _notes(plan, width, size)
    foot = len(notes) * 1.3 * size
    placement = EndPlacement(
        width / 2, foot + (height - foot - 1.5 * size) / 2, rim * seat_mm / largest_mm
    )
    sketch = Sketch()
    _draw_circles(sketch, plan.shaft, seat, shown, placement)
    _draw_orientations(sketch, seat, placement, rim, size)
    _draw_counting(sketch, placement, rim, size)
    title = seat_text(seat, plan.unit)
    sketch.text(width / 2, height - 0.9 * size, title, size, Pen.OUTLINE, anchor=Anchor.MIDDLE)
    for line, note in enumerate(reversed(notes)):
        baseline = (0.3 + 1.3 * line) * size
        sketch.text(width / 2, baseline, note, size, Pen.DIMENSION, anchor=Anchor.MIDDLE)
    return EndView(width, height, sketch.shapes, placement)


def _rim_radius(plan: Plan, seat: Seat, width: float, height: float, size: float) -> float:
    """Return the radius of the largest circle for which the lettering round it still has room."""
    beside = max(text_width(_angle_text(a), size) for a in _marked_angles(seat)) + 1.8 * size
    above = 1.5 * size  # the title; as much again between it and the circle
    below = len(_notes(plan, width, size)) * 1.3 * size
    too_wide = any(text_width(note, size) > width for note in _notes(plan, width, size))
    too_wide |= text_width(seat_text(seat, plan.unit), size) > width
    if too_wide:
        return 0.0
    return min(width / 2 - beside, (height - above - below) / 2 - 2.3 * size)


def _notes(plan: Plan, width: float, size: float) -> list[str]:
    datum = wrap(f"0°: {plan.shaft.angular_datum}", size, width, _NOTE_LINES - 1)
    return [*wrap(_VIEW_NOTE, size, width, 2), *datum]


def _marked_angles(seat: Seat) -> list[float]:
    return sorted({0.0, *(float(angle_deg) for angle_deg in seat.orientations_deg)})


def _angle_text(angle_deg: float) -> str:
    return f"{angle_deg:.1f}".removesuffix(".0") + "°"


# --- circles and keyways -------------------------------------------------------------------------


def _draw_circles(
    sketch: Sketch, shaft: Shaft, seat: Seat, shown: list[Slot], placement: EndPlacement
) -> None:
    scale = placement.radius / (float(seat.nominal_mm) / 2)
    seat_mm = float(seat.nominal_mm) / 2
    on_seat = [s for s in shown if s.from_mm < float(seat.to_mm) and s.to_mm > float(seat.from_mm)]
    _draw_notched(sketch, placement, scale, seat_mm, on_seat, Pen.OUTLINE)
    others: dict[tuple[float, Pen], list[Slot]] = {}
    for slot in shown:
        if slot not in on_seat:
            pen = Pen.OUTLINE if _is_seen(shaft, slot) else Pen.HIDDEN
            others.setdefault((slot.radius_mm, pen), []).append(slot)
    for (radius_mm, pen), group in others.items():
        _draw_notched(sketch, placement, scale, radius_mm, group, pen)


def _is_seen(shaft: Shaft, slot: Slot) -> bool:
    """Tell whether a keyway is seen from the datum face, past the sections in front of it."""
    in_front = [float(d) / 2 for start, _, d in shaft.steps() if float(start) < slot.from_mm]
    return all(radius_mm <= slot.radius_mm for radius_mm in in_front)


def _draw_notched(
    sketch: Sketch,
    placement: EndPlacement,
    scale: float,
    radius_mm: float,
    keyways: list[Slot],
    pen: Pen,
) -> None:
    """Draw a section's circle, open where its keyways are, and the keyways' walls and floors."""
    x, y, radius = placement.x, placement.y, scale * radius_mm
    if not keyways:
        sketch.circle(x, y, radius, pen)
        return
    openings: list[tuple[float, float]] = []
    for slot in keyways:
        half_deg = math.degrees(math.asin(slot.half_width_mm / slot.radius_mm))
        openings.append((slot.angle_deg - half_deg, slot.angle_deg + half_deg))
        turn = math.radians(slot.angle_deg)
        half = radius * math.sin(math.radians(half_deg))
        mouth, floor = radius * math.cos(math.radians(half_deg)), scale * slot.floor_mm
        corners = ((mouth, -half), (floor, -half), (floor, half), (mouth, half))
        sketch.polyline(
            (
                (
                    x + out * math.cos(turn) - across * math.sin(turn),
                    y + out * math.sin(turn) + across * math.cos(turn),
                )
                for out, across in corners
            ),
            pen,
        )
    for start_deg, extent_deg in _between(openings):
        sketch.arc(x, y, radius, start_deg, extent_deg, pen)


def _between(openings: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Return (start, extent) in degrees of the arcs that openings leave of a circle."""
    ordered = sorted((start % 360, start % 360 + (end - start)) for start, end in openings)
    arcs: list[tuple[float, float]] = []
    reach = ordered[0][1]
    for start, end in [*ordered[1:], (ordered[0][0] + 360, ordered[0][1] + 360)]:
        if start > reach:
            arcs.append((reach % 360, start - reach))
        reach = max(reach, end)
    return arcs


# --- orientations and angular datum --------------------------------------------------------------


def _draw_orientations(
    sketch: Sketch, seat: Seat, placement: EndPlacement, rim: float, size: float
) -> None:
    unit = size / 7
    x, y = placement.x, placement.y
    angles_deg = sorted(float(angle_deg) for angle_deg in seat.orientations_deg)
    steps = [b - a for a, b in zip(angles_deg, [*angles_deg[1:], angles_deg[0] + 180], strict=True)]
    # Closer than this the diameters would blacken the middle; their ends at the circle stay.
    inner = 0.0 if placement.radius * math.radians(min(steps)) >= 4 * unit else 0.85
    for angle_deg in angles_deg:
        cos, sin = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
        near, far, back = inner * placement.radius, rim + 5 * unit, rim + 3 * unit
        if inner:
            sketch.line(x + near * cos, y + near * sin, x + far * cos, y + far * sin, Pen.STATION)
            sketch.line(x - near * cos, y - near * sin, x - back * cos, y - back * sin, Pen.STATION)
        else:
            sketch.line(x - back * cos, y - back * sin, x + far * cos, y + far * sin, Pen.STATION)
    sketch.line(x, y, x + rim, y, Pen.DATUM)
    sketch.line(x - 4 * unit, y, x + 4 * unit, y, Pen.CENTRE)
    sketch.line(x, y - 4 * unit, x, y + 4 * unit, Pen.CENTRE)
    apex_x, _ = sketch.datum_triangle(x + rim, y, 0, 4 * unit, Pen.DATUM)
    sketch.line(apex_x, y, apex_x + 2 * unit, y, Pen.DATUM)
    zero = sketch.text(
        apex_x + 3.5 * unit, y, _angle_text(0.0), size, Pen.DATUM, align=Align.MIDDLE
    )
    taken = [text_box(zero), Box(x + rim, y - 3 * unit, apex_x, y + 3 * unit)]
    for label in _labels(angles_deg, placement, rim + 6 * unit, size, taken):
        sketch.text(
            label.x,
            label.y,
            _angle_text(label.angle_deg),
            size,
            Pen.STATION,
            anchor=Anchor.MIDDLE,
            align=Align.MIDDLE,
        )


@dataclass(frozen=True, slots=True)
class _Label:
    angle_deg: float
    x: float
    y: float
    box: Box


def _labels(
    angles_deg: list[float],
    placement: EndPlacement,
    distance: float,
    size: float,
    taken: list[Box],
) -> list[_Label]:
    """Place labels outside a circle: every orientation, or every second, third... as room allows.

    One that would touch what is `taken` already is left out; so is 0°, which has its own mark.
    """
    gap = 0.25 * size
    for step in range(1, len(angles_deg) + 1):
        labels = [
            label
            for label in (_label(a, placement, distance, size) for a in angles_deg[::step])
            if label.angle_deg > 0 and not any(label.box.meets(box, gap) for box in taken)
        ]
        if not any(a.box.meets(b.box, gap) for a, b in pairwise(labels)):
            return labels
    raise AssertionError("a single label touches no other")


def _label(angle_deg: float, placement: EndPlacement, distance: float, size: float) -> _Label:
    cos, sin = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
    half_width, half_height = text_width(_angle_text(angle_deg), size) / 2, 0.38 * size
    # The label's box lies beyond the tangent to the circle at that angle.
    centre = distance + abs(cos) * half_width + abs(sin) * half_height
    x, y = placement.x + centre * cos, placement.y + centre * sin
    box = Box(x - half_width, y - half_height, x + half_width, y + half_height)
    return _Label(angle_deg, x, y, box)


def _draw_counting(sketch: Sketch, placement: EndPlacement, rim: float, size: float) -> None:
    """Draw the arrow of the direction of counting, where two-point labels leave room for it."""
    unit = size / 7
    radius, start_deg, end_deg = rim + 8 * unit, 290.0, 335.0
    head = 5 * unit
    # The arrowhead is straight: its chord is laid along the arc's end.
    chord_deg = math.degrees(head / radius)
    extent_deg = max(end_deg - start_deg - chord_deg / 2, 1.0)
    sketch.arc(placement.x, placement.y, radius, start_deg, extent_deg, Pen.DIMENSION)
    tip = math.radians(end_deg)
    sketch.arrowhead(
        placement.x + radius * math.cos(tip),
        placement.y + radius * math.sin(tip),
        end_deg + 90 - chord_deg / 2,
        head,
        Pen.DIMENSION,
    )

"""Marking strips at full size: one wraps round a seat, one lies along it.

The strip that goes round carries the orientations, the ruler the stations. Paper is thick and
printers scale: the length round is that of the middle of the paper once it is wrapped, and every
strip has a line of stated length to check with a rule before anyone trusts it.
"""

import math
from dataclasses import dataclass
from decimal import Decimal
from io import BytesIO
from typing import Any, Final

from reportlab.lib.pagesizes import A4, LETTER
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from seatproof.core.plan.fields import length_text
from seatproof.core.plan.model import Plan
from seatproof.core.plan.seat import Seat
from seatproof.core.sheet.fonts import FONTS, register_fonts

PAPER_MM: Final = 0.1  # ordinary office paper of 80 g/m²
OVERLAP_MM: Final = 12.0  # where two pieces, or the two ends, are laid over one another
CHECK_MM: Final = 100.0
BAND_MM: Final = 22.0
_MARGIN_MM: Final = 15.0
_ROW_MM: Final = 38.0
_TICK_MM: Final = 7.0
_HALF_TURN_DEG: Final = 180.0


@dataclass(frozen=True, slots=True)
class Mark:
    """A line across a strip: where it is, and what stands at it."""

    at_mm: float
    label: str


@dataclass(frozen=True, slots=True)
class Strip:
    """A strip: its length, its marks from its beginning on, and what it is for."""

    title: str
    advice: str
    length_mm: float
    marks: tuple[Mark, ...]


def round_strip(seat: Seat, thickness_mm: float = PAPER_MM) -> Strip:
    """Return the strip that wraps round a seat of its nominal size.

    Its length is π·(d + t): paper of thickness t neither stretches nor shrinks in its middle. A
    diameter is marked at both its ends.
    """
    around_mm = math.pi * (float(seat.nominal_mm) + thickness_mm)
    marks = []
    for number, angle in enumerate(seat.orientations_deg, start=1):
        at_deg = float(angle)
        marks.append(Mark(around_mm * at_deg / 360.0, f"{number}: {_degrees(at_deg)}"))
        if seat.method == "two-point":
            across_deg = at_deg + _HALF_TURN_DEG
            marks.append(Mark(around_mm * across_deg / 360.0, f"{number}: {_degrees(across_deg)}"))
    return Strip(
        title=f"Seat {seat.id}, round the shaft",
        advice=(
            "Lay the line 0 on the angular datum, so that the angles run anticlockwise seen from "
            "the datum face. The line END must meet the line 0; if it does not, the print was "
            "scaled or the shaft is another one."
        ),
        length_mm=around_mm,
        marks=tuple(sorted(marks, key=lambda mark: mark.at_mm)),
    )


def along_strip(plan: Plan, seat: Seat) -> Strip:
    """Return the ruler that lies along a seat and carries its stations."""
    marks = tuple(
        Mark(float(z_mm - seat.from_mm), f"{number}: {length_text(_short(z_mm), plan.unit)}")
        for number, z_mm in enumerate(seat.stations_mm, start=1)
    )
    return Strip(
        title=f"Seat {seat.id}, along the shaft",
        advice=(
            f"Lay the line 0 on the beginning of the seat, {length_text(seat.from_mm, plan.unit)} "
            f"from the datum face ({plan.shaft.datum_face}); the line END is the end of the seat. "
            "The figures are distances from the datum face."
        ),
        length_mm=float(seat.length_mm),
        marks=marks,
    )


def build_strips(plan: Plan) -> bytes:
    """Return a PDF with the strips of every seat, for the paper that the plan names.

    Full size: 1 mm is 72/25.4 points; print it without scaling ("actual size").
    """
    register_fonts()
    target = BytesIO()
    page = LETTER if plan.heading.paper == "Letter" else A4
    size = (page[1], page[0])  # lying, since strips are long
    fonts: Any = {"initialFontName": FONTS.text}  # reportlab's stubs take it for a number
    canvas = Canvas(target, pagesize=size, invariant=1, **fonts)
    canvas.setTitle(f"Marking strips: {plan.heading.title}, version {plan.heading.version}")
    for seat in plan.seats:
        if seat.same_seat_as is None or seat.method != "two-point":
            _draw_seat(canvas, size, plan, (along_strip(plan, seat), round_strip(seat)))
    canvas.save()
    return target.getvalue()


def _draw_seat(
    canvas: Canvas, size: tuple[float, float], plan: Plan, strips: tuple[Strip, ...]
) -> None:
    top_mm = _begin_page(canvas, size, plan)
    usable_mm = size[0] / mm - 2 * _MARGIN_MM
    for strip in strips:
        for number, (start_mm, end_mm) in enumerate(pieces(strip.length_mm, usable_mm)):
            needed_mm = _ROW_MM if number else _ROW_MM + 12.0
            if top_mm - needed_mm < _MARGIN_MM:
                canvas.showPage()
                top_mm = _begin_page(canvas, size, plan)
            if number == 0:
                _text(canvas, _MARGIN_MM, top_mm - 5.0, strip.title, FONTS.bold, 11)
                _text(canvas, _MARGIN_MM, top_mm - 10.0, strip.advice, FONTS.text, 8)
                top_mm -= 12.0
            _draw_piece(canvas, top_mm - 4.0, strip, start_mm, end_mm)
            top_mm -= _ROW_MM
    canvas.showPage()


def pieces(length_mm: float, usable_mm: float) -> tuple[tuple[float, float], ...]:
    """Cut a length into pieces that fit the paper, each with room to be laid over the next.

    >>> pieces(300.0, 250.0)
    ((0.0, 238.0), (238.0, 300.0))
    """
    step_mm = usable_mm - OVERLAP_MM
    count = max(1, math.ceil(length_mm / step_mm))
    return tuple((index * step_mm, min((index + 1) * step_mm, length_mm)) for index in range(count))


def _begin_page(canvas: Canvas, size: tuple[float, float], plan: Plan) -> float:
    """Write the heading and the scale check; return the height below them, in mm."""
    top_mm = size[1] / mm - _MARGIN_MM
    heading = plan.heading
    _text(canvas, _MARGIN_MM, top_mm - 3.0, f"{heading.title}, version {heading.version}",
          FONTS.bold, 9)  # fmt: skip
    canvas.setLineWidth(0.4)
    y = (top_mm - 11.0) * mm
    canvas.line(_MARGIN_MM * mm, y, (_MARGIN_MM + CHECK_MM) * mm, y)
    for end_mm in (0.0, CHECK_MM):
        x = (_MARGIN_MM + end_mm) * mm
        canvas.line(x, y - 2 * mm, x, y + 2 * mm)
    _text(
        canvas,
        _MARGIN_MM + CHECK_MM + 4.0,
        top_mm - 12.0,
        f"This line is {CHECK_MM:g} mm (3.937 in) long. Measure it: if it is not, print again at "
        "actual size.",
        FONTS.text,
        8,
    )
    return top_mm - 16.0


def _draw_piece(
    canvas: Canvas, top_mm: float, strip: Strip, start_mm: float, end_mm: float
) -> None:
    """Draw a piece of a strip with its top edge at a height; marks are thin and exact."""
    left_mm = _MARGIN_MM
    first, last = start_mm == 0.0, end_mm == strip.length_mm
    width_mm = end_mm - start_mm + OVERLAP_MM
    canvas.setLineWidth(0.3)
    canvas.setDash()
    canvas.rect(left_mm * mm, (top_mm - BAND_MM) * mm, width_mm * mm, BAND_MM * mm)
    if first:
        _line(canvas, left_mm, top_mm, BAND_MM, "0")
    if last:
        _line(canvas, left_mm + end_mm - start_mm, top_mm, BAND_MM, "END")
    else:
        join = "lay the left edge of the next piece on this line →"
        _line(canvas, left_mm + end_mm - start_mm, top_mm, BAND_MM, join, before=True)
    for mark in strip.marks:
        if start_mm <= mark.at_mm <= end_mm:
            x_mm = left_mm + mark.at_mm - start_mm
            canvas.line(x_mm * mm, top_mm * mm, x_mm * mm, (top_mm - _TICK_MM) * mm)
            _upright(canvas, x_mm, top_mm - _TICK_MM - 1.0, mark.label)


def _line(
    canvas: Canvas,
    x_mm: float,
    top_mm: float,
    height_mm: float,
    label: str,
    *,
    before: bool = False,
) -> None:
    """Draw a line across the band and beyond it, with its label after it or before it."""
    canvas.line(x_mm * mm, (top_mm + 3.0) * mm, x_mm * mm, (top_mm - height_mm - 3.0) * mm)
    canvas.setFont(FONTS.text, 7)
    draw = canvas.drawRightString if before else canvas.drawString
    draw((x_mm + (-0.8 if before else 0.8)) * mm, (top_mm - height_mm - 3.0) * mm, label)


def _upright(canvas: Canvas, x_mm: float, top_mm: float, label: str) -> None:
    """Write along a mark, reading upwards, so that neighbouring labels never meet."""
    canvas.saveState()
    canvas.translate((x_mm + 1.0) * mm, top_mm * mm)
    canvas.rotate(-90)
    canvas.setFont(FONTS.text, 8)
    canvas.drawString(0, 0, label)
    canvas.restoreState()


def _text(canvas: Canvas, x_mm: float, y_mm: float, text: str, font: str, size: float) -> None:
    canvas.setFont(font, size)
    canvas.drawString(x_mm * mm, y_mm * mm, text)


def _short(length_mm: Decimal) -> Decimal:
    return round(length_mm, 4)


def _degrees(angle: float) -> str:
    return f"{angle:.4g}°"

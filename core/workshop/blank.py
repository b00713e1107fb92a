"""A sheet to write on where there is no computer: the points of a plan, with room for values.

Values written on it are typed in later and are marked in the record as typed by hand.
"""

from io import BytesIO
from typing import Any, Final

from reportlab.lib.pagesizes import A4, LETTER
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, SimpleDocTemplate, Spacer, Table, TableStyle

from seatproof.core import figures
from seatproof.core.cautions import CAUTIONS, DEFERENCE
from seatproof.core.plan.fields import length_text
from seatproof.core.plan.model import Plan
from seatproof.core.plan.seat import Seat
from seatproof.core.sheet.fonts import FONTS, register_fonts
from seatproof.core.sheet.style import (
    BODY,
    HEADING,
    INK,
    LABEL,
    NAMED,
    NOTE,
    RULE,
    SEAT_HEADING,
    STRONG,
    TITLE,
)
from seatproof.core.sheet.text import paragraph

_MARGIN: Final = 15 * mm
_PADDING: Final = 6.0  # reportlab's own, inside the frame
_ROW: Final = 9 * mm
_MOST_COLUMNS: Final = 8  # values are written by hand: a column must be wide enough for it
_IDENTITY: Final = (
    "Asset", "Shaft serial no.", "Work order", "Date and time", "Inspector", "Micrometer no.",
    "Calibration due", "Setting standard no.", "Check before (reads)", "Check after (reads)",
    "Shaft temperature °C", "Micrometer temperature °C",
)  # fmt: skip


def build_blank(plan: Plan) -> bytes:
    """Return the PDF of a sheet to write on, for the paper that the plan names."""
    register_fonts()
    target = BytesIO()
    page = LETTER if plan.heading.paper == "Letter" else A4
    width = page[0] - 2 * _MARGIN - 2 * _PADDING
    heading = plan.heading
    flow: list[Flowable] = [
        paragraph(f"{heading.title}: readings by hand", TITLE),
        Spacer(1, 8),
        paragraph(
            f"Plan version {heading.version}. Drawing: {heading.drawing or 'not named'}. "
            f"All values in {plan.unit}, as the gauge shows them. Strike out, never overwrite.",
            NAMED,
        ),
        paragraph("Before anything else", HEADING),
        *(paragraph(f"• {caution}", BODY) for caution in CAUTIONS),
        paragraph(DEFERENCE, BODY),
        Spacer(1, 8),
        _identity(width),
        Spacer(1, 4),
    ]
    if plan.conditions:
        flow += _conditions(plan, width)
    flow += [block for seat in plan.seats for block in _seat(plan, seat, width)]
    flow.append(Spacer(1, 6))
    flow.append(paragraph("Name and signature of the one who measured:", LABEL))
    document = SimpleDocTemplate(
        target,
        pagesize=page,
        leftMargin=_MARGIN,
        rightMargin=_MARGIN,
        topMargin=_MARGIN,
        bottomMargin=_MARGIN + 4 * mm,
        invariant=1,
        initialFontName=FONTS.text,
        title=f"Readings by hand: {heading.title}, version {heading.version}",
    )
    foot = f"{heading.title}, plan version {heading.version}"

    def number_page(canvas: Canvas, _: Any) -> None:
        canvas.setFont(FONTS.text, 7)
        canvas.drawString(_MARGIN, 10 * mm, foot)
        canvas.drawRightString(page[0] - _MARGIN, 10 * mm, f"page {canvas.getPageNumber()}")

    document.build(flow, onFirstPage=number_page, onLaterPages=number_page)
    return target.getvalue()


def _identity(width: float) -> Table:
    cells = [
        [paragraph(name, LABEL) for name in _IDENTITY[start : start + 3]]
        for start in range(0, len(_IDENTITY), 3)
    ]
    return _ruled(Table(cells, colWidths=[width / 3] * 3, rowHeights=[11 * mm] * len(cells)))


def _seat(plan: Plan, seat: Seat, width: float) -> list[Flowable]:
    facts = f"{seat.method}, nominal {length_text(seat.nominal_mm, plan.unit)}"
    if seat.has_size:
        lower, upper = figures.limits(*seat.limits_mm, plan.unit)
        facts += f", {seat.tolerance_class or 'stated limits'}: {lower} to {upper}"
    if seat.repeats > 1:
        facts += f"; {seat.repeats} readings at every point"
    blocks: list[Flowable] = [
        paragraph(f"Seat {seat.id}: {seat.name}", SEAT_HEADING),
        paragraph(facts, NAMED),
    ]
    angles = list(enumerate(seat.orientations_deg, start=1))
    for start in range(0, len(angles), _MOST_COLUMNS):
        shown = angles[start : start + _MOST_COLUMNS]
        head = [paragraph("Station", STRONG)]
        head += [paragraph(f"{number}: {float(angle):.4g}°", STRONG) for number, angle in shown]
        rows: list[list[Any]] = [head]
        for number, z_mm in enumerate(seat.stations_mm, start=1):
            at = length_text(round(z_mm, 4), plan.unit)
            rows.append([paragraph(f"{number}: {at}", NAMED), *("" for _ in shown)])
        first = 30 * mm
        columns = [first, *([(width - first) / len(shown)] * len(shown))]
        heights = [6 * mm, *([_ROW * seat.repeats] * len(seat.stations_mm))]
        table = Table(rows, colWidths=columns, rowHeights=heights, repeatRows=1)
        blocks += [_ruled(table), Spacer(1, 4)]
    return blocks


def _conditions(plan: Plan, width: float) -> list[Flowable]:
    ids = [seat.id for seat in plan.seats if seat.same_seat_as is None]
    head = ["Condition", *(f"Seat {name}" for name in ids)]
    rows = [[paragraph(text, STRONG) for text in head]]
    rows += [
        [paragraph(condition, NAMED), *(paragraph("", NAMED) for _ in ids)]
        for condition in plan.conditions
    ]
    columns = [width * 0.4, *([width * 0.6 / len(ids)] * len(ids))]
    return [
        paragraph("Condition of the seats", HEADING),
        paragraph("Write: met, not met, or not applicable.", NOTE),
        _ruled(Table(rows, colWidths=columns, rowHeights=[7 * mm] * len(rows), repeatRows=1)),
    ]


def _ruled(table: Table) -> Table:
    table.setStyle(
        TableStyle(
            [
                ("GRID", (0, 0), (-1, -1), 0.4, RULE),
                ("BOX", (0, 0), (-1, -1), 0.8, INK),
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
                ("TOPPADDING", (0, 0), (-1, -1), 2),
                ("LEFTPADDING", (0, 0), (-1, -1), 3),
            ]
        )
    )
    return table

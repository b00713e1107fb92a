"""A seat on the sheet: heading, results beside its end view, readings, plots and their notes."""

from typing import Any, Final

from reportlab.platypus import CondPageBreak, Flowable, HRFlowable, Spacer, Table

from seatproof.core.drawing.end_view import end_view
from seatproof.core.plan.model import Plan
from seatproof.core.sheet.along_figure import AlongFigure
from seatproof.core.sheet.blocks import Command, facts_table, table
from seatproof.core.sheet.content import SeatPart
from seatproof.core.sheet.paint import DrawingFlowable
from seatproof.core.sheet.polar_figure import polar_figures
from seatproof.core.sheet.readings import readings
from seatproof.core.sheet.style import INK, NOTE, SEAT_HEADING
from seatproof.core.sheet.text import paragraph

_END_VIEW: Final = (150.0, 118.0)
_LETTERING: Final = 6.5
_GAP: Final = 12.0
_POLAR_SHARE: Final = 0.46
_LEAST_START: Final = 300.0  # heading, results and the first rows of readings stay together


def seat_section(part: SeatPart, plan: Plan, width: float) -> list[Flowable]:
    """Return everything the sheet says of one seat."""
    return [
        CondPageBreak(_LEAST_START),
        paragraph(part.heading, SEAT_HEADING),
        HRFlowable(width="100%", thickness=1.2, color=INK, spaceBefore=0, spaceAfter=4),
        _results(part, plan, width),
        Spacer(0, 5),
        *readings(part, plan.unit, width),
        Spacer(0, 8),
        *_plots(part, plan, width),
    ]


def _results(part: SeatPart, plan: Plan, width: float) -> Table:
    view_width, view_height = _END_VIEW
    view = end_view(plan, plan.seat(part.seat_id), view_width, view_height, _LETTERING)
    left = width - view_width - _GAP
    facts = facts_table(part.facts, 0.46 * left, 0.54 * left)
    return table(
        [[facts, DrawingFlowable(view)]],
        [width - view_width, view_width],
        [("RIGHTPADDING", (0, 0), (-1, -1), 0)],
    )


def _plots(part: SeatPart, plan: Plan, width: float) -> list[Flowable]:
    """Lay the plots out in rows of two, the notes below the first row."""
    unit = plan.unit
    polar_width = _POLAR_SHARE * width
    polars = polar_figures(part.polar, unit, polar_width)
    along = AlongFigure(part.along, unit, width - polar_width - _GAP, polars[0].height)
    figures: list[Flowable] = [polars[0], along, *polars[1:]]
    notes = [paragraph(note, NOTE) for note in part.polar_notes]
    more = [paragraph(note, NOTE) for note in part.along_notes]
    rows: list[list[Any]] = [[polars[0], along], [notes, more]]
    commands: list[Command] = [
        ("RIGHTPADDING", (0, 0), (0, -1), _GAP),
        ("NOSPLIT", (0, 0), (-1, 1)),
    ]
    rest = figures[2:]
    rows += [[*rest[index : index + 2], ""][:2] for index in range(0, len(rest), 2)]
    return [table(rows, [polar_width + _GAP, width - polar_width - _GAP], commands)]

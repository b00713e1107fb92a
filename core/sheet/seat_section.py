"""A seat on the sheet: heading, results beside its end view, readings, plots and their notes."""

from typing import Any, Final

from reportlab.platypus import CondPageBreak, Flowable, HRFlowable, Spacer, Table

from seatproof.core.drawing.end_view import end_view
from seatproof.core.plan.model import Plan
from seatproof.core.sheet.along_figure import AlongFigure
from seatproof.core.sheet.blocks import Command, facts_table, table
from seatproof.core.sheet.grid_table import grid_flow
from seatproof.core.sheet.paint import DrawingFlowable
from seatproof.core.sheet.polar_figure import polar_figures
from seatproof.core.sheet.readings import readings
from seatproof.core.sheet.spectrum_figure import SpectrumFigure
from seatproof.core.sheet.style import INK, NOTE, SEAT_HEADING
from seatproof.core.sheet.text import marked, paragraph
from seatproof.core.wording.content import SeatPart
from seatproof.core.words import Words

_END_VIEW: Final = (150.0, 118.0)
_LETTERING: Final = 6.5
_GAP: Final = 12.0
_POLAR_SHARE: Final = 0.38
_ALONG_HEIGHT: Final = 250.0  # where there is no polar plot to be as high as
_LEAST_START: Final = 300.0  # heading, results and the first rows of readings stay together


def seat_section(part: SeatPart, plan: Plan, say: Words, width: float) -> list[Flowable]:
    """Return everything the sheet says of one seat."""
    flow = [
        CondPageBreak(_LEAST_START),
        marked(part.heading, SEAT_HEADING, 0),
        HRFlowable(width="100%", thickness=1.2, color=INK, spaceBefore=0, spaceAfter=4),
        _results(part, plan, say, width),
        Spacer(0, 5),
        *readings(part, plan.unit, say, width),
        Spacer(0, 8),
        *_plots(part, plan, say, width),
    ]
    for spectrum in part.spectra:
        figure = SpectrumFigure(spectrum, say("Undulations"), plan.unit, width)
        note = paragraph(part.spectra_note, NOTE)
        flow += [Spacer(0, 6), table([[[figure, note]]], [width], [("NOSPLIT", (0, 0), (-1, -1))])]
    for grid in part.grids:
        flow += [Spacer(0, 6), *grid_flow(grid, width)]
    return flow


def _results(part: SeatPart, plan: Plan, say: Words, width: float) -> Table:
    view_width, view_height = _END_VIEW
    seat = plan.seat(part.seat_id)
    named = seat if seat.same_seat_as is None else plan.seat(seat.same_seat_as)
    # The view shows the orientations of this set, under the name of the seat that it is taken on.
    shown = named.model_copy(update={"orientations": seat.orientations_deg, "method": seat.method})
    view = end_view(plan, shown, view_width, view_height, _LETTERING)
    left = width - view_width - _GAP
    facts = facts_table(part.facts, 0.46 * left, 0.54 * left)
    return table(
        [[facts, DrawingFlowable(view, say)]],
        [width - view_width, view_width],
        [("RIGHTPADDING", (0, 0), (-1, -1), 0)],
    )


def _plots(part: SeatPart, plan: Plan, say: Words, width: float) -> list[Flowable]:
    """Lay the plots out in rows of two, the notes of the first two below them."""
    unit = plan.unit
    polar_width = _POLAR_SHARE * width
    along_width = width - polar_width - _GAP
    figures: list[Flowable] = []
    notes = []
    if part.polar is not None:
        figures += polar_figures(part.polar, unit, say, polar_width)
        notes.append(paragraph(" ".join(part.polar_notes), NOTE))
    if part.along is not None:
        height = figures[0].height if figures else _ALONG_HEIGHT
        figures.insert(1, AlongFigure(part.along, unit, say, along_width, height))
        notes.append(paragraph(" ".join(part.along_notes), NOTE))
    if not figures:
        return []
    rows: list[list[Any]] = [[*figures[:2], ""][:2], [*notes, ""][:2]]
    commands: list[Command] = [
        ("RIGHTPADDING", (0, 0), (0, -1), _GAP),
        ("NOSPLIT", (0, 0), (-1, 1)),
    ]
    rest = figures[2:]
    rows += [[*rest[index : index + 2], ""][:2] for index in range(0, len(rest), 2)]
    return [table(rows, [polar_width + _GAP, along_width], commands)]

"""The order of the sheet: the answer first, then what it rests on."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from reportlab.platypus import Flowable, Spacer

from seatproof.core.drawing.shaft import side_elevation
from seatproof.core.plan.model import Plan
from seatproof.core.sheet.answer import answer
from seatproof.core.sheet.blocks import facts_flow, heading
from seatproof.core.sheet.closing import (
    Covered,
    cautions,
    hand_signatures,
    photos,
    record,
    remarks,
)
from seatproof.core.sheet.grid_table import section_flow
from seatproof.core.sheet.paint import DrawingFlowable
from seatproof.core.sheet.seat_section import seat_section
from seatproof.core.sheet.style import BODY
from seatproof.core.sheet.text import labelled
from seatproof.core.sheet.title_block import title_block
from seatproof.core.wording.content import Fact, Section, SheetContent
from seatproof.core.words import Words

_SHAFT_HEIGHT: Final = 165.0
_LETTERING: Final = 7.0


@dataclass(frozen=True, slots=True)
class Standing:
    """How far the record of a sheet has come, in words, beside what was sealed.

    `fitting` is the record of the fitting, empty before it began. `by_hand` are lines to sign on,
    empty where the signatures are in the record.
    """

    covered: Covered
    status: str
    notice: str
    disposition: Sequence[Fact]
    fitting: Sequence[Section]
    gaps: Section
    review: Section
    signatures: Section
    by_hand: Sequence[tuple[str, str]]
    seals: Sequence[Fact]


def story(
    content: SheetContent,
    plan: Plan,
    standing: Standing,
    of_the_sheet: Sequence[str],
    say: Words,
    width: float,
) -> list[Flowable]:
    """Return the flow of a sheet.

    Parameters
    ----------
    content : SheetContent
    plan : Plan
        The plan of the inspection, for the drawings.
    standing : Standing
    of_the_sheet : sequence of str
        What the sheet has to say of itself, such as of characters that it cannot print.
    say : Words
    width : float
        The width between the margins, in points.
    """
    flow = [
        *title_block(content, standing.status, standing.notice, say, width),
        *answer(content, standing.disposition, say, width),
        Spacer(0, 4),
    ]
    flow += facts_flow(content.rule)
    flow.append(labelled(say("What this method cannot see:"), content.blindness, BODY))
    flow += section_flow(standing.gaps, width)
    flow += [
        *heading(say("Shaft"), room=_SHAFT_HEIGHT + 30.0),
        DrawingFlowable(side_elevation(_once_each(plan), width, _SHAFT_HEIGHT, _LETTERING), say),
    ]
    for part in content.seats:
        flow += [Spacer(0, 8), *seat_section(part, plan, say, width)]
    flow += remarks(content, of_the_sheet, say)
    for section in (*content.sections, *standing.fitting):
        flow += section_flow(section, width)
    flow += photos(content, say, width)
    flow += cautions(content, say)
    flow += section_flow(standing.review, width)
    flow += section_flow(standing.signatures, width)
    if standing.by_hand:
        flow += hand_signatures(standing.by_hand, say, width)
    flow += record(content, standing.covered, standing.seals, say, width)
    return flow


def _once_each(plan: Plan) -> Plan:
    """Return the plan without further sets of readings: their seats are drawn anyway."""
    seats = tuple(seat for seat in plan.seats if seat.same_seat_as is None)
    return plan.model_copy(update={"seats": seats})

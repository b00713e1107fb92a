"""The order of the sheet: the answer first, then what it rests on."""

from collections.abc import Sequence
from typing import Final

from reportlab.platypus import Flowable, Spacer

from seatproof.core.drawing.shaft import side_elevation
from seatproof.core.plan.model import Plan
from seatproof.core.sheet.answer import answer
from seatproof.core.sheet.blocks import facts_flow, heading
from seatproof.core.sheet.closing import Seal, cautions, circumstances, record, remarks, signatures
from seatproof.core.sheet.content import SheetContent
from seatproof.core.sheet.paint import DrawingFlowable
from seatproof.core.sheet.seat_section import seat_section
from seatproof.core.sheet.style import BODY
from seatproof.core.sheet.text import labelled
from seatproof.core.sheet.title_block import title_block

_SHAFT_HEIGHT: Final = 165.0
_LETTERING: Final = 7.0


def story(
    content: SheetContent,
    plan: Plan,
    seal: Seal,
    of_the_sheet: Sequence[str],
    width: float,
) -> list[Flowable]:
    """Return the flow of a sheet.

    Parameters
    ----------
    content : SheetContent
    plan : Plan
        The plan of the inspection, for the drawings.
    seal : Seal
    of_the_sheet : sequence of str
        What the sheet has to say of itself, such as of characters that it cannot print.
    width : float
        The width between the margins, in points.
    """
    flow = [*title_block(content, width), *answer(content, width), Spacer(0, 4)]
    flow += facts_flow(content.rule)
    flow.append(labelled("What this method cannot see:", content.blindness, BODY))
    flow += [
        *heading("Shaft", room=_SHAFT_HEIGHT + 30.0),
        DrawingFlowable(side_elevation(plan, width, _SHAFT_HEIGHT, _LETTERING)),
    ]
    for part in content.seats:
        flow += [Spacer(0, 8), *seat_section(part, plan, width)]
    flow += remarks(content, of_the_sheet)
    flow += circumstances(content)
    flow += cautions(content)
    flow += signatures(content, width)
    flow += record(content, seal, width)
    return flow

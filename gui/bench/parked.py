"""Parked presses as they wait for a decision; without Qt."""

from dataclasses import dataclass
from typing import Final

from seatproof.core import figures
from seatproof.core.plan.points import PointKey
from seatproof.core.record.state import InspectionState, ParkedPress
from seatproof.core.units import Unit
from seatproof.core.wording.moments import local_time
from seatproof.gui.shared.saying import say

# A value that fits when it is read in the other unit is offered in that one.
_READ_AS: Final = {"inches": Unit.INCH, "millimetres": Unit.MM}


@dataclass(frozen=True, slots=True)
class ParkedNotice:
    """A parked press that waits for a decision."""

    seq: int
    text: str
    came: str
    finding: str
    place: PointKey | None
    read_as: Unit | None = None


def parked_notices(state: InspectionState) -> tuple[ParkedNotice, ...]:
    """Return the presses that wait, in the order in which they came."""
    return tuple(
        ParkedNotice(
            seq=press.seq,
            text=f"{figures.received(press.received.value)} {press.received.unit}",
            came=_when(state, press),
            finding=press.finding,
            place=_fitting_place(state, press),
            read_as=_READ_AS.get(press.cause),
        )
        for press in state.waiting_presses()
    )


def _fitting_place(state: InspectionState, press: ParkedPress) -> PointKey | None:
    """Return where else a press may belong: on the seat it fits, or where it came."""
    if press.fits:
        return state.next_open(seat_id=press.fits)
    return press.key


def _when(state: InspectionState, press: ParkedPress) -> str:
    clock = local_time(press.moment, state.opened.offset_min)[11:19]
    if press.key is None:
        return clock
    return say("{clock}, at {key}", clock=clock, key=str(press.key))

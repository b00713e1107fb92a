"""What a plan will be able to prove of a seat, before it is measured."""

from dataclasses import dataclass

from seatproof.core.evaluation.requirement import Characteristic, rule_of
from seatproof.core.foresight.ahead import GaugeAhead, SeatAhead, look_ahead
from seatproof.core.foresight.design import Design, seat_with
from seatproof.core.foresight.errors import NoSuchSeatError
from seatproof.core.foresight.prospect import (
    Prospect,
    form_prospect,
    size_prospect,
    taper_prospect,
)
from seatproof.core.plan.model import Plan
from seatproof.core.uncertainty.gauge import Grade


@dataclass(frozen=True, slots=True)
class Outlook:
    """What a plan will be able to prove of one seat.

    Attributes
    ----------
    seat_id : str
    design : Design
    prospects : tuple of Prospect
    lacking, assumptions : tuple of str
        As in `SeatAhead`.
    grades : tuple of Grade
        What U of a local size would be with each grade of evidence of the gauge.
    """

    seat_id: str
    design: Design
    prospects: tuple[Prospect, ...]
    lacking: tuple[str, ...]
    assumptions: tuple[str, ...]
    grades: tuple[Grade, ...]

    @property
    def share(self) -> float:
        """The smallest share of a tolerance left for the seat, of those readings can prove."""
        return min((one.share for one in self.prospects if one.in_reach), default=0.0)

    @property
    def provable(self) -> bool:
        """Whether every requirement can be proven."""
        return all(one.provable for one in self.prospects)

    @property
    def provable_in_reach(self) -> bool:
        """Whether all those can be that readings of this kind can prove at all."""
        return all(one.provable for one in self.prospects if one.in_reach)


def foresee(
    plan: Plan, seat_id: str, gauge: GaugeAhead | None = None, design: Design | None = None
) -> Outlook:
    """Say what can be proved of a seat.

    Parameters
    ----------
    plan : Plan
    seat_id : str
    gauge : GaugeAhead, optional
        Needed by plans that work with a budget.
    design : Design, optional
        Other numbers of stations, orientations and repeats than the plan's.

    Raises
    ------
    NoSuchSeatError
        The plan has no such seat, or it is not measured by diameters.
    """
    able = tuple(seat.id for seat in plan.seats if seat.has_size)
    if seat_id not in able:
        raise NoSuchSeatError(seat_id, able)
    seat = plan.seat(seat_id)
    chosen = design or Design.of(seat)
    ahead = look_ahead(plan, seat if design is None else seat_with(seat, design), gauge)
    return Outlook(
        seat_id, chosen, _prospects(plan, ahead), ahead.lacking, ahead.assumptions, ahead.grades
    )


def _prospects(plan: Plan, ahead: SeatAhead) -> tuple[Prospect, ...]:
    seat, rule = ahead.seat, rule_of(plan)
    found = [size_prospect(seat, rule, ahead)]
    if seat.roundness is not None:
        found.append(form_prospect(plan, rule, ahead, Characteristic.ROUNDNESS))
    if seat.cylindricity is not None:
        found.append(form_prospect(plan, rule, ahead, Characteristic.CYLINDRICITY))
    if seat.taper is not None:
        found.append(taper_prospect(seat, rule, ahead))
    return tuple(found)

"""Whether a setting standard is near enough to its seats in size to say anything of them; no Qt."""

from decimal import Decimal

from seatproof.core.plan.fields import length_text
from seatproof.core.plan.model import Plan
from seatproof.core.record.kinds import GaugeInService, StandardInService
from seatproof.core.uncertainty.gauge import STANDARD_NEAR_MM
from seatproof.gui.shared.saying import wording

_FAR = wording(
    "Setting standard {number} is {size}, but seat {seat} has a nominal size of {nominal}: more "
    "than {near} away, a check on it says little of the gauge's error there; choose another, or "
    "give a reason for using it."
)


def far_standard(thing: GaugeInService | StandardInService, plan: Plan) -> tuple[str, ...]:
    """Say of which seats a setting standard says little, one English sentence each.

    The distance is that within which the uncertainty budget lets a check on a standard bound the
    gauge's error, `STANDARD_NEAR_MM`. A gauge has none.
    """
    if not isinstance(thing, StandardInService):
        return ()
    size_mm, near_mm = Decimal(thing.size_mm), Decimal(str(STANDARD_NEAR_MM))
    return tuple(
        _FAR.format(
            number=thing.inventory_number,
            size=length_text(size_mm, plan.unit),
            seat=seat.id,
            nominal=length_text(seat.nominal_mm, plan.unit),
            near=length_text(near_mm, plan.unit),
        )
        for seat in plan.seats_apart
        if seat.method == "two-point"
        and (not thing.seats or seat.id in thing.seats)
        and abs(size_mm - seat.nominal_mm) > near_mm
    )

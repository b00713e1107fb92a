"""Whether a gauge or a standard may be used: its calibration in date, its range wide enough."""

import calendar
import re
from collections.abc import Iterable, Mapping
from datetime import date
from decimal import Decimal
from typing import Final

from seatproof.core.plan.fields import length_text
from seatproof.core.plan.model import Plan
from seatproof.core.record.kinds import GaugeInService, StandardInService, ToolInService

Serviceable = GaugeInService | StandardInService | ToolInService

_NAMES: Final[Mapping[type[Serviceable], str]] = {
    GaugeInService: "Gauge",
    StandardInService: "Setting standard",
    ToolInService: "Tool",
}
_DAY: Final = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)
_MONTH: Final = re.compile(r"\d{4}-\d{2}", re.ASCII)


def due_date(text: str) -> date | None:
    """Return the last day on which a calibration holds; a month holds to its end.

    Returns
    -------
    date or None
        None where the text is no date of the form 2027-03-31 or 2027-03, so that nothing follows
        from it.

    >>> due_date("2027-02"), due_date("spring")
    (datetime.date(2027, 2, 28), None)
    """
    text = text.strip()
    try:
        if _DAY.fullmatch(text):
            return date.fromisoformat(text)
        if _MONTH.fullmatch(text):
            year, month = int(text[:4]), int(text[5:])
            return date(year, month, calendar.monthrange(year, month)[1])
    except ValueError:
        return None
    return None


def is_expired(thing: Serviceable, today: date) -> bool:
    """Tell whether a calibration has run out; one without a date that can be read has not."""
    last = due_date(thing.calibration_due)
    return last is not None and today > last


def service_faults(thing: Serviceable, plan: Plan, today: date) -> tuple[str, ...]:
    """Say why a gauge, standard or tool may be used only with a reason, one sentence each.

    `today` is the date at the bench. Where no seats are named, it serves all of the plan.
    """
    found = []
    kind = _NAMES[type(thing)]
    name = f"{kind} {thing.inventory_number}"
    if is_expired(thing, today):
        found.append(
            f"The calibration of {kind.lower()} {thing.inventory_number} was due on "
            f"{thing.calibration_due}; choose another, or give a reason for using it."
        )
    if isinstance(thing, GaugeInService):
        found.extend(_out_of_range(name, thing, plan))
    return tuple(found)


def _out_of_range(name: str, gauge: GaugeInService, plan: Plan) -> Iterable[str]:
    low, high = gauge.range_from_mm, gauge.range_to_mm
    for seat in plan.seats:
        if seat.method != "two-point" or (gauge.seats and seat.id not in gauge.seats):
            continue
        below = low is not None and seat.nominal_mm < Decimal(low)
        above = high is not None and seat.nominal_mm > Decimal(high)
        if below or above:
            ends = " to ".join(
                "…" if end is None else length_text(Decimal(end), plan.unit) for end in (low, high)
            )
            yield (
                f"{name} measures {ends}, but seat {seat.id} has a nominal size of "
                f"{length_text(seat.nominal_mm, plan.unit)}; choose another, or give a reason for "
                "using it."
            )

"""Whether a calibration still holds, and how long it will."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from seatproof.core.equipment.item import Item


class DueState(StrEnum):
    """How a piece of equipment stands with its calibration."""

    VALID = "valid"
    SOON = "due soon"
    EXPIRED = "expired"
    UNKNOWN = "no due date"


@dataclass(frozen=True, slots=True)
class Due:
    """The state on a day, and the sentence that says so."""

    state: DueState
    sentence: str


def due_on(item: Item, today: date) -> Due:
    """Tell how an item stands with its calibration on a day; the due day itself still counts."""
    if not item.certificate.due:
        return Due(
            DueState.UNKNOWN,
            f"{item.inventory_number} has no due date; enter the one on its certificate.",
        )
    due = date.fromisoformat(item.certificate.due)
    days = (due - today).days
    if days < 0:
        return Due(
            DueState.EXPIRED,
            f"The calibration of {item.inventory_number} expired on {due.isoformat()}, "
            f"{_days(-days)} ago.",
        )
    if days <= item.warning_days:
        when = "today" if days == 0 else f"in {_days(days)}"
        return Due(
            DueState.SOON,
            f"The calibration of {item.inventory_number} is due {when}, on {due.isoformat()}.",
        )
    return Due(
        DueState.VALID,
        f"The calibration of {item.inventory_number} holds until {due.isoformat()}.",
    )


def _days(count: int) -> str:
    return "1 day" if count == 1 else f"{count} days"

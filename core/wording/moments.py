"""Times as a sheet writes them: by the clock at the bench, with its offset from UTC."""

from datetime import datetime, timedelta, timezone

from seatproof.core.record.events import Event
from seatproof.core.record.state import InspectionState


def local_time(utc: datetime, offset_min: int) -> str:
    """Write a moment as a clock at the bench showed it, with its offset from UTC."""
    local = utc.astimezone(timezone(timedelta(minutes=offset_min)))
    return local.isoformat(sep=" ", timespec="seconds")


def event_time(event: Event) -> str:
    """Write when an event happened."""
    return local_time(event.moment, event.offset_min)


def clock_time(state: InspectionState, utc: datetime) -> str:
    """Write a moment of an inspection by its clock alone where it was on the opening day."""
    offset_min = state.opened.offset_min
    local = local_time(utc, offset_min)
    opened_on = local_time(state.opened.moment, offset_min)[:10]
    return local[11:19] if local[:10] == opened_on else local[:19]

"""Whether a press can be right where it came: what is found against it, in words."""

from decimal import Decimal
from typing import Final

from seatproof.core.plan.fields import length_text
from seatproof.core.record.kinds import Received
from seatproof.core.record.state import InspectionState
from seatproof.core.units import Unit

# A worn or wrongly turned seat is off by some tenths; a value farther off is another thing: another
# diameter, another unit, a gauge not closed on the shaft.
PLAUSIBLE_MM: Final = Decimal(1)


def finding_against(state: InspectionState, received: Received) -> str | None:
    """Return why a value cannot belong to the point that is next, or None where it can."""
    gauge = state.gauge
    if gauge is not None and received.unit != gauge.unit:
        return (
            f"The gauge sent {received.value} {Unit(received.unit).sign}, but it is in service as "
            f"a gauge that shows {gauge.unit}."
        )
    if state.cursor is None:
        return "No point is open."
    seat = state.plan.seat(state.cursor.seat_id)
    value_mm = Decimal(received.value_mm)
    if abs(value_mm - seat.nominal_mm) <= PLAUSIBLE_MM:
        return None
    unit = state.plan.unit
    said = (
        f"{length_text(value_mm, unit)} is more than {length_text(PLAUSIBLE_MM, unit)} from the "
        f"nominal size {length_text(seat.nominal_mm, unit)} of seat {seat.id}"
    )
    for other in state.plan.seats:
        if other.id != seat.id and abs(value_mm - other.nominal_mm) <= PLAUSIBLE_MM:
            return f"{said}; it would fit seat {other.id}."
    for factor, words in ((Unit.INCH.in_mm, "inches"), (1 / Unit.INCH.in_mm, "millimetres")):
        if abs(value_mm * factor - seat.nominal_mm) <= PLAUSIBLE_MM:
            return f"{said}; the gauge may be switched to {words}."
    return f"{said}."

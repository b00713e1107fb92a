"""Whether a press can be right where it came: what is found against it, in words."""

from decimal import Decimal
from typing import Final

from seatproof.core import figures
from seatproof.core.plan.fields import length_text
from seatproof.core.record.kinds import Received
from seatproof.core.record.state import InspectionState
from seatproof.core.units import Unit, to_mm

# A worn or wrongly turned seat is off by some tenths; a value farther off is another thing: another
# diameter, another unit, a gauge not closed on the shaft.
PLAUSIBLE_MM: Final = {Unit.MM: Decimal(1), Unit.INCH: to_mm(Decimal("0.04"), Unit.INCH)}


def finding_against(state: InspectionState, received: Received) -> str | None:
    """Return why a value cannot belong to the point that is next, or None where it can."""
    gauge = state.gauge
    if gauge is not None and received.unit != gauge.unit:
        return (
            f"The gauge sent {_as_sent(received)}, but it is in service as a gauge that shows "
            f"{gauge.unit}."
        )
    if state.cursor is None:
        return "No point is open."
    seat = state.plan.seat(state.cursor.seat_id)
    value_mm = Decimal(received.value_mm)
    unit = state.plan.unit
    far_mm = PLAUSIBLE_MM[unit]
    if abs(value_mm - seat.nominal_mm) <= far_mm:
        return None
    said = (
        f"{_as_sent(received)} is more than {length_text(far_mm, unit)} from the "
        f"nominal size {length_text(seat.nominal_mm, unit)} of seat {seat.id}"
    )
    for other in state.plan.seats:
        if other.id != seat.id and abs(value_mm - other.nominal_mm) <= far_mm:
            return f"{said}; it would fit seat {other.id}."
    for factor, words in ((Unit.INCH.in_mm, "inches"), (1 / Unit.INCH.in_mm, "millimetres")):
        if abs(value_mm * factor - seat.nominal_mm) <= far_mm:
            return f"{said}; the gauge may be switched to {words}."
    return f"{said}."


def _as_sent(received: Received) -> str:
    return f"{figures.received(received.value)} {Unit(received.unit).sign}"

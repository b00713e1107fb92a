"""The seam between devices and core: a reading that arrived becomes a press."""

import re
from decimal import Decimal
from typing import Final

from seatproof.core.record.inspection import Press
from seatproof.devices.formats import Reading
from seatproof.devices.gauge import Arrival

# The format of a value that a person read off a display and typed; sheets show it as a mark.
TYPED_BY_HAND: Final = "typed by hand"
_VALUE: Final = re.compile(r"[+-]?[0-9]{1,6}(\.[0-9]{1,6})?", re.ASCII)


def press_of(arrival: Arrival, gauge: str = "") -> Press | None:
    """Return the press that an arrival is, or None where it is a refusal.

    `gauge` is the inventory number of the gauge that sent it, where there are several.
    """
    content = arrival.content
    if not isinstance(content, Reading):
        return None
    return Press(
        value=content.value,
        unit=content.unit,
        text=content.text,
        raw=content.raw,
        format=content.format,
        arrival=arrival.number,
        channel=content.channel,
        doubts=tuple(str(doubt) for doubt in arrival.doubts),
        gauge=gauge,
    )


def typed_value(text: str) -> Decimal | None:
    """Return the number that somebody typed; None where it is none, a comma included.

    >>> typed_value("110.012"), typed_value("110,012")
    (Decimal('110.012'), None)
    """
    return Decimal(text.strip()) if _VALUE.fullmatch(text.strip()) else None


def typed_press(value: Decimal, number: int) -> Press:
    """Return the press that a value typed by hand is; it is marked as such in the record."""
    return Press(
        value=value,
        unit=None,
        text=str(value),
        raw=str(value).encode(),
        format=TYPED_BY_HAND,
        arrival=number,
        by_hand=True,
    )

"""The seam between devices and core: a reading that arrived becomes a press."""

from seatproof.core.record.inspection import Press
from seatproof.devices.formats import Reading
from seatproof.devices.gauge import Arrival


def press_of(arrival: Arrival) -> Press | None:
    """Return the press that an arrival is, or None where it is a refusal."""
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
    )

"""The colour in which a value stands: that of the outside where something is wrong with it."""

from PySide6.QtGui import QColor

from seatproof.gui.bench.last_value import LastValue, ValueKind
from seatproof.gui.shared.theme import Theme


def value_colour(value: LastValue, theme: Theme) -> QColor | None:
    """Return the colour of a value; None for that of ordinary text."""
    if value.kind in (ValueKind.REFUSED, ValueKind.PARKED, ValueKind.NOT_STORED):
        return theme.outside
    if value.mark is not None and value.mark.is_outside:
        return theme.outside
    return None

"""The fields of a piece of equipment, by what it is."""

from typing import Final

from seatproof.core.equipment.item import ItemKind
from seatproof.gui.shared.entry_spec import Entry, EntryKind, choice

_ALL: Final = (
    choice("kind", "It is a", tuple(kind.value for kind in ItemKind)),
    Entry("inventory_number", "Inventory number", "M-07", "By it records name this piece."),
    Entry("description", "Description", "outside micrometer 100 to 125"),
    Entry("serial_number", "Serial number"),
)
_UNIT: Final = choice("unit", "It shows", (("mm", "millimetres"), ("in", "inches")))
_RANGE: Final = (
    Entry("range_from_mm", "Range from, {unit}", "100"),
    Entry("range_to_mm", "to, {unit}", "125"),
)
_EXPANSION: Final = Entry("expansion_per_kelvin", "Thermal expansion, 1/K", "0.0000115")
_OF_GAUGES: Final = (
    _UNIT,
    Entry("resolution", "Step of its display, {unit}", "0.001"),
    *_RANGE,
    Entry("permissible_error_mm", "Permissible error, ± {unit}", "0.004", "From its maker."),
    choice(
        "evidence", "Its error is known from",
        (
            ("permissible error", "the permissible error"),
            ("certificate", "its certificate, size by size"),
            ("setting standard", "a setting standard near the size"),
        ),
        "A certificate needs at least one size below.",
    ),
    _EXPANSION,
    Entry(
        "repeatability_mm", "Repeatability, {unit}", "0.0005",
        "Standard deviation of one reading; the test finds it.",
    ),
    Entry("repeats", "found from readings", "10"),
)  # fmt: skip
_OF_KIND: Final[dict[ItemKind, tuple[Entry, ...]]] = {
    ItemKind.MICROMETER: _OF_GAUGES,
    ItemKind.INDICATOR: _OF_GAUGES,
    ItemKind.STANDARD: (
        _UNIT,
        Entry("actual_mm", "Actual size at 20 °C, {unit}", "100.0008", "From its certificate."),
        Entry("expanded_mm", "U of it, {unit}", "0.0006"),
        Entry("coverage_factor", "with k", "2"),
        _EXPANSION,
    ),
    ItemKind.VEE_BLOCK: (Entry("vee_angle_deg", "Included angle, °", "90"),),
    ItemKind.THERMOMETER: (
        Entry("resolution", "Step of its display, °C", "0.1"),
    ),
    ItemKind.TORQUE_TOOL: (
        Entry("torque_class", "Class (ISO 6789)", "type II, class A"),
        choice("torque_unit", "Unit", ("N m", "lbf ft", "lbf in")),
    ),
}  # fmt: skip
CERTIFICATE: Final = (
    Entry("certificate.number", "Certificate number", "K-2026-118"),
    Entry("certificate.laboratory", "Laboratory"),
    Entry("certificate.calibrated", "Calibrated on", "2026-03-31"),
    Entry("certificate.due", "Due on", "2027-03-31"),
    Entry("warning_days", "Warn, days ahead", "30"),
)
CURVE: Final = (
    Entry("size_mm", "Size, {unit}", "100"),
    Entry("error_mm", "Error (shown minus true), {unit}", "0.001"),
    Entry("expanded_mm", "U, {unit}", "0.0008"),
    Entry("coverage_factor", "k", "2"),
)
NOTE: Final = Entry("note", "Note", kind=EntryKind.LINES)


def item_entries(kind: ItemKind) -> tuple[Entry, ...]:
    """Return the fields of the piece itself."""
    return (*_ALL, *_OF_KIND[kind], NOTE)

"""The fields of a piece of equipment, by what it is."""

from typing import Final

from seatproof.core.equipment.item import ItemKind
from seatproof.gui.shared.entry_spec import Entry, EntryKind, choice
from seatproof.gui.shared.saying import wording

_ALL: Final = (
    choice("kind", wording("It is a"), tuple(kind.value for kind in ItemKind)),
    Entry(
        "inventory_number",
        wording("Inventory number"),
        "M-07",
        wording("By it records name this piece."),
    ),
    Entry("description", wording("Description"), wording("outside micrometer 100 to 125")),
    Entry("serial_number", wording("Serial number")),
)
_UNIT: Final = choice(
    "unit", wording("It shows"), (("mm", wording("millimetres")), ("in", wording("inches")))
)
_RANGE: Final = (
    Entry("range_from_mm", wording("Range from, {unit}"), "100"),
    Entry("range_to_mm", wording("to, {unit}"), "125"),
)
_EXPANSION: Final = Entry("expansion_per_kelvin", wording("Thermal expansion, 1/K"), "0.0000115")
_OF_GAUGES: Final = (
    _UNIT,
    Entry("resolution", wording("Step of its display, {unit}"), "0.001"),
    *_RANGE,
    Entry(
        "permissible_error_mm",
        wording("Permissible error, ± {unit}"),
        "0.004",
        wording("From its maker."),
    ),
    choice(
        "evidence",
        wording("Its error is known from"),
        (
            ("permissible error", wording("the permissible error")),
            ("certificate", wording("its certificate, size by size")),
            ("setting standard", wording("a setting standard near the size")),
        ),
        wording("A certificate needs at least one size below."),
    ),
    _EXPANSION,
    Entry(
        "repeatability_mm",
        wording("Repeatability, {unit}"),
        "0.0005",
        wording("Standard deviation of one reading; the test finds it."),
    ),
    Entry("repeats", wording("found from readings"), "10"),
)
_OF_KIND: Final[dict[ItemKind, tuple[Entry, ...]]] = {
    ItemKind.MICROMETER: _OF_GAUGES,
    ItemKind.INDICATOR: _OF_GAUGES,
    ItemKind.STANDARD: (
        _UNIT,
        Entry(
            "actual_mm",
            wording("Actual size at 20 °C, {unit}"),
            "100.0008",
            wording("From its certificate."),
        ),
        Entry("expanded_mm", wording("U of it, {unit}"), "0.0006"),
        Entry("coverage_factor", wording("with k"), "2"),
        _EXPANSION,
    ),
    ItemKind.VEE_BLOCK: (Entry("vee_angle_deg", wording("Included angle, °"), "90"),),
    ItemKind.THERMOMETER: (Entry("resolution", wording("Step of its display, °C"), "0.1"),),
    ItemKind.TORQUE_TOOL: (
        Entry("torque_class", wording("Class (ISO 6789)"), wording("type II, class A")),
        choice("torque_unit", wording("Unit"), ("N m", "lbf ft", "lbf in")),
    ),
}
CERTIFICATE: Final = (
    Entry("certificate.number", wording("Certificate number"), "K-2026-118"),
    Entry("certificate.laboratory", wording("Laboratory")),
    Entry("certificate.calibrated", wording("Calibrated on"), "2026-03-31"),
    Entry("certificate.due", wording("Due on"), "2027-03-31"),
    Entry("warning_days", wording("Warn, days ahead"), "30"),
)
CURVE: Final = (
    Entry("size_mm", wording("Size, {unit}"), "100"),
    Entry("error_mm", wording("Error (shown minus true), {unit}"), "0.001"),
    Entry("expanded_mm", "U, {unit}", "0.0008"),
    Entry("coverage_factor", "k", "2"),
)
NOTE: Final = Entry("note", wording("Note"), kind=EntryKind.LINES)


def item_entries(kind: ItemKind) -> tuple[Entry, ...]:
    """Return the fields of the piece itself."""
    return (*_ALL, *_OF_KIND[kind], NOTE)

"""The fields of a seat; which are shown follows its method and its ring."""

from collections.abc import Mapping
from typing import Any, Final

from seatproof.gui.shared.entry_spec import Entry, choice
from seatproof.gui.shared.saying import wording

_SENSE: Final = (
    ("radial", wording("radial: difference of radii")),
    ("diametral", wording("diametral")),
)
_FORMS: Final = {
    "roundness": wording("Roundness"),
    "cylindricity": wording("Cylindricity"),
    "taper": wording("Taper over the seat"),
    "run_out": wording("Circular run-out"),
    "total_run_out": wording("Total run-out"),
}
FORM_KEYS: Final = tuple(_FORMS)


def seat_entries(seat: Mapping[str, Any]) -> tuple[Entry, ...]:
    """Return the fields that a seat has, by its method and whether it is a further set."""
    method = seat.get("method", "two-point")
    further = bool(str(seat.get("same_seat_as", "")).strip())
    fields = [
        Entry(
            "id",
            wording("Short name"),
            "A",
            wording("Letters and digits; it stands on drawing and sheet."),
        ),
        Entry("name", wording("Name"), wording("Coupling side, locating bearing")),
        Entry("from", wording("Begins at, {unit}"), "150", wording("From the datum face.")),
        Entry("length", wording("Length, {unit}"), "60"),
        Entry("nominal", wording("Nominal diameter, {unit}"), "110"),
        choice(
            "method",
            wording("Measured"),
            (
                ("two-point", wording("two-point: diameters")),
                ("radial", wording("radial: indicator against the turning shaft")),
                ("vee", wording("vee: indicator over a vee block")),
            ),
            wording(
                "The last two show form only, not size. A seat measured in several ways gets a "
                "further set for each."
            ),
        ),
    ]
    if method == "vee":
        fields += [
            Entry("vee_angle_deg", wording("Angle of the vee, °"), "90"),
            choice(
                "indicator",
                wording("Indicator"),
                (wording("opposite the vee"), wording("inside the vee")),
            ),
        ]
    fields.append(
        Entry(
            "same_seat_as",
            wording("Further set on seat"),
            "",
            wording(
                "Empty for a seat of its own; otherwise the short name of the seat that has the "
                "limits."
            ),
        )
    )
    if method == "two-point" and not further:
        fields += [
            choice(
                "ring", wording("Ring on it"), (wording("closed"), ("halves", wording("in halves")))
            ),
            Entry(
                "tolerance_class",
                wording("Tolerance class"),
                "k6",
                wording("From the drawing (ISO 286)."),
            ),
            Entry("lower_size", wording("or: lower limit, {unit}"), "110.003"),
            Entry("upper_size", wording("upper limit, {unit}"), "110.025"),
            choice(
                "judged",
                wording("Judged by"),
                (wording("local sizes"), wording("station means"), wording("overall mean")),
            ),
        ]
    fields += _points(method)
    if not further:
        shown = FORM_KEYS if method == "radial" else FORM_KEYS[:3]
        for key in shown:
            if key == "taper" and method != "two-point":
                continue
            fields += [
                Entry(f"{key}.tolerance", _FORMS[key], wording("IT5/2 or 0.010")),
                choice(f"{key}.sense", wording("is meant"), _SENSE),
            ]
        if method != "two-point":
            fields.append(
                choice(
                    "reference_circle",
                    wording("Reference circle"),
                    (wording("minimum zone"), wording("least squares")),
                )
            )
        fields += _assumption_and_fit(method, str(seat.get("ring", "closed")))
    return tuple(fields)


def _points(method: str) -> list[Entry]:
    angles = (
        wording("How many over half a turn, or their angles: 0, 60, 120.")
        if method == "two-point"
        else wording("How many over a turn, or their angles: 0, 60, 120.")
    )
    return [
        Entry(
            "edge_exclusion",
            wording("Left out at each end, {unit}"),
            "8",
            wording("Fillet, chamfer and half the width of the measuring faces."),
        ),
        Entry(
            "stations",
            wording("Stations along the seat"),
            "5",
            wording("How many, or their distances from the datum face: 158, 180, 202."),
        ),
        Entry(
            "orientations",
            wording("Orientations round it"),
            "6",
            angles,
        ),
        Entry("repeats", wording("Readings at every point"), "1"),
        choice(
            "repeat_value",
            wording("of which counts"),
            (wording("mean"), wording("median"), wording("largest")),
        ),
        Entry("repeat_spread", wording("Ask again beyond a spread of, {unit}"), "0.003"),
        Entry(
            "plausible",
            wording("Plausible within ±, {unit}"),
            "1",
            wording("What lies beyond is set aside at once."),
        ),
    ]


def _assumption_and_fit(method: str, ring: str) -> list[Entry]:
    fields: list[Entry] = []
    if method == "two-point":
        fields += [
            Entry(
                "odd_lobes.at_most",
                wording("Odd lobes, at most (radial), {unit}"),
                "0.002",
                wording(
                    "Two points cannot see them. Roundness can be found to conform only under such "
                    "an assumption, which then stands on the sheet."
                ),
            ),
            Entry("odd_lobes.basis", wording("Ground for that"), wording("ground between centres")),
            choice(
                "fit.bore_class",
                wording("Bore of the ring"),
                (
                    ("", wording("not stated, or by its limits")),
                    ("normal", wording("normal class")),
                    "6",
                    "5",
                ),
            ),
            Entry("fit.bore_lower", wording("Bore, lower limit, {unit}"), "109.980"),
            Entry("fit.bore_upper", wording("Bore, upper limit, {unit}"), "110.000"),
        ]
        if ring == "closed":
            fields += [
                Entry("fit.ring_outer", wording("Equivalent raceway diameter, {unit}"), "128"),
                Entry("fit.shaft_bore", wording("Bore of a hollow shaft, {unit}"), "0"),
                Entry(
                    "fit.clearance_lower",
                    wording("Clearance before fitting, least, {unit}"),
                    "0.036",
                ),
                Entry("fit.clearance_upper", wording("and most, {unit}"), "0.061"),
            ]
        else:
            fields.append(
                Entry(
                    "fit.closing_diameter", wording("The halves just close on, {unit}"), "100.012"
                )
            )
        fields.append(
            Entry("fit.source", wording("Source of these figures"), wording("document and issue"))
        )
    return fields

"""The fields of a plan's parts, as the editor asks for them; which are shown follows choices."""

from collections.abc import Mapping
from typing import Any, Final

from seatproof.gui.shared.entry_spec import Entry, EntryKind, choice, yes

_LANGUAGES: Final = (("en", "English"), ("de", "Deutsch"), ("es", "español"))
HEADING: Final = (
    Entry("title", "Title of the plan", "Drying-kiln fan, main shaft"),
    Entry("version", "Version", "1", "One that was used stays as it is; give a new one then."),
    choice(
        "unit", "Unit of lengths", (("mm", "millimetres"), ("in", "inches")),
        "Of everything in this plan; what is typed already is not converted.",
    ),
    Entry("organisation", "Organisation"),
    Entry("drawing", "Drawing, with its revision", "LB-KF-0417 rev C"),
    Entry("instructions", "Bearing maker's instructions", "document and issue"),
    Entry("remark", "Remark", kind=EntryKind.LINES),
    choice("paper", "Paper of the sheet", ("A4", "Letter")),
    choice("language", "Language of the sheet", _LANGUAGES),
)  # fmt: skip
SHAFT: Final = (
    Entry("name", "Name of the shaft", "Fan shaft"),
    Entry(
        "datum_face", "Lengths are counted from", "end face at the coupling",
        "The face at the left of the drawing.",
    ),
    Entry(
        "angular_datum", "Angles are counted from", "centre line of the keyway",
        "Anticlockwise, seen looking at that face.",
    ),
    Entry("material", "Material", "42CrMo4"),
    Entry(
        "expansion_per_kelvin", "Thermal expansion, 1/K", "0.0000115",
        "0.0000115 is usual for plain steel; 20 °C is the reference.",
    ),
)  # fmt: skip
SECTIONS: Final = (
    Entry("length", "Length, {unit}", "60"),
    Entry("diameter", "Diameter, {unit}", "110"),
)
KEYWAYS: Final = (
    Entry("from", "From, {unit}", "15"),
    Entry("length", "Length, {unit}", "110"),
    Entry("width", "Width, {unit}", "25"),
    Entry("depth", "Depth, {unit}", "9"),
    Entry("angle_deg", "At, °", "0"),
)
_SENSE: Final = (("radial", "radial: difference of radii"), ("diametral", "diametral"))
_FORMS: Final = {
    "roundness": "Roundness",
    "cylindricity": "Cylindricity",
    "taper": "Taper over the seat",
    "run_out": "Circular run-out",
    "total_run_out": "Total run-out",
}
FORM_KEYS: Final = tuple(_FORMS)


def seat_entries(seat: Mapping[str, Any]) -> tuple[Entry, ...]:
    """Return the fields that a seat has, by its method and whether it is a further set."""
    method = seat.get("method", "two-point")
    further = bool(str(seat.get("same_seat_as", "")).strip())
    fields = [
        Entry("id", "Short name", "A", "Letters and digits; it stands on drawing and sheet."),
        Entry("name", "Name", "Coupling side, locating bearing"),
        Entry("from", "Begins at, {unit}", "150", "From the datum face."),
        Entry("length", "Length, {unit}", "60"),
        Entry("nominal", "Nominal diameter, {unit}", "110"),
        choice(
            "method", "Measured",
            (
                ("two-point", "two-point: diameters"),
                ("radial", "radial: indicator against the turning shaft"),
                ("vee", "vee: indicator over a vee block"),
            ),
            "The last two show form only, not size. A seat measured in several ways gets a further "
            "set for each.",
        ),
    ]  # fmt: skip
    if method == "vee":
        fields += [
            Entry("vee_angle_deg", "Angle of the vee, °", "90"),
            choice("indicator", "Indicator", ("opposite the vee", "inside the vee")),
        ]
    fields.append(
        Entry(
            "same_seat_as", "Further set on seat", "",
            "Empty for a seat of its own; otherwise the short name of the seat that has the "
            "limits.",
        )
    )  # fmt: skip
    if method == "two-point" and not further:
        fields += [
            choice("ring", "Ring on it", ("closed", ("halves", "in halves"))),
            Entry("tolerance_class", "Tolerance class", "k6", "From the drawing (ISO 286)."),
            Entry("lower_size", "or: lower limit, {unit}", "110.003"),
            Entry("upper_size", "upper limit, {unit}", "110.025"),
            choice("judged", "Judged by", ("local sizes", "station means", "overall mean")),
        ]
    fields += _points(method)
    if not further:
        shown = FORM_KEYS if method == "radial" else FORM_KEYS[:3]
        for key in shown:
            if key == "taper" and method != "two-point":
                continue
            fields += [
                Entry(f"{key}.tolerance", _FORMS[key], "IT5/2 or 0.010"),
                choice(f"{key}.sense", "is meant", _SENSE),
            ]
        if method != "two-point":
            fields.append(
                choice("reference_circle", "Reference circle", ("minimum zone", "least squares"))
            )
        fields += _assumption_and_fit(method, str(seat.get("ring", "closed")))
    return tuple(fields)


def _points(method: str) -> list[Entry]:
    turn = "half a turn" if method == "two-point" else "a turn"
    return [
        Entry(
            "edge_exclusion", "Left out at each end, {unit}", "8",
            "Fillet, chamfer and half the width of the measuring faces.",
        ),
        Entry(
            "stations", "Stations along the seat", "5",
            "How many, or their distances from the datum face: 158, 180, 202.",
        ),
        Entry(
            "orientations", "Orientations round it", "6",
            f"How many over {turn}, or their angles: 0, 60, 120.",
        ),
        Entry("repeats", "Readings at every point", "1"),
        choice("repeat_value", "of which counts", ("mean", "median", "largest")),
        Entry("repeat_spread", "Ask again beyond a spread of, {unit}", "0.003"),
        Entry(
            "plausible", "Plausible within ±, {unit}", "1", "What lies beyond is set aside at once."
        ),
    ]  # fmt: skip


def _assumption_and_fit(method: str, ring: str) -> list[Entry]:
    fields: list[Entry] = []
    if method == "two-point":
        fields += [
            Entry(
                "odd_lobes.at_most", "Odd lobes, at most (radial), {unit}", "0.002",
                "Two points cannot see them. Roundness can be found to conform only under such an "
                "assumption, which then stands on the sheet.",
            ),
            Entry("odd_lobes.basis", "Ground for that", "ground between centres"),
            choice(
                "fit.bore_class", "Bore of the ring",
                (("", "not stated, or by its limits"), ("normal", "normal class"), "6", "5"),
            ),
            Entry("fit.bore_lower", "Bore, lower limit, {unit}", "109.980"),
            Entry("fit.bore_upper", "Bore, upper limit, {unit}", "110.000"),
        ]  # fmt: skip
        if ring == "closed":
            fields += [
                Entry("fit.ring_outer", "Equivalent raceway diameter, {unit}", "128"),
                Entry("fit.shaft_bore", "Bore of a hollow shaft, {unit}", "0"),
                Entry("fit.clearance_lower", "Clearance before fitting, least, {unit}", "0.036"),
                Entry("fit.clearance_upper", "and most, {unit}", "0.061"),
            ]
        else:
            fields.append(
                Entry("fit.closing_diameter", "The halves just close on, {unit}", "100.012")
            )
        fields.append(Entry("fit.source", "Source of these figures", "document and issue"))
    return fields


def uncertainty_entries(uncertainty: Mapping[str, Any]) -> tuple[Entry, ...]:
    """Return the fields of the uncertainty, as stated or for a budget."""
    method = choice(
        "method", "Measuring uncertainty",
        (
            ("stated", "stated here for every size"),
            ("budget", "worked out for every result (GUM)"),
        ),
    )  # fmt: skip
    if uncertainty.get("method") != "budget":
        return (
            method,
            Entry("expanded", "U of one size, {unit}", "0.003"),
            Entry("coverage_factor", "with k", "2"),
            Entry(
                "repeatability", "Repeatability, {unit}", "0.0005",
                "Standard deviation of one reading; a test of ten presses on one point finds it "
                "(place: gauges).",
            ),
            Entry(
                "basis", "Ground for these figures",
                "standard within 1 mm of the size, shaft and micrometer within 1 K",
            ),
        )  # fmt: skip
    return (
        method,
        Entry("repeatability", "Repeatability, {unit}", "0.0005", "Empty: from the repeats."),
        Entry("repeatability_readings", "found from readings", "10"),
        Entry("alignment", "Alignment by hand, ± {unit}", "0.001"),
        Entry("faces", "Measuring faces, ± {unit}", "0.0005"),
        Entry("force", "Measuring force, ± {unit}", "0.0005"),
        Entry("drift", "Drift between two checks, ± {unit}", "0.001"),
        Entry("temperature_kelvin", "Difference of temperature known to ±, K", "1"),
        Entry("expansion_kelvin", "Expansion known to ±, 1/K", "0.000001"),
        Entry("missed_form", "Form missed between orientations (radial), {unit}", "0"),
        Entry("coverage_probability", "Probability of U", "0.9545"),
        Entry("coverage_factor", "or a fixed k", ""),
        Entry("trials", "Monte Carlo trials to begin with", "20000"),
        Entry("basis", "Ground for these figures", "estimates of the measuring room, 2026"),
    )


DECISION: Final = (
    choice(
        "rule", "Rule",
        (
            ("guard band", "guard band: conformity must be proved (ISO 14253-1)"),
            ("probability", "probability of conformity"),
            ("simple", "simple: the value itself against the limit"),
        ),
    ),
    Entry("probability", "Probability", "0.95"),
    Entry(
        "largest_uncertainty", "U at most, {unit}", "",
        "For the simple rule: beyond that nothing is proven.",
    ),
)  # fmt: skip
WALK: Final = (
    choice(
        "walk", "The walk goes",
        (
            ("station by station", "station by station"),
            ("orientation by orientation", "orientation by orientation"),
        ),
    ),
    yes("there_and_back", "There and back, so that the hand travels least"),
)  # fmt: skip
CHECKS: Final = (
    yes("opening", "Check the gauge before the first reading"),
    yes("closing", "Check it again after the last one"),
    yes("standard", "The check is on a setting standard, not at zero"),
    yes("temperatures", "Temperatures of shaft and gauge must be noted"),
    Entry("drift", "Drift allowed between two checks, {unit}", "0.002"),
    Entry("every_minutes", "A further check after, minutes", "60"),
    Entry("temperature_change_kelvin", "and after a change of, K", "2"),
)
CONDITIONS: Final = (
    Entry(
        "conditions", "Condition of every seat", "clean\nfree of burrs",
        "One in each line; the inspector answers each for every seat.", EntryKind.LINES,
    ),
)  # fmt: skip
SIGNING: Final = (
    yes("signatures", "The seal must be signed"),
    yes("same_person_may_review", "Whoever measured may also review"),
)
FITTING_KINDS: Final = (
    ("check", "look: met or not"),
    ("identity", "numbers of parts that belong together"),
    ("count", "turn by hand"),
    ("value", "lengths with limits, such as gaps"),
    ("quantity", "a quantity, such as grease"),
    ("torque", "bolts tightened in stages"),
)
_OF_KIND: Final[dict[str, tuple[Entry, ...]]] = {
    "check": (),
    "identity": (
        Entry("parts", "Parts, with commas between", "upper half, lower half"),
        Entry("expected", "Each must read", "", "Empty: they must be alike."),
    ),
    "count": (Entry("turns", "Turns", "5"),),
    "value": (
        Entry("places", "Places, with commas between", "joint at the mark, joint opposite"),
        Entry("lower", "Lower limit, {unit}", "0.05"),
        Entry("upper", "Upper limit, {unit}", "0.08"),
        yes("joint_gaps", "They are the joint gaps of a ring in halves"),
        Entry("equal_within", "equal within, {unit}", "0.05"),
    ),
    "quantity": (
        choice("unit", "Unit", ("g", "kg", "ml", "l", "oz", "lb")),
        Entry("lower", "At least", "80"),
        Entry("upper", "At most", "100"),
    ),
    "torque": (
        choice("pattern", "The bolts sit", (
            ("circle", "on a circle"),
            ("clamped halves", "at the joints of a ring in halves"),
            ("two rows", "in two rows"),
        )),
        Entry("bolts", "How many, or their names", "6"),
        choice("unit", "Unit of torque", ("N m", "lbf ft", "lbf in")),
        Entry("tool_class", "Torque tool (ISO 6789)", "class A"),
    ),
}  # fmt: skip


def fitting_entries(step: Mapping[str, Any]) -> tuple[Entry, ...]:
    """Return the fields of a fitting step of its kind."""
    kind = str(step.get("kind", "check"))
    return (
        Entry("id", "Short name", "clamps"),
        choice("kind", "What is done", FITTING_KINDS),
        Entry("text", "Text for the fitter", "Clamping ring bolts"),
        Entry("seat", "Seat", "A", "Empty: of the whole shaft."),
        *_OF_KIND.get(kind, ()),
        Entry("caution", "Caution", kind=EntryKind.LINES),
        Entry("source.document", "Source: document", "maker's instructions"),
        Entry("source.issue", "Source: issue", "2026-03"),
    )


STAGES: Final = (
    Entry("name", "Stage", "half"),
    choice("kind", "is", (
        ("snug", "snug, by hand"), ("part", "part"), ("full", "full"), ("check", "check pass"),
    )),
    Entry("target", "Torque", "15"),
    Entry("tolerance", "±", "1"),
    Entry("order", "Order, if another", ""),
)  # fmt: skip


def caption_of(path: tuple[str | int, ...]) -> str:
    """Return what a field is called on the screen, such as ``U of one size``; empty for none."""
    keys = [part for part in path if isinstance(part, str)]
    if not keys:
        return ""
    key = ".".join(keys[1:])
    if keys[:2] in (["shaft", "section"], ["shaft", "keyway"], ["fitting", "stage"]):
        key = ".".join(keys[2:])
    fields = {
        "plan": HEADING,
        "shaft": (*SHAFT, *SECTIONS, *KEYWAYS),
        "seat": (
            *seat_entries({}),
            *seat_entries({"method": "vee"}),
            *seat_entries({"method": "radial"}),
            *seat_entries({"ring": "halves"}),
        ),
        "uncertainty": (*uncertainty_entries({}), *uncertainty_entries({"method": "budget"})),
        "decision": DECISION,
        "checks": CHECKS,
        "conditions": CONDITIONS,
        "signing": SIGNING,
        "fitting": (
            *(one for kind in _OF_KIND for one in fitting_entries({"kind": kind})),
            *STAGES,
        ),
    }.get(keys[0], WALK)
    named = next((one for one in fields if one.key in (key, keys[0])), None)
    return "" if named is None else named.caption.split(",")[0]

"""The fields of a plan's parts but its seats and fitting steps; which are shown follows choices."""

from collections.abc import Mapping
from typing import Any, Final

from seatproof.gui.shared.entry_spec import Entry, EntryKind, choice, yes
from seatproof.gui.shared.saying import wording

_LANGUAGES: Final = (("en", "English"), ("de", "Deutsch"), ("es", "español"))
HEADING: Final = (
    Entry("title", wording("Title of the plan"), wording("Drying-kiln fan, main shaft")),
    Entry(
        "version",
        wording("Version"),
        "1",
        wording("One that was used stays as it is; give a new one then."),
    ),
    choice(
        "unit",
        wording("Unit of lengths"),
        (("mm", wording("millimetres")), ("in", wording("inches"))),
        wording("Of everything in this plan; what is typed already is not converted."),
    ),
    Entry("organisation", wording("Organisation")),
    Entry("drawing", wording("Drawing, with its revision"), "LB-KF-0417 rev C"),
    Entry("instructions", wording("Bearing maker's instructions"), wording("document and issue")),
    Entry("remark", wording("Remark"), kind=EntryKind.LINES),
    choice("paper", wording("Paper of the sheet"), ("A4", "Letter")),
    choice("language", wording("Language of the sheet"), _LANGUAGES),
)
SHAFT: Final = (
    Entry("name", wording("Name of the shaft"), wording("Fan shaft")),
    Entry(
        "datum_face",
        wording("Lengths are counted from"),
        wording("end face at the coupling"),
        wording("The face at the left of the drawing."),
    ),
    Entry(
        "angular_datum",
        wording("Angles are counted from"),
        wording("centre line of the keyway"),
        wording("Anticlockwise, seen looking at that face."),
    ),
    Entry("material", wording("Material"), "42CrMo4"),
    Entry(
        "expansion_per_kelvin",
        wording("Thermal expansion, 1/K"),
        "0.0000115",
        wording("0.0000115 is usual for plain steel; 20 °C is the reference."),
    ),
)
SECTIONS: Final = (
    Entry("length", wording("Length, {unit}"), "60"),
    Entry("diameter", wording("Diameter, {unit}"), "110"),
)
KEYWAYS: Final = (
    Entry("from", wording("From, {unit}"), "15"),
    Entry("length", wording("Length, {unit}"), "110"),
    Entry("width", wording("Width, {unit}"), "25"),
    Entry("depth", wording("Depth, {unit}"), "9"),
    Entry("angle_deg", wording("At, °"), "0"),
)


def uncertainty_entries(uncertainty: Mapping[str, Any]) -> tuple[Entry, ...]:
    """Return the fields of the uncertainty, as stated or for a budget."""
    method = choice(
        "method",
        wording("Measuring uncertainty"),
        (
            ("stated", wording("stated here for every size")),
            ("budget", wording("worked out for every result (GUM)")),
        ),
    )
    if uncertainty.get("method") != "budget":
        return (
            method,
            Entry("expanded", wording("U of one size, {unit}"), "0.003"),
            Entry("coverage_factor", wording("with k"), "2"),
            Entry(
                "repeatability",
                wording("Repeatability, {unit}"),
                "0.0005",
                wording(
                    "Standard deviation of one reading; a test of ten presses on one point finds "
                    "it (place: gauges)."
                ),
            ),
            Entry(
                "basis",
                wording("Ground for these figures"),
                wording("standard within 1 mm of the size, shaft and micrometer within 1 K"),
            ),
        )
    return (
        method,
        Entry(
            "repeatability",
            wording("Repeatability, {unit}"),
            "0.0005",
            wording("Empty: from the repeats."),
        ),
        Entry("repeatability_readings", wording("found from readings"), "10"),
        Entry("alignment", wording("Alignment by hand, ± {unit}"), "0.001"),
        Entry("faces", wording("Measuring faces, ± {unit}"), "0.0005"),
        Entry("force", wording("Measuring force, ± {unit}"), "0.0005"),
        Entry("drift", wording("Drift between two checks, ± {unit}"), "0.001"),
        Entry("temperature_kelvin", wording("Difference of temperature known to ±, K"), "1"),
        Entry("expansion_kelvin", wording("Expansion known to ±, 1/K"), "0.000001"),
        Entry("missed_form", wording("Form missed between orientations (radial), {unit}"), "0"),
        Entry("coverage_probability", wording("Probability of U"), "0.9545"),
        Entry("coverage_factor", wording("or a fixed k"), ""),
        Entry("trials", wording("Monte Carlo trials to begin with"), "20000"),
        Entry(
            "basis",
            wording("Ground for these figures"),
            wording("estimates of the measuring room, 2026"),
        ),
    )


DECISION: Final = (
    choice(
        "rule",
        wording("Rule"),
        (
            ("guard band", wording("guard band: conformity must be proved (ISO 14253-1)")),
            ("probability", wording("probability of conformity")),
            ("simple", wording("simple: the value itself against the limit")),
        ),
    ),
    Entry("probability", wording("Probability asked for"), "0.95"),
    Entry(
        "largest_uncertainty",
        wording("U at most, {unit}"),
        "",
        wording("For the simple rule: beyond that nothing is proven."),
    ),
)
WALK: Final = (
    choice(
        "walk",
        wording("The walk goes"),
        (
            ("station by station", wording("station by station")),
            ("orientation by orientation", wording("orientation by orientation")),
        ),
    ),
    yes("there_and_back", wording("There and back, so that the hand travels least")),
)
CHECKS: Final = (
    yes("opening", wording("Check the gauge before the first reading")),
    yes("closing", wording("Check it again after the last one")),
    yes("standard", wording("The check is on a setting standard, not at zero")),
    yes("temperatures", wording("Temperatures of shaft and gauge must be noted")),
    Entry("drift", wording("Drift allowed between two checks, {unit}"), "0.002"),
    Entry("every_minutes", wording("A further check after, minutes"), "60"),
    Entry("temperature_change_kelvin", wording("and after a change of, K"), "2"),
)
CONDITIONS: Final = (
    Entry(
        "conditions",
        wording("Condition of every seat"),
        wording("clean\nfree of burrs"),
        wording("One in each line; the inspector answers each for every seat."),
        EntryKind.LINES,
    ),
)
SIGNING: Final = (
    yes("signatures", wording("The seal must be signed")),
    yes("same_person_may_review", wording("Whoever measured may also review")),
)

"""The fields of a fitting step, by what is done in it."""

from collections.abc import Mapping
from typing import Any, Final

from seatproof.gui.shared.entry_spec import Entry, EntryKind, choice, yes
from seatproof.gui.shared.saying import wording

FITTING_KINDS: Final = (
    ("check", wording("look: met or not")),
    ("identity", wording("numbers of parts that belong together")),
    ("count", wording("turn by hand")),
    ("value", wording("lengths with limits, such as gaps")),
    ("quantity", wording("a quantity, such as grease")),
    ("torque", wording("bolts tightened in stages")),
)
_OF_KIND: Final[dict[str, tuple[Entry, ...]]] = {
    "check": (),
    "identity": (
        Entry("parts", wording("Parts, with commas between"), wording("upper half, lower half")),
        Entry("expected", wording("Each must read"), "", wording("Empty: they must be alike.")),
    ),
    "count": (Entry("turns", wording("Turns"), "5"),),
    "value": (
        Entry(
            "places",
            wording("Places, with commas between"),
            wording("joint at the mark, joint opposite"),
        ),
        Entry("lower", wording("Lower limit, {unit}"), "0.05"),
        Entry("upper", wording("Upper limit, {unit}"), "0.08"),
        yes("joint_gaps", wording("They are the joint gaps of a ring in halves")),
        Entry("equal_within", wording("equal within, {unit}"), "0.05"),
    ),
    "quantity": (
        choice("unit", wording("Unit"), ("g", "kg", "ml", "l", "oz", "lb")),
        Entry("lower", wording("At least"), "80"),
        Entry("upper", wording("At most"), "100"),
    ),
    "torque": (
        choice(
            "pattern",
            wording("The bolts sit"),
            (
                ("circle", wording("on a circle")),
                ("clamped halves", wording("at the joints of a ring in halves")),
                ("two rows", wording("in two rows")),
            ),
        ),
        Entry("bolts", wording("How many, or their names"), "6"),
        choice("unit", wording("Unit of torque"), ("N m", "lbf ft", "lbf in")),
        Entry("tool_class", wording("Torque tool (ISO 6789)"), wording("class A")),
    ),
}


def fitting_entries(step: Mapping[str, Any]) -> tuple[Entry, ...]:
    """Return the fields of a fitting step of its kind."""
    kind = str(step.get("kind", "check"))
    return (
        Entry("id", wording("Short name"), wording("clamps")),
        choice("kind", wording("What is done"), FITTING_KINDS),
        Entry("text", wording("Text for the fitter"), wording("Clamping ring bolts")),
        Entry("seat", wording("Seat"), "A", wording("Empty: of the whole shaft.")),
        *_OF_KIND.get(kind, ()),
        Entry("caution", wording("Caution"), kind=EntryKind.LINES),
        Entry("source.document", wording("Source: document"), wording("maker's instructions")),
        Entry("source.issue", wording("Source: issue"), "2026-03"),
    )


STAGES: Final = (
    Entry("name", wording("Stage"), wording("half")),
    choice(
        "kind",
        wording("is"),
        (
            ("snug", wording("snug, by hand")),
            ("part", wording("part")),
            ("full", wording("full")),
            ("check", wording("check pass")),
        ),
    ),
    Entry("target", wording("Torque"), "15"),
    Entry("tolerance", "±", "1"),
    Entry("order", wording("Order, if another"), ""),
)

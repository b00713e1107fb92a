"""What was inspected and under which papers, in the words of the title block."""

from seatproof.core.record.kinds import Reference
from seatproof.core.record.state import InspectionState
from seatproof.core.wording.content import Fact
from seatproof.core.wording.moments import event_time
from seatproof.core.words import Words


def title_facts(state: InspectionState, say: Words) -> tuple[Fact, ...]:
    """Return the facts of the title block; those that are not known are left out."""
    heading, identification, created = state.plan.heading, state.identification, state.created
    facts = (
        ("Organisation", heading.organisation),
        ("Customer", identification.customer),
        ("Site", identification.site),
        ("Asset", identification.asset),
        ("Position", identification.position),
        ("Shaft", state.plan.shaft.name),
        ("Shaft serial number", identification.shaft_serial),
        ("Bearing", identification.bearing),
        *((serial.what, serial.number) for serial in identification.serials),
        ("Drawing", heading.drawing),
        ("Work order", identification.work_order),
        ("Permit or lock-out", state.permit),
        (
            "Plan",
            say("{title}, version {version}", title=heading.title, version=heading.version),
        ),
        ("Instructions", heading.instructions),
        ("Opened", event_time(state.opened)),
        ("Last event", event_time(state.last)),
        ("Inspector", ", ".join(state.inspectors)),
        ("Revision", str(created.revision) if created.revision > 1 else ""),
        ("Supersedes", _reference(created.supersedes, say)),
        ("Re-inspection of", _reference(created.reinspection_of, say)),
        ("Reason", created.reason),
    )
    given = {serial.what for serial in identification.serials}
    return tuple(
        Fact(label=label if label in given else say(label), value=value)
        for label, value in facts
        if value
    )


def _reference(reference: Reference | None, say: Words) -> str:
    if reference is None:
        return ""
    return say(
        "sheet {number}, last event {digest}…",
        number=reference.sheet_number,
        digest=reference.head_hash[:16],
    )

"""What the fields of a plan are called on the screen, found by their place in it."""

from collections.abc import Mapping
from typing import Final

from seatproof.gui.plans.entries import (
    CHECKS,
    CONDITIONS,
    DECISION,
    HEADING,
    KEYWAYS,
    SECTIONS,
    SHAFT,
    SIGNING,
    WALK,
    uncertainty_entries,
)
from seatproof.gui.plans.fitting_entries import FITTING_KINDS, STAGES, fitting_entries
from seatproof.gui.plans.seat_entries import seat_entries
from seatproof.gui.shared.entry_spec import Entry
from seatproof.gui.shared.saying import say

_FIELDS: Final[Mapping[str, tuple[Entry, ...]]] = {
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
        *(one for kind, _ in FITTING_KINDS for one in fitting_entries({"kind": kind})),
        *STAGES,
    ),
}
_LISTS_BELOW: Final = (["shaft", "section"], ["shaft", "keyway"], ["fitting", "stage"])


def caption_of(path: tuple[str | int, ...]) -> str:
    """Return what a field is called on the screen, such as ``U of one size``; empty for none."""
    keys = [part for part in path if isinstance(part, str)]
    if not keys:
        return ""
    key = ".".join(keys[2:] if keys[:2] in _LISTS_BELOW else keys[1:])
    fields = _FIELDS.get(keys[0], WALK)
    named = next((one for one in fields if one.key in (key, keys[0])), None)
    return "" if named is None else short_caption(named)


def short_caption(entry: Entry) -> str:
    """Return a field's caption without what follows its comma, such as the unit."""
    return say(entry.caption, unit="").split(",")[0]

"""One thing that stands between an inspection and a clean seal."""

from dataclasses import dataclass
from enum import StrEnum

from seatproof.core.plan.points import PointKey
from seatproof.core.record.inspection_state import InspectionState


class GapKind(StrEnum):
    """What is missing or in doubt."""

    GAUGE = "no gauge"
    CAUTIONS = "cautions not acknowledged"
    MISSING = "points not measured"
    PARKED = "parked presses undecided"
    OWED = "reason owed"
    REPEAT = "repeat not made"
    SPREAD = "repeats disagree"
    OPENING = "opening check missing"
    CLOSING = "closing check missing"
    DRIFT = "drift beyond the limit"
    CHECK = "check after an event missing"
    CONDITION = "condition not answered"
    STANDARD = "setting standard missing"
    TEMPERATURES = "temperatures missing"
    CALIBRATION = "calibration expired"
    FITTING = "fitting step open"


@dataclass(frozen=True, slots=True)
class Gap:
    """One thing that stands between an inspection and a clean seal.

    Attributes
    ----------
    kind : GapKind
    what : str
        A sentence that says what is open and how to mend it; no two gaps of a state share it.
    points : tuple of PointKey
        The points that are at best not proven while it stands, whatever reason is given.
    reason_may_close : bool
        Whether the part may be sealed all the same when a reason is given.
    """

    kind: GapKind
    what: str
    points: tuple[PointKey, ...] = ()
    reason_may_close: bool = True


def measured_on(state: InspectionState, seats: set[str] | None) -> tuple[PointKey, ...]:
    """Return the points with readings on these seats; on all where none are named."""
    return tuple(
        key for key, seqs in state.counting.items() if seqs and (seats is None or key[0] in seats)
    )

"""The part of the fold about seals and what follows them."""

from dataclasses import replace

from seatproof.core.record.entries import Entry
from seatproof.core.record.events import Event
from seatproof.core.record.inspection_state import InspectionState
from seatproof.core.record.kinds import (
    Disposition,
    QuestionAnswered,
    QuestionAsked,
    Reviewed,
    Sealed,
    Signed,
    Superseded,
)

Closing = Sealed | Signed | Reviewed | QuestionAsked | QuestionAnswered | Disposition | Superseded


def closed(state: InspectionState, event: Event, payload: Closing) -> InspectionState:
    """Return the state after a seal, a signature, a review and the like."""
    match payload:
        case Sealed():
            seals = (*state.seals, Entry(event, payload))
            return replace(state, seals=seals, cursor=None, redo_reason="", redo_owed=None)
        case Signed():
            signed = next((one for one in state.events if one.seq == payload.of_seq), None)
            if signed is None or signed.hash != payload.of_hash:
                raise ValueError(f"a signature over another event {payload.of_seq}")
            return replace(state, signatures=(*state.signatures, Entry(event, payload)))
        case Reviewed():
            return replace(state, reviews=(*state.reviews, Entry(event, payload)))
        case QuestionAsked():
            return replace(state, questions=(*state.questions, Entry(event, payload)))
        case QuestionAnswered():
            if all(entry.seq != payload.of for entry in state.questions):
                raise ValueError(f"no question stands at event {payload.of}")
            return replace(state, answers=(*state.answers, Entry(event, payload)))
        case Disposition():
            return replace(state, dispositions=(*state.dispositions, Entry(event, payload)))
        case Superseded():
            return replace(state, superseded=Entry(event, payload))

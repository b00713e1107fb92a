"""Verifying one record: its chain, its signatures, and the numbers under its seal."""

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Final

from seatproof.core.form.errors import FormError
from seatproof.core.people.key_list import KeyList
from seatproof.core.plan.errors import PlanError
from seatproof.core.record.errors import ChainBrokenError, EventUnknownError, RecordFileError
from seatproof.core.record.events import Event, check_chain, event_hash
from seatproof.core.record.file import parse_record
from seatproof.core.record.inspection_state import InspectionState
from seatproof.core.record.kinds import CarriedOver
from seatproof.core.record.state import fold
from seatproof.core.verification.change import what_changed
from seatproof.core.verification.findings import (
    Finding,
    RecordVerification,
    Verification,
    Weight,
)
from seatproof.core.verification.signatures import check_signatures

EQUAL: Final = "equal"
DIFFER: Final = "differ"


def verify_events(
    events: Sequence[Event], keys: KeyList | None = None, *, figures: bool = True
) -> RecordVerification:
    """Verify the events of one inspection.

    Parameters
    ----------
    events : sequence of Event
        As read, in their order.
    keys : KeyList, optional
        Who has which key; without it no signer is established.
    figures : bool
        Whether the figures under the seal are worked out again.
    """
    first = events[0] if events else None
    inspection = "" if first is None else first.inspection
    broken = _broken(events)
    if broken is not None:
        return _result(inspection, "", events, (broken,))
    try:
        state = fold(events)
    except EventUnknownError as error:
        finding = Finding(Weight.UNREADABLE, str(error), inspection, error.seq)
        return _result(inspection, "", events, (finding,))
    except ChainBrokenError as error:
        finding = Finding(Weight.DOES_NOT_HOLD, str(error), inspection, error.seq)
        return _result(inspection, "", events, (finding,))
    except PlanError as error:
        finding = Finding(Weight.UNREADABLE, f"Its plan cannot be read: {error}", inspection, 1)
        return _result(inspection, "", events, (finding,))
    signatures, findings = check_signatures(state, keys)
    numbers, about_numbers = _numbers(state, figures=figures)
    return RecordVerification(
        inspection=inspection,
        sheet_number=state.identification.sheet_number,
        events=len(events),
        head_hash=events[-1].hash,
        findings=(*findings, *_carried(state), *about_numbers, *_notes(state)),
        signatures=signatures,
        numbers=numbers,
    )


def verify_record(
    content: bytes,
    target: Path,
    keys: KeyList | None = None,
    *,
    figures: bool = True,
) -> Verification:
    """Verify the content of a record file."""
    try:
        events = parse_record(content, target)
    except RecordFileError as error:
        weight = Weight.DOES_NOT_HOLD if error.is_altered else Weight.UNREADABLE
        return Verification(str(target), "record", findings=(Finding(weight, str(error)),))
    return Verification(str(target), "record", (verify_events(events, keys, figures=figures),))


def _result(
    inspection: str, sheet_number: str, events: Sequence[Event], findings: tuple[Finding, ...]
) -> RecordVerification:
    return RecordVerification(
        inspection=inspection,
        sheet_number=sheet_number,
        events=len(events),
        head_hash=events[-1].hash if events else "",
        findings=findings,
        numbers="not worked out again, because the record does not hold",
    )


def _broken(events: Sequence[Event]) -> Finding | None:
    if not events:
        return Finding(Weight.UNREADABLE, "The record holds no events.")
    looked_at = 0

    def one_by_one() -> Iterator[Event]:
        nonlocal looked_at
        for event in events:
            looked_at += 1
            yield event

    try:
        check_chain(one_by_one())
    except ChainBrokenError as error:
        change = what_changed(events, looked_at - 1)
        changed = "" if change is None else change.clause
        told = f" What changed: {changed}." if changed else ""
        return Finding(Weight.DOES_NOT_HOLD, f"{error}{told}", error.inspection, error.seq, changed)
    except ValueError as error:
        # A value that canonical JSON does not have was put in by hand: no number of ours is so.
        return Finding(Weight.DOES_NOT_HOLD, f"An event holds what no event can hold: {error}.")
    return None


def _carried(state: InspectionState) -> list[Finding]:
    """Check what a revision carries over against the hashes it had in the older inspection."""
    older = state.created.supersedes
    if older is None:
        return []
    for event in state.events[1:]:
        if event.kind != CarriedOver.kind:
            break
        carried = CarriedOver.model_validate(event.payload)
        try:
            digest = event_hash(
                inspection=older.inspection,
                seq=event.seq,
                utc=carried.utc,
                offset_min=carried.offset_min,
                actor=carried.actor,
                kind=carried.kind_of,
                payload=carried.payload_of,
                previous=carried.previous,
            )
        except ValueError:  # a value that canonical JSON does not have was never hashed
            digest = ""
        if digest != carried.hash:
            return [
                Finding(
                    Weight.DOES_NOT_HOLD,
                    f"Event {event.seq} is not what it was in inspection {older.inspection}, from "
                    "which it is said to be carried over.",
                    state.inspection,
                    event.seq,
                )
            ]
    return []


def _numbers(state: InspectionState, *, figures: bool) -> tuple[str, list[Finding]]:
    """Work out the figures under the seal again; see `core/sheet/recompute.py` for tolerances."""
    if state.sealed_by is None:
        return "not sealed yet", []
    if not figures:
        return "not worked out again, as only the chains were to be checked", []
    # Evaluating brings large libraries along: whoever does not ask for it need not wait for them.
    from seatproof.core.sheet.recompute import recompute
    from seatproof.core.wording.errors import SheetError

    seq = state.sealed_by.seq
    try:
        again = recompute(state.events)
    except SheetError as error:
        # What was sealed is whole; this program only is not the one to work it out again.
        return f"not worked out again: {error}", [
            Finding(Weight.NOTE, str(error), state.inspection, seq)
        ]
    except (FormError, ArithmeticError, ValueError) as error:
        # A hash can be made anew over a number that is none, or beyond any length.
        return "not worked out again: its numbers are none", [
            Finding(
                Weight.DOES_NOT_HOLD,
                "The figures under the seal cannot follow from what is recorded: "
                f"{str(error).rstrip('.')}.",
                state.inspection,
                seq,
            )
        ]
    if again.obstacle:
        return f"not worked out again: {again.obstacle}", [
            Finding(Weight.NOTE, again.obstacle, state.inspection, seq)
        ]
    findings = [
        Finding(
            Weight.DOES_NOT_HOLD,
            f"A figure under the seal does not hold: {sentence}",
            state.inspection,
            seq,
        )
        for sentence in again.differences
    ]
    return (DIFFER if findings else EQUAL), findings


def _notes(state: InspectionState) -> list[Finding]:
    return [Finding(Weight.NOTE, sentence, state.inspection) for sentence in state.clock_doubts]

"""Signatures of a record: whether each holds, and whose it is."""

from datetime import datetime

from seatproof.core.people.key_list import KeyList
from seatproof.core.record.entries import Entry
from seatproof.core.record.inspection_state import InspectionState
from seatproof.core.record.kinds import Signed
from seatproof.core.record.signing import signature_holds
from seatproof.core.verification.findings import Finding, Signature, Weight

ESTABLISHED = "established"
NOT_ESTABLISHED = "not established"


def check_signatures(
    state: InspectionState, keys: KeyList | None
) -> tuple[tuple[Signature, ...], tuple[Finding, ...]]:
    """Check every signature of a record against itself and, where there is one, a list of keys."""
    signatures, findings = [], []
    for entry in state.signatures:
        signature, finding = _checked(state.inspection, entry, keys)
        signatures.append(signature)
        if finding is not None:
            findings.append(finding)
    findings.extend(_wanting(state))
    return tuple(signatures), tuple(findings)


def _checked(
    inspection: str, entry: Entry[Signed], keys: KeyList | None
) -> tuple[Signature, Finding | None]:
    signed = entry.payload
    holds = signature_holds(inspection, signed)
    why, contradicts = _why_not_established(signed, keys)
    signature = Signature(
        seq=entry.seq,
        of_seq=signed.of_seq,
        meaning=signed.meaning,
        name=signed.name,
        role=signed.role,
        utc=signed.utc,
        holds=holds,
        signer=ESTABLISHED if holds and not why else NOT_ESTABLISHED,
        why=why if holds else "the signature does not hold",
    )
    said = f"The signature “{signed.meaning} {signed.name}” of event {entry.seq}"
    if not holds:
        return signature, Finding(
            Weight.DOES_NOT_HOLD,
            f"{said} does not fit its words and its key: it was altered, or made up.",
            inspection,
            entry.seq,
        )
    if contradicts:
        return signature, Finding(
            Weight.DOES_NOT_HOLD,
            f"{said} contradicts the list of keys: {why}.",
            inspection,
            entry.seq,
        )
    if why:
        return signature, Finding(
            Weight.NOTE, f"{said}: signer not established, because {why}.", inspection, entry.seq
        )
    return signature, None


def _why_not_established(signed: Signed, keys: KeyList | None) -> tuple[str, bool]:
    """Return why the signer is not established, and whether the list says somebody else signed."""
    if keys is None:
        return "no list of keys was given", False
    held = keys.holder(signed.public_key)
    if held is None:
        return "the key is not on the list", False
    person, key = held
    if person.person != signed.person or signed.name not in person.names:
        return f"the key is that of {person.names[0]}", True
    if signed.role not in person.roles:
        return f"{signed.name} never was {signed.role}", True
    try:
        moment = datetime.fromisoformat(signed.utc)
        since = datetime.fromisoformat(key.since_utc)
        until = None if key.until_utc is None else datetime.fromisoformat(key.until_utc)
        is_in_time = since <= moment and (until is None or moment <= until)
    except (ValueError, TypeError):
        return "its time, or the time of the key, is none", False
    if not is_in_time:
        ended = f" ({key.why_ended})" if key.why_ended else ""
        return f"the key was not in use at the time of the signature{ended}", False
    if not key.vouched:
        return "nobody but the holder vouched for the key", False
    return "", False


def _wanting(state: InspectionState) -> list[Finding]:
    findings = [
        Finding(
            Weight.DOES_NOT_HOLD,
            f"The plan asks for signatures, and nobody signed event {entry.seq} "
            f"({entry.event.kind}).",
            state.inspection,
            entry.seq,
        )
        for entry in state.signature_owed
    ]
    signing = state.plan.signing
    if state.reviewed_by_measurer and state.review is not None:
        allowed = signing.same_person_may_review
        findings.append(
            Finding(
                Weight.NOTE if allowed else Weight.DOES_NOT_HOLD,
                f"{state.review.actor} measured or sealed, and reviewed too, which the plan "
                f"{'allows' if allowed else 'does not allow'}.",
                state.inspection,
                state.review.seq,
            )
        )
    return findings

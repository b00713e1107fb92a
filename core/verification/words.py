"""A verification as lines of plain text."""

from collections.abc import Iterator
from typing import Final

from seatproof.core.verification.findings import (
    Finding,
    Outcome,
    RecordVerification,
    Verification,
    Weight,
)
from seatproof.core.verification.record import EQUAL

_ANSWER: Final = {
    Outcome.HOLDS: "all holds",
    Outcome.ALTERED: "DOES NOT HOLD",
    Outcome.UNREADABLE: "CANNOT BE READ",
}
_MARK: Final = {
    Weight.NOTE: "note",
    Weight.DOES_NOT_HOLD: "does not hold",
    Weight.UNREADABLE: "cannot be read",
}


def lines(verification: Verification) -> Iterator[str]:
    """Write a verification, the answer first."""
    yield f"{verification.target}: {_ANSWER[verification.outcome]}"
    records = verification.records
    if len(records) == 1:
        yield from _record(records[0])
    elif records:
        held = sum(record.outcome is Outcome.HOLDS for record in records)
        yield f"  {held} of {len(records)} inspections hold."
        for record in records:
            if record.findings:
                yield from _record(record)
    for finding in verification.findings:
        yield _line(finding)


def _record(record: RecordVerification) -> Iterator[str]:
    sheet = f", sheet {record.sheet_number}" if record.sheet_number else ""
    yield f"  Inspection {record.inspection}{sheet}: {_ANSWER[record.outcome]}"
    yield f"    {record.events} events; SHA-256 of the last: {record.head_hash}"
    for signature in record.signatures:
        holds = "holds" if signature.holds else "does NOT hold"
        signer = f"signer {signature.signer}"
        why = f" ({signature.why})" if signature.why else ""
        yield (
            f"    Signature over event {signature.of_seq}: {signature.meaning} {signature.name}, "
            f"{signature.role}, {signature.utc}: {holds}; {signer}{why}"
        )
    if record.numbers == EQUAL:
        yield "    The figures under the seal, worked out again, are equal."
    elif record.numbers:
        yield f"    Figures under the seal: {record.numbers}"
    for finding in record.findings:
        yield "  " + _line(finding)


def _line(finding: Finding) -> str:
    return f"  {_MARK[finding.weight]}: {finding.sentence}"

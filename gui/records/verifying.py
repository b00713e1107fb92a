"""Verifying an inspection: its chain, signatures, figures, and the file of its sheet.

What was found is said in the language of the window; what checks says it in English.
"""

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Final, Protocol

from seatproof.core.people.key_list import KeyList
from seatproof.core.people.register import PeopleRegister
from seatproof.core.record.events import Event
from seatproof.core.verification.findings import (
    Finding,
    Outcome,
    RecordVerification,
    Signature,
    Verification,
    Weight,
    outcome_of,
)
from seatproof.core.verification.record import EQUAL, verify_events
from seatproof.core.verification.sheet import verify_sheet
from seatproof.gui.shared.saying import again, say, wording

_ANSWERS: Final = {
    Outcome.HOLDS: wording("Nothing was altered since it was stored."),
    Outcome.ALTERED: wording(
        "It does NOT hold: something was altered, or a signature is not valid."
    ),
    Outcome.UNREADABLE: wording("It cannot be read, so nothing can be said of it."),
}
_SHORT: Final = {
    Outcome.HOLDS: wording("all holds"),
    Outcome.ALTERED: wording("DOES NOT HOLD"),
    Outcome.UNREADABLE: wording("CANNOT BE READ"),
}
_MARK: Final = {
    Weight.NOTE: wording("note"),
    Weight.DOES_NOT_HOLD: wording("does not hold"),
    Weight.UNREADABLE: wording("cannot be read"),
}


class VerifyArchive(Protocol):
    """What is read of an archive."""

    path: Path

    def events(self, inspection: str) -> tuple[Event, ...]: ...

    def register_events(self, register: str) -> tuple[Event, ...]: ...

    def append_register(self, event: Event) -> None: ...


@dataclass(frozen=True, slots=True)
class Answer:
    """The answer of a verification: its outcome, one sentence, and everything found."""

    outcome: Outcome
    sentence: str
    found: tuple[str, ...]


def verify_inspection(
    archive: VerifyArchive, inspection: str, sheet_number: str, clock: Callable[[], datetime]
) -> Answer:
    """Verify an inspection's record, and the file of its sheet where one lies beside the archive.

    Raises
    ------
    ArchiveError, RecordError, PeopleError
        The archive or its register of people cannot be read.
    """
    keys = KeyList.of(PeopleRegister.open(archive, clock), clock())
    record = verify_events(archive.events(inspection), keys)
    target = say("The record of {sheet}", sheet=sheet_number)
    parts = [Verification(target, "record", (record,))]
    sheet = sheet_file(archive.path, sheet_number)
    if sheet.exists():
        parts.append(verify_sheet(sheet.read_bytes(), sheet, keys, figures=False))
    outcome = outcome_of(finding for part in parts for finding in part.all_findings)
    found = [line for part in parts for line in _lines(part)]
    if len(parts) == 1:
        found.append(
            say(
                "There is no file of the sheet at {place}; only the record was looked at.",
                place=str(sheet),
            )
        )
    return Answer(outcome, _ANSWERS[outcome], tuple(found))


def _lines(verification: Verification) -> Iterator[str]:
    """Say what was found, the answer first."""
    yield f"{verification.target}: {say(_SHORT[verification.outcome])}"
    for record in verification.records:
        yield from (f"  {line}" for line in _of_record(record))
    for finding in verification.findings:
        yield f"  {_of_finding(finding)}"


def _of_record(record: RecordVerification) -> Iterator[str]:
    answer = say(_SHORT[record.outcome])
    if record.sheet_number:
        yield say(
            "Inspection {inspection}, sheet {sheet}: {answer}",
            inspection=record.inspection,
            sheet=record.sheet_number,
            answer=answer,
        )
    else:
        yield say("Inspection {inspection}: {answer}", inspection=record.inspection, answer=answer)
    yield "  " + say(
        "{count} events; SHA-256 of the last: {digest}",
        count=str(record.events),
        digest=record.head_hash,
    )
    for signature in record.signatures:
        yield f"  {_of_signature(signature)}"
    if record.numbers == EQUAL:
        yield "  " + say("The figures under the seal, worked out again, are equal.")
    elif record.numbers:
        yield "  " + say("Figures under the seal: {what}", what=again(record.numbers))
    for finding in record.findings:
        yield f"  {_of_finding(finding)}"


def _of_signature(signature: Signature) -> str:
    said = say(
        "Signature over event {number}: {meaning} {name}, {role}, {time}: {holds}; signer {signer}",
        number=str(signature.of_seq),
        meaning=again(signature.meaning),
        name=signature.name,
        role=again(signature.role),
        time=signature.utc,
        holds=say("holds") if signature.holds else say("does NOT hold"),
        signer=again(signature.signer),
    )
    return f"{said} ({again(signature.why)})" if signature.why else said


def _of_finding(finding: Finding) -> str:
    return f"{say(_MARK[finding.weight])}: {again(finding.sentence)}"


def sheet_file(archive: Path, sheet_number: str) -> Path:
    """Return where the bench writes the file of a sheet."""
    stem = re.sub(r"[^\w.-]", "_", sheet_number)
    return archive.parent / "sheets" / f"{stem}.pdf"

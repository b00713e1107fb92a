"""Verifying an inspection: its chain, signatures, figures, and the file of its sheet."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Final, Protocol

from seatproof.core.people.key_list import KeyList
from seatproof.core.people.register import PeopleRegister
from seatproof.core.record.events import Event
from seatproof.core.verification.findings import Outcome, Verification, outcome_of
from seatproof.core.verification.record import verify_events
from seatproof.core.verification.sheet import verify_sheet
from seatproof.core.verification.words import lines

_ANSWERS: Final = {
    Outcome.HOLDS: "Nothing was altered since it was stored.",
    Outcome.ALTERED: "It does NOT hold: something was altered, or a signature is not valid.",
    Outcome.UNREADABLE: "It cannot be read, so nothing can be said of it.",
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
    parts = [Verification(f"The record of {sheet_number}", "record", (record,))]
    sheet = sheet_file(archive.path, sheet_number)
    if sheet.exists():
        parts.append(verify_sheet(sheet.read_bytes(), sheet, keys, figures=False))
    outcome = outcome_of(finding for part in parts for finding in part.all_findings)
    found = [line for part in parts for line in lines(part)]
    if len(parts) == 1:
        found.append(f"There is no file of the sheet at {sheet}; only the record was looked at.")
    return Answer(outcome, _ANSWERS[outcome], tuple(found))


def sheet_file(archive: Path, sheet_number: str) -> Path:
    """Return where the bench writes the file of a sheet."""
    stem = re.sub(r"[^\w.-]", "_", sheet_number)
    return archive.parent / "sheets" / f"{stem}.pdf"

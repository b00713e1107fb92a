"""Verifying a sheet: the record attached to it, and the file made again from that record."""

from pathlib import Path

from seatproof.core.people.key_list import KeyList
from seatproof.core.record.errors import RecordError
from seatproof.core.sheet.errors import SheetError, SheetUnreadableError
from seatproof.core.sheet.extract import extract_record
from seatproof.core.sheet.rebuild import compare, rebuild
from seatproof.core.verification.findings import Finding, Outcome, Verification, Weight
from seatproof.core.verification.record import verify_events


def verify_sheet(
    pdf: bytes, target: Path, keys: KeyList | None = None, *, figures: bool = True
) -> Verification:
    """Verify a sheet from nothing but its file."""
    try:
        events = extract_record(pdf)
    except SheetUnreadableError as error:
        return Verification(
            str(target), "sheet", findings=(Finding(Weight.UNREADABLE, str(error)),)
        )
    record = verify_events(events, keys, figures=figures)
    if record.outcome is Outcome.UNREADABLE or not record.sheet_number:
        return Verification(str(target), "sheet", (record,))
    try:
        comparison = compare(pdf, rebuild(events))
    except (SheetError, RecordError) as error:
        # Another version of the program drew it: the record holds, and only the drawing of it
        # cannot be held against anything here.
        finding = Finding(Weight.NOTE, f"The file was not made again: {error}")
    else:
        if comparison.same and not comparison.appended:
            return Verification(str(target), "sheet", (record,))
        # What is added behind a PDF can change what its pages show.
        finding = Finding(Weight.DOES_NOT_HOLD, comparison.sentence)
    return Verification(str(target), "sheet", (record,), (finding,))

"""Verifying a sheet: the record attached to it, and the file made again from that record."""

from collections.abc import Iterator, Sequence
from pathlib import Path

from seatproof.core.form.errors import FormError
from seatproof.core.people.key_list import KeyList
from seatproof.core.record.errors import RecordError
from seatproof.core.record.events import Event
from seatproof.core.sheet.extract import extract_record
from seatproof.core.sheet.rebuild import compare, rebuild
from seatproof.core.sheet.signature import (
    SigningUnavailableError,
    adds_only_signatures,
    check_signatures,
)
from seatproof.core.verification.findings import Finding, Outcome, Verification, Weight
from seatproof.core.verification.record import verify_events
from seatproof.core.wording.errors import SheetError, SheetUnreadableError


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
    findings: tuple[Finding, ...] = ()
    if record.outcome is not Outcome.UNREADABLE and record.sheet_number:
        findings = tuple(_file(pdf, events))
    return Verification(str(target), "sheet", (record,), findings)


def _file(pdf: bytes, events: Sequence[Event]) -> Iterator[Finding]:
    """Hold the file against the one that its record gives."""
    try:
        rebuilt = rebuild(events)
    except (SheetError, RecordError) as error:
        # Another version of the program drew it: the record holds, and only the drawing of it
        # cannot be held against anything here.
        yield Finding(Weight.NOTE, f"The file was not made again: {error}")
        return
    except (FormError, ArithmeticError, ValueError) as error:
        sentence = f"No sheet can be made of its numbers: {str(error).rstrip('.')}."
        yield Finding(Weight.DOES_NOT_HOLD, sentence)
        return
    comparison = compare(pdf, rebuilt)
    if not comparison.same:
        yield Finding(Weight.DOES_NOT_HOLD, comparison.sentence)
    elif comparison.appended:
        yield from _addition(pdf, rebuilt, comparison.sentence)


def _addition(pdf: bytes, rebuilt: bytes, sentence: str) -> Iterator[Finding]:
    """Judge what was added behind a sheet: signatures for outsiders, and nothing else, may be.

    What is added behind a PDF can change what its pages show, and a signature over all of it says
    nothing about that.
    """
    try:
        signatures = check_signatures(pdf)
    except SigningUnavailableError as error:
        weight = Weight.NOTE if adds_only_signatures(rebuilt, pdf) else Weight.DOES_NOT_HOLD
        yield Finding(weight, f"{sentence} {error}.")
        return
    is_signed = any(one.covers_all for one in signatures)
    if not is_signed or not adds_only_signatures(rebuilt, pdf):
        yield Finding(Weight.DOES_NOT_HOLD, sentence)
    for signature in signatures:
        weight = Weight.NOTE if signature.intact else Weight.DOES_NOT_HOLD
        yield Finding(weight, signature.sentence)

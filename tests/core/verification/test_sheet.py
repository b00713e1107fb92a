"""A sheet: the record in it, and the file made again from that record."""

from pathlib import Path

import pytest

from seatproof.core.sheet.rebuild import rebuild
from seatproof.core.verification.findings import Outcome
from seatproof.core.verification.sheet import verify_sheet

HERE = Path("sheet.pdf")


@pytest.fixture(scope="module")
def pdf(case):
    return rebuild(case.events)


def test_whole_sheet_holds(pdf, case):
    found = verify_sheet(pdf, HERE, case.keys)
    assert found.outcome is Outcome.HOLDS
    assert found.all_findings == ()
    assert found.records[0].numbers == "equal"


def test_changed_sheet_is_found(pdf):
    for at in range(len(pdf) // 7, len(pdf), len(pdf) // 7):
        changed = bytearray(pdf)
        changed[at] ^= 1
        found = verify_sheet(bytes(changed), HERE, figures=False)
        assert found.outcome is not Outcome.HOLDS, at


def test_addition_behind_the_sheet_is_found(pdf):
    found = verify_sheet(pdf + b"\n%%EOF\n", HERE, figures=False)
    assert found.outcome is Outcome.ALTERED
    assert "bytes were added behind it" in found.findings[0].sentence


@pytest.mark.parametrize("content", [b"", b"%PDF-1.7\n", b"%PDF-1.7\nhello\n%%EOF"])
def test_what_is_no_sheet_is_unreadable(content):
    found = verify_sheet(content, HERE)
    assert found.outcome is Outcome.UNREADABLE
    assert found.exit_status == 2

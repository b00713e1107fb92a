"""A sheet: the record in it, and the file made again from that record."""

from datetime import UTC, datetime, timedelta
from io import BytesIO
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import BestAvailableEncryption
from cryptography.hazmat.primitives.serialization.pkcs12 import serialize_key_and_certificates
from pypdf import PdfWriter
from pypdf.generic import NameObject, StreamObject

from seatproof.core.sheet.rebuild import rebuild
from seatproof.core.sheet.signature import sign_sheet
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


@pytest.fixture(scope="module")
def pkcs12():
    """Return an organisation's key and certificate, which vouches for itself."""
    private = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(x509.NameOID.COMMON_NAME, "Trial Brickworks")])
    start = datetime.now(UTC) - timedelta(days=1)
    certificate = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(private.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(start)
        .not_valid_after(start + timedelta(days=30))
        .sign(private, hashes.SHA256())
    )
    return serialize_key_and_certificates(
        b"trial", private, certificate, None, BestAvailableEncryption(b"words")
    )


def test_sheet_signed_for_outsiders_holds_and_says_so(pdf, pkcs12):
    found = verify_sheet(sign_sheet(pdf, pkcs12, "words"), HERE, figures=False)
    assert found.outcome is Outcome.HOLDS
    (finding,) = found.findings
    assert "Signed by Common Name: Trial Brickworks" in finding.sentence
    assert "is for you to judge" in finding.sentence


def test_signature_over_pages_that_were_changed_is_found(pdf, pkcs12):
    """Whoever adds other pages behind a sheet, and signs all of it, changes nothing unseen."""
    writer = PdfWriter(BytesIO(pdf), incremental=True)
    page = writer.pages[0]
    page[NameObject("/Contents")] = writer._add_object(StreamObject())
    stream = BytesIO()
    writer.write(stream)
    assert stream.getvalue().startswith(pdf)
    found = verify_sheet(sign_sheet(stream.getvalue(), pkcs12, "words"), HERE, figures=False)
    assert found.outcome is Outcome.ALTERED
    assert "bytes were added behind it" in found.findings[0].sentence


@pytest.mark.parametrize("content", [b"", b"%PDF-1.7\n", b"%PDF-1.7\nhello\n%%EOF"])
def test_what_is_no_sheet_is_unreadable(content):
    found = verify_sheet(content, HERE)
    assert found.outcome is Outcome.UNREADABLE
    assert found.exit_status == 2

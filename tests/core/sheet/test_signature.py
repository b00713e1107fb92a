"""PAdES signatures by an organisation's certificate, behind the sheet and never in it."""

import builtins
from datetime import UTC, datetime
from io import BytesIO
from typing import Any

import pikepdf
import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import pkcs12
from pyhanko.pdf_utils.generic import NameObject, StreamObject
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter

from seatproof.core.record.state import InspectionState
from seatproof.core.sheet.document import build_sheet
from seatproof.core.sheet.extract import extract_record
from seatproof.core.sheet.rebuild import compare, rebuild
from seatproof.core.sheet.signature import (
    CertificateUnusableError,
    SigningUnavailableError,
    adds_only_signatures,
    check_signatures,
    sign_sheet,
)


@pytest.fixture(scope="module")
def certificate() -> bytes:
    """Return a certificate that vouches for itself, with its key, as PKCS#12."""
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name(
        [
            x509.NameAttribute(x509.NameOID.ORGANIZATION_NAME, "Lehmkuhle Brickworks"),
            x509.NameAttribute(x509.NameOID.COMMON_NAME, "Quality office"),
        ]
    )
    usage = x509.KeyUsage(True, True, False, False, False, False, False, False, False)
    made = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(7)
        .not_valid_before(datetime(2024, 1, 1, tzinfo=UTC))
        .not_valid_after(datetime(2044, 1, 1, tzinfo=UTC))
        .add_extension(usage, critical=True)
        .sign(key, hashes.SHA256())
    )
    return pkcs12.serialize_key_and_certificates(
        b"office", key, made, None, serialization.BestAvailableEncryption(b"secret")
    )


@pytest.fixture(scope="module")
def sheet(screw_pump: InspectionState) -> bytes:
    return build_sheet(screw_pump)


@pytest.fixture(scope="module")
def signed(sheet: bytes, certificate: bytes) -> bytes:
    return sign_sheet(sheet, certificate, "secret", reason="released")


def test_sheet_within_stays_as_it_was(sheet: bytes, signed: bytes) -> None:
    assert signed.startswith(sheet)
    comparison = compare(signed, rebuild(extract_record(signed)))
    assert comparison.same
    assert comparison.appended == signed[len(sheet) :]


def test_signature_is_told_with_its_signer(signed: bytes) -> None:
    (found,) = check_signatures(signed)
    assert found.intact
    assert found.covers_all
    assert "Quality office" in found.signer
    assert found.issuer == found.signer
    assert "is for you to judge" in found.sentence


def test_sheet_without_a_signature_has_none(sheet: bytes) -> None:
    assert check_signatures(sheet) == ()
    assert check_signatures(b"/ByteRange, but no PDF") == ()


@pytest.mark.parametrize("share", [0.1, 0.5, 0.9])
def test_altered_byte_breaks_it(sheet: bytes, signed: bytes, share: float) -> None:
    altered = bytearray(signed)
    altered[int(share * len(sheet))] ^= 1
    assert [found.intact for found in check_signatures(bytes(altered))] in ([False], [])


def test_what_is_added_behind_it_is_told(signed: bytes) -> None:
    (found,) = check_signatures(signed + b"%more\n")
    assert found.intact
    assert not found.covers_all
    assert "something was added behind it" in found.sentence


def test_update_keeps_to_the_archival_form(signed: bytes) -> None:
    with pikepdf.open(BytesIO(signed)) as file:
        assert len(file.Root.AcroForm.Fields) == 1
        assert file.Root.AF[0].UF == "record.json"  # the association outlives the update
        # ISO 19005-3, 6.3.2: what is to be seen on screen is to be printed as well.
        (annotation,) = [note for page in file.pages for note in page.get("/Annots", [])]
        assert int(annotation.F) & 4
        assert not int(annotation.F) & 0b100011


def test_signature_alone_is_told_from_other_updates(sheet: bytes, signed: bytes) -> None:
    assert adds_only_signatures(sheet, signed)
    assert adds_only_signatures(sheet, sheet)
    assert not adds_only_signatures(sheet, signed[:-200])
    assert not adds_only_signatures(sheet, sheet[:-1] + b"x")


def test_page_that_an_update_covers_up_is_found(sheet: bytes, certificate: bytes) -> None:
    """Somebody appends another first page, and signs the whole with a certificate of his own."""
    writer = IncrementalPdfFileWriter(BytesIO(sheet))
    page = writer.root["/Pages"]["/Kids"][0]
    forged_page = page["/Contents"].data.replace(b"(not proven) Tj", b"(conforms) Tj")
    page[NameObject("/Contents")] = writer.add_object(StreamObject(stream_data=forged_page))
    writer.update_container(page)
    out = BytesIO()
    writer.write(out)
    forged = sign_sheet(out.getvalue(), certificate, "secret")
    assert compare(forged, sheet).same
    assert [found.intact for found in check_signatures(forged)] == [True]
    assert not adds_only_signatures(sheet, forged)


@pytest.mark.parametrize("data", [b"", b"no certificate"])
def test_other_files_are_no_certificate(sheet: bytes, data: bytes) -> None:
    with pytest.raises(CertificateUnusableError, match="not PKCS#12"):
        sign_sheet(sheet, data, "secret")


def test_wrong_passphrase_is_told(sheet: bytes, certificate: bytes) -> None:
    with pytest.raises(CertificateUnusableError, match="passphrase is another one"):
        sign_sheet(sheet, certificate, "guess")


def test_missing_package_is_named(
    sheet: bytes, signed: bytes, certificate: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = builtins.__import__

    def without(name: str, *rest: Any, **more: Any) -> Any:
        if name.startswith("pyhanko"):
            raise ImportError(name)
        return real(name, *rest, **more)

    monkeypatch.setattr(builtins, "__import__", without)
    with pytest.raises(SigningUnavailableError, match=r"pip install seatproof\[pades\]"):
        sign_sheet(sheet, certificate, "secret")
    with pytest.raises(SigningUnavailableError):
        check_signatures(signed)
    assert check_signatures(sheet) == ()  # a sheet without one needs no package

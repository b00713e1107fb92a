"""A signature for outsiders: PAdES (ETSI EN 319 142-1, B-B) with an organisation's certificate.

It is appended to the finished sheet as an incremental update, so that the sheet within it stays as
it was, byte for byte. Whether the certificate is to be trusted is for whoever knows its issuer to
say: here it is only told who signed and whether the bytes are still those that were signed.

Signing and checking take the package pyhanko, which is installed with ``seatproof[pades]``.
"""

import re
from dataclasses import dataclass
from datetime import datetime
from io import BytesIO
from typing import Any, Final

from pypdf import PdfReader
from pypdf.errors import PyPdfError
from pypdf.generic import DictionaryObject, IndirectObject

from seatproof.core.wording.errors import SheetError

_ALLOWED_IN_CATALOGUE: Final = frozenset({"/AcroForm", "/Extensions"})
_END: Final = re.compile(rb"startxref\s+(\d+)\s+%%EOF\s*\Z")
_FIELD: Final = "Organisation"
_MISSING: Final = (
    "Signing for outsiders, and checking such signatures, takes the package pyhanko, which is not "
    "installed; install it with: pip install seatproof[pades]"
)


class SigningUnavailableError(SheetError):
    """The package for it is not installed."""

    def __init__(self) -> None:
        super().__init__(_MISSING)


class CertificateUnusableError(SheetError):
    """A PKCS#12 file that cannot be signed with."""

    def __init__(self, finding: str) -> None:
        self.finding = finding
        super().__init__(f"The certificate cannot be signed with: {finding}.")


@dataclass(frozen=True, slots=True)
class OutsideSignature:
    """A signature by a certificate, as it was found in a file.

    Attributes
    ----------
    signer : str
        Subject of the certificate.
    issuer : str
        Who issued it; the same as the subject where it vouches for itself.
    stated_time : datetime or None
        When it was made by the signer's own clock.
    intact : bool
        Whether the signed bytes are unchanged and the signature fits the certificate's key.
    covers_all : bool
        Whether it covers the file up to its end.
    """

    signer: str
    issuer: str
    stated_time: datetime | None
    intact: bool
    covers_all: bool

    @property
    def sentence(self) -> str:
        """What was found, in plain words."""
        when = f" on {self.stated_time:%Y-%m-%d %H:%M %z}" if self.stated_time else ""
        who = f"Signed by {self.signer}{when} (certificate issued by {self.issuer})"
        if not self.intact:
            return f"{who}: the signature does NOT hold, the file was changed."
        rest = "" if self.covers_all else "; something was added behind it"
        return (
            f"{who}: the signed bytes are unchanged{rest}. Whether that certificate is to be "
            "trusted is for you to judge."
        )


def sign_sheet(pdf: bytes, pkcs12: bytes, passphrase: str, reason: str = "") -> bytes:
    """Append a PAdES signature to a sheet.

    Parameters
    ----------
    pdf : bytes
        A finished sheet.
    pkcs12 : bytes
        Key and certificate of the organisation (PKCS#12).
    passphrase : str
    reason : str, optional
        What the signature means.

    Raises
    ------
    SigningUnavailableError, CertificateUnusableError
    """
    try:
        from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
        from pyhanko.sign.fields import SigSeedSubFilter
        from pyhanko.sign.signers import PdfSignatureMetadata, SimpleSigner, sign_pdf
    except ImportError as error:
        raise SigningUnavailableError from error
    try:
        signer = SimpleSigner.load_pkcs12_data(
            pkcs12, other_certs=[], passphrase=passphrase.encode()
        )
    except ValueError as error:
        raise CertificateUnusableError(
            "the file is not PKCS#12, or the passphrase is another one"
        ) from error
    if signer is None:
        raise CertificateUnusableError("the file is not PKCS#12, or the passphrase is another one")
    metadata = PdfSignatureMetadata(
        field_name=_FIELD,
        md_algorithm="sha256",
        subfilter=SigSeedSubFilter.PADES,
        reason=reason or None,
    )

    class Writer(IncrementalPdfFileWriter):
        """Adds the signature alone, and leaves the sheet the archival file that it is.

        The library would also write itself into the metadata, which then would not agree any
        longer, and declare PDF 2.0, which ISO 19005-3 does not know.
        """

        def _update_meta(self) -> None:
            return None

        def ensure_output_version(self, version: tuple[int, int]) -> None:
            del version

    out = BytesIO()
    sign_pdf(Writer(BytesIO(pdf)), metadata, signer=signer, output=out)
    return out.getvalue()


def check_signatures(pdf: bytes) -> tuple[OutsideSignature, ...]:
    """Return the signatures by certificates in a file, each with what there is to say of it.

    A file without any needs no package for it, and a damaged one counts as having none.

    Raises
    ------
    SigningUnavailableError
        The file has signatures, and the package for checking them is not installed.
    """
    if b"/ByteRange" not in pdf:
        return ()
    try:
        from pyhanko.pdf_utils.misc import PdfError
        from pyhanko.pdf_utils.reader import PdfFileReader
    except ImportError as error:
        raise SigningUnavailableError from error
    try:
        found = PdfFileReader(BytesIO(pdf), strict=False).embedded_signatures
    except (PdfError, ValueError, KeyError, TypeError):
        return ()
    return tuple(_checked(signature) for signature in found)


def adds_only_signatures(sheet: bytes, pdf: bytes) -> bool:
    """Tell whether what follows a sheet in a file adds invisible signatures, and nothing else.

    Every object of the sheet must be in the file as it was; only the catalogue may get a form for
    the signatures, and a page the invisible field of one. Otherwise an update could show other
    pages than the sheet has, and be signed by whoever made it.
    """
    if not pdf.startswith(sheet):
        return False
    if pdf == sheet:
        return True
    end = _END.search(pdf)
    # Whoever finds no whole update there would look for objects in whatever else there is.
    if end is None or int(end[1]) < len(sheet):
        return False
    try:
        return _has_same_objects(sheet, pdf) and _has_no_fields_but_signatures(pdf)
    except (PyPdfError, KeyError, ValueError, TypeError, AttributeError, IndexError):
        return False  # a damaged update is no signature


def _has_same_objects(sheet: bytes, pdf: bytes) -> bool:
    # Asking a reader for its pages changes what it has read of them, hence one for that alone.
    references = [page.indirect_reference for page in PdfReader(BytesIO(sheet)).pages]
    pages = {reference.idnum for reference in references if reference is not None}
    before, after = PdfReader(BytesIO(sheet)), PdfReader(BytesIO(pdf))
    catalogue = before.trailer.raw_get("/Root").idnum
    if after.trailer.raw_get("/Root").idnum != catalogue:
        return False
    for number in range(1, int(str(before.trailer["/Size"]))):
        old, new = (
            reader.get_object(IndirectObject(number, 0, reader)) for reader in (before, after)
        )
        allowed = _ALLOWED_IN_CATALOGUE if number == catalogue else frozenset[str]()
        allowed = frozenset({"/Annots"}) if number in pages else allowed
        if _written(old, allowed) != _written(new, allowed):
            return False
    return True


def _has_no_fields_but_signatures(pdf: bytes) -> bool:
    fields = [
        note.get_object()
        for page in PdfReader(BytesIO(pdf)).pages
        for note in page.get("/Annots", ())
    ]
    return all(
        field.get("/Subtype") == "/Widget"
        and field.get("/FT") == "/Sig"
        and [float(edge) for edge in field["/Rect"]] == [0.0] * 4
        for field in fields
    )


def _written(thing: Any, without: frozenset[str]) -> bytes:
    if without and isinstance(thing, DictionaryObject):
        thing = DictionaryObject({key: thing.raw_get(key) for key in thing if key not in without})
    out = BytesIO()
    thing.write_to_stream(out)
    return out.getvalue()


def _checked(embedded: Any) -> OutsideSignature:
    from pyhanko.sign.validation.generic_cms import validate_sig_integrity
    from pyhanko.sign.validation.status import SignatureCoverageLevel

    certificate = embedded.signer_cert
    embedded.compute_integrity_info(skip_diff=True)
    intact, valid = validate_sig_integrity(
        embedded.signer_info,
        certificate,
        expected_content_type="data",
        actual_digest=embedded.compute_digest(),
    )
    return OutsideSignature(
        signer=certificate.subject.human_friendly,
        issuer=certificate.issuer.human_friendly,
        stated_time=embedded.self_reported_timestamp,
        intact=bool(intact and valid),
        covers_all=embedded.coverage == SignatureCoverageLevel.ENTIRE_FILE,
    )

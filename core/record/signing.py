"""Signatures over a record: the words that are signed, and whether a signature holds.

A signature is Ed25519 (RFC 8032) over the canonical JSON (RFC 8785) of what it says. The public key
stands beside it, so that anybody can check it; whose key that is, the register of people says.
"""

from typing import Final

from seatproof.core.record.events import canonical
from seatproof.core.record.kinds import Signed

SIGNATURE_FORMAT: Final = "seatproof signature 1"

MEASURED: Final = "measured by"
ACCEPTED: Final = "reviewed and accepted by"
NOT_ACCEPTED: Final = "reviewed and not accepted by"
DECIDED: Final = "disposition decided by"
FITTED: Final = "fitted by"
EXAMINED: Final = "examined by"


def signed_message(
    *,
    inspection: str,
    of_seq: int,
    of_hash: str,
    meaning: str,
    person: str,
    name: str,
    role: str,
    utc: str,
    public_key: str,
) -> bytes:
    """Return the bytes that are signed: everything that a signature says, and the key itself."""
    return canonical(
        {
            "format": SIGNATURE_FORMAT,
            "inspection": inspection,
            "meaning": meaning,
            "name": name,
            "of_hash": of_hash,
            "of_seq": of_seq,
            "person": person,
            "public_key": public_key,
            "role": role,
            "utc": utc,
        }
    )


def signature_holds(inspection: str, signed: Signed) -> bool:
    """Tell whether a signature was made with the key beside it over just these words."""
    # Imported here: the bench is open before anything is signed, and need not wait for it.
    from cryptography.exceptions import InvalidSignature
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

    try:
        key = Ed25519PublicKey.from_public_bytes(bytes.fromhex(signed.public_key))
        key.verify(
            bytes.fromhex(signed.signature),
            signed_message(
                inspection=inspection,
                of_seq=signed.of_seq,
                of_hash=signed.of_hash,
                meaning=signed.meaning,
                person=signed.person,
                name=signed.name,
                role=signed.role,
                utc=signed.utc,
                public_key=signed.public_key,
            ),
        )
    except (InvalidSignature, ValueError):
        return False
    return True

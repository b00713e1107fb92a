"""A person's key: made by the program, kept only under a passphrase.

The Ed25519 private key (RFC 8032) is encrypted with ChaCha20-Poly1305 (RFC 8439) under a key that
Argon2id (RFC 9106) derives from the passphrase. All that is needed to open it stands beside it; the
person, the public key and the cost are bound to it, so that none can be exchanged unseen.
"""

import os
import unicodedata
from dataclasses import dataclass
from typing import Final

from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from cryptography.hazmat.primitives.ciphers.aead import ChaCha20Poly1305
from cryptography.hazmat.primitives.kdf.argon2 import Argon2id

from seatproof.core.people.errors import PersonRefusedError
from seatproof.core.people.locked_key import LockedKey
from seatproof.core.record.events import canonical

LEAST_CHARACTERS: Final = 8
MOST_CHARACTERS: Final = 1000

_FORMAT: Final = "seatproof key 1"
_KEY_BYTES: Final = 32
_SALT_BYTES: Final = 16
_NONCE_BYTES: Final = 12


@dataclass(frozen=True, slots=True)
class Cost:
    """How hard a passphrase is to guess: passes over the memory, lanes, and KiB of memory.

    The default is the second recommendation of RFC 9106, section 4, for machines with little
    memory to spare.
    """

    iterations: int = 3
    lanes: int = 4
    memory_kib: int = 64 * 1024


def new_key(person: str, passphrase: str, cost: Cost | None = None) -> LockedKey:
    """Make a key for a person under a passphrase; `PersonRefusedError` where that is too short."""
    return lock(Ed25519PrivateKey.generate(), person, passphrase, cost)


def lock(
    private: Ed25519PrivateKey, person: str, passphrase: str, cost: Cost | None = None
) -> LockedKey:
    """Put a key under a passphrase; `PersonRefusedError` where that is too short."""
    _check(passphrase)
    cost = cost or Cost()
    salt, nonce = os.urandom(_SALT_BYTES), os.urandom(_NONCE_BYTES)
    public_key = private.public_key().public_bytes_raw().hex()
    locked = LockedKey(
        public_key=public_key,
        iterations=cost.iterations,
        lanes=cost.lanes,
        memory_kib=cost.memory_kib,
        salt=salt.hex(),
        nonce=nonce.hex(),
        sealed="00",
    )
    cipher = ChaCha20Poly1305(_derived(locked, passphrase))
    sealed = cipher.encrypt(nonce, private.private_bytes_raw(), _bound(locked, person))
    return locked.model_copy(update={"sealed": sealed.hex()})


def unlock(locked: LockedKey, person: str, passphrase: str) -> Ed25519PrivateKey | None:
    """Return the key, or None where the passphrase does not open it."""
    cipher = ChaCha20Poly1305(_derived(locked, passphrase))
    try:
        raw = cipher.decrypt(
            bytes.fromhex(locked.nonce), bytes.fromhex(locked.sealed), _bound(locked, person)
        )
    except InvalidTag:
        return None
    return Ed25519PrivateKey.from_private_bytes(raw)


def _derived(locked: LockedKey, passphrase: str) -> bytes:
    # The same letter may be typed as one code point or as two, depending on the keyboard.
    text = unicodedata.normalize("NFKC", passphrase)
    return Argon2id(
        salt=bytes.fromhex(locked.salt),
        length=_KEY_BYTES,
        iterations=locked.iterations,
        lanes=locked.lanes,
        memory_cost=locked.memory_kib,
    ).derive(text.encode("utf-8", "surrogatepass"))


def _bound(locked: LockedKey, person: str) -> bytes:
    said = locked.model_dump(mode="json", exclude={"sealed"})
    return canonical({"format": _FORMAT, "person": person, **said})


def _check(passphrase: str) -> None:
    if len(passphrase.strip()) < LEAST_CHARACTERS:
        raise PersonRefusedError(
            f"The passphrase is too short; take at least {LEAST_CHARACTERS} characters, best "
            "several words."
        )
    if len(passphrase) > MOST_CHARACTERS:
        raise PersonRefusedError(
            f"The passphrase is too long; take at most {MOST_CHARACTERS} characters."
        )

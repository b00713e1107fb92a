"""Keys under a passphrase, checked with the primitives themselves."""

import json

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from cryptography.hazmat.primitives.ciphers.aead import ChaCha20Poly1305
from cryptography.hazmat.primitives.kdf.argon2 import Argon2id
from pydantic import ValidationError

from seatproof.core.people.errors import PersonRefusedError
from seatproof.core.people.key import Cost, lock, new_key, unlock
from seatproof.core.people.locked_key import LockedKey

PERSON = "a" * 32
WORDS = "kiln brick clay"
CHEAP = Cost(iterations=1, lanes=1, memory_kib=8)


@pytest.fixture(scope="module")
def locked():
    return new_key(PERSON, WORDS, CHEAP)


def test_key_opens_with_its_passphrase_alone(locked):
    private = unlock(locked, PERSON, WORDS)
    assert private.public_key().public_bytes_raw().hex() == locked.public_key
    for wrong in ("", "kiln brick cla", "Kiln brick clay", WORDS + " "):
        assert unlock(locked, PERSON, wrong) is None


def test_key_can_be_opened_by_hand_from_what_stands_beside_it(locked):
    derived = Argon2id(
        salt=bytes.fromhex(locked.salt), length=32, iterations=1, lanes=1, memory_cost=8
    ).derive(WORDS.encode())
    bound = {
        "cipher": "ChaCha20-Poly1305",
        "derivation": "Argon2id",
        "format": "seatproof key 1",
        "iterations": 1,
        "lanes": 1,
        "memory_kib": 8,
        "nonce": locked.nonce,
        "person": PERSON,
        "public_key": locked.public_key,
        "salt": locked.salt,
    }
    raw = ChaCha20Poly1305(derived).decrypt(
        bytes.fromhex(locked.nonce),
        bytes.fromhex(locked.sealed),
        json.dumps(bound, separators=(",", ":")).encode(),
    )
    assert Ed25519PrivateKey.from_private_bytes(raw).public_key().public_bytes_raw().hex() == (
        locked.public_key
    )


@pytest.mark.parametrize(
    "change",
    [
        {"public_key": "0" * 64},
        {"salt": "0" * 32},
        {"nonce": "0" * 24},
        {"iterations": 2},
        {"memory_kib": 16},
        {"sealed": "00" * 48},
        {"sealed": "00"},
    ],
)
def test_key_that_was_altered_does_not_open(locked, change):
    assert unlock(locked.model_copy(update=change), PERSON, WORDS) is None


def test_key_of_another_person_does_not_open(locked):
    assert unlock(locked, "b" * 32, WORDS) is None


def test_same_passphrase_twice_gives_nothing_alike():
    private = Ed25519PrivateKey.generate()
    one, other = (lock(private, PERSON, WORDS, CHEAP) for _ in range(2))
    assert one.public_key == other.public_key
    assert len({one.salt, other.salt, one.nonce, other.nonce, one.sealed, other.sealed}) == 6


def test_accent_typed_in_two_ways_is_the_same_passphrase():
    locked = new_key(PERSON, "caf\u00e9 am Werk", CHEAP)
    assert unlock(locked, PERSON, "cafe\u0301 am Werk") is not None


@pytest.mark.parametrize("words", ["", "short", "       a       ", "x" * 1001])
def test_passphrase_of_no_use_is_refused(words):
    with pytest.raises(PersonRefusedError, match="passphrase is too"):
        new_key(PERSON, words, CHEAP)


def test_usual_cost_is_that_of_the_rfc():
    # RFC 9106, section 4: t=3, p=4, m=64 MiB where memory is scarce.
    assert Cost() == Cost(iterations=3, lanes=4, memory_kib=65536)


def test_altered_cost_cannot_ask_for_all_memory(locked):
    with pytest.raises(ValidationError):
        LockedKey.model_validate({**locked.model_dump(), "memory_kib": 2**24})

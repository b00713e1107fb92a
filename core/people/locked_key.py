"""A person's key as it is kept: data alone, read without the means to open it."""

from typing import Annotated, Literal

from pydantic import Field

from seatproof.core.record.kinds.parts import Part


class LockedKey(Part):
    """A key as it is kept; opening it takes the passphrase.

    The bounds of the cost keep an altered register from asking for all of a machine's memory.
    """

    public_key: Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
    derivation: Literal["Argon2id"] = "Argon2id"
    iterations: Annotated[int, Field(ge=1, le=1000)]
    lanes: Annotated[int, Field(ge=1, le=64)]
    memory_kib: Annotated[int, Field(ge=8, le=1024 * 1024)]
    salt: Annotated[str, Field(pattern=r"^[0-9a-f]{32}$")]
    cipher: Literal["ChaCha20-Poly1305"] = "ChaCha20-Poly1305"
    nonce: Annotated[str, Field(pattern=r"^[0-9a-f]{24}$")]
    sealed: Annotated[str, Field(pattern=r"^([0-9a-f]{2})+$", max_length=200)]

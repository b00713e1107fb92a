"""The kinds of event that the register of people has."""

from collections.abc import Mapping
from typing import Annotated, Any, Final, Literal

from pydantic import Field

from seatproof.core.people.locked_key import LockedKey
from seatproof.core.record.kinds.parts import Digest, Part, Payload, Reason

Role = Literal["inspector", "quality lead", "auditor", "administrator"]
ROLES: Final[tuple[Role, ...]] = ("inspector", "quality lead", "auditor", "administrator")

PersonId = Annotated[str, Field(pattern=r"^[0-9a-f]{32}$")]
PersonName = Annotated[str, Field(min_length=1, max_length=200)]
Roles = Annotated[tuple[Role, ...], Field(min_length=1, max_length=len(ROLES))]


class Vouched(Part):
    """The signature of the administrator who entered something, over the entry and its place."""

    person: PersonId
    public_key: Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
    previous: Digest
    signature: Annotated[str, Field(pattern=r"^[0-9a-f]{128}$")]


class VouchedPayload(Payload):
    """An entry that an administrator vouches for."""

    vouched: Vouched | None = None

    def said(self) -> dict[str, Any]:
        """Return what is vouched for."""
        return self.model_dump(mode="json", exclude={"vouched"})


class PersonAdded(VouchedPayload):
    """Somebody is known from here on, with a key of their own."""

    kind = "person added"
    person: PersonId
    name: PersonName
    roles: Roles
    key: LockedKey


class PersonChanged(VouchedPayload):
    """A person has another name or other roles."""

    kind = "person changed"
    person: PersonId
    name: PersonName
    roles: Roles
    reason: Reason


class PersonRetired(VouchedPayload):
    """A person signs no longer; what they signed stays valid."""

    kind = "person retired"
    person: PersonId
    reason: Reason


class KeyReplaced(VouchedPayload):
    """A person has a new key, as after a lost passphrase; the old key's signatures stay valid."""

    kind = "key replaced"
    person: PersonId
    key: LockedKey
    reason: Reason


class PassphraseChanged(Payload):
    """The same key is kept under another passphrase, by whoever knew the one before."""

    kind = "passphrase changed"
    person: PersonId
    key: LockedKey


class PassphraseTried(Payload):
    """A passphrase was wrong, or right after wrong ones; that slows down guessing."""

    kind = "passphrase tried"
    person: PersonId
    right: bool


PEOPLE_KINDS: Final[Mapping[str, type[Payload]]] = {
    payload.kind: payload
    for payload in (
        PersonAdded,
        PersonChanged,
        PersonRetired,
        KeyReplaced,
        PassphraseChanged,
        PassphraseTried,
    )
}

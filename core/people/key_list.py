"""The list of public keys: what an outsider needs to say who signed, without the archive.

It is JSON: ``format`` "seatproof public keys", ``version`` 1, ``made_utc``, ``register`` (``seq``
and ``hash`` of the register's last event, so that two lists can be told apart), and ``people``:
each with ``person`` (the id that signatures name), ``names`` and ``roles`` (all they ever had, the
present one first), ``retired``, and ``keys``: ``public_key`` (Ed25519, 32 bytes in hexadecimal),
``since_utc``, ``until_utc`` (null while it is in use), ``why_ended``, and ``vouched``: false where
the only administrator had to enter it without anybody else. Times are ISO 8601 in UTC. A list is
only as good as the way on which it came: hand it over yourself, or compare its hash.
"""

import json
from datetime import UTC, datetime
from pathlib import Path
from typing import Annotated, Final, Literal, Self

from pydantic import Field, ValidationError

from seatproof.core.contents import contents
from seatproof.core.people.errors import KeyListError
from seatproof.core.people.person import Person
from seatproof.core.people.register import PeopleRegister
from seatproof.core.placing import NotPlacedError, place
from seatproof.core.record.events import GENESIS, canonical
from seatproof.core.record.kinds.parts import Digest, Part

MAX_LIST_BYTES: Final = 50_000_000


class ListedKey(Part):
    """One key and the time in which signatures with it count."""

    public_key: Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
    since_utc: str
    until_utc: str | None = None
    why_ended: str = ""
    vouched: bool = True


class ListedPerson(Part):
    """One person with all keys, names and roles they ever had."""

    person: str
    names: Annotated[tuple[str, ...], Field(min_length=1)]
    roles: tuple[str, ...]
    retired: bool
    keys: Annotated[tuple[ListedKey, ...], Field(min_length=1)]


class ListedHead(Part):
    """The register's last event when the list was made."""

    seq: int
    hash: Digest


class KeyList(Part):
    """Who has which public key."""

    format: Literal["seatproof public keys"] = "seatproof public keys"
    version: Literal[1] = 1
    made_utc: str
    register_head: Annotated[ListedHead, Field(alias="register")]
    people: tuple[ListedPerson, ...]

    @classmethod
    def of(cls, register: PeopleRegister, moment: datetime) -> Self:
        """Return the list of a register as it is now."""
        events = register.register.events
        return cls.model_validate(
            {
                "made_utc": moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ"),
                "register": {
                    "seq": events[-1].seq if events else 0,
                    "hash": events[-1].hash if events else GENESIS,
                },
                "people": [_listed(person) for person in register.people.values()],
            }
        )

    def as_bytes(self) -> bytes:
        """Return the file's content: canonical JSON (RFC 8785)."""
        return canonical(self.model_dump(mode="json", by_alias=True))

    def holder(self, public_key: str) -> tuple[ListedPerson, ListedKey] | None:
        """Return whose key that is, or None where the list does not have it."""
        for person in self.people:
            for key in person.keys:
                if key.public_key == public_key:
                    return person, key
        return None


def write_key_list(keys: KeyList, path: Path) -> Path:
    """Write a list and return where it is; another file of that name is never written over."""
    try:
        return place(keys.as_bytes(), path)
    except NotPlacedError as error:
        raise KeyListError(path, f"it cannot be written: {error.finding}") from error


def read_key_list(path: Path) -> KeyList:
    """Read a list of public keys; `KeyListError` where it is none."""
    try:
        content = contents(path, MAX_LIST_BYTES)
    except OSError as error:
        raise KeyListError(path, f"it cannot be read ({error.strerror})") from error
    return parse_key_list(content, path)


def parse_key_list(content: bytes, path: Path | None = None) -> KeyList:
    """Read the content of a list of public keys; `KeyListError` where it is none."""
    try:
        document = json.loads(content)
    except (ValueError, RecursionError) as error:
        raise KeyListError(path, "it is not JSON; name a list of public keys") from error
    if not isinstance(document, dict) or document.get("format") != "seatproof public keys":
        raise KeyListError(path, "it is not a list of public keys; export one from the archive")
    if document.get("version") != 1:
        raise KeyListError(path, f"it has version {document.get('version')}; use a newer Seatproof")
    try:
        return KeyList.model_validate(document)
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        where = ".".join(str(part) for part in first["loc"])
        raise KeyListError(path, f"{where}: {first['msg']}") from error


def _listed(person: Person) -> dict[str, object]:
    return {
        "person": person.id,
        "names": tuple(dict.fromkeys((person.name, *person.names))),
        "roles": tuple(dict.fromkeys((*person.roles, *person.all_roles))),
        "retired": person.is_retired,
        "keys": [
            {
                "public_key": key.public_key,
                "since_utc": key.since_utc,
                "until_utc": key.until_utc,
                "why_ended": key.why_ended,
                "vouched": key.vouched,
            }
            for key in person.keys
        ],
    }

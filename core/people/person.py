"""A person as the register has them now, and the fold that adds up its events."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

from seatproof.core.people.kinds import (
    PEOPLE_KINDS,
    KeyReplaced,
    PassphraseChanged,
    PassphraseTried,
    PersonAdded,
    PersonChanged,
    PersonRetired,
    Role,
    VouchedPayload,
)
from seatproof.core.people.locked_key import LockedKey
from seatproof.core.record.errors import ChainBrokenError
from seatproof.core.record.events import Event, canonical
from seatproof.core.registers.register import read_entry

_VOUCHED_FORMAT = "seatproof register entry 1"


@dataclass(frozen=True, slots=True)
class HeldKey:
    """A key that a person has or had, from one moment to another (``None``: still).

    `vouched` is False where the only administrator had to enter it without anybody else.
    """

    public_key: str
    since_utc: str
    until_utc: str | None = None
    why_ended: str = ""
    vouched: bool = True


@dataclass(frozen=True, slots=True)
class Person:
    """A person as the register has them now; `names` and `all_roles` are those they ever had.

    `wrong` counts the wrong passphrases since the last right one, `last_wrong_utc` tells when the
    newest of them was tried.
    """

    id: str
    name: str
    roles: tuple[Role, ...]
    names: tuple[str, ...]
    all_roles: tuple[Role, ...]
    keys: tuple[HeldKey, ...]
    locked: LockedKey
    retired_because: str = ""
    wrong: int = 0
    last_wrong_utc: str = ""

    @property
    def is_retired(self) -> bool:
        return bool(self.retired_because)

    def has_role(self, role: Role) -> bool:
        return role in self.roles and not self.is_retired


People = Mapping[str, Person]


def add_up(events: Iterable[Event]) -> People:
    """Add up a register from its first event on.

    Raises
    ------
    ChainBrokenError
        An entry speaks of nobody, or is not vouched for by one who was an administrator then.
    EventUnknownError
        It was written by a newer program.
    """
    people: People = {}
    for event in events:
        people = with_entry(people, event)
    return people


def with_entry(people: People, event: Event) -> People:
    """Return the people after one more event; raises as `add_up`."""
    payload = read_entry(event, PEOPLE_KINDS)
    try:
        if isinstance(payload, VouchedPayload):
            _check_vouched(people, event, payload)
        match payload:
            case PersonAdded():
                return {**people, payload.person: _added(people, event, payload)}
            case PersonChanged():
                after = _changed(people[payload.person], payload)
            case PersonRetired():
                after = _retired(people[payload.person], event, payload)
            case KeyReplaced():
                after = _with_key(people[payload.person], event, payload)
            case PassphraseChanged():
                after = _relocked(people[payload.person], payload)
            case PassphraseTried():
                after = _tried(people[payload.person], event, payload)
            case _:
                raise ValueError("it cannot stand at this place")
    except KeyError as error:
        raise ChainBrokenError(
            event.inspection, event.seq, f"it speaks of nobody: {error}"
        ) from error
    except ValueError as error:
        raise ChainBrokenError(event.inspection, event.seq, str(error)) from error
    return {**people, after.id: after}


def vouched_message(register: str, previous: str, payload: VouchedPayload) -> bytes:
    """Return the bytes that an administrator signs: the entry, and what it follows on."""
    return canonical(
        {
            "entry": payload.said(),
            "format": _VOUCHED_FORMAT,
            "kind": payload.kind,
            "previous": previous,
            "register": register,
        }
    )


def _check_vouched(people: People, event: Event, payload: VouchedPayload) -> None:
    vouched = payload.vouched
    if vouched is None or vouched.previous != event.previous:
        raise ValueError("no administrator vouches for it")
    if people and _is_recovery(people, payload):
        pass  # the signature below is by the new key itself, and the key is marked for it
    elif people:
        administrator = people[vouched.person]
        if not administrator.has_role("administrator"):
            raise ValueError("the one who vouches for it was no administrator")
        if administrator.locked.public_key != vouched.public_key:
            raise ValueError("the one who vouches for it had another key")
    elif not (
        isinstance(payload, PersonAdded)
        and "administrator" in payload.roles
        and (vouched.person, vouched.public_key) == (payload.person, payload.key.public_key)
    ):
        raise ValueError("a register begins with an administrator who vouches for themselves")
    try:
        Ed25519PublicKey.from_public_bytes(bytes.fromhex(vouched.public_key)).verify(
            bytes.fromhex(vouched.signature),
            vouched_message(event.inspection, vouched.previous, payload),
        )
    except InvalidSignature as error:
        raise ValueError("the signature of the one who vouches for it does not hold") from error


def _is_recovery(people: People, payload: VouchedPayload) -> bool:
    """Tell whether the only administrator enters a new key, with nobody else to vouch for it."""
    if not isinstance(payload, KeyReplaced) or payload.vouched is None:
        return False
    own = (payload.vouched.person, payload.vouched.public_key) == (
        payload.person,
        payload.key.public_key,
    )
    administrators = {key for key, person in people.items() if person.has_role("administrator")}
    return own and administrators == {payload.person}


def _added(people: People, event: Event, payload: PersonAdded) -> Person:
    if payload.person in people:
        raise ValueError("it adds somebody who is known already")
    return Person(
        id=payload.person,
        name=payload.name,
        roles=payload.roles,
        names=(payload.name,),
        all_roles=payload.roles,
        keys=(HeldKey(payload.key.public_key, event.utc),),
        locked=payload.key,
    )


def _changed(person: Person, payload: PersonChanged) -> Person:
    return replace(
        person,
        name=payload.name,
        roles=payload.roles,
        names=tuple(dict.fromkeys((*person.names, payload.name))),
        all_roles=tuple(dict.fromkeys((*person.all_roles, *payload.roles))),
    )


def _retired(person: Person, event: Event, payload: PersonRetired) -> Person:
    return replace(
        person,
        retired_because=payload.reason,
        keys=_ended(person, event.utc, f"retired: {payload.reason}"),
    )


def _with_key(person: Person, event: Event, payload: KeyReplaced) -> Person:
    assert payload.vouched is not None  # it was checked before
    if person.is_retired:
        raise ValueError("it gives a key to somebody who is retired")
    return replace(
        person,
        keys=(
            *_ended(person, event.utc, payload.reason),
            HeldKey(
                payload.key.public_key,
                event.utc,
                vouched=payload.vouched.public_key != payload.key.public_key,
            ),
        ),
        locked=payload.key,
        wrong=0,
        last_wrong_utc="",
    )


def _relocked(person: Person, payload: PassphraseChanged) -> Person:
    if payload.key.public_key != person.locked.public_key:
        raise ValueError("it exchanges the key, and only the passphrase was to change")
    return replace(person, locked=payload.key)


def _tried(person: Person, event: Event, payload: PassphraseTried) -> Person:
    if payload.right:
        return replace(person, wrong=0, last_wrong_utc="")
    return replace(person, wrong=person.wrong + 1, last_wrong_utc=event.utc)


def _ended(person: Person, utc: str, why: str) -> tuple[HeldKey, ...]:
    return tuple(
        key if key.until_utc is not None else replace(key, until_utc=utc, why_ended=why)
        for key in person.keys
    )

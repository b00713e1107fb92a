"""The register of people: who may sign as what, kept as a chain that can be trusted.

An administrator vouches with a signature for everybody entered and for every change, so that a
register put together anew by somebody else does not hold. Wrong passphrases are entries too: they
slow the next try down whoever starts the program in between.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final, TypeVar
from uuid import uuid4

from pydantic import ValidationError

from seatproof.core.people.errors import (
    PassphraseTooSoonError,
    PassphraseWrongError,
    PersonRefusedError,
)
from seatproof.core.people.key import Cost, lock, new_key, unlock
from seatproof.core.people.kinds import (
    KeyReplaced,
    PassphraseChanged,
    PassphraseTried,
    PersonAdded,
    PersonChanged,
    PersonRetired,
    Role,
    Vouched,
    VouchedPayload,
)
from seatproof.core.people.person import People, Person, add_up, vouched_message, with_entry
from seatproof.core.people.signer import Signer
from seatproof.core.record.events import GENESIS
from seatproof.core.record.kinds.parts import Payload
from seatproof.core.registers.register import Register, RegisterStore

REGISTER: Final = "people"

FREE_TRIES: Final = 3
FIRST_WAIT_S: Final = 30.0
LONGEST_WAIT_S: Final = 3600.0

AnyVouched = TypeVar("AnyVouched", bound=VouchedPayload)


@dataclass(slots=True)
class PeopleRegister:
    """The open register of an archive; `cost` is what it costs to try a passphrase of a new key."""

    register: Register
    people: People
    cost: Cost

    @classmethod
    def open(
        cls, store: RegisterStore, clock: Callable[[], datetime], cost: Cost | None = None
    ) -> "PeopleRegister":
        """Read the register of people.

        Raises
        ------
        ChainBrokenError
            It was altered.
        EventUnknownError
            It was written by a newer program.
        """
        register = Register.open(REGISTER, store, clock)
        return cls(register, add_up(register.events), cost or Cost())

    # --- who is there ----------------------------------------------------------------------------

    def active(self) -> tuple[Person, ...]:
        """Return those who are not retired, by name."""
        people = [person for person in self.people.values() if not person.is_retired]
        return tuple(sorted(people, key=lambda person: person.name.casefold()))

    def person(self, person: str) -> Person:
        """Return a person; `PersonRefusedError` where there is none of that id."""
        try:
            return self.people[person]
        except KeyError:
            raise PersonRefusedError("There is no such person in the register.") from None

    def named(self, name: str) -> Person:
        """Return the person of that name who is not retired; `PersonRefusedError` for none."""
        for person in self.active():
            if person.name.casefold() == name.strip().casefold():
                return person
        raise PersonRefusedError(
            f"Nobody named {name.strip()} is in the register; an administrator can enter them."
        )

    # --- keeping the register --------------------------------------------------------------------

    def begin(self, name: str, passphrase: str, roles: tuple[Role, ...] = ()) -> Person:
        """Enter the first person, who is the first administrator and vouches for themselves."""
        if self.people:
            raise PersonRefusedError(
                "The register has its administrators already; ask one of them."
            )
        wanted: tuple[Role, ...] = tuple(dict.fromkeys(("administrator", *roles)))
        person = uuid4().hex
        key = new_key(person, passphrase, self.cost)
        private = unlock(key, person, passphrase)
        assert private is not None  # it was locked with this passphrase a moment ago
        name = self._free_name(name)
        signer = Signer(person, name, wanted, private)
        self._vouch(signer, PersonAdded, person=person, name=name, roles=wanted, key=key)
        return self.people[person]

    def add(self, by: Signer, name: str, roles: tuple[Role, ...], passphrase: str) -> Person:
        """Enter a person with a new key under their passphrase."""
        self._check_administrator(by)
        person = uuid4().hex
        name = self._free_name(name)
        key = new_key(person, passphrase, self.cost)
        self._vouch(by, PersonAdded, person=person, name=name, roles=_each_once(roles), key=key)
        return self.people[person]

    def change(
        self, by: Signer, person: str, reason: str, *, name: str, roles: tuple[Role, ...]
    ) -> Person:
        """Give a person another name or other roles; one administrator always remains."""
        self._check_administrator(by)
        before = self._working(person)
        roles = _each_once(roles)
        if "administrator" not in roles:
            self._check_others_administrate(before)
        self._vouch(
            by,
            PersonChanged,
            person=person,
            name=name.strip() if name.strip() == before.name else self._free_name(name),
            roles=roles,
            reason=_given(reason),
        )
        return self.people[person]

    def retire(self, by: Signer, person: str, reason: str) -> Person:
        """Let a person sign no longer; they stay in the register, and their signatures hold."""
        self._check_administrator(by)
        self._check_others_administrate(self._working(person))
        self._vouch(by, PersonRetired, person=person, reason=_given(reason))
        return self.people[person]

    def replace_key(self, by: Signer, person: str, passphrase: str, reason: str) -> Person:
        """Give a person a new key, as after a lost passphrase; old signatures stay valid."""
        self._check_administrator(by)
        self._working(person)
        key = new_key(person, passphrase, self.cost)
        self._vouch(by, KeyReplaced, person=person, key=key, reason=_given(reason))
        return self.people[person]

    def recover(self, person: str, passphrase: str, reason: str) -> Person:
        """Give the only administrator a new key after a lost passphrase.

        Nobody else can vouch for it, so the new key vouches for itself, and the list of keys says
        so for ever. Where another administrator is left, that one gives the new key.
        """
        known = self._working(person)
        if not known.has_role("administrator"):
            raise PersonRefusedError(f"{known.name} is no administrator; ask one for a new key.")
        if self._other_administrators(known):
            raise PersonRefusedError(
                f"{known.name} is not the only administrator; ask another for a new key."
            )
        key = new_key(person, passphrase, self.cost)
        private = unlock(key, person, passphrase)
        assert private is not None  # it was locked with this passphrase a moment ago
        signer = Signer(person, known.name, known.roles, private)
        self._vouch(signer, KeyReplaced, person=person, key=key, reason=_given(reason))
        return self.people[person]

    # --- passphrases -----------------------------------------------------------------------------

    def unlock(self, person: str, passphrase: str) -> Signer:
        """Open a person's key.

        Raises
        ------
        PassphraseTooSoonError
            Wrong passphrases came before, and the time to wait is not over; nothing was tried.
        PassphraseWrongError
            It is not the passphrase; that is entered and, from the third on, slows the next down.
        PersonRefusedError
            There is no such person, or they are retired.
        """
        known = self._working(person)
        wait_s = self.wait_s(person)
        if wait_s > 0:
            raise PassphraseTooSoonError(known.name, known.wrong, wait_s)
        private = unlock(known.locked, person, passphrase)
        if private is None:
            self._enter(known.name, PassphraseTried(person=person, right=False))
            now = self.people[person]
            raise PassphraseWrongError(known.name, now.wrong, self.wait_s(person))
        if known.wrong:
            self._enter(known.name, PassphraseTried(person=person, right=True))
        return Signer(person, known.name, known.roles, private)

    def wait_s(self, person: str) -> float:
        """Return for how many seconds the next passphrase of a person must wait."""
        known = self.person(person)
        if known.wrong < FREE_TRIES:
            return 0.0
        # The exponent is bounded: after a thousand wrong ones the power is beyond any float.
        doublings = min(known.wrong - FREE_TRIES, 20)
        wait = timedelta(seconds=min(FIRST_WAIT_S * 2.0**doublings, LONGEST_WAIT_S))
        over = datetime.fromisoformat(known.last_wrong_utc) + wait
        left = over - self.register.clock()
        # A clock that was set back must not lock anybody out for longer than the wait itself.
        return max(0.0, min(left, wait).total_seconds())

    def change_passphrase(self, person: str, old: str, new: str) -> None:
        """Keep the same key under another passphrase; raises as `unlock`."""
        signer = self.unlock(person, old)
        key = lock(signer.private, person, new, self.cost)
        self._enter(signer.name, PassphraseChanged(person=person, key=key))

    # --- inside ----------------------------------------------------------------------------------

    def _vouch(self, by: Signer, kind: type[AnyVouched], **values: object) -> None:
        events = self.register.events
        previous = events[-1].hash if events else GENESIS
        try:
            payload = kind.model_validate(values)
        except ValidationError as error:
            first = error.errors(include_url=False)[0]
            where = " ".join(str(part) for part in first["loc"])
            raise PersonRefusedError(
                f"This cannot go into the register: {where}: {first['msg']}."
            ) from error
        vouched = Vouched(
            person=by.person,
            public_key=by.public_key,
            previous=previous,
            signature=by.private.sign(vouched_message(self.register.name, previous, payload)).hex(),
        )
        self._enter(by.name, payload.model_copy(update={"vouched": vouched}))

    def _enter(self, actor: str, payload: Payload) -> None:
        event = self.register.append(actor, payload)
        self.people = with_entry(self.people, event)

    def _working(self, person: str) -> Person:
        known = self.person(person)
        if known.is_retired:
            raise PersonRefusedError(
                f"{known.name} is retired ({known.retired_because}) and signs no longer."
            )
        return known

    def _check_administrator(self, by: Signer) -> None:
        known = self.people.get(by.person)
        if known is None or not known.has_role("administrator"):
            raise PersonRefusedError(
                f"{by.name} is no administrator; the register is kept by administrators."
            )
        if known.locked.public_key != by.public_key:
            raise PersonRefusedError(
                f"{by.name} has another key by now; open it with the passphrase again."
            )

    def _check_others_administrate(self, person: Person) -> None:
        if person.has_role("administrator") and not self._other_administrators(person):
            raise PersonRefusedError(
                f"{person.name} is the only administrator; make somebody else one first."
            )

    def _other_administrators(self, person: Person) -> tuple[Person, ...]:
        return tuple(
            other
            for other in self.active()
            if other.id != person.id and other.has_role("administrator")
        )

    def _free_name(self, name: str) -> str:
        name = name.strip()
        if not name:
            raise PersonRefusedError("Give the person's name; it stands beside every signature.")
        if any(person.name.casefold() == name.casefold() for person in self.active()):
            raise PersonRefusedError(
                f"{name} is in the register already; tell the two apart, for instance by a number."
            )
        return name


def _each_once(roles: tuple[Role, ...]) -> tuple[Role, ...]:
    return tuple(dict.fromkeys(roles))


def _given(reason: str) -> str:
    text = reason.strip()
    if not text:
        raise PersonRefusedError("Give a reason; it goes into the register.")
    return text

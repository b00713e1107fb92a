"""A person whose key is open: can sign, for as long as the program holds on to it."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Final

from seatproof.core.people.errors import PersonRefusedError
from seatproof.core.people.kinds import Role
from seatproof.core.record.kinds import Signed
from seatproof.core.record.signing import (
    ACCEPTED,
    DECIDED,
    EXAMINED,
    FITTED,
    MEASURED,
    NOT_ACCEPTED,
    signed_message,
)

if TYPE_CHECKING:  # a bench that nobody signs at has no need of it
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

# Which role a signature of each meaning takes.
ROLE_FOR: Final[Mapping[str, Role]] = {
    MEASURED: "inspector",
    FITTED: "inspector",
    ACCEPTED: "quality lead",
    NOT_ACCEPTED: "quality lead",
    DECIDED: "quality lead",
    EXAMINED: "auditor",
}


@dataclass(frozen=True, slots=True)
class Signer:
    """A person with an open key; never stored."""

    person: str
    name: str
    roles: tuple[Role, ...]
    private: "Ed25519PrivateKey" = field(repr=False)

    @property
    def public_key(self) -> str:
        return self.private.public_key().public_bytes_raw().hex()

    def sign(
        self, *, inspection: str, of_seq: int, of_hash: str, meaning: str, moment: datetime
    ) -> Signed:
        """Sign an event of an inspection, and with it everything before.

        Parameters
        ----------
        meaning : str
            One of the meanings of core/record/signing.py.
        moment : datetime
            With its offset from UTC.

        Raises
        ------
        PersonRefusedError
            The person has not the role that the meaning takes.
        """
        role = ROLE_FOR.get(meaning)
        if role is None:
            raise PersonRefusedError(f"A signature cannot mean “{meaning}”; choose another.")
        if role not in self.roles:
            raise PersonRefusedError(
                f"{self.name} is not entered as {role}, which “{meaning}” takes; ask an "
                "administrator, or have another person sign."
            )
        utc = moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")
        message = signed_message(
            inspection=inspection,
            of_seq=of_seq,
            of_hash=of_hash,
            meaning=meaning,
            person=self.person,
            name=self.name,
            role=role,
            utc=utc,
            public_key=self.public_key,
        )
        return Signed(
            of_seq=of_seq,
            of_hash=of_hash,
            meaning=meaning,
            person=self.person,
            name=self.name,
            role=role,
            utc=utc,
            public_key=self.public_key,
            signature=self.private.sign(message).hex(),
        )

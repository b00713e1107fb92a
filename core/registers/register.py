"""One register of an archive: what is entered becomes an event, durable, and can be trusted.

A register is a hash chain like that of an inspection (see `seatproof.core.record.events`), with the
register's name in the place of the inspection. Nothing in it is ever changed or removed; what holds
now follows from adding up its events.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Protocol

from pydantic import ValidationError

from seatproof.core.record.errors import ChainBrokenError, EventUnknownError
from seatproof.core.record.events import Event, check_chain, next_event
from seatproof.core.record.kinds.parts import Payload


class RegisterStore(Protocol):
    """Where the events of registers become durable."""

    def append_register(self, event: Event) -> None:
        """Store an event; return only when it would survive a power cut."""

    def register_events(self, register: str) -> tuple[Event, ...]:
        """Return all events of a register, oldest first; none for a new one."""


@dataclass(slots=True)
class Register:
    """The open chain of one register."""

    name: str
    store: RegisterStore
    clock: Callable[[], datetime]
    events: tuple[Event, ...] = ()

    @classmethod
    def open(cls, name: str, store: RegisterStore, clock: Callable[[], datetime]) -> "Register":
        """Read a register and check its chain.

        Raises
        ------
        ChainBrokenError
            It was altered; names the first event that does not hold.
        """
        events = store.register_events(name)
        if events and events[0].inspection != name:
            raise ChainBrokenError(name, events[0].seq, "it is of another register")
        check_chain(events)
        return cls(name, store, clock, events)

    def append(self, actor: str, payload: Payload) -> Event:
        """Enter something; return once it is durable."""
        event = next_event(
            inspection=self.name,
            last=self.events[-1] if self.events else None,
            moment=self.clock(),
            actor=actor,
            kind=payload.kind,
            payload=payload.as_json(),
        )
        self.store.append_register(event)
        self.events = (*self.events, event)
        return event


def read_entry(event: Event, kinds: Mapping[str, type[Payload]]) -> Payload:
    """Return what an event of a register carries; `kinds` are those the register has.

    Raises
    ------
    EventUnknownError
        The event is of another kind or shape: it was written by a newer program.
    """
    model = kinds.get(event.kind)
    if model is None:
        raise EventUnknownError(
            event.inspection, event.seq, event.kind, "this program does not know that kind"
        )
    try:
        return model.model_validate(event.payload)
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        where = ".".join(str(part) for part in first["loc"])
        raise EventUnknownError(
            event.inspection, event.seq, event.kind, f"{where}: {first['msg']}"
        ) from error

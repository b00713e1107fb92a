"""The one way in which anything gets into a record: appended, durable, and only then state."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Protocol, TypeVar

from pydantic import ValidationError

from seatproof.core.plan.points import PointKey
from seatproof.core.record.errors import ChainBrokenError, CommandRefusedError
from seatproof.core.record.events import Event, next_event
from seatproof.core.record.kinds import MAX_REASON, Payload
from seatproof.core.record.state import InspectionState, advance, cannot_follow

AnyPayload = TypeVar("AnyPayload", bound=Payload)


class EventStore(Protocol):
    """Where events become durable."""

    def append(self, event: Event) -> None:
        """Store an event; return only when it would survive a power cut."""

    def append_all(self, events: Sequence[Event]) -> None:
        """Store all of these events, or none; return only when they would survive a power cut."""

    def events(self, inspection: str) -> tuple[Event, ...]:
        """Return all events of an inspection, oldest first."""


@dataclass(slots=True)
class Logbook:
    """A durable store, the state that its events add up to, and who writes in it now."""

    store: EventStore
    state: InspectionState
    clock: Callable[[], datetime]
    actor: str

    def _log(self, payload: Payload) -> Event:
        event = self._event(payload)
        following = self._following(event)
        self.store.append(event)
        self.state = following
        return event

    def _event(self, payload: Payload) -> Event:
        obstacle = cannot_follow(self.state, payload)
        if obstacle is not None:
            raise CommandRefusedError(self._in_words(obstacle))
        return next_event(
            inspection=self.state.inspection,
            last=self.state.last,
            moment=self.clock(),
            actor=self.actor,
            kind=payload.kind,
            payload=payload.as_json(),
        )

    def _following(self, event: Event) -> InspectionState:
        try:
            return advance(self.state, event)
        except ChainBrokenError as error:
            finding = str(error.__cause__ or error.finding)
            raise CommandRefusedError(f"This cannot go into the record: {finding}.") from error

    def _in_words(self, obstacle: str) -> str:
        if self.state.superseded is not None:
            by = self.state.superseded.payload.by.sheet_number
            return f"A revision has taken this inspection's place (sheet {by}); go on in that one."
        if self.state.sealed is not None:
            return "The inspection is sealed; what is to be changed needs a new inspection."
        return f"This cannot be done before the seal: {obstacle}."

    def _known(self, key: PointKey) -> None:
        if not self.state.plan.has_point(key):
            raise CommandRefusedError(f"The plan has no point {key}.")

    def _to_do(self, key: PointKey) -> None:
        self._known(key)
        if not self.state.is_to_do(key.seat_id):
            raise CommandRefusedError(
                f"Seat {key.seat_id} is not to be done in this inspection; correct its "
                "identification first."
            )


def made(kind: type[AnyPayload], **values: Any) -> AnyPayload:
    """Return a payload; `CommandRefusedError` says in a sentence what is wrong with its values."""
    try:
        return kind(**values)
    except ValidationError as error:
        raise CommandRefusedError(
            f"This cannot go into the record: {first_fault(error)}."
        ) from error


def first_fault(error: ValidationError) -> str:
    """Say the first thing that a validation found, as a clause."""
    first = error.errors(include_url=False)[0]
    message = first["msg"].removeprefix("Value error, ")
    where = " ".join(str(part) for part in first["loc"])
    return f"{where}: {message}" if where else message


def given(reason: str, *, owed: bool = False) -> str:
    """Return a reason without surrounding blanks; nothing where it is owed."""
    text = reason.strip()
    if len(text) > MAX_REASON:
        raise CommandRefusedError(f"Make the reason shorter; at most {MAX_REASON} characters.")
    if owed:
        if text:
            raise CommandRefusedError("A reason is either given or owed, not both.")
        return ""
    if not text:
        raise CommandRefusedError("Give a reason; it goes into the record.")
    return text


def named(actor: str) -> str:
    """Return a person's name without surrounding blanks."""
    name = actor.strip()
    if not name:
        raise CommandRefusedError("Say who measures; the name goes into the record.")
    return name

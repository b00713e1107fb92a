"""An inspection being carried out: what is asked of it becomes an event, durable, then state.

Every command appends first and changes the state only after the store has said that the event is on
disk, so that what a caller is told is logged cannot be lost.
"""

from collections.abc import Callable
from datetime import datetime
from uuid import uuid4

from seatproof.core.plan.file import parse_plan
from seatproof.core.record.commands.closing import Closing
from seatproof.core.record.commands.fitting import Fitting
from seatproof.core.record.commands.logbook import EventStore, given, made, named
from seatproof.core.record.commands.preparing import Preparing
from seatproof.core.record.commands.pressing import Press, Pressing
from seatproof.core.record.commands.walking import Walking
from seatproof.core.record.errors import ChainBrokenError, CommandRefusedError
from seatproof.core.record.events import Event, check_chain, next_event
from seatproof.core.record.kinds import (
    CarriedOver,
    Created,
    Identification,
    Payload,
    Reference,
    Superseded,
)
from seatproof.core.record.state import advance, begin, fold
from seatproof.core.version import PROGRAM

__all__ = ["EventStore", "Inspection", "Press"]


class Inspection(Preparing, Pressing, Walking, Closing, Fitting):
    """One carrying-out of a plan on one shaft, on a durable store."""

    __slots__ = ()

    @classmethod
    def create(
        cls,
        store: EventStore,
        *,
        plan_toml: str,
        identification: Identification,
        actor: str,
        clock: Callable[[], datetime],
        reinspection_of: Reference | None = None,
        reason: str = "",
    ) -> "Inspection":
        """Open a new inspection from a plan's text; `PlanError` where that is no plan.

        After rework, `reinspection_of` names the inspection before it, with the reason.
        """
        parse_plan(plan_toml, source="given")
        payload = made(
            Created,
            program=PROGRAM,
            plan_toml=plan_toml,
            identification=identification,
            reinspection_of=reinspection_of,
            reason=given(reason) if reinspection_of is not None else reason.strip(),
        )
        event = _first(payload, named(actor), clock())
        try:
            state = begin(event)
        except ChainBrokenError as error:
            raise CommandRefusedError(
                f"This cannot go into the record: {error.__cause__ or error.finding}."
            ) from error
        store.append(event)
        return cls(store, state, clock, event.actor)

    @classmethod
    def resume(
        cls, store: EventStore, inspection: str, *, actor: str, clock: Callable[[], datetime]
    ) -> "Inspection":
        """Go on with an inspection where its last event left it; checks the chain first."""
        events = store.events(inspection)
        check_chain(events)
        return cls(store, fold(events), clock, named(actor))

    def revise(self, reason: str, *, identification: Identification | None = None) -> "Inspection":
        """Open a revision: a new inspection that takes the place of this sealed one.

        Everything logged before the seal is carried over with its times and people, so that what
        was right need not be measured again; the seal and what follows it are not. Both name each
        other, and this one stays readable. Stored in one piece, or not at all.

        Raises
        ------
        CommandRefusedError
            It is not sealed, or another revision has taken its place already.
        """
        state = self.state
        if state.sealed_by is None:
            raise CommandRefusedError("The inspection is not sealed yet; correct it as it is.")
        if state.superseded is not None:
            by = state.superseded.payload.by.sheet_number
            raise CommandRefusedError(
                f"A revision has taken this inspection's place (sheet {by}); revise that one."
            )
        reason = given(reason)
        moment = self.clock()
        said = identification or _revised(state.identification, state.created.revision + 1)
        created = made(
            Created,
            program=PROGRAM,
            plan_toml=state.plan_toml,
            identification=said,
            revision=state.created.revision + 1,
            supersedes=self.reference(),
            reason=reason,
        )
        events = [_first(created, self.actor, moment)]
        new = begin(events[0])
        for old in state.events[1 : state.sealed_by.seq - 1]:
            events.append(_next(events[-1], _carried(old), self.actor, moment))
            new = advance(new, events[-1])
        by_revision = Reference(
            inspection=new.inspection,
            sheet_number=said.sheet_number,
            head_hash=events[-1].hash,
        )
        ending = self._event(Superseded(by=by_revision, reason=reason))
        ended = self._following(ending)
        self.store.append_all((*events, ending))
        self.state = ended
        return Inspection(self.store, new, self.clock, self.actor)


def _first(payload: Created, actor: str, moment: datetime) -> Event:
    return next_event(
        inspection=uuid4().hex,
        last=None,
        moment=moment,
        actor=actor,
        kind=payload.kind,
        payload=payload.as_json(),
    )


def _next(last: Event, payload: Payload, actor: str, moment: datetime) -> Event:
    return next_event(
        inspection=last.inspection,
        last=last,
        moment=moment,
        actor=actor,
        kind=payload.kind,
        payload=payload.as_json(),
    )


def _carried(old: Event) -> Payload:
    """Return an event as a revision carries it."""
    return CarriedOver(
        utc=old.utc,
        offset_min=old.offset_min,
        actor=old.actor,
        kind_of=old.kind,
        payload_of=dict(old.payload),
        previous=old.previous,
        hash=old.hash,
    )


def _revised(identification: Identification, revision: int) -> Identification:
    """Return the same words under a sheet number of its own: 4711, 4711-R2, 4711-R3."""
    number = identification.sheet_number
    before = f"-R{revision - 1}"
    if revision > 2:
        number = number.removesuffix(before)
    return identification.model_copy(update={"sheet_number": f"{number}-R{revision}"})

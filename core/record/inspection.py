"""An inspection being carried out: what is asked of it becomes an event, durable, then state.

Every method appends first and changes the state only after the store has said that the event is on
disk, so that what a caller is told is logged cannot be lost.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any, Protocol
from uuid import uuid4

from seatproof.core.plan.file import parse_plan
from seatproof.core.plan.points import PointKey
from seatproof.core.record.errors import CommandRefusedError
from seatproof.core.record.events import Event, check_chain, next_event
from seatproof.core.record.kinds import (
    MAX_REASON,
    Aimed,
    CautionsAcknowledged,
    Created,
    GaugeInService,
    Identification,
    ParkedDiscarded,
    Payload,
    Place,
    PressParked,
    ReadingLogged,
    ReadingWithdrawn,
    Received,
    Sealed,
    Skipped,
    Temperatures,
)
from seatproof.core.record.plausibility import finding_against
from seatproof.core.record.state import (
    InspectionState,
    LoggedReading,
    ParkedPress,
    advance,
    begin,
    fold,
)
from seatproof.core.units import Unit, to_mm
from seatproof.core.version import PROGRAM


class EventStore(Protocol):
    """Where events become durable."""

    def append(self, event: Event) -> None:
        """Store an event; return only when it would survive a power cut."""

    def events(self, inspection: str) -> tuple[Event, ...]:
        """Return all events of an inspection, oldest first."""


@dataclass(frozen=True, slots=True)
class Press:
    """One arrival of a value from a gauge, before it has a point.

    `doubts` are what the line found suspicious about it as one press for one point, each a clause.
    """

    value: Decimal
    unit: Unit | None
    text: str
    raw: bytes
    format: str
    arrival: int
    channel: str | None = None
    doubts: tuple[str, ...] = ()


@dataclass(slots=True)
class Inspection:
    """One carrying-out of a plan on one shaft, on a durable store."""

    store: EventStore
    state: InspectionState
    clock: Callable[[], datetime]
    actor: str

    @classmethod
    def create(
        cls,
        store: EventStore,
        *,
        plan_toml: str,
        identification: Identification,
        actor: str,
        clock: Callable[[], datetime],
    ) -> "Inspection":
        """Open a new inspection from a plan's text; `PlanError` where that is no plan."""
        parse_plan(plan_toml, source="given")
        payload = Created(program=PROGRAM, plan_toml=plan_toml, identification=identification)
        event = next_event(
            inspection=uuid4().hex,
            last=None,
            moment=clock(),
            actor=_named(actor),
            kind=payload.kind,
            payload=payload.as_json(),
        )
        state = begin(event)
        store.append(event)
        return cls(store, state, clock, event.actor)

    @classmethod
    def resume(
        cls, store: EventStore, inspection: str, *, actor: str, clock: Callable[[], datetime]
    ) -> "Inspection":
        """Go on with an inspection where its last event left it; checks the chain first."""
        events = store.events(inspection)
        check_chain(events)
        return cls(store, fold(events), clock, _named(actor))

    # --- preparing -------------------------------------------------------------------------------

    def acknowledge_cautions(self, cautions: tuple[str, ...]) -> None:
        self._log(CautionsAcknowledged(cautions=cautions))

    def put_in_service(self, gauge: GaugeInService) -> None:
        self._log(gauge)

    def note_temperatures(self, shaft_c: Decimal, gauge_c: Decimal) -> None:
        for what, value in (("shaft", shaft_c), ("gauge", gauge_c)):
            if not (value.is_finite() and Decimal(-40) <= value <= Decimal(150)):
                raise CommandRefusedError(
                    f"A {what} temperature of {value} °C cannot be right; give it in degrees "
                    "Celsius, between -40 and 150."
                )
        self._log(Temperatures(shaft_c=str(shaft_c), gauge_c=str(gauge_c)))

    # --- presses ---------------------------------------------------------------------------------

    def take(self, press: Press) -> LoggedReading | ParkedPress:
        """Log a press on the point that is next, or park it where it cannot be right.

        Raises
        ------
        CommandRefusedError
            No gauge is in service, or the inspection is sealed; the press is then not part of it.
        """
        gauge = self.state.gauge
        if gauge is None:
            raise CommandRefusedError("Put a gauge in service before the first press.")
        if self.state.sealed is not None:
            raise CommandRefusedError("The inspection is sealed; this press was not logged in it.")
        unit = press.unit or Unit(gauge.unit)
        received = Received(
            value=str(press.value),
            unit=unit.value,
            value_mm=str(to_mm(press.value, unit)),
            text=press.text,
            raw_hex=press.raw.hex(),
            format=press.format,
            channel=press.channel,
            gauge=gauge.inventory_number,
            arrival=press.arrival,
        )
        key = self.state.cursor
        finding = _doubted(press) or finding_against(self.state, received)
        if finding is not None or key is None:
            place = None if key is None else Place.of(key)
            event = self._log(
                PressParked(received=received, place=place, finding=finding or "No point is open.")
            )
            return self.state.parked[event.seq]
        return self._log_reading(key, received, reason=self.state.redo_reason)

    def use_parked(self, parked: int, key: PointKey, reason: str) -> LoggedReading:
        """Lay a parked press on a point after all; a value there is superseded."""
        press = self._waiting(parked)
        self._known(key)
        return self._log_reading(key, press.received, reason=_given(reason), parked=parked)

    def discard_parked(self, parked: int, reason: str) -> None:
        self._waiting(parked)
        self._log(ParkedDiscarded(parked=parked, reason=_given(reason)))

    def _log_reading(
        self, key: PointKey, received: Received, *, reason: str, parked: int | None = None
    ) -> LoggedReading:
        redone = key == self.state.cursor and bool(self.state.redo_reason)
        replaces = redone or (parked is not None and self.state.is_complete(key))
        supersedes = self.state.counting.get(key, ()) if replaces else ()
        payload = ReadingLogged(
            place=Place.of(key),
            received=received,
            supersedes=supersedes,
            parked=parked,
            reason=reason,
        )
        event = self._log(payload)
        return self.state.readings[event.seq]

    # --- the walk --------------------------------------------------------------------------------

    def aim(self, key: PointKey, reason: str = "") -> None:
        """Make a point the next one; one that has readings needs a reason, and is then redone."""
        self._known(key)
        if self.state.counting.get(key) and self.state.is_complete(key) and not reason.strip():
            raise CommandRefusedError(
                f"Point {key} is measured already; give a reason for measuring it again."
            )
        self._log(Aimed(place=Place.of(key), reason=_given(reason) if reason.strip() else ""))

    def take_back(self, reason: str, seq: int | None = None) -> PointKey:
        """Withdraw a reading, by default the newest; the next press belongs to its point."""
        reading = self.state.last_reading() if seq is None else self.state.readings.get(seq)
        if reading is None or not reading.counts:
            raise CommandRefusedError("There is no such reading to take back any longer.")
        self._log(ReadingWithdrawn(reading=reading.seq, reason=_given(reason)))
        return reading.key

    def skip(self, reason: str, key: PointKey | None = None) -> PointKey:
        """Leave out a point: the one that is next unless another is named."""
        key = self.state.cursor if key is None else key
        if key is None:
            raise CommandRefusedError("No point is open, so there is none to skip.")
        self._known(key)
        if self.state.is_complete(key):
            raise CommandRefusedError(
                f"Point {key} is measured already, so it cannot be skipped; measure it again, or "
                "choose another point."
            )
        self._log(Skipped(place=Place.of(key), reason=_given(reason)))
        return key

    # --- the seal --------------------------------------------------------------------------------

    def unfinished(self) -> tuple[str, ...]:
        """Say what stands in the way of a seal, one sentence each."""
        sentences = []
        if self.state.gauge is None:
            sentences.append("No gauge was put in service.")
        if not self.state.cautions:
            sentences.append("The cautions were not acknowledged.")
        open_points = self.state.open_points()
        if len(open_points) == 1:
            sentences.append(
                f"Point {open_points[0].key} is not measured; measure it, or skip it with a reason."
            )
        elif open_points:
            names = ", ".join(str(point.key) for point in open_points[:6])
            more = f" and {len(open_points) - 6} more" if len(open_points) > 6 else ""
            sentences.append(
                f"{len(open_points)} points are not measured ({names}{more}); "
                "measure them, or skip each with a reason."
            )
        waiting = len(self.state.waiting_presses())
        if waiting:
            presses = "1 parked press waits" if waiting == 1 else f"{waiting} parked presses wait"
            sentences.append(f"{presses} for a decision.")
        return tuple(sentences)

    def seal(self, content: Mapping[str, Any], statement: str) -> Event:
        """Close the measuring part over everything logged so far."""
        if self.state.sealed is not None:
            raise CommandRefusedError("The inspection is sealed already.")
        stored = self.store.events(self.state.inspection)
        check_chain(stored)
        if not stored or stored[-1].hash != self.state.last.hash:
            raise CommandRefusedError(
                "The inspection was carried on elsewhere in the meantime; open it again, then seal."
            )
        unfinished = self.unfinished()
        if unfinished:
            raise CommandRefusedError(
                "The inspection cannot be sealed yet: " + " ".join(unfinished)
            )
        return self._log(Sealed(statement=statement, content=dict(content)))

    # --- inside ----------------------------------------------------------------------------------

    def _log(self, payload: Payload) -> Event:
        if self.state.sealed is not None:
            raise CommandRefusedError(
                "The inspection is sealed; what is to be changed needs a new inspection."
            )
        event = next_event(
            inspection=self.state.inspection,
            last=self.state.last,
            moment=self.clock(),
            actor=self.actor,
            kind=payload.kind,
            payload=payload.as_json(),
        )
        following = advance(self.state, event)
        self.store.append(event)
        self.state = following
        return event

    def _waiting(self, parked: int) -> ParkedPress:
        press = self.state.parked.get(parked)
        if press is None or not press.waits:
            raise CommandRefusedError("That press does not wait for a decision any longer.")
        return press

    def _known(self, key: PointKey) -> None:
        if not self.state.plan.has_point(key):
            raise CommandRefusedError(f"The plan has no point {key}.")


def _doubted(press: Press) -> str | None:
    """Return what the line found suspicious, as a sentence."""
    return f"Doubtful as a press: {'; '.join(press.doubts)}." if press.doubts else None


def _given(reason: str) -> str:
    text = reason.strip()
    if not text:
        raise CommandRefusedError("Give a reason; it goes into the record.")
    if len(text) > MAX_REASON:
        raise CommandRefusedError(f"Make the reason shorter; at most {MAX_REASON} characters.")
    return text


def _named(actor: str) -> str:
    name = actor.strip()
    if not name:
        raise CommandRefusedError("Say who measures; the name goes into the record.")
    return name

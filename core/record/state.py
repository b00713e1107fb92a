"""The state of an inspection: a fold over its events; same events, same state."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from decimal import Decimal

from seatproof.core.plan.file import parse_plan
from seatproof.core.plan.model import Plan
from seatproof.core.plan.points import Point, PointKey
from seatproof.core.record.errors import ChainBrokenError
from seatproof.core.record.events import Event
from seatproof.core.record.kinds import (
    Aimed,
    CautionsAcknowledged,
    Created,
    GaugeInService,
    Identification,
    ParkedDiscarded,
    Payload,
    PressParked,
    ReadingLogged,
    ReadingWithdrawn,
    Received,
    Sealed,
    Skipped,
    Temperatures,
    read_payload,
)


@dataclass(frozen=True, slots=True)
class LoggedReading:
    """A reading on its point, with the gauge as it was in service, and what became of it.

    `replaced_by` is the event that superseded or withdrew it; `fate` says why.
    """

    seq: int
    moment: datetime
    actor: str
    key: PointKey
    received: Received
    gauge: GaugeInService
    reason: str = ""
    from_parked: int | None = None
    replaced_by: int | None = None
    fate: str = ""

    @property
    def counts(self) -> bool:
        return self.replaced_by is None

    @property
    def value_mm(self) -> Decimal:
        return Decimal(self.received.value_mm)


@dataclass(frozen=True, slots=True)
class ParkedPress:
    """A press that waits for a decision, or had one."""

    seq: int
    moment: datetime
    received: Received
    key: PointKey | None
    finding: str
    decided_by: int | None = None
    decision: str = ""

    @property
    def waits(self) -> bool:
        return self.decided_by is None


@dataclass(frozen=True, slots=True)
class InspectionState:
    """All that is known of an inspection after its last event.

    `cursor` is the point the next press belongs to, None where no point is open; `redo_reason` is
    set while that point already has readings that the next press will supersede.
    """

    inspection: str
    plan: Plan
    plan_toml: str
    program: str
    identification: Identification
    opened: Event
    last: Event
    cautions: tuple[str, ...] = ()
    gauges: tuple[GaugeInService, ...] = ()
    temperatures: tuple[tuple[int, Temperatures], ...] = ()
    readings: Mapping[int, LoggedReading] = field(default_factory=dict)
    parked: Mapping[int, ParkedPress] = field(default_factory=dict)
    skipped: Mapping[PointKey, str] = field(default_factory=dict)
    cursor: PointKey | None = None
    redo_reason: str = ""
    sealed: Sealed | None = None
    sealed_by: Event | None = None
    counting: Mapping[PointKey, tuple[int, ...]] = field(default_factory=dict)

    @property
    def gauge(self) -> GaugeInService | None:
        """The gauge now in service."""
        return self.gauges[-1] if self.gauges else None

    @property
    def inspectors(self) -> tuple[str, ...]:
        """Everyone who opened, measured or sealed, in order of appearance."""
        actors = [self.opened.actor, *(reading.actor for reading in self.readings.values())]
        if self.sealed_by is not None:
            actors.append(self.sealed_by.actor)
        return tuple(dict.fromkeys(actors))

    def readings_at(self, key: PointKey) -> tuple[LoggedReading, ...]:
        """Return the readings that count at a point, oldest first."""
        return tuple(self.readings[seq] for seq in self.counting.get(key, ()))

    def is_complete(self, key: PointKey) -> bool:
        return len(self.counting.get(key, ())) >= self.plan.seat(key.seat_id).repeats

    def is_open(self, key: PointKey) -> bool:
        return key not in self.skipped and not self.is_complete(key)

    def open_points(self) -> tuple[Point, ...]:
        return tuple(point for point in self.plan.points() if self.is_open(point.key))

    def waiting_presses(self) -> tuple[ParkedPress, ...]:
        return tuple(press for press in self.parked.values() if press.waits)

    def last_reading(self) -> LoggedReading | None:
        """Return the newest reading that counts."""
        counting = [reading for reading in self.readings.values() if reading.counts]
        return counting[-1] if counting else None


def fold(events: Iterable[Event]) -> InspectionState:
    """Add up events from the first on; see `check_chain` for whether they hold.

    Raises
    ------
    ChainBrokenError
        There is no first event, or it is not one that opens an inspection.
    EventUnknownError
        An event was written by a newer program.
    """
    state: InspectionState | None = None
    for event in events:
        state = begin(event) if state is None else advance(state, event)
    if state is None:
        raise ChainBrokenError("(none)", 1, "the record holds no events")
    return state


def begin(event: Event) -> InspectionState:
    """Return the state after the first event."""
    payload = read_payload(event)
    if not isinstance(payload, Created):
        raise ChainBrokenError(event.inspection, event.seq, "an inspection must be opened first")
    plan = parse_plan(payload.plan_toml, source=f"of inspection {event.inspection}")
    return InspectionState(
        inspection=event.inspection,
        plan=plan,
        plan_toml=payload.plan_toml,
        program=payload.program,
        identification=payload.identification,
        opened=event,
        last=event,
        cursor=plan.points()[0].key,
    )


def advance(state: InspectionState, event: Event) -> InspectionState:
    """Return the state after one more event; `ChainBrokenError` where it cannot follow."""
    payload = read_payload(event)
    try:
        return replace(_applied(state, event, payload), last=event)
    except (KeyError, ValueError) as error:
        raise ChainBrokenError(
            event.inspection, event.seq, f"it speaks of something that is not there: {error}"
        ) from error


def _applied(state: InspectionState, event: Event, payload: Payload) -> InspectionState:
    if state.sealed is not None:
        raise ChainBrokenError(event.inspection, event.seq, "it stands after the seal")
    match payload:
        case CautionsAcknowledged():
            return replace(state, cautions=payload.cautions)
        case GaugeInService():
            return replace(state, gauges=(*state.gauges, payload))
        case Temperatures():
            return replace(state, temperatures=(*state.temperatures, (event.seq, payload)))
        case ReadingLogged():
            return _with_reading(state, event, payload)
        case PressParked():
            press = ParkedPress(
                seq=event.seq,
                moment=event.moment,
                received=payload.received,
                key=None if payload.place is None else _known(state, payload.place.key),
                finding=payload.finding,
            )
            return replace(state, parked={**state.parked, event.seq: press})
        case ParkedDiscarded():
            return _decided(state, payload.parked, event.seq, f"thrown away: {payload.reason}")
        case ReadingWithdrawn():
            return _withdrawn(state, event, payload)
        case Aimed():
            key = _known(state, payload.place.key)
            has_readings = bool(state.counting.get(key))
            return replace(state, cursor=key, redo_reason=payload.reason if has_readings else "")
        case Skipped():
            key = _known(state, payload.place.key)
            skipped = replace(state, skipped={**state.skipped, key: payload.reason})
            return _at_next_open(skipped, after=key) if key == state.cursor else skipped
        case Sealed():
            return replace(state, sealed=payload, sealed_by=event, cursor=None, redo_reason="")
        case _:
            raise ChainBrokenError(event.inspection, event.seq, "it cannot stand at this place")


def _with_reading(state: InspectionState, event: Event, payload: ReadingLogged) -> InspectionState:
    key = _known(state, payload.place.key)
    reading = LoggedReading(
        seq=event.seq,
        moment=event.moment,
        actor=event.actor,
        key=key,
        received=payload.received,
        gauge=_gauge_of(state, payload.received),
        reason=payload.reason,
        from_parked=payload.parked,
    )
    readings = dict(state.readings)
    for seq in payload.supersedes:
        if seq not in state.counting.get(key, ()):
            raise ValueError(f"reading {seq} does not count at {key}")
        readings[seq] = replace(
            readings[seq], replaced_by=event.seq, fate=f"measured again: {payload.reason}"
        )
    readings[event.seq] = reading
    kept = tuple(seq for seq in state.counting.get(key, ()) if seq not in payload.supersedes)
    after = replace(
        state,
        readings=readings,
        counting={**state.counting, key: (*kept, event.seq)},
        skipped={other: reason for other, reason in state.skipped.items() if other != key},
        redo_reason="" if key == state.cursor else state.redo_reason,
    )
    if payload.parked is not None:
        after = _decided(after, payload.parked, event.seq, f"used at {key}: {payload.reason}")
    if not after.is_complete(key):
        # A parked press may open a point of several readings when none was open any longer.
        return after if state.cursor is not None else replace(after, cursor=key)
    return _at_next_open(after, after=key) if state.cursor == key else after


def _gauge_of(state: InspectionState, received: Received) -> GaugeInService:
    """Return the gauge that a value came from, as it was put in service last before."""
    for gauge in reversed(state.gauges):
        if gauge.inventory_number == received.gauge:
            return gauge
    raise ValueError(f"the gauge {received.gauge} was never in service")


def _withdrawn(state: InspectionState, event: Event, payload: ReadingWithdrawn) -> InspectionState:
    reading = state.readings[payload.reading]
    if not reading.counts:
        raise ValueError(f"reading {reading.seq} counts no longer")
    gone = replace(reading, replaced_by=event.seq, fate=f"taken back: {payload.reason}")
    kept = tuple(seq for seq in state.counting[reading.key] if seq != reading.seq)
    return replace(
        state,
        readings={**state.readings, reading.seq: gone},
        counting={**state.counting, reading.key: kept},
        cursor=reading.key,
        redo_reason="",
    )


def _decided(state: InspectionState, parked: int, seq: int, decision: str) -> InspectionState:
    press = state.parked[parked]
    if not press.waits:
        raise ValueError(f"press {parked} was decided on already")
    decided = replace(press, decided_by=seq, decision=decision)
    return replace(state, parked={**state.parked, parked: decided})


def _known(state: InspectionState, key: PointKey) -> PointKey:
    if not state.plan.has_point(key):
        raise ValueError(f"the plan has no point {key}")
    return key


def _at_next_open(state: InspectionState, after: PointKey) -> InspectionState:
    """Move the cursor to the next open point of the walk, going round to its beginning."""
    keys = [point.key for point in state.plan.points()]
    start = keys.index(after) + 1
    following = (*keys[start:], *keys[:start])
    cursor = next((key for key in following if state.is_open(key)), None)
    return replace(state, cursor=cursor, redo_reason="")

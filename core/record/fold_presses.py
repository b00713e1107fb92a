"""The part of the fold about presses and the walk: which readings count where, and what is next."""

from dataclasses import replace
from decimal import Decimal

from seatproof.core.plan.points import PointKey
from seatproof.core.record.entries import OWED, LoggedReading, OwedReason, ParkedPress, RepeatWanted
from seatproof.core.record.events import Event
from seatproof.core.record.inspection_state import InspectionState
from seatproof.core.record.kinds import (
    Aimed,
    GaugeInService,
    OwedReasonGiven,
    ParkedDiscarded,
    PressParked,
    ReadingLogged,
    ReadingWithdrawn,
    Received,
    Repeat,
    RepeatAsked,
    Skipped,
)
from seatproof.core.record.plausibility import can_be_worn, window_mm


def known(state: InspectionState, key: PointKey) -> PointKey:
    """Return a point's name; `ValueError` where the plan has none of that name."""
    if not state.plan.has_point(key):
        raise ValueError(f"the plan has no point {key}")
    return key


def with_reading(state: InspectionState, event: Event, payload: ReadingLogged) -> InspectionState:
    """Lay a value on its point."""
    key = known(state, payload.place.key)
    owed_by = event.seq if payload.owed_by == 0 else payload.owed_by
    reason = OWED if owed_by is not None else payload.reason
    reading = LoggedReading(
        seq=event.seq,
        moment=event.moment,
        actor=event.actor,
        key=key,
        received=payload.received,
        gauge=_gauge_of(state, payload.received),
        reason=reason,
        from_parked=payload.parked,
        owed_by=owed_by,
    )
    readings = dict(state.readings)
    for seq in payload.supersedes:
        if seq not in state.counting.get(key, ()):
            raise ValueError(f"reading {seq} does not count at {key}")
        readings[seq] = replace(
            readings[seq],
            replaced_by=event.seq,
            fate=f"measured again: {reason}",
            fate_owed_by=owed_by,
        )
    readings[event.seq] = reading
    kept = tuple(seq for seq in state.counting.get(key, ()) if seq not in payload.supersedes)
    is_redo = key == state.cursor
    after = replace(
        state,
        readings=readings,
        counting={**state.counting, key: (*kept, event.seq)},
        redo_reason="" if is_redo else state.redo_reason,
        redo_owed=None if is_redo else state.redo_owed,
    )
    if key in state.skipped:
        after = _not_skipped(after, key)
    if owed_by == event.seq:
        after = _owing(after, event.seq, f"why the parked press was used at {key}", key)
    elif owed_by is not None and owed_by not in state.owed:
        raise ValueError(f"event {owed_by} owes no reason")
    if payload.parked is not None:
        after = _from_parked(state, after, reading)
    if payload.repeat is not None:
        after = _repeat_wanted(after, event.seq, key, payload.repeat)
    if not after.is_complete(key):
        # A parked press may open a point of several readings when none was open any longer.
        return after if state.cursor is not None else replace(after, cursor=key)
    return _at_next_open(after, after=key) if state.cursor == key else after


def with_parked(state: InspectionState, event: Event, payload: PressParked) -> InspectionState:
    """Put a press aside until it is decided on."""
    press = ParkedPress(
        seq=event.seq,
        moment=event.moment,
        received=payload.received,
        key=None if payload.place is None else known(state, payload.place.key),
        finding=payload.finding,
        cause=payload.cause,
        fits=payload.fits,
    )
    return replace(state, parked={**state.parked, event.seq: press})


def with_discarded(
    state: InspectionState, event: Event, payload: ParkedDiscarded
) -> InspectionState:
    """Decide that a parked press is none of the values."""
    reason = OWED if payload.owed else payload.reason
    after = _decided(state, payload.parked, event.seq, f"thrown away: {reason}")
    if not payload.owed:
        return after
    return _owing(after, event.seq, "why a parked press was thrown away", None)


def with_withdrawn(
    state: InspectionState, event: Event, payload: ReadingWithdrawn
) -> InspectionState:
    """Let a reading count no longer; the next press belongs to its point."""
    reading = state.readings[payload.reading]
    if not reading.counts:
        raise ValueError(f"reading {reading.seq} counts no longer")
    gone = replace(
        reading,
        replaced_by=event.seq,
        fate=f"taken back: {OWED if payload.owed else payload.reason}",
        fate_owed_by=event.seq if payload.owed else None,
    )
    kept = tuple(seq for seq in state.counting[reading.key] if seq != reading.seq)
    after = replace(
        _redo_given_up(state),
        readings={**state.readings, reading.seq: gone},
        counting={**state.counting, reading.key: kept},
        cursor=reading.key,
    )
    if payload.owed:
        what = f"why a reading at {reading.key} was taken back"
        after = _owing(after, event.seq, what, reading.key)
    # A repeat that was asked for because of this reading has lapsed with it.
    return _at_next_open(after, after=reading.key) if after.is_complete(reading.key) else after


def with_repeat(state: InspectionState, event: Event, payload: RepeatAsked) -> InspectionState:
    """Ask for one more reading at a point, which is then the next one."""
    key = known(state, payload.place.key)
    if not state.counting.get(key):
        raise ValueError(f"{key} has no reading to repeat")
    asked = _repeat_wanted(state, event.seq, key, payload.repeat)
    return replace(_redo_given_up(asked), cursor=key)


def with_aim(state: InspectionState, event: Event, payload: Aimed) -> InspectionState:
    """Make a point the next one."""
    key = known(state, payload.place.key)
    after = replace(_redo_given_up(state), cursor=key)
    if not state.counting.get(key):
        return after
    if not payload.owed:
        return replace(after, redo_reason=payload.reason)
    after = replace(after, redo_reason=OWED, redo_owed=event.seq)
    return _owing(after, event.seq, f"why {key} is measured again", key)


def with_skipped(state: InspectionState, event: Event, payload: Skipped) -> InspectionState:
    """Leave out a point."""
    key = known(state, payload.place.key)
    after = replace(
        state,
        skipped={**state.skipped, key: OWED if payload.owed else payload.reason},
        skipped_by={**state.skipped_by, key: event.seq},
    )
    if payload.owed:
        after = _owing(after, event.seq, f"why {key} is skipped", key)
    return _at_next_open(after, after=key) if key == state.cursor else after


def with_reason(state: InspectionState, payload: OwedReasonGiven) -> InspectionState:
    """Put a reason where it was owed."""
    seq, reason = payload.of, payload.reason
    if seq not in state.owed:
        raise ValueError(f"event {seq} owes no reason")
    return replace(
        state,
        owed={other: owed for other, owed in state.owed.items() if other != seq},
        readings={
            number: _explained(reading, seq, reason) for number, reading in state.readings.items()
        },
        parked={
            number: replace(press, decision=_filled(press.decision, reason))
            if press.decided_by == seq
            else press
            for number, press in state.parked.items()
        },
        skipped={
            key: reason if state.skipped_by.get(key) == seq else said
            for key, said in state.skipped.items()
        },
        redo_reason=reason if state.redo_owed == seq else state.redo_reason,
        redo_owed=None if state.redo_owed == seq else state.redo_owed,
    )


def _repeat_wanted(
    state: InspectionState, seq: int, key: PointKey, repeat: Repeat
) -> InspectionState:
    wanted = RepeatWanted(
        seq=seq, why=repeat.why, cause=repeat.cause, about=state.counting.get(key, ())
    )
    return replace(state, repeats={**state.repeats, key: (*state.repeats.get(key, ()), wanted)})


def _explained(reading: LoggedReading, seq: int, reason: str) -> LoggedReading:
    if reading.owed_by == seq:
        reading = replace(reading, reason=reason, owed_by=None)
    if reading.fate_owed_by == seq:
        reading = replace(reading, fate=_filled(reading.fate, reason), fate_owed_by=None)
    return reading


def _filled(text: str, reason: str) -> str:
    return text.removesuffix(OWED) + reason


def _owing(state: InspectionState, seq: int, what: str, key: PointKey | None) -> InspectionState:
    return replace(state, owed={**state.owed, seq: OwedReason(seq=seq, what=what, key=key)})


def _redo_given_up(state: InspectionState) -> InspectionState:
    """Forget a redo that was announced and not done; a reason it owed is owed no longer."""
    owed = state.owed
    if state.redo_owed is not None:
        owed = {seq: what for seq, what in owed.items() if seq != state.redo_owed}
    return replace(state, redo_reason="", redo_owed=None, owed=owed)


def _from_parked(
    before: InspectionState, after: InspectionState, reading: LoggedReading
) -> InspectionState:
    assert reading.from_parked is not None  # the caller saw to it
    after = _decided(
        after, reading.from_parked, reading.seq, f"used at {reading.key}: {reading.reason}"
    )
    seat = before.plan.seat(reading.key.seat_id)
    smallest_mm, largest_mm = window_mm(before, seat)
    value_mm = Decimal(reading.received.value_mm)
    if smallest_mm <= value_mm <= largest_mm or not can_be_worn(before, seat, value_mm):
        return after
    worn = {**after.worn, seat.id: (*after.worn.get(seat.id, ()), reading.seq)}
    return replace(after, worn=worn)


def _gauge_of(state: InspectionState, received: Received) -> GaugeInService:
    """Return the gauge that a value came from, as it was put in service last before."""
    gauge = state.gauge_named(received.gauge)
    if gauge is None:
        raise ValueError(f"the gauge {received.gauge} was never in service")
    return gauge


def _decided(state: InspectionState, parked: int, seq: int, decision: str) -> InspectionState:
    press = state.parked[parked]
    if not press.waits:
        raise ValueError(f"press {parked} was decided on already")
    decided = replace(press, decided_by=seq, decision=decision)
    return replace(state, parked={**state.parked, parked: decided})


def _not_skipped(state: InspectionState, key: PointKey) -> InspectionState:
    """Take back that a point is left out, now that it has a value; its reason is owed no longer."""
    seq = state.skipped_by[key]
    return replace(
        state,
        skipped={other: reason for other, reason in state.skipped.items() if other != key},
        skipped_by={other: by for other, by in state.skipped_by.items() if other != key},
        owed={number: owed for number, owed in state.owed.items() if number != seq},
    )


def _at_next_open(state: InspectionState, after: PointKey) -> InspectionState:
    """Move the cursor to the next open point of the walk, going round to its beginning."""
    return replace(_redo_given_up(state), cursor=state.next_open(after))

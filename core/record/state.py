"""The state of an inspection: a fold over its events; same events, same state."""

from collections.abc import Iterable
from dataclasses import replace
from decimal import Decimal
from typing import Final

from seatproof.core.plan.file import parse_plan
from seatproof.core.plan.model import Plan
from seatproof.core.plan.points import Point, Walk, in_walking_order
from seatproof.core.record import fold_closing, fold_fitting, fold_presses
from seatproof.core.record.checks import logged_check
from seatproof.core.record.entries import Entry, LoggedReading, ParkedPress
from seatproof.core.record.errors import ChainBrokenError
from seatproof.core.record.events import Event
from seatproof.core.record.inspection_state import InspectionState, moment_text
from seatproof.core.record.kinds import (
    Aimed,
    Attention,
    BoltsLoosened,
    BoltTightened,
    CarriedOver,
    CautionsAcknowledged,
    ConditionAnswered,
    Created,
    DeviationNoted,
    Disposition,
    FittingBegun,
    GaugeInService,
    Identification,
    IdentificationCorrected,
    InspectorChanged,
    IsolationConfirmed,
    NoteAdded,
    OrderChosen,
    OwedReasonGiven,
    ParkedDiscarded,
    Payload,
    PhotoAdded,
    PressParked,
    QuestionAnswered,
    QuestionAsked,
    ReadingLogged,
    ReadingWithdrawn,
    ReferenceCheck,
    RepeatAsked,
    Reviewed,
    Sealed,
    Signed,
    Skipped,
    StandardInService,
    StepAnswered,
    Superseded,
    Temperatures,
    ThreadNoted,
    ToolInService,
    WalkChosen,
    read_payload,
)

__all__ = [
    "InspectionState",
    "LoggedReading",
    "ParkedPress",
    "advance",
    "begin",
    "cannot_follow",
    "fold",
]

_FITTING: Final = (
    FittingBegun,
    IsolationConfirmed,
    ToolInService,
    StepAnswered,
    ThreadNoted,
    OrderChosen,
    BoltTightened,
    BoltsLoosened,
)
# What may follow the seal of the measuring part; the rest belongs before it.
_AFTER_THE_SEAL: Final = (
    Signed,
    Reviewed,
    QuestionAsked,
    QuestionAnswered,
    Disposition,
    Superseded,
    NoteAdded,
    PhotoAdded,
    DeviationNoted,
    InspectorChanged,
    Sealed,
    *_FITTING,
)
_ONLY_AFTER_THE_SEAL: Final = (
    Reviewed,
    QuestionAsked,
    QuestionAnswered,
    Disposition,
    Superseded,
    *_FITTING,
)


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
    points = plan.points()
    state = InspectionState(
        inspection=event.inspection,
        plan=plan,
        plan_toml=payload.plan_toml,
        program=payload.program,
        created=payload,
        identification=payload.identification,
        opened=event,
        last=event,
        events=(event,),
        walk=plan.walk,
        there_and_back=plan.there_and_back,
        walk_points=points,
        walk_place={point.key: place for place, point in enumerate(points)},
    )
    try:
        _check_seats(state, payload.identification.seats)
    except ValueError as error:
        raise ChainBrokenError(
            event.inspection, event.seq, f"it speaks of something that is not there: {error}"
        ) from error
    return replace(state, cursor=state.next_open())


def advance(state: InspectionState, event: Event) -> InspectionState:
    """Return the state after one more event; `ChainBrokenError` where it cannot follow."""
    payload = read_payload(event)
    try:
        after = _applied(state, event, payload)
    except (KeyError, ValueError) as error:
        raise ChainBrokenError(
            event.inspection, event.seq, f"it speaks of something that is not there: {error}"
        ) from error
    return replace(
        after,
        last=event,
        events=(*state.events, event),
        backwards=_backwards(state, event),
    )


def cannot_follow(state: InspectionState, payload: Payload) -> str | None:
    """Say in a clause why an event of that kind cannot stand next, or None where it can."""
    sealed = state.seal is not None
    if isinstance(payload, Created) or (isinstance(payload, CarriedOver) and sealed):
        return "it cannot stand at this place"
    if state.superseded is not None and not isinstance(payload, Signed):
        return "it stands after the revision that took the inspection's place"
    if sealed and not isinstance(payload, _AFTER_THE_SEAL):
        return "it stands after the seal"
    if not sealed and isinstance(payload, _ONLY_AFTER_THE_SEAL):
        return "it stands before the seal"
    if isinstance(payload, _FITTING) and any(one.payload.part == "fitting" for one in state.seals):
        return "it stands after the seal"
    if isinstance(payload, Sealed):
        return _cannot_seal(state, payload)
    return None


def _cannot_seal(state: InspectionState, payload: Sealed) -> str | None:
    if any(entry.payload.part == payload.part for entry in state.seals):
        return "it stands after the seal"
    if payload.part == "fitting" and state.seal is None:
        return "the fitting is sealed before the measuring"
    return None


def _applied(state: InspectionState, event: Event, payload: Payload) -> InspectionState:
    obstacle = cannot_follow(state, payload)
    if obstacle is not None:
        raise ChainBrokenError(event.inspection, event.seq, obstacle)
    match payload:
        case ReadingLogged():
            return fold_presses.with_reading(state, event, payload)
        case PressParked():
            return fold_presses.with_parked(state, event, payload)
        case ParkedDiscarded():
            return fold_presses.with_discarded(state, event, payload)
        case ReadingWithdrawn():
            return fold_presses.with_withdrawn(state, event, payload)
        case RepeatAsked():
            return fold_presses.with_repeat(state, event, payload)
        case OwedReasonGiven():
            return fold_presses.with_reason(state, payload)
        case Aimed():
            return fold_presses.with_aim(state, event, payload)
        case Skipped():
            return fold_presses.with_skipped(state, event, payload)
        case WalkChosen():
            return _with_walk(state, payload.walk, payload.there_and_back)
        case (
            Sealed()
            | Signed()
            | Reviewed()
            | QuestionAsked()
            | QuestionAnswered()
            | Disposition()
            | Superseded()
        ):
            return fold_closing.closed(state, event, payload)
        case (
            FittingBegun()
            | IsolationConfirmed()
            | ToolInService()
            | StepAnswered()
            | ThreadNoted()
            | OrderChosen()
            | BoltTightened()
            | BoltsLoosened()
        ):
            return fold_fitting.fitted(state, event, payload)
        case CarriedOver():
            return _carried(state, event, payload)
        case _:
            return _prepared(state, event, payload)


def _prepared(state: InspectionState, event: Event, payload: Payload) -> InspectionState:
    match payload:
        case IdentificationCorrected():
            return _with_identification(state, payload.identification)
        case CautionsAcknowledged():
            return replace(state, cautions=payload.cautions, permit=payload.permit or state.permit)
        case ConditionAnswered():
            return _with_condition(state, event, payload)
        case InspectorChanged():
            return replace(state, changes=(*state.changes, Entry(event, payload)))
        case DeviationNoted():
            return replace(state, deviations=(*state.deviations, Entry(event, payload)))
        case GaugeInService():
            _check_seats(state, payload.seats)
            return replace(state, gauge_entries=(*state.gauge_entries, Entry(event, payload)))
        case StandardInService():
            _check_seats(state, payload.seats)
            return replace(state, standards=(*state.standards, Entry(event, payload)))
        case ReferenceCheck():
            return _with_check(state, event, payload)
        case Temperatures():
            return replace(state, temperatures=(*state.temperatures, (event.seq, payload)))
        case Attention():
            if payload.gauge and state.gauge_named(payload.gauge) is None:
                raise ValueError(f"the gauge {payload.gauge} was never in service")
            return replace(state, attentions=(*state.attentions, Entry(event, payload)))
        case NoteAdded():
            _check_belonging(state, payload)
            return replace(state, notes=(*state.notes, Entry(event, payload)))
        case PhotoAdded():
            _check_belonging(state, payload)
            return replace(state, photos=(*state.photos, Entry(event, payload)))
        case _:
            raise ChainBrokenError(event.inspection, event.seq, "it cannot stand at this place")


def _with_identification(state: InspectionState, value: Identification) -> InspectionState:
    _check_seats(state, value.seats)
    after = replace(state, identification=value)
    if after.cursor is not None and after.is_to_do(after.cursor.seat_id):
        return after
    return replace(after, cursor=after.next_open(), redo_reason="", redo_owed=None)


def _with_condition(
    state: InspectionState, event: Event, payload: ConditionAnswered
) -> InspectionState:
    _check_seats(state, (payload.seat,))
    if payload.check not in state.plan.conditions:
        raise ValueError(f"the plan has no condition {payload.check!r}")
    answered = {**state.conditions, (payload.seat, payload.check): Entry(event, payload)}
    return replace(state, conditions=answered)


def _with_check(state: InspectionState, event: Event, payload: ReferenceCheck) -> InspectionState:
    if state.gauge_named(payload.gauge) is None:
        raise ValueError(f"the gauge {payload.gauge} was never in service")
    known = {entry.payload.inventory_number for entry in state.standards}
    if payload.standard and payload.standard not in known:
        raise ValueError(f"the setting standard {payload.standard} was never in service")
    if any(received.gauge != payload.gauge for received in payload.received):
        raise ValueError("a value of another gauge")
    temperatures = state.temperatures
    if payload.shaft_c is not None and payload.gauge_c is not None:
        noted = Temperatures(
            shaft_c=payload.shaft_c, gauge_c=payload.gauge_c, standard_c=payload.standard_c
        )
        temperatures = (*temperatures, (event.seq, noted))
    check = logged_check(state, event, payload)
    return replace(state, checks=(*state.checks, check), temperatures=temperatures)


def _with_walk(state: InspectionState, walk: Walk, there_and_back: bool) -> InspectionState:
    points = _in_order(state.plan, walk, there_and_back)
    return replace(
        state,
        walk=walk,
        there_and_back=there_and_back,
        walk_points=points,
        walk_place={point.key: place for place, point in enumerate(points)},
    )


def _in_order(plan: Plan, walk: Walk, there_and_back: bool) -> tuple[Point, ...]:
    return tuple(
        point
        for seat in plan.seats
        for point in in_walking_order(plan.points_of(seat.id), walk, there_and_back)
    )


def _carried(state: InspectionState, event: Event, payload: CarriedOver) -> InspectionState:
    """Apply an event of the inspection that this one revises, with its own time and actor."""
    if state.created.supersedes is None:
        raise ValueError("this inspection revises none")
    before = state.last
    if before.seq > 1 and before.kind != CarriedOver.kind:
        raise ValueError("what is carried over stands before everything else")
    if before.seq > 1 and before.payload["hash"] != payload.previous:
        raise ValueError("what is carried over does not follow on what was carried over before it")
    old: Event = event
    carried: Payload = payload
    while isinstance(carried, CarriedOver):  # a revision of a revision carries what was carried
        old = _as_it_was(old, carried)
        carried = read_payload(old)
    if isinstance(carried, Created | Sealed):
        raise ValueError(f"an event of the kind {carried.kind!r} cannot be carried over")
    if isinstance(carried, Signed | IdentificationCorrected):
        # A signature is over the other inspection, and what this one is about its opening says;
        # both are kept for whoever compares the two.
        return state
    return _applied(state, old, carried)


def _as_it_was(event: Event, payload: CarriedOver) -> Event:
    """Return a carried event with its own time, actor and content, at its number."""
    return Event(
        inspection=event.inspection,
        seq=event.seq,
        utc=payload.utc,
        offset_min=payload.offset_min,
        actor=payload.actor,
        kind=payload.kind_of,
        payload=payload.payload_of,
        previous=payload.previous,
        hash=payload.hash,
    )


def _check_seats(state: InspectionState, seats: tuple[str, ...]) -> None:
    known = {seat.id for seat in state.plan.seats}
    for seat_id in seats:
        if seat_id not in known:
            raise ValueError(f"the plan has no seat {seat_id}")


def _check_belonging(state: InspectionState, payload: NoteAdded | PhotoAdded) -> None:
    if payload.place is not None:
        fold_presses.known(state, payload.place.key)
    if payload.seat:
        _check_seats(state, (payload.seat,))
    if payload.check and payload.check not in state.plan.conditions:
        raise ValueError(f"the plan has no condition {payload.check!r}")


def _backwards(state: InspectionState, event: Event) -> tuple[str, ...]:
    """Note when a time lies before the one of the event before it; the record keeps both."""
    gap = Decimal(str((state.last.moment - event.moment).total_seconds()))
    if gap <= 0:
        return state.backwards
    return (
        *state.backwards,
        f"The clock went back by {gap.normalize():f} s between events {state.last.seq} and "
        f"{event.seq} (to {moment_text(event.moment)}).",
    )

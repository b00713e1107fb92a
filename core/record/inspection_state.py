"""All that is known of an inspection after its last event, and the questions it answers."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal
from itertools import chain, islice
from typing import Final

from seatproof.core.plan.model import Plan
from seatproof.core.plan.points import Point, PointKey, Walk
from seatproof.core.plan.seat import Seat
from seatproof.core.record.entries import (
    Entry,
    LoggedCheck,
    LoggedReading,
    OwedReason,
    ParkedPress,
    RepeatWanted,
)
from seatproof.core.record.events import Event
from seatproof.core.record.fitting_state import FittingState, conforms, verdicts_under
from seatproof.core.record.kinds import (
    Attention,
    ConditionAnswered,
    Created,
    DeviationNoted,
    Disposition,
    GaugeInService,
    Identification,
    InspectorChanged,
    NoteAdded,
    PhotoAdded,
    QuestionAnswered,
    QuestionAsked,
    Reviewed,
    Sealed,
    Signed,
    StandardInService,
    Superseded,
    Temperatures,
)

# A hand that goes from point to point cannot press so many times in so short a time.
HASTE_PRESSES: Final = 10
HASTE_S: Final = 6.0


@dataclass(frozen=True, slots=True)
class InspectionState:
    """All that is known of an inspection after its last event.

    `cursor` is the point the next press belongs to, None where no point is open; `redo_reason` is
    set while that point already has readings that the next press will supersede, and `redo_owed` is
    the event that still owes it. `worn` are the readings that were confirmed although they lie
    outside the plausible window. `backwards` are sentences about times that went back.
    """

    inspection: str
    plan: Plan
    plan_toml: str
    program: str
    created: Created
    identification: Identification
    opened: Event
    last: Event
    events: tuple[Event, ...]
    walk: Walk
    there_and_back: bool
    walk_points: tuple[Point, ...]
    walk_place: Mapping[PointKey, int] = field(compare=False, repr=False)
    cautions: tuple[str, ...] = ()
    permit: str = ""
    conditions: Mapping[tuple[str, str], Entry[ConditionAnswered]] = field(default_factory=dict)
    gauge_entries: tuple[Entry[GaugeInService], ...] = ()
    standards: tuple[Entry[StandardInService], ...] = ()
    checks: tuple[LoggedCheck, ...] = ()
    attentions: tuple[Entry[Attention], ...] = ()
    temperatures: tuple[tuple[int, Temperatures], ...] = ()
    readings: Mapping[int, LoggedReading] = field(default_factory=dict)
    parked: Mapping[int, ParkedPress] = field(default_factory=dict)
    skipped: Mapping[PointKey, str] = field(default_factory=dict)
    skipped_by: Mapping[PointKey, int] = field(default_factory=dict)
    repeats: Mapping[PointKey, tuple[RepeatWanted, ...]] = field(default_factory=dict)
    worn: Mapping[str, tuple[int, ...]] = field(default_factory=dict)
    owed: Mapping[int, OwedReason] = field(default_factory=dict)
    cursor: PointKey | None = None
    redo_reason: str = ""
    redo_owed: int | None = None
    counting: Mapping[PointKey, tuple[int, ...]] = field(default_factory=dict)
    changes: tuple[Entry[InspectorChanged], ...] = ()
    deviations: tuple[Entry[DeviationNoted], ...] = ()
    notes: tuple[Entry[NoteAdded], ...] = ()
    photos: tuple[Entry[PhotoAdded], ...] = ()
    seals: tuple[Entry[Sealed], ...] = ()
    signatures: tuple[Entry[Signed], ...] = ()
    reviews: tuple[Entry[Reviewed], ...] = ()
    questions: tuple[Entry[QuestionAsked], ...] = ()
    answers: tuple[Entry[QuestionAnswered], ...] = ()
    dispositions: tuple[Entry[Disposition], ...] = ()
    superseded: Entry[Superseded] | None = None
    fitting: FittingState = field(default_factory=FittingState)
    backwards: tuple[str, ...] = ()

    # --- equipment -------------------------------------------------------------------------------

    @property
    def gauges(self) -> tuple[GaugeInService, ...]:
        """The gauges that were in service, in that order."""
        return tuple(entry.payload for entry in self.gauge_entries)

    @property
    def gauge(self) -> GaugeInService | None:
        """The gauge put in service last."""
        return self.gauge_entries[-1].payload if self.gauge_entries else None

    def gauge_for(self, seat_id: str) -> GaugeInService | None:
        """Return the gauge put in service last of those that serve a seat."""
        for entry in reversed(self.gauge_entries):
            if not entry.payload.seats or seat_id in entry.payload.seats:
                return entry.payload
        return None

    def gauge_named(self, inventory_number: str) -> GaugeInService | None:
        """Return a gauge as it was put in service last."""
        for entry in reversed(self.gauge_entries):
            if entry.payload.inventory_number == inventory_number:
                return entry.payload
        return None

    def standard_for(self, seat_id: str) -> StandardInService | None:
        """Return the setting standard put in service last of those that serve a seat."""
        for entry in reversed(self.standards):
            if not entry.payload.seats or seat_id in entry.payload.seats:
                return entry.payload
        return None

    def checks_of(self, gauge: str) -> tuple[LoggedCheck, ...]:
        """Return the reference checks of a gauge, oldest first."""
        return tuple(check for check in self.checks if check.gauge == gauge)

    # --- people ----------------------------------------------------------------------------------

    @property
    def inspectors(self) -> tuple[str, ...]:
        """Everyone who opened, measured or sealed, in order of appearance."""
        actors = [self.opened.actor, *(reading.actor for reading in self.readings.values())]
        if self.sealed_by is not None:
            actors.append(self.sealed_by.actor)
        return tuple(dict.fromkeys(actors))

    def took_part(self, name: str) -> bool:
        """Tell whether a person of that name measured or sealed."""
        actors = {reading.actor for reading in self.readings.values()}
        actors |= {entry.actor for entry in self.seals}
        return name.strip().casefold() in {actor.strip().casefold() for actor in actors}

    # --- points ----------------------------------------------------------------------------------

    @property
    def seats(self) -> tuple[Seat, ...]:
        """The seats that are to be done, with all their sets of readings."""
        return tuple(seat for seat in self.plan.seats if self.is_to_do(seat.id))

    def is_to_do(self, seat_id: str) -> bool:
        """Tell whether a seat of the plan is to be done in this inspection."""
        chosen = self.identification.seats
        if not chosen:
            return True
        return seat_id in chosen or self.plan.seat(seat_id).same_seat_as in chosen

    def readings_at(self, key: PointKey) -> tuple[LoggedReading, ...]:
        """Return the readings that count at a point, oldest first."""
        return tuple(self.readings[seq] for seq in self.counting.get(key, ()))

    def wanted(self, key: PointKey) -> int:
        """Return how many readings a point needs: those of the plan, and the repeats asked for."""
        return self.plan.seat(key.seat_id).repeats + len(self.repeats_wanted(key))

    def repeats_wanted(self, key: PointKey) -> tuple[RepeatWanted, ...]:
        """Return the repeats asked for at a point; one lapses when a reading behind it does."""
        asked = self.repeats.get(key, ())
        if not asked:
            return ()
        here = set(self.counting.get(key, ()))
        return tuple(repeat for repeat in asked if here.issuperset(repeat.about))

    def is_complete(self, key: PointKey) -> bool:
        return len(self.counting.get(key, ())) >= self.wanted(key)

    def is_open(self, key: PointKey) -> bool:
        return key not in self.skipped and self.is_to_do(key.seat_id) and not self.is_complete(key)

    def open_points(self) -> tuple[Point, ...]:
        return tuple(point for point in self.walk_points if self.is_open(point.key))

    def next_open(self, after: PointKey | None = None, seat_id: str = "") -> PointKey | None:
        """Return the next open point of the walk, going round to its beginning; on a seat if named.

        `after` is by default the point that is next now.
        """
        after = self.cursor if after is None else after
        start = 0 if after is None else self.walk_place[after] + 1
        needed = {seat.id: seat.repeats for seat in self.seats if seat_id in ("", seat.id)}
        counting, repeats = self.counting, self.repeats
        # With thousands of points, all of them done, each must be looked at: quickly, therefore.
        for point in chain(islice(self.walk_points, start, None), self.walk_points[:start]):
            key = point.key
            few = len(counting.get(key, ())) < needed.get(key.seat_id, 0)
            if (few or key in repeats) and key.seat_id in needed and self.is_open(key):
                return key
        return None

    def waiting_presses(self) -> tuple[ParkedPress, ...]:
        return tuple(press for press in self.parked.values() if press.waits)

    def last_reading(self) -> LoggedReading | None:
        """Return the newest reading that counts."""
        for seq in reversed(tuple(self.readings)):
            if self.readings[seq].counts:
                return self.readings[seq]
        return None

    # --- the seal and what follows ---------------------------------------------------------------

    @property
    def seal(self) -> Entry[Sealed] | None:
        """The seal of the measuring part."""
        return next((entry for entry in self.seals if entry.payload.part == "measuring"), None)

    @property
    def sealed(self) -> Sealed | None:
        entry = self.seal
        return None if entry is None else entry.payload

    @property
    def sealed_by(self) -> Event | None:
        entry = self.seal
        return None if entry is None else entry.event

    @property
    def review(self) -> Entry[Reviewed] | None:
        """The review that counts: the last one."""
        return self.reviews[-1] if self.reviews else None

    @property
    def disposition(self) -> Entry[Disposition] | None:
        """The disposition that counts: the last one."""
        return self.dispositions[-1] if self.dispositions else None

    def signatures_of(self, seq: int) -> tuple[Entry[Signed], ...]:
        """Return the signatures over an event."""
        return tuple(entry for entry in self.signatures if entry.payload.of_seq == seq)

    @property
    def signature_owed(self) -> tuple[Entry[Sealed] | Entry[Reviewed], ...]:
        """Seals and reviews that the plan wants signed and nobody has signed."""
        if not self.plan.signing.signatures:
            return ()
        signed = {entry.payload.of_seq for entry in self.signatures}
        wanting: tuple[Entry[Sealed] | Entry[Reviewed], ...] = (*self.seals, *self.reviews)
        return tuple(entry for entry in wanting if entry.seq not in signed)

    def signed_as_measurer(self, signed: Signed) -> bool:
        """Tell whether the person, or the key, of a signature stands under a sealed part, too."""
        sealed = {entry.seq for entry in self.seals}
        return any(
            entry.payload.of_seq in sealed
            and (
                signed.person == entry.payload.person
                or signed.public_key == entry.payload.public_key
            )
            for entry in self.signatures
        )

    @property
    def reviewed_by_measurer(self) -> bool:
        """Whether the review that counts is by one who measured; the sheet then says so."""
        review = self.review
        if review is None:
            return False
        signed = self.signatures_of(review.seq)
        return self.took_part(review.actor) or any(
            self.signed_as_measurer(entry.payload) for entry in signed
        )

    def fitting_released(self, seat_ids: tuple[str, ...] = ()) -> str | None:
        """Say in a sentence why these seats (all, where none is named) may not be fitted yet.

        Returns
        -------
        str or None
            None where each conforms by its sealed evaluation, or a disposition accepts the shaft
            as it is or by concession.
        """
        sealed = self.sealed
        if sealed is None:
            return "The measuring is not sealed yet."
        disposition = self.disposition
        if disposition is not None:
            decision = disposition.payload.decision
            if decision in ("accept", "concession"):
                if self.plan.signing.signatures and not self.signatures_of(disposition.seq):
                    return f"The disposition ({decision}) is not signed yet."
                return None
            return f"The shaft was decided on: {decision}."
        wanted = seat_ids or tuple(seat.id for seat in self.seats if seat.same_seat_as is None)
        for seat_id in wanted:
            if not conforms(verdicts_under(sealed.content, (seat_id,))):
                return (
                    f"Seat {seat_id} is not found to conform, and no disposition accepts the shaft."
                )
        return None

    def open_questions(self) -> tuple[Entry[QuestionAsked], ...]:
        answered = {entry.payload.of for entry in self.answers}
        return tuple(entry for entry in self.questions if entry.seq not in answered)

    # --- times -----------------------------------------------------------------------------------

    @property
    def clock_doubts(self) -> tuple[str, ...]:
        """Sentences about times that cannot be real: going back, or faster than a hand."""
        return (*self.backwards, *self._hasty())

    def _hasty(self) -> tuple[str, ...]:
        own = [reading for reading in self.readings.values() if reading.from_parked is None]
        runs: list[tuple[int, int]] = []  # first and last index of readings that came too fast
        for first in range(len(own) - HASTE_PRESSES + 1):
            last = first + HASTE_PRESSES - 1
            if 0.0 <= _seconds(own[first], own[last]) < HASTE_S:
                if runs and runs[-1][1] >= first:
                    runs[-1] = (runs[-1][0], last)
                else:
                    runs.append((first, last))
        return tuple(
            f"{last - first + 1} readings came within {_seconds(own[first], own[last]):.1f} s "
            f"(events {own[first].seq} to {own[last].seq}), faster than a hand goes from point to "
            "point."
            for first, last in runs
        )

    # --- worn seats ------------------------------------------------------------------------------

    def confirmed_worn_mm(self, seat_id: str) -> tuple[Decimal, ...]:
        """Return the sizes outside the plausible window that were confirmed at a seat."""
        return tuple(
            self.readings[seq].value_mm
            for seq in self.worn.get(seat_id, ())
            if self.readings[seq].counts
        )


def _seconds(first: LoggedReading, last: LoggedReading) -> float:
    return (last.moment - first.moment).total_seconds()


def moment_text(moment: datetime) -> str:
    """Write a moment in a sentence, in UTC."""
    return moment.strftime("%Y-%m-%d %H:%M:%S UTC")

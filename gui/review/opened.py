"""An inspection opened for review: its record, its evaluation, and what else is known of it."""

from collections.abc import Collection
from contextlib import suppress
from dataclasses import dataclass, field
from typing import Protocol

from pydantic import ValidationError

from seatproof.core import figures
from seatproof.core.archive.query import Entry
from seatproof.core.archive.results import SeatResult
from seatproof.core.comparison.trend import Trend, trend_of
from seatproof.core.comparison.without import changes, evaluate_without
from seatproof.core.evaluation.evaluate import Evaluation, SeatEvaluation, evaluate
from seatproof.core.record.events import Event, check_chain
from seatproof.core.record.inspection_state import InspectionState
from seatproof.core.record.state import fold
from seatproof.core.wording.content import RequirementLine, SheetContent
from seatproof.core.wording.requirement_line import requirement_line
from seatproof.core.wording.seat_part import seat_heading
from seatproof.gui.review.waiting import Fault, WaitingArchive, faults_of
from seatproof.gui.shared.saying import again, say


class ReviewArchive(WaitingArchive, Protocol):
    """What is read of an archive."""

    def seat_trend(
        self, seat: str, *, asset: str = "", shaft: str = ""
    ) -> tuple[tuple[Entry, SeatResult], ...]: ...


@dataclass(frozen=True, slots=True)
class Opened:
    """An inspection with everything that a review shows of it.

    `sealed_lines` are the requirements as they stand under the seal, by seat.
    """

    entry: Entry
    events: tuple[Event, ...]
    state: InspectionState
    evaluation: Evaluation
    sealed_lines: tuple[RequirementLine, ...]
    faults: tuple[Fault, ...] = field(default=())

    @property
    def seats(self) -> tuple[SeatEvaluation, ...]:
        """The seats that were to be done, their further sets of readings included."""
        return tuple(
            result for result in self.evaluation.seats if self.state.is_to_do(result.seat.id)
        )

    def heading(self, seat_id: str) -> str:
        """Name a seat with its nominal size and class, in the language of the window."""
        heading = seat_heading(self.state.plan, self.state.plan.seat(seat_id))
        return " · ".join(again(part) for part in heading.split(" · "))

    @property
    def datum(self) -> str:
        """Say what 0° is."""
        return f"0°: {self.state.plan.shaft.angular_datum}"


@dataclass(frozen=True, slots=True)
class WhatIf:
    """One requirement beside what it would be without some readings, in words."""

    seat: str
    characteristic: str
    before: RequirementLine
    after: RequirementLine

    @property
    def is_changed(self) -> bool:
        return (self.before.value, self.before.verdict) != (self.after.value, self.after.verdict)


def open_for_review(archive: ReviewArchive, entry: Entry) -> Opened:
    """Read, check and evaluate an inspection.

    Raises
    ------
    ArchiveError, RecordError, PlanError
        It cannot be read, its chain does not hold, or it is of a newer program.
    """
    events = archive.events(entry.inspection)
    check_chain(events)
    state = fold(events)
    evaluation = evaluate(state)
    return Opened(
        entry=entry,
        events=events,
        state=state,
        evaluation=evaluation,
        sealed_lines=_sealed_lines(state, evaluation),
        faults=faults_of(events),
    )


def what_if(opened: Opened, left_out: Collection[int]) -> tuple[WhatIf, ...]:
    """Say what every requirement would be without these readings; nothing of it is stored."""
    after = evaluate_without(opened.state, left_out)
    plan = opened.state.plan
    return tuple(
        WhatIf(
            seat=change.before.seat_id,
            characteristic=change.before.characteristic.value,
            before=requirement_line(plan, change.before),
            after=requirement_line(plan, change.after),
        )
        for change in changes(opened.evaluation, after)
        if opened.state.is_to_do(change.before.seat_id)
    )


def earlier(archive: ReviewArchive, opened: Opened, seat_id: str) -> Trend | None:
    """Return what is known of a seat over the years; None without a machine or a shaft's number."""
    identification = opened.state.identification
    asset, shaft = identification.asset.strip(), identification.shaft_serial.strip()
    if not (asset or shaft):
        return None
    found = archive.seat_trend(seat_id, asset=asset, shaft=shaft)
    return trend_of(seat_id, found, opened.entry.inspection)


def earlier_sentences(trend: Trend) -> tuple[str, ...]:
    """Say how this inspection differs from the one before it."""
    this, before = trend.this, trend.before
    if this is None or before is None:
        return (say("There is no earlier inspection of this seat in the archive."),)
    unit = trend.unit
    moved = figures.small(this.mean_um - before.mean_um, unit, sign=True)
    sentences = [
        say(
            "Against {sheet} of {day}: the mean diameter moved by {moved}.",
            sheet=before.sheet_number,
            day=f"{before.moment:%Y-%m-%d}",
            moved=moved,
        )
    ]
    for word, now, then in (
        ("ovality", this.ovality_um, before.ovality_um),
        ("taper", this.taper_um, before.taper_um),
    ):
        if now is not None and then is not None:
            change = figures.small(now - then, unit, sign=True)
            sentences.append(
                say(
                    "The {word} changed by {change}, to {value}.",
                    word=again(word),
                    change=change,
                    value=figures.small(now, unit),
                )
            )
    sentences.append(
        say(
            "Verdict then: {before}; now: {now}.",
            before=again(before.verdict),
            now=again(this.verdict),
        )
    )
    return tuple(sentences)


def _sealed_lines(state: InspectionState, evaluation: Evaluation) -> tuple[RequirementLine, ...]:
    """Return the requirements under the seal; worked out now where none can be read there."""
    if state.sealed is not None:
        with suppress(ValidationError):  # of another version; then it is worked out now
            return SheetContent.model_validate(state.sealed.content).requirements
    return tuple(
        requirement_line(state.plan, requirement)
        for seat in evaluation.seats
        for requirement in seat.requirements
    )

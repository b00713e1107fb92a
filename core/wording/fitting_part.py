"""The fitting in words: release, people, tools, steps as found, bolts in the order of doing."""

from collections.abc import Iterable, Mapping
from decimal import Decimal
from itertools import pairwise
from typing import Literal

from pydantic import BaseModel, ConfigDict

from seatproof.core.fitting.standing import (
    departures_of,
    fitting_seats,
    progress_of,
    release_obstacle,
    step_finding,
)
from seatproof.core.fitting.torque_unit import torque_text
from seatproof.core.plan.fields import length_text
from seatproof.core.plan.fitting import FittingStep, TorqueStep
from seatproof.core.record.entries import Entry
from seatproof.core.record.events import Event
from seatproof.core.record.inspection_state import InspectionState
from seatproof.core.record.kinds import (
    BoltsLoosened,
    BoltTightened,
    OrderChosen,
    StepAnswered,
)
from seatproof.core.wording.content import Fact, Grid, Section
from seatproof.core.wording.moments import event_time
from seatproof.core.wording.words import fresh_words_of
from seatproof.core.words import Language, Words

Row = tuple[str, ...]


class FittingContent(BaseModel):
    """What the sheet says of the fitting, as it is sealed: printed text and nothing to work out."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    version: Literal[1] = 1
    language: Language
    sections: tuple[Section, ...]


def fitting_content(
    state: InspectionState, expected_mm: Mapping[str, Decimal | None] | None = None
) -> FittingContent:
    """Put a fitting into words, in the language of the measuring part.

    Parameters
    ----------
    state : InspectionState
    expected_mm : mapping, optional
        By step, the joint gap that the measured seat leads to expect.
    """
    language: Language = (
        "en" if state.sealed is None else state.sealed.content.get("language", "en")
    )
    say = fresh_words_of(language)
    sections = (
        _opening(state, say),
        _steps(state, expected_mm or {}, say),
        *(_joint(state, step, say) for step in state.plan.fitting if isinstance(step, TorqueStep)),
        _happenings(state, say),
    )
    shown = tuple(section for section in sections if not section.is_empty)
    return FittingContent(language=language, sections=shown)


# --- release, people, tools -----------------------------------------------------------------------


def _opening(state: InspectionState, say: Words) -> Section:
    fitting, facts = state.fitting, []
    begun = fitting.begun
    if begun is not None:
        facts.append(Fact(label=say("Fitting begun"), value=_by(begun.event, say)))
        facts.append(Fact(label=say("Released for fitting"), value=_release(state, say)))
    for entry in fitting.isolations:
        permit = (
            say(", under permit {number}", number=entry.payload.permit)
            if entry.payload.permit
            else ""
        )
        value = f"{_by(entry.event, say)}{permit}"
        facts.append(Fact(label=say("Isolation confirmed"), value=value))
    for tool in fitting.tools:
        one = tool.payload
        parts = [one.description, one.serial_number, one.tool_class]
        parts.append(
            say("calibrated until {date}", date=one.calibration_due)
            if one.calibration_due
            else say("no calibration date")
        )
        if one.certificate:
            parts.append(say("certificate {number}", number=one.certificate))
        if one.override_reason:
            parts.append(say("used all the same: {reason}", reason=one.override_reason))
        label = say("Tool {number}", number=one.inventory_number)
        facts.append(Fact(label=label, value=", ".join(filter(None, parts))))
    return Section(heading=say("Fitting"), facts=tuple(facts))


def _release(state: InspectionState, say: Words) -> str:
    begun = state.fitting.begun
    obstacle = release_obstacle(state)
    seats = ", ".join(fitting_seats(state))
    parts = []
    if obstacle is not None:
        parts.append(say("NOT RELEASED. {why}", why=say.again(obstacle)))
    else:
        parts.append(say("yes, seats {seats}", seats=seats) if seats else say("yes"))
    if begun is not None and not begun.payload.released:
        parts.append(say("Begun before it was released: {reason}", reason=begun.payload.reason))
    return ". ".join(part.rstrip(".") for part in parts)


# --- steps ----------------------------------------------------------------------------------------


def _steps(
    state: InspectionState, expected_mm: Mapping[str, Decimal | None], say: Words
) -> Section:
    grid = Grid(
        heads=tuple(say(head) for head in ("no.", "step", "found", "answer", "by, time")),
        shares=(0.05, 0.3, 0.33, 0.12, 0.2),
        figures=(0,),
        rows=tuple(
            _step_row(state, number, step, expected_mm.get(step.id), say)
            for number, step in enumerate(state.plan.fitting, start=1)
        ),
    )
    return Section(heading=say("Fitting steps"), grids=(grid,))


def _step_row(
    state: InspectionState,
    number: int,
    step: FittingStep,
    expected_mm: Decimal | None,
    say: Words,
) -> Row:
    finding = step_finding(state, step, expected_mm)
    what = step.text
    if step.needs_source or step.source.is_stated:
        what = f"{what} ({step.source})"
    given = state.fitting.answers.get(step.id, ())
    last: Entry[StepAnswered] | None = given[-1] if given else None
    if isinstance(step, TorqueStep):
        work = state.fitting.work.get(step.id, ())
        found, by = say("see its table"), _by(work[-1].event, say) if work else ""
    elif last is None:
        found, by = "", ""
    else:
        found = _found(state, last.payload, step, say)
        by = _by(last.event, say)
    said = [] if isinstance(step, TorqueStep) else [say.again(one) for one in finding.sentences]
    found = " ".join(filter(None, (found, *said)))
    return (str(number), what, found, _answer(step, last, finding.met, say), by)


def _answer(
    step: FittingStep, last: Entry[StepAnswered] | None, met: bool | None, say: Words
) -> str:
    if last is not None and last.payload.answer and not isinstance(step, TorqueStep):
        return say(last.payload.answer)
    if met is None:
        return say("open")
    return say("met") if met else say("not met")


def _found(state: InspectionState, answered: StepAnswered, step: FittingStep, say: Words) -> str:
    parts = [f"{part}: {mark}" for part, mark in answered.read.items()]
    for place, one in answered.values.items():
        length = length_text(Decimal(one.value_mm), state.plan.unit)
        how = say("typed by hand") if one.by_hand else ""
        parts.append(f"{place}: {length}" + (f" ({how})" if how else ""))
    if answered.amount is not None:
        parts.append(f"{answered.amount} {getattr(step, 'unit', '')}".strip())
    if answered.note:
        parts.append(answered.note)
    return "; ".join(parts) + ("." if parts else "")


# --- bolts ----------------------------------------------------------------------------------------


def _joint(state: InspectionState, step: TorqueStep, say: Words) -> Section:
    progress = progress_of(state, step)
    departed = {one.seq: one.sentence for one in departures_of(state, step)}
    facts = [
        Fact(
            label=say("State of the threads"),
            value=f"{entry.payload.lubricant} ({_by(entry.event, say)})",
        )
        for entry in state.fitting.threads.get(step.id, ())
    ]
    for index, stage in enumerate(step.stages):
        target = (
            f"{stage.target} ± {stage.tolerance} {step.unit}; " if stage.target is not None else ""
        )
        facts.append(
            Fact(
                label=say("Stage {name}", name=stage.name),
                value=f"{target}{' – '.join(progress.orders[index])}",
            )
        )
    rows = tuple(
        _act_row(step, number, entry, departed.get(entry.seq, ""), say)
        for number, entry in enumerate(state.fitting.work.get(step.id, ()), start=1)
    )
    grid = Grid(
        caption=say("As carried out, in the order of doing"),
        heads=tuple(
            say(head)
            for head in (
                "no.",
                "stage",
                "bolt",
                f"torque, {step.unit}",
                "tool",
                "remark",
                "by, time",
            )
        ),
        shares=(0.05, 0.13, 0.12, 0.12, 0.1, 0.28, 0.2),
        figures=(0, 3),
        rows=rows,
        note=say("Without a figure, the bolt was confirmed by hand when the tool had let go."),
    )
    heading = say("Tightening: {what}", what=step.text)
    return Section(heading=heading, facts=tuple(facts), grids=(grid,) if rows else ())


def _act_row(
    step: TorqueStep,
    number: int,
    entry: Entry[BoltTightened] | Entry[BoltsLoosened] | Entry[OrderChosen],
    departed: str,
    say: Words,
) -> Row:
    by = _by(entry.event, say)
    match entry.payload:
        case BoltsLoosened(reason=reason):
            what = say("All loosened, begun again: {reason}", reason=reason)
            return (str(number), "", "", "", "", what, by)
        case OrderChosen(stage=stage, order=order, reason=reason):
            what = say("Other order: {order}. {reason}", order=", ".join(order), reason=reason)
            return (str(number), step.stages[stage].name, "", "", "", what, by)
        case BoltTightened() as act:
            torque = "" if act.torque is None else torque_text(Decimal(act.torque))
            remark = " ".join(
                filter(None, (say("turned") if act.turned else "", say.again(departed)))
            )
            return (
                str(number),
                step.stages[act.stage].name,
                act.bolt,
                torque,
                act.tool,
                remark,
                by,
            )


# --- what else happened ---------------------------------------------------------------------------


def _happenings(state: InspectionState, say: Words) -> Section:
    begun = state.fitting.begun
    if begun is None:
        return Section(heading="")
    facts = [
        Fact(
            label=say("{time}, deviation", time=event_time(entry.event)),
            value=f"{entry.payload.what}: {entry.payload.reason}",
        )
        for entry in state.deviations
        if entry.seq > begun.seq
    ]
    facts += [
        Fact(
            label=say("{time}, note by {name}", time=event_time(entry.event), name=entry.actor),
            value=entry.payload.text,
        )
        for entry in state.notes
        if entry.seq > begun.seq
    ]
    facts += [
        Fact(
            label=say("{time}, person", time=event_time(entry.event)),
            value=say(
                "{before} hands over to {after}",
                before=entry.payload.from_person,
                after=entry.payload.to_person,
            ),
        )
        for entry in state.changes
        if entry.seq > begun.seq
    ]
    facts += list(_replaced(state, say))
    return Section(heading=say("Beside the fitting"), facts=tuple(facts))


def _replaced(state: InspectionState, say: Words) -> Iterable[Fact]:
    """Name answers that a later one took the place of."""
    for step in state.plan.fitting:
        given = state.fitting.answers.get(step.id, ())
        for entry, later in pairwise(given):
            old, new = entry.payload, later.payload
            if _grows(old, new):
                continue
            yield Fact(
                label=say("{time}, earlier answer", time=event_time(entry.event)),
                value=f"{step.text}: {say(old.answer) if old.answer else ''} "
                f"{_found(state, old, step, say)}".strip(),
            )


def _grows(old: StepAnswered, new: StepAnswered) -> bool:
    """Tell whether an answer only added to the one before: place by place, as values come."""
    return bool(old.values) and all(
        new.values.get(place) == value for place, value in old.values.items()
    )


def _by(event: Event, say: Words) -> str:
    return say("{name}, {time}", name=event.actor, time=event_time(event)[:16])

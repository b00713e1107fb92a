"""What went another way than straight on, and what people noted beside the readings."""

from seatproof.core import figures
from seatproof.core.record.entries import LoggedReading
from seatproof.core.record.kinds import NoteAdded, PhotoAdded, Received
from seatproof.core.record.state import InspectionState
from seatproof.core.units import Unit
from seatproof.core.wording.content import Remark, Section
from seatproof.core.wording.moments import clock_time
from seatproof.core.words import Words


def remarks(state: InspectionState, say: Words) -> tuple[Remark, ...]:
    """Return readings that count no longer, parked presses and skipped points, with reasons."""
    entries: list[tuple[int, Remark]] = []
    for reading in state.readings.values():
        if not reading.counts:
            kind, _, reason = reading.fate.partition(": ")
            what = say(
                "Point {point}: reading {value} {fate}",
                point=str(reading.key),
                value=as_sent(reading.received),
                fate=say(kind),
            )
            remark = Remark(when=clock_time(state, reading.moment), what=what, why=reason)
            entries.append((reading.seq, remark))
    for press in state.parked.values():
        what = say(
            "Press {value} parked: {finding}",
            value=as_sent(press.received),
            finding=say.again(press.finding).rstrip("."),
        )
        why = _decision(press.decision, say) if press.decision else say("not decided")
        remark = Remark(when=clock_time(state, press.moment), what=what, why=why)
        entries.append((press.seq, remark))
    for key, asked in state.repeats.items():
        for repeat in asked:
            what = say("Point {point}: another reading asked for", point=str(key))
            entries.append((repeat.seq, Remark(when="", what=what, why=say.again(repeat.why))))
    entries.sort(key=lambda entry: entry[0])
    counting = [reading for reading in state.readings.values() if reading.counts]
    typed = [reading for reading in counting if reading.received.by_hand]
    by_hand = [_typed(typed, len(counting), say)] if typed else []
    skipped = [
        Remark(when="", what=say("Point {point} skipped", point=str(key)), why=reason)
        for key, reason in state.skipped.items()
    ]
    return (*(remark for _, remark in entries), *by_hand, *skipped)


def _typed(typed: list[LoggedReading], total: int, say: Words) -> Remark:
    """Say which values no gauge sent: they were read off a display and typed."""
    what = say(
        "{count} of {total} values were typed by hand, not sent by a gauge",
        count=str(len(typed)),
        total=str(total),
    )
    points = ", ".join(dict.fromkeys(str(reading.key) for reading in typed))
    return Remark(when="", what=what, why="" if len(typed) == total else points)


def _decision(decision: str, say: Words) -> str:
    """Say what became of a parked press; the reason behind the colon is a person's."""
    kind, colon, reason = decision.partition(": ")
    place = kind.removeprefix("used at ")
    if place != kind:
        return f"{say('used at {point}', point=place)}{colon}{reason}"
    return f"{say(kind)}{colon}{reason}"


def deviations_section(state: InspectionState, say: Words) -> Section:
    """Return where the work knowingly departed from the plan, and who measured from when on."""
    sentences = [
        f"{clock_time(state, entry.moment)} {entry.payload.what}: {entry.payload.reason}"
        for entry in state.deviations
    ]
    sentences += [
        say(
            "{time} {before} handed over to {after}.",
            time=clock_time(state, entry.moment),
            before=entry.payload.from_person,
            after=entry.payload.to_person,
        )
        for entry in state.changes
    ]
    sentences += [say.again(doubt) for doubt in state.clock_doubts]
    return Section(heading=say("Deviations from the plan"), sentences=tuple(sentences))


def notes_section(state: InspectionState, say: Words) -> Section:
    """Return the notes, each with what it belongs to."""
    sentences = []
    for entry in state.notes:
        belongs = belonging(entry.payload, say)
        where = f" ({belongs})" if belongs else ""
        sentences.append(
            f"{clock_time(state, entry.moment)}{where}, {entry.actor}: {entry.payload.text}"
        )
    return Section(heading=say("Notes"), sentences=tuple(sentences))


def belonging(payload: NoteAdded | PhotoAdded, say: Words) -> str:
    """Say what a note or photo belongs to; "" for the inspection as a whole."""
    if payload.place is not None:
        return say("point {point}", point=str(payload.place.key))
    if payload.check:
        return say("seat {seat}, {check}", seat=payload.seat, check=payload.check)
    return say("seat {seat}", seat=payload.seat) if payload.seat else ""


def as_sent(received: Received) -> str:
    """Write a value as it came, with its unit."""
    return f"{figures.received(received.value)} {Unit(received.unit).sign}"

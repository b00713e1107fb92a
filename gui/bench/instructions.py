"""What to do next, in one sentence, for every step; without Qt."""

from typing import TYPE_CHECKING, Final

from seatproof.gui.bench.ladder import Rung
from seatproof.gui.bench.points import place_words
from seatproof.gui.shared.saying import say, wording

if TYPE_CHECKING:
    from seatproof.gui.bench.model import BenchModel

_SENTENCES: Final = {
    Rung.IDENTIFY: wording("Make sure that this is the shaft, and say which seats are to be done."),
    Rung.CAUTIONS: wording("Read the cautions before hands go near the shaft."),
    Rung.CONDITION: wording("Look at each seat and answer for its condition."),
    Rung.EQUIPMENT: wording(
        "Say with what each seat is measured, and on what the gauge is checked."
    ),
    Rung.VERDICT: wording("See what can be said of the seats, and what would settle the rest."),
    Rung.SEAL: wording("Give a reason for what stands open, then seal."),
}


def instruction(model: "BenchModel") -> str:
    """Return the sentence for the step in hand."""
    steps = model.steps
    if model.is_sealed:
        has_sheet = model.sealing is not None and model.sealing.sheet is not None
        return (
            say("Sealed. The sheet is written.") if has_sheet else say("The inspection is sealed.")
        )
    if steps.is_checking:
        desk = steps.desk
        if desk.standard:
            return say(
                "Check gauge {gauge} on standard {standard}: presses now belong to the check.",
                gauge=desk.gauge,
                standard=desk.standard,
            )
        return say(
            "Check gauge {gauge} on zero: presses now belong to the check.", gauge=desk.gauge
        )
    if steps.is_guided and steps.in_hand is not Rung.READINGS:
        return say(_SENTENCES[steps.in_hand])
    return _of_readings(model)


def _of_readings(model: "BenchModel") -> str:
    state, point = model.state, model.next_point
    if point is None:
        return _when_all_is_done(model)
    is_again = bool(state.redo_reason) or state.redo_owed is not None
    place, wanted = place_words(model.plan, point), state.wanted(point.key)
    if wanted <= 1:
        return (
            say("Measure once more {place}.", place=place)
            if is_again
            else say("Measure {place}.", place=place)
        )
    done = 0 if is_again else len(state.readings_at(point.key))
    gaps = {"place": place, "number": str(done + 1), "count": str(wanted)}
    return (
        say("Measure once more {place} (reading {number} of {count}).", **gaps)
        if is_again
        else say("Measure {place} (reading {number} of {count}).", **gaps)
    )


def _when_all_is_done(model: "BenchModel") -> str:
    step = say(model.steps.following or "") if model.steps.is_guided else ""
    if model.state.waiting_presses():
        return (
            say(
                "All points are done. Decide on the parked presses, then go on to the {step}.",
                step=step,
            )
            if step
            else say("All points are done. Decide on the parked presses, then seal.")
        )
    return (
        say("All points are done. Go on to the {step}.", step=step)
        if step
        else say("All points are done. Seal the inspection.")
    )

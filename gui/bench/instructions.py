"""What to do next, in one sentence, for every step; without Qt."""

from typing import TYPE_CHECKING, Final

from seatproof.gui.bench.ladder import Rung
from seatproof.gui.bench.points import place_words

if TYPE_CHECKING:
    from seatproof.gui.bench.model import BenchModel

_SENTENCES: Final = {
    Rung.IDENTIFY: "Make sure that this is the shaft, and say which seats are to be done.",
    Rung.CAUTIONS: "Read the cautions before hands go near the shaft.",
    Rung.CONDITION: "Look at each seat and answer for its condition.",
    Rung.EQUIPMENT: "Say with what each seat is measured, and on what the gauge is checked.",
    Rung.VERDICT: "See what can be said of the seats, and what would settle the rest.",
    Rung.SEAL: "Give a reason for what stands open, then seal.",
}


def instruction(model: "BenchModel") -> str:
    """Return the sentence for the step in hand."""
    steps = model.steps
    if model.is_sealed:
        sheet = model.sealing.sheet if model.sealing is not None else None
        return f"Sealed. The sheet is {sheet}." if sheet else "The inspection is sealed."
    if steps.is_checking:
        desk = steps.desk
        on = f"standard {desk.standard}" if desk.standard else "zero"
        return f"Check gauge {desk.gauge} on {on}: presses now belong to the check."
    if steps.is_guided and steps.in_hand is not Rung.READINGS:
        return _SENTENCES[steps.in_hand]
    return _of_readings(model)


def _of_readings(model: "BenchModel") -> str:
    state, point = model.state, model.next_point
    if point is None:
        following = f"go on to the {model.steps.following}" if model.steps.is_guided else "seal"
        if state.waiting_presses():
            return f"All points are done. Decide on the parked presses, then {following}."
        if model.steps.is_guided:
            return f"All points are done. G{following[1:]}."
        return "All points are done. Seal the inspection."
    again = "once more " if state.redo_reason or state.redo_owed is not None else ""
    count = ""
    wanted = state.wanted(point.key)
    if wanted > 1:
        done = 0 if again else len(state.readings_at(point.key))
        count = f" (reading {done + 1} of {wanted})"
    return f"Measure {again}{place_words(model.plan, point)}{count}."

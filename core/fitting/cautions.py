"""What to mind while fitting, at the step where it matters, in our own words."""

from typing import Final

from seatproof.core.plan.fitting import CountStep, FittingStep, TorqueStep, ValueStep

ISOLATION: Final = (
    "The machine is isolated and locked off by the one who works on it, and was tried to start.",
    "What could turn the shaft is blocked: wind, water, weight, a belt, a neighbouring drive.",
    "Stored energy is let out: springs, pressure, raised loads, charged drives.",
    "Shaft and housing lie on rated supports; nobody stands or reaches under what hangs.",
)
ISOLATION_QUESTION: Final = (
    "Hands go in only when all of this is so. Everybody confirms it for themselves, every day."
)

_ALWAYS: Final = (
    "Mind where fingers go when parts close: rings, covers and halves pinch.",
    "Let solvents dry and keep flames and hot tools away from them; gloves against skin contact.",
)
_TURNING: Final = (
    "Turning the shaft can let go of what was held: one person gives the word, everybody else "
    "stands clear, and the lock on the drive stays on.",
)
_GAUGING: Final = ("Take the feeler out before anybody turns the shaft.",)
_TIGHTENING: Final = (
    "Stand so that a slipping wrench cannot throw you. Tools and hands off the bolts before the "
    "shaft is turned or the part is moved.",
)


def cautions_at(step: FittingStep) -> tuple[str, ...]:
    """Return what to mind at a step: the plan's own caution first."""
    own = (step.caution,) if step.caution else ()
    kind: tuple[str, ...]
    match step:
        case CountStep():
            kind = _TURNING
        case ValueStep():
            kind = _GAUGING
        case TorqueStep():
            kind = _TIGHTENING
        case _:
            kind = ()
    return (*own, *kind, *_ALWAYS)

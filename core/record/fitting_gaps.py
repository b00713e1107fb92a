"""What stands between a fitting and a clean seal of it."""

from collections.abc import Iterable

from seatproof.core.fitting.torque import follow
from seatproof.core.plan.fitting import FittingStep, TorqueStep
from seatproof.core.record.gaps import Gap, GapKind
from seatproof.core.record.inspection_state import InspectionState
from seatproof.core.record.kinds import BoltTightened, Payload


def fitting_gaps(state: InspectionState) -> tuple[Gap, ...]:
    """Return what the plan's fitting steps still ask for; none where the plan has no such step."""
    steps = state.plan.fitting
    if not steps:
        return ()
    if state.fitting.begun is None:
        return (Gap(GapKind.FITTING, "The fitting was not begun."),)
    return tuple(gap for step in steps for gap in _of(state, step))


def _of(state: InspectionState, step: FittingStep) -> Iterable[Gap]:
    name = f"Fitting step {step.id} ({step.text})"
    if step.needs_source and not step.source.is_stated:
        yield Gap(
            GapKind.FITTING,
            f"{name} has a figure, and the plan does not say from which paper and issue; a new "
            "version of the plan can say it.",
            reason_may_close=False,
        )
    if isinstance(step, TorqueStep):
        yield from _joint(state, step, name)
        return
    answer = state.fitting.answer(step.id)
    if answer is None:
        yield Gap(GapKind.FITTING, f"{name} was not answered.")
    elif not answer.answer:
        yield Gap(GapKind.FITTING, f"{name} is not answered wholly.")
    elif answer.answer in ("not met", "not free"):
        yield Gap(GapKind.FITTING, f"{name} was found {answer.answer}.")


def _joint(state: InspectionState, step: TorqueStep, name: str) -> Iterable[Gap]:
    if state.fitting.thread(step.id) is None:
        yield Gap(GapKind.FITTING, f"{name}: the state of the threads was not noted.")
    progress = follow(step, state.fitting.acts(step.id))
    turn = progress.next
    if turn is not None:
        yield Gap(
            GapKind.FITTING,
            f"{name} is not finished: bolt {turn.bolt} in stage {step.stages[turn.stage].name} "
            "comes next.",
        )
    for tight in progress.too_tight:
        yield Gap(
            GapKind.FITTING,
            f"{name}: bolt {tight.bolt} is above the tolerance in stage "
            f"{step.stages[tight.stage].name}.",
        )
    if any(_is_without_tool(step, entry.payload) for entry in state.fitting.work.get(step.id, ())):
        yield Gap(GapKind.FITTING, f"{name}: bolts were tightened with no tool in the record.")


def _is_without_tool(step: TorqueStep, act: Payload) -> bool:
    if not isinstance(act, BoltTightened) or act.tool:
        return False
    return step.stages[act.stage].target is not None

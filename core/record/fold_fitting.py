"""The part of the fold about the fitting."""

from dataclasses import replace

from seatproof.core.fitting.torque import Tightened, follow
from seatproof.core.plan.fitting import TorqueStep
from seatproof.core.record.entries import Entry
from seatproof.core.record.events import Event
from seatproof.core.record.inspection_state import InspectionState
from seatproof.core.record.kinds import (
    BoltsLoosened,
    BoltTightened,
    FittingBegun,
    IsolationConfirmed,
    OrderChosen,
    StepAnswered,
    ThreadNoted,
    ToolInService,
)

FittingPayload = (
    FittingBegun
    | IsolationConfirmed
    | ToolInService
    | StepAnswered
    | ThreadNoted
    | OrderChosen
    | BoltTightened
    | BoltsLoosened
)


def fitted(state: InspectionState, event: Event, payload: FittingPayload) -> InspectionState:
    """Return the state after an event of the fitting."""
    fitting = state.fitting
    if not isinstance(payload, FittingBegun) and fitting.begun is None:
        raise ValueError("the fitting was not begun")
    match payload:
        case FittingBegun():
            if fitting.begun is not None:
                raise ValueError("the fitting was begun already")
            after = replace(fitting, begun=Entry(event, payload))
        case IsolationConfirmed():
            after = replace(fitting, isolations=(*fitting.isolations, Entry(event, payload)))
        case ToolInService():
            after = replace(fitting, tools=(*fitting.tools, Entry(event, payload)))
        case StepAnswered(step=step):
            _known(state, step)
            given = (*fitting.answers.get(step, ()), Entry(event, payload))
            after = replace(fitting, answers={**fitting.answers, step: given})
        case ThreadNoted(step=step):
            _joint(state, step)
            noted = (*fitting.threads.get(step, ()), Entry(event, payload))
            after = replace(fitting, threads={**fitting.threads, step: noted})
        case OrderChosen(step=step):
            _check_order(state, payload)
            ordered = (*fitting.work.get(step, ()), Entry(event, payload))
            after = replace(fitting, work={**fitting.work, step: ordered})
        case BoltTightened(step=step):
            _check_bolt(state, event, payload)
            done = (*fitting.work.get(step, ()), Entry(event, payload))
            after = replace(fitting, work={**fitting.work, step: done})
        case BoltsLoosened(step=step):
            _joint(state, step)
            loosened = (*fitting.work.get(step, ()), Entry(event, payload))
            after = replace(fitting, work={**fitting.work, step: loosened})
    return replace(state, fitting=after)


def _known(state: InspectionState, step: str) -> None:
    if all(one.id != step for one in state.plan.fitting):
        raise ValueError(f"the plan has no fitting step {step}")


def _joint(state: InspectionState, step: str) -> TorqueStep:
    for one in state.plan.fitting:
        if one.id == step and isinstance(one, TorqueStep):
            return one
    raise ValueError(f"the plan has no bolts to tighten in a step {step}")


def _check_order(state: InspectionState, payload: OrderChosen) -> None:
    step = _joint(state, payload.step)
    if payload.stage >= len(step.stages):
        raise ValueError(f"the joint has no stage {payload.stage + 1}")
    if sorted(payload.order) != sorted(step.bolt_names):
        raise ValueError("the order does not hold every bolt of the joint once")


def _check_bolt(state: InspectionState, event: Event, payload: BoltTightened) -> None:
    step = _joint(state, payload.step)
    if payload.unit != step.unit:
        raise ValueError(f"a torque in {payload.unit}, and the plan has {step.unit}")
    if payload.tool and state.fitting.tool(payload.tool) is None:
        raise ValueError(f"the tool {payload.tool} was never in service")
    # Whether the bolt and the stage are there: what it amounts to is worked out where it is shown.
    follow(step, [Tightened(event.seq, payload.stage, payload.bolt)])

"""Tightening as work: which bolt is next, and what was done otherwise than the plan asks.

Nothing is refused here. A record must never force anyone to lie: what was done out of order, twice,
or beyond the tolerance is taken as it is, and named.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from seatproof.core.plan.fitting import TorqueStage, TorqueStep


class Departure(StrEnum):
    """How an act departs from the plan."""

    OUT_OF_ORDER = "out of order"
    REPEATED = "repeated"
    AHEAD = "before the stage in front of it was finished"
    BELOW = "below the tolerance"
    ABOVE = "above the tolerance"


@dataclass(frozen=True, slots=True)
class Tightened:
    """A bolt was tightened in a stage; `torque` in the step's unit, None where the tool gave none.

    `turned` is for check passes: whether the bolt still moved.
    """

    seq: int
    stage: int
    bolt: str
    torque: Decimal | None = None
    turned: bool = False


@dataclass(frozen=True, slots=True)
class Loosened:
    """All bolts were loosened; the work begins again at the first stage."""

    seq: int


@dataclass(frozen=True, slots=True)
class Reordered:
    """Another order of the bolts holds from here on for a stage, counted from 0."""

    seq: int
    stage: int
    order: tuple[str, ...]


Act = Tightened | Loosened | Reordered


@dataclass(frozen=True, slots=True)
class Turn:
    """Whose turn it is: a bolt in a stage, counted from 0."""

    stage: int
    bolt: str


@dataclass(frozen=True, slots=True)
class TorqueProgress:
    """Where the work on one joint stands.

    Attributes
    ----------
    next : Turn or None
        The next bolt; None when every stage is done.
    departures : mapping of int to tuple of Departure
        By the sequence number of the act, for acts that depart from the plan.
    done : tuple of tuple of str
        For every stage the bolts done in its present round, in the order of doing.
    rounds : tuple of int
        For every stage how often it went round, the present round included.
    restarts : int
        How often everything was loosened.
    orders : tuple of tuple of str
        The order that holds for every stage.
    too_tight : tuple of Turn
        Bolts whose last act in a stage with a target is above its tolerance.
    """

    next: Turn | None
    departures: Mapping[int, tuple[Departure, ...]]
    done: tuple[tuple[str, ...], ...]
    rounds: tuple[int, ...]
    restarts: int
    orders: tuple[tuple[str, ...], ...]
    too_tight: tuple[Turn, ...]

    @property
    def is_complete(self) -> bool:
        return self.next is None


def follow(step: TorqueStep, acts: Iterable[Act]) -> TorqueProgress:
    """Return where the work stands after these acts, oldest first.

    A bolt is done in a stage once its last act there is not below the tolerance. A check pass in
    which a bolt still turned goes round again.

    Raises
    ------
    ValueError
        An act names a stage or a bolt that the step does not have, or an order that does not hold
        every bolt once.
    """
    work = _Work(step)
    for act in acts:
        match act:
            case Loosened():
                work.begin_again()
            case Reordered():
                work.reorder(act)
            case Tightened():
                work.tighten(act)
    return work.progress()


class _Work:
    def __init__(self, step: TorqueStep) -> None:
        self._step = step
        self._bolts = frozenset(step.bolt_names)
        self._orders = [step.order_of(stage) for stage in range(len(step.stages))]
        self._departures: dict[int, tuple[Departure, ...]] = {}
        self._restarts = -1
        self.begin_again()

    def begin_again(self) -> None:
        self._restarts += 1
        self._done: list[dict[str, Tightened]] = [{} for _ in self._orders]
        self._rounds = [1 for _ in self._orders]

    def reorder(self, act: Reordered) -> None:
        if not 0 <= act.stage < len(self._orders):
            raise ValueError(f"the joint has no stage {act.stage + 1}")
        if sorted(act.order) != sorted(self._bolts):
            raise ValueError("the order does not hold every bolt once")
        self._orders[act.stage] = act.order

    def tighten(self, act: Tightened) -> None:
        if not 0 <= act.stage < len(self._orders) or act.bolt not in self._bolts:
            raise ValueError(f"the joint has no bolt {act.bolt} in a stage {act.stage + 1}")
        departures = [*self._out_of_turn(act), *_off_target(self._step.stages[act.stage], act)]
        if departures:
            self._departures[act.seq] = tuple(departures)
        here = self._done[act.stage]
        here.pop(act.bolt, None)  # so that the order of doing is that of the last act
        here[act.bolt] = act
        if self._must_go_round_again(act.stage):
            self._done[act.stage] = {}
            self._rounds[act.stage] += 1

    def _must_go_round_again(self, stage: int) -> bool:
        return (
            self._step.stages[stage].kind == "check"
            and self._undone(stage) is None
            and any(act.turned for act in self._done[stage].values())
        )

    def progress(self) -> TorqueProgress:
        return TorqueProgress(
            next=self._next(),
            departures=dict(self._departures),
            done=tuple(
                tuple(bolt for bolt, act in here.items() if self._counts(act))
                for here in self._done
            ),
            rounds=tuple(self._rounds),
            restarts=self._restarts,
            orders=tuple(self._orders),
            too_tight=tuple(
                Turn(stage, bolt)
                for stage, here in enumerate(self._done)
                for bolt, act in here.items()
                if Departure.ABOVE in _off_target(self._step.stages[stage], act)
            ),
        )

    def _out_of_turn(self, act: Tightened) -> list[Departure]:
        before = self._done[act.stage].get(act.bolt)
        turn = self._next()
        if before is not None and self._counts(before):
            return [Departure.REPEATED]
        if turn is None or act.stage == turn.stage:
            in_turn = turn is None or act.bolt == turn.bolt
            return [] if in_turn else [Departure.OUT_OF_ORDER]
        return [Departure.AHEAD if act.stage > turn.stage else Departure.REPEATED]

    def _next(self) -> Turn | None:
        for stage in range(len(self._orders)):
            bolt = self._undone(stage)
            if bolt is not None:
                return Turn(stage, bolt)
        return None

    def _undone(self, stage: int) -> str | None:
        here = self._done[stage]
        for bolt in self._orders[stage]:
            if bolt not in here or not self._counts(here[bolt]):
                return bolt
        return None

    def _counts(self, act: Tightened) -> bool:
        return Departure.BELOW not in _off_target(self._step.stages[act.stage], act)


def _off_target(stage: TorqueStage, act: Tightened) -> list[Departure]:
    if stage.target is None or stage.tolerance is None or act.torque is None:
        return []
    if act.torque < stage.target - stage.tolerance:
        return [Departure.BELOW]
    if act.torque > stage.target + stage.tolerance:
        return [Departure.ABOVE]
    return []

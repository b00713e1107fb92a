"""Evaluating while presses go on: the newest state, in a thread of its own where there is one.

A seat of a thousand points takes longer to evaluate than a press may take to be shown. So a press
is shown first, and what it means for the seat follows.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol, TypeVar

from seatproof.core.evaluation.evaluate import (
    Evaluation,
    evaluate,
    evaluate_further,
)
from seatproof.core.plan.model import Plan
from seatproof.core.plan.seat import Seat
from seatproof.core.plots.along import AlongPlot, along_plot
from seatproof.core.plots.polar import PolarPlot
from seatproof.core.record.state import InspectionState
from seatproof.gui.bench.insight import insights
from seatproof.gui.bench.set_form import SetForm, polar_of, set_form_of

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Plots:
    """The plots of one seat, and what its verdicts hang on.

    `along` is None where its readings are no sizes.
    """

    polar: PolarPlot
    form: SetForm
    along: AlongPlot | None
    insights: tuple[str, ...]

    @classmethod
    def of(cls, state: InspectionState, evaluation: Evaluation, seat_id: str) -> "Plots":
        result = evaluation.seat(seat_id)
        return cls(
            polar_of(evaluation, seat_id),
            set_form_of(evaluation, seat_id),
            along_plot(result) if result.seat.has_size else None,
            insights(state, evaluation, seat_id),
        )


def sets_with(plan: Plan, seat_id: str) -> tuple[Seat, ...]:
    """Return all sets of readings of the seat that a set belongs to."""
    return plan.sets_of(plan.seat(seat_id).same_seat_as or seat_id)


class Work(Protocol):
    """Does a job, now or in another thread; hands its result over in the caller's thread."""

    def __call__(self, job: Callable[[], T], then: Callable[[T], None]) -> None: ...


def at_once(job: Callable[[], T], then: Callable[[T], None]) -> None:
    """Do a job here and now."""
    then(job())


class Judgement:
    """The evaluation of an inspection, kept up with its state; one job at a time.

    Parameters
    ----------
    state : InspectionState
        Evaluated wholly, here and now.
    work : Work
    on_results : callable
        Called when newer results are there.
    """

    def __init__(self, state: InspectionState, work: Work, on_results: Callable[[], None]) -> None:
        self.evaluation: Evaluation = evaluate(state)
        self._plots: dict[str, Plots] = {}
        self._work = work
        self._on_results = on_results
        self._state = state
        self._stale: set[str] = set()
        self._is_busy = False

    def plots(self, seat_id: str) -> "Plots":
        """Return the plots of a seat, made now where they were not made beside the window."""
        found = self._plots.get(seat_id)
        if found is None:
            found = self._plots[seat_id] = Plots.of(self._state, self.evaluation, seat_id)
        return found

    @property
    def is_current(self) -> bool:
        """Whether the results are those of the newest state."""
        return not self._is_busy and not self._stale

    def take(self, state: InspectionState, seat_ids: set[str]) -> None:
        """Evaluate these seats anew, as they are in this state."""
        self._state = state
        self._stale |= seat_ids
        self._go_on()

    def _go_on(self) -> None:
        if self._is_busy or not self._stale:
            return
        before, state, seats = self.evaluation, self._state, sorted(self._stale)
        self._stale = set()
        self._is_busy = True

        def job() -> tuple[Evaluation, dict[str, Plots]]:
            results = before
            for seat_id in seats:
                results = evaluate_further(results, state, seat_id)
            # Sets of readings on one seat have a part in each other's plots.
            shown = {one.id for seat_id in seats for one in sets_with(state.plan, seat_id)}
            return results, {seat_id: Plots.of(state, results, seat_id) for seat_id in shown}

        self._work(job, lambda found: self._take_in(*found))

    def _take_in(self, evaluation: Evaluation, plots: dict[str, Plots]) -> None:
        self._is_busy = False
        self.evaluation = evaluation
        self._plots |= plots
        self._on_results()
        self._go_on()

"""One row of the table of benchmarks, and how times are taken."""

import statistics
import time
from collections.abc import Callable
from dataclasses import asdict, dataclass
from typing import Any


@dataclass(frozen=True)
class Row:
    """What was measured against which goal.

    `median` and `slowest_1_in_100` are in `unit`; `peer` is what the same run measured of another
    way to do it, and `ratio` how many times slower that was.
    """

    what: str
    goal: str
    unit: str
    median: float
    slowest_1_in_100: float | None = None
    peer: str = ""
    ratio: float | None = None
    met: bool | None = None

    def as_json(self) -> dict[str, Any]:
        return asdict(self)

    def cells(self) -> tuple[str, ...]:
        slowest = "" if self.slowest_1_in_100 is None else f"{self.slowest_1_in_100:.3g}"
        return (
            self.what,
            self.goal,
            f"{self.median:.3g} {self.unit}",
            slowest,
            self.peer,
            "" if self.ratio is None else f"{self.ratio:.3g}",
            {True: "met", False: "MISSED", None: ""}[self.met],
        )


def times_s(action: Callable[[], object], repeats: int) -> list[float]:
    """Return how long an action took, each time it was done."""
    taken = []
    for _ in range(repeats):
        start = time.perf_counter()
        action()
        taken.append(time.perf_counter() - start)
    return taken


def timed_row(what: str, goal_ms: float, action: Callable[[], object], repeats: int = 50) -> Row:
    """Time an action and hold its 99th percentile against a goal in milliseconds."""
    action()  # what is loaded once is not what is measured
    taken = [second * 1000 for second in times_s(action, repeats)]
    slowest = percentile(taken, 99)
    return Row(
        what=what,
        goal=f"99 of 100 below {goal_ms:g} ms",
        unit="ms",
        median=statistics.median(taken),
        slowest_1_in_100=slowest,
        met=slowest < goal_ms,
    )


def percentile(values: list[float], percent: float) -> float:
    """Return the value that so many per cent of the values do not exceed."""
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, int(len(ordered) * percent / 100))]

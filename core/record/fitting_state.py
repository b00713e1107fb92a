"""What is known of the fitting, and whether the measured seats were released for it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from seatproof.core.fitting.torque import Act, Loosened, Reordered, Tightened
from seatproof.core.record.entries import Entry
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
from seatproof.core.verdict.rule import Verdict

Work = Entry[BoltTightened] | Entry[BoltsLoosened] | Entry[OrderChosen]


@dataclass(frozen=True, slots=True)
class FittingState:
    """The fitting after the last event.

    `answers` and `threads` have, by step, all that was said, the newest last; `work` what was done
    to the bolts of a step, oldest first, with the orders chosen in between.
    """

    begun: Entry[FittingBegun] | None = None
    isolations: tuple[Entry[IsolationConfirmed], ...] = ()
    tools: tuple[Entry[ToolInService], ...] = ()
    answers: Mapping[str, tuple[Entry[StepAnswered], ...]] = field(default_factory=dict)
    threads: Mapping[str, tuple[Entry[ThreadNoted], ...]] = field(default_factory=dict)
    work: Mapping[str, tuple[Work, ...]] = field(default_factory=dict)

    def answer(self, step: str) -> StepAnswered | None:
        """Return the answer that counts."""
        given = self.answers.get(step, ())
        return given[-1].payload if given else None

    def thread(self, step: str) -> ThreadNoted | None:
        """Return the state of the threads as it was noted last."""
        noted = self.threads.get(step, ())
        return noted[-1].payload if noted else None

    def tool(self, inventory_number: str) -> ToolInService | None:
        """Return a tool as it was put in service last."""
        for entry in reversed(self.tools):
            if entry.payload.inventory_number == inventory_number:
                return entry.payload
        return None

    def acts(self, step: str) -> tuple[Act, ...]:
        """Return what was done to the bolts of a step, for `core/fitting/torque.follow`."""
        return tuple(_act(entry) for entry in self.work.get(step, ()))


def _act(entry: Work) -> Act:
    payload = entry.payload
    if isinstance(payload, OrderChosen):
        return Reordered(entry.seq, payload.stage, payload.order)
    if isinstance(payload, BoltsLoosened):
        return Loosened(entry.seq)
    return Tightened(
        seq=entry.seq,
        stage=payload.stage,
        bolt=payload.bolt,
        torque=None if payload.torque is None else Decimal(payload.torque),
        turned=payload.turned,
    )


def verdicts_under(content: Mapping[str, Any], seat_ids: Iterable[str]) -> list[str]:
    """Return the verdicts that a sealed evaluation has for these seats, as it was printed."""
    wanted = set(seat_ids)
    requirements = content.get("requirements", ())
    if not isinstance(requirements, list | tuple):
        return []
    return [
        str(line.get("verdict", ""))
        for line in requirements
        if isinstance(line, Mapping) and line.get("seat") in wanted
    ]


def conforms(verdicts: list[str]) -> bool:
    """Tell whether there is a verdict, and all are that the seat conforms."""
    return bool(verdicts) and all(verdict == Verdict.CONFORMS.value for verdict in verdicts)

"""What a state is made of: readings, parked presses, checks, and entries that need no more."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Final, Generic, Literal, TypeVar

from seatproof.core.plan.points import PointKey
from seatproof.core.record.events import Event
from seatproof.core.record.kinds import GaugeInService, Payload, Received, ReferenceCheck

OWED: Final = "reason owed"  # stands where a reason is still to be given

P = TypeVar("P", bound=Payload)


@dataclass(frozen=True, slots=True)
class Entry(Generic[P]):
    """A payload with the event that carries it."""

    event: Event
    payload: P

    @property
    def seq(self) -> int:
        return self.event.seq

    @property
    def moment(self) -> datetime:
        return self.event.moment

    @property
    def actor(self) -> str:
        return self.event.actor


@dataclass(frozen=True, slots=True)
class LoggedReading:
    """A reading on its point, with the gauge as it was in service, and what became of it.

    `replaced_by` is the event that superseded or withdrew it; `fate` says why. `owed_by` and
    `fate_owed_by` are the events that still owe the reasons of the one and the other.
    """

    seq: int
    moment: datetime
    actor: str
    key: PointKey
    received: Received
    gauge: GaugeInService
    reason: str = ""
    from_parked: int | None = None
    replaced_by: int | None = None
    fate: str = ""
    owed_by: int | None = None
    fate_owed_by: int | None = None

    @property
    def counts(self) -> bool:
        return self.replaced_by is None

    @property
    def value_mm(self) -> Decimal:
        return Decimal(self.received.value_mm)


@dataclass(frozen=True, slots=True)
class ParkedPress:
    """A press that waits for a decision, or had one.

    `cause` is the finding in a word and `fits` the seat that the value would fit, both empty where
    an older program parked it.
    """

    seq: int
    moment: datetime
    received: Received
    key: PointKey | None
    finding: str
    decided_by: int | None = None
    decision: str = ""
    cause: str = ""
    fits: str = ""

    @property
    def waits(self) -> bool:
        return self.decided_by is None


@dataclass(frozen=True, slots=True)
class RepeatWanted:
    """A further reading wanted at a point, because of the readings `about` that it had then."""

    seq: int
    why: str
    cause: Literal["trend", "spread", "person"]
    about: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class OwedReason:
    """A reason to be given before the seal; `what` says for which deed, as a clause."""

    seq: int
    what: str
    key: PointKey | None


@dataclass(frozen=True, slots=True)
class LoggedCheck:
    """A reference check of one gauge and what it says of it.

    `deviation_mm` is the mean of what the gauge showed minus what it should show. `drift_mm` is how
    that changed since the last good check of the same gauge on the same standard; None for the
    first, and after a check that was not good. `good` is False where drift, or without one the
    deviation itself, is beyond the plan's limit; it is True where the plan sets none.
    """

    seq: int
    moment: datetime
    actor: str
    check: ReferenceCheck
    value_mm: Decimal
    deviation_mm: Decimal
    drift_mm: Decimal | None
    good: bool

    @property
    def gauge(self) -> str:
        return self.check.gauge

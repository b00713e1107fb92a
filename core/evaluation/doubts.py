"""What takes a proof away: readings that do not carry it, whatever the numbers say."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import sqrt
from typing import Final, Self

from seatproof.core import figures
from seatproof.core.evaluation.sizes import LocalSize
from seatproof.core.form.quantiles import range_quantile
from seatproof.core.plan.model import Plan
from seatproof.core.plan.points import PointKey
from seatproof.core.plan.seat import Seat
from seatproof.core.record.gaps import Gap, GapKind
from seatproof.core.record.state import InspectionState
from seatproof.core.uncertainty.coverage import student_quantile
from seatproof.core.uncertainty.repeatability import Repeatability
from seatproof.core.units import UM_PER_MM
from seatproof.core.verdict.rule import Verdict

# Repeats that lie so far apart by chance once in a thousand points are worth another look.
_DISAGREEMENT: Final = 0.999


@dataclass(frozen=True, slots=True)
class Doubts:
    """Sentences, each of which is reason enough that nothing is proven to conform."""

    sentences: tuple[str, ...] = ()

    def applied(
        self, verdict: Verdict, reasons: tuple[str, ...]
    ) -> tuple[Verdict, tuple[str, ...]]:
        """Take a proof of conformity away and say why; what does not conform stays so."""
        if not self.sentences:
            return verdict, reasons
        return verdict.and_also(Verdict.NOT_PROVEN), (*reasons, *self.sentences)

    def and_also(self, other: "Doubts") -> "Doubts":
        """Return both together, each sentence once."""
        return Doubts(tuple(dict.fromkeys((*self.sentences, *other.sentences))))

    @classmethod
    def of_stated(cls, plan: Plan, seat: Seat, sizes: tuple[LocalSize, ...]) -> Self:
        """Gather the doubts where the plan states the uncertainty."""
        if not sizes:
            return cls()
        repeatability_um = float(plan.stated_uncertainty.repeatability_mm) * UM_PER_MM
        return cls(
            (
                *missing(seat, [size.readings for size in sizes]),
                *_disagreeing(plan, sizes, repeatability_um),
                *_too_warm(plan, sizes),
            )
        )


def from_record(
    state: InspectionState,
    points: Iterable[PointKey],
    gaps: Mapping[PointKey, tuple[Gap, ...]],
) -> tuple[Doubts, tuple[str, ...]]:
    """Return the doubts that gaps of the record cast on measured points, and notes beside them.

    A drift beyond its limit casts none where a deviation was noted for it in its very words; the
    deviation is then told.
    """
    accepted = {entry.payload.what: entry.payload.reason for entry in state.deviations}
    doubts: list[str] = []
    notes: list[str] = []
    for key in points:
        for gap in gaps.get(key, ()):
            if gap.kind is GapKind.DRIFT and gap.what in accepted:
                notes.append(f"Deviation: {gap.what} Accepted because: {accepted[gap.what]}")
            else:
                doubts.append(gap.what)
    return Doubts(tuple(dict.fromkeys(doubts))), tuple(dict.fromkeys(notes))


def missing(seat: Seat, readings: Sequence[int]) -> tuple[str, ...]:
    """Say which points are missing or short of readings, from those of each measured point."""
    doubts = []
    absent = len(seat.stations_mm) * len(seat.orientations_deg) - len(readings)
    if absent:
        points = "1 point is" if absent == 1 else f"{absent} points are"
        doubts.append(f"{points} not measured.")
    short = sum(count < seat.repeats for count in readings)
    if short:
        points = "1 point has" if short == 1 else f"{short} points have"
        doubts.append(f"{points} fewer readings than the plan asks for.")
    return tuple(doubts)


def _disagreeing(
    plan: Plan, sizes: tuple[LocalSize, ...], repeatability_um: float
) -> tuple[str, ...]:
    """Say where repeats lie further apart than their repeatability explains once in a thousand."""
    for size in sizes:
        if size.readings < 2:
            continue
        allowed_um = range_quantile(size.readings, _DISAGREEMENT) * repeatability_um
        if size.spread_um > allowed_um:
            return (_disagreement(plan, size, "more than the stated repeatability explains"),)
    return ()


def disagreeing_with_others(
    plan: Plan, sizes: tuple[LocalSize, ...], found: Repeatability | None, step_um: float
) -> tuple[str, ...]:
    """Say where repeats lie further apart than those of the other points explain.

    The scatter of the point itself is taken out of what was pooled; each of its pairs of readings
    is held against Student's t of the rest, with a share of the risk of one in a thousand.
    """
    if found is None:
        return ()
    for size in sizes:
        if size.readings < 2:
            continue
        dof = found.dof - (size.readings - 1)
        if dof < 1.0:
            continue
        rest = (found.standard_um**2 * found.dof - size.scatter_um2) / dof
        # Below its step a gauge shows no scatter, which does not mean that there is none.
        scatter_um = max(sqrt(max(rest, 0.0)), step_um / sqrt(12.0))
        pairs = size.readings * (size.readings - 1) / 2
        factor = student_quantile(1.0 - (1.0 - _DISAGREEMENT) / (2.0 * pairs), dof)
        if size.spread_um > sqrt(2.0) * factor * scatter_um:
            return (_disagreement(plan, size, "more than those of the other points explain"),)
    return ()


def _disagreement(plan: Plan, size: LocalSize, than: str) -> str:
    spread = figures.small(size.spread_um, plan.unit)
    return f"The readings at {size.key} lie {spread} apart, {than}; measure there again."


def _too_warm(plan: Plan, sizes: tuple[LocalSize, ...]) -> tuple[str, ...]:
    expanded_um = float(plan.stated_uncertainty.expanded_mm) * UM_PER_MM
    largest_um = max((size.correction_um for size in sizes), key=abs)
    if abs(largest_um) <= expanded_um:
        return ()
    correction = figures.small(largest_um, plan.unit, sign=True)
    return (
        f"The correction to 20 °C, {correction}, is larger than the stated U answers for; let "
        "shaft and gauge come closer to one temperature, and to 20 °C.",
    )

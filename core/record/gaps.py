"""What stands between a state and a clean seal, and which points it puts in doubt.

A gap is found from the record alone, without a clock, so that it is the same years later. What was
decided with a reason of its own (a point skipped, a press thrown away) is no gap.
"""

from collections.abc import Callable, Iterable, Mapping
from typing import Final

from seatproof.core import figures
from seatproof.core.plan.points import PointKey
from seatproof.core.record.equipment_gaps import EQUIPMENT_FINDERS
from seatproof.core.record.gap import Gap, GapKind, measured_on
from seatproof.core.record.inspection_state import InspectionState
from seatproof.core.units import UM_PER_MM

__all__ = ["Gap", "GapKind", "doubted", "gaps"]

_NAMED: Final = 6  # so many points are named in a sentence; the others are counted


def gaps(state: InspectionState) -> tuple[Gap, ...]:
    """Return what stands between an inspection and a clean seal, most elementary first.

    It does not ask whether the inspection is sealed: after a seal it is what stood open then.
    """
    return tuple(gap for find in _FINDERS for gap in find(state))


def doubted(state: InspectionState) -> Mapping[PointKey, tuple[Gap, ...]]:
    """Return, for each measured point that a gap touches, the gaps that touch it."""
    touched: dict[PointKey, tuple[Gap, ...]] = {}
    for find in _DOUBTING:
        for gap in find(state):
            for key in gap.points:
                if state.counting.get(key):
                    touched[key] = (*touched.get(key, ()), gap)
    return touched


# --- what was never begun -------------------------------------------------------------------------


def _gauge(state: InspectionState) -> Iterable[Gap]:
    if state.gauge is None:
        yield Gap(GapKind.GAUGE, "No gauge was put in service.")


def _cautions(state: InspectionState) -> Iterable[Gap]:
    if not state.cautions:
        yield Gap(GapKind.CAUTIONS, "The cautions were not acknowledged.", reason_may_close=False)


def _conditions(state: InspectionState) -> Iterable[Gap]:
    for seat in state.seats:
        if seat.same_seat_as is not None:
            continue
        open_checks = [
            check for check in state.plan.conditions if (seat.id, check) not in state.conditions
        ]
        if open_checks:
            named = "; ".join(open_checks)
            yield Gap(
                GapKind.CONDITION,
                f"The condition of seat {seat.id} was not answered: {named}.",
                measured_on(state, {other.id for other in state.plan.sets_of(seat.id)}),
            )


# --- points and presses ---------------------------------------------------------------------------


def _missing(state: InspectionState) -> Iterable[Gap]:
    keys = tuple(
        point.key
        for point in state.open_points()
        if len(state.counting.get(point.key, ())) < state.plan.seat(point.seat_id).repeats
    )
    if len(keys) == 1:
        yield Gap(
            GapKind.MISSING,
            f"Point {keys[0]} is not measured; measure it, or skip it with a reason.",
            keys,
        )
    elif keys:
        yield Gap(
            GapKind.MISSING,
            f"{len(keys)} points are not measured ({_names(keys)}); "
            "measure them, or skip each with a reason.",
            keys,
        )


def _parked(state: InspectionState) -> Iterable[Gap]:
    waiting = len(state.waiting_presses())
    if waiting:
        presses = "1 parked press waits" if waiting == 1 else f"{waiting} parked presses wait"
        yield Gap(GapKind.PARKED, f"{presses} for a decision.")


def _owed(state: InspectionState) -> Iterable[Gap]:
    for owed in state.owed.values():
        yield Gap(
            GapKind.OWED,
            f"A reason is owed for event {owed.seq}: {owed.what}; give it.",
            reason_may_close=False,
        )


def _repeats(state: InspectionState) -> Iterable[Gap]:
    for key in state.repeats:
        wanted = state.repeats_wanted(key)
        count = len(state.counting.get(key, ()))
        if wanted and count >= state.plan.seat(key.seat_id).repeats and not state.is_complete(key):
            yield Gap(
                GapKind.REPEAT,
                f"Point {key} was to be measured once more, and was not: {wanted[-1].why}",
                (key,),
            )


def _spread(state: InspectionState) -> Iterable[Gap]:
    limited = {
        seat.id: seat.repeat_spread_mm for seat in state.seats if seat.repeat_spread_mm is not None
    }
    if not limited:
        return
    unit = state.plan.unit
    for key, seqs in state.counting.items():
        limit_mm = limited.get(key.seat_id)
        if limit_mm is None or len(seqs) < 2:
            continue
        values_mm = [state.readings[seq].value_mm for seq in seqs]
        spread_mm = max(values_mm) - min(values_mm)
        if spread_mm > limit_mm:
            spread = figures.small(float(spread_mm) * UM_PER_MM, unit)
            yield Gap(
                GapKind.SPREAD,
                f"The readings at {key} differ by {spread}, and the plan allows "
                f"{figures.tolerance(float(limit_mm) * UM_PER_MM, unit)}; measure again, or take "
                "back the one that is wrong.",
                (key,),
            )


def _names(keys: tuple[PointKey, ...]) -> str:
    names = ", ".join(str(key) for key in keys[:_NAMED])
    return f"{names} and {len(keys) - _NAMED} more" if len(keys) > _NAMED else names


_Finder = Callable[[InspectionState], Iterable[Gap]]
_DOUBTING: Final[tuple[_Finder, ...]] = (_repeats, _spread, _conditions, *EQUIPMENT_FINDERS)
_FINDERS: Final[tuple[_Finder, ...]] = (_gauge, _cautions, _missing, _parked, _owed, *_DOUBTING)

"""The results of a sealed inspection's seats, as a trend compares them."""

from collections.abc import Sequence
from dataclasses import astuple, dataclass
from typing import TYPE_CHECKING, Any

from seatproof.core.form.errors import FormError
from seatproof.core.plan.errors import PlanError
from seatproof.core.record.errors import RecordError
from seatproof.core.record.events import Event
from seatproof.core.record.state import fold

if TYPE_CHECKING:
    from seatproof.core.evaluation.evaluate import SeatEvaluation


@dataclass(frozen=True, slots=True)
class SeatResult:
    """What one inspection found at one seat.

    Sizes are local sizes (ISO 14405-1) in mm at 20 °C. `roundness_um` is the radial figure that was
    judged; `ovality_um` the largest two-point ovality of a station, diametral; `taper_um` over the
    length of the seat, positive where the end away from the datum face is larger. None: not
    determined by the readings. `unit` is that of the plan, in which people read it: mm or in.
    """

    seat: str
    evaluation_version: int
    nominal_mm: float
    lower_mm: float | None
    upper_mm: float | None
    verdict: str
    mean_mm: float | None
    smallest_mm: float | None
    largest_mm: float | None
    roundness_um: float | None
    ovality_um: float | None
    taper_um: float | None
    unit: str

    def as_row(self) -> tuple[Any, ...]:
        return astuple(self)


def seat_results(events: Sequence[Event]) -> tuple[SeatResult, ...]:
    """Evaluate an inspection as its events stand, seat by seat; none where it cannot be read."""
    # The numerics take long to load, and only a seal needs them.
    from seatproof.core.evaluation.evaluate import evaluate

    try:
        evaluation = evaluate(fold(events))
    except (RecordError, PlanError, FormError, ArithmeticError, ValueError):
        return ()  # altered, or of a newer program: whoever opens it is told so
    return tuple(_result(seat) for seat in evaluation.seats)


def _result(of: "SeatEvaluation") -> SeatResult:
    from seatproof.core.evaluation.evaluate import EVALUATION_VERSION
    from seatproof.core.evaluation.requirement import Characteristic

    seat = of.seat
    lower_mm, upper_mm = seat.limits_mm if seat.has_size else (None, None)
    ovalities = [
        station.ovality.ovality_um for station in of.stations if station.ovality is not None
    ]
    roundness = [
        requirement.largest_um
        for requirement in of.requirements
        if requirement.characteristic is Characteristic.ROUNDNESS
    ]
    return SeatResult(
        seat=seat.id,
        evaluation_version=EVALUATION_VERSION,
        nominal_mm=float(seat.nominal_mm),
        lower_mm=None if lower_mm is None else float(lower_mm),
        upper_mm=None if upper_mm is None else float(upper_mm),
        verdict=of.verdict.value,
        mean_mm=of.mean_mm,
        smallest_mm=None if of.smallest is None else of.smallest.size_mm,
        largest_mm=None if of.largest is None else of.largest.size_mm,
        roundness_um=roundness[0] if roundness else None,
        ovality_um=max(ovalities, default=None),
        taper_um=None if of.taper is None else of.taper.over(float(seat.length_mm)),
        unit=of.unit.value,
    )

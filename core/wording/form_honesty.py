"""What few readings and noise do to the form figures of a seat, said beside its form plot."""

from seatproof.core import figures
from seatproof.core.evaluation.evaluate import SeatEvaluation
from seatproof.core.evaluation.sizes import StationResult
from seatproof.core.form.caveats import FormCaveats, form_caveats
from seatproof.core.form.errors import FormError
from seatproof.core.form.setup import TWO_POINT
from seatproof.core.plan.model import Plan
from seatproof.core.plan.uncertainty import StatedUncertainty
from seatproof.core.uncertainty.repeatability import READING_STEP, REPEATABILITY
from seatproof.core.units import UM_PER_MM
from seatproof.core.words import Words


def form_notes(plan: Plan, result: SeatEvaluation, say: Words) -> tuple[str, ...]:
    """Say how much of the form so few diameters show, and what noise alone would.

    For the station with the largest range, at the orientations it was measured at; nothing where
    its readings do not determine it.
    """
    if not result.stations or result.seat.method != "two-point":
        return ()
    station = max(result.stations, key=lambda station: station.range_um)
    caveats = _caveats(station, repeatability_um(plan, result))
    if caveats is None:
        return ()
    notes = [
        say(
            "Few readings read low: {count} diameters at a station show {low} to {high} of the "
            "roundness of usual shafts.",
            count=str(caveats.readings),
            low=f"{caveats.loss.low * 100:.0f}\u00a0%",
            high=f"{caveats.loss.high * 100:.0f}\u00a0%",
        )
    ]
    if caveats.noise is not None and caveats.repeatability is not None:
        shown = figures.small(caveats.shown * UM_PER_MM, plan.unit)
        notes.append(
            say(
                "Noise reads high: with a standard deviation of {deviation}, 1 in 20 perfectly "
                "round sections shows a half range (radial) of more than {noise}; the largest "
                "found here is {shown}.",
                deviation=figures.small(caveats.repeatability * UM_PER_MM, plan.unit),
                noise=figures.small(caveats.noise.upper * UM_PER_MM, plan.unit),
                shown=shown,
            )
        )
    return tuple(notes)


def repeatability_um(plan: Plan, result: SeatEvaluation) -> float | None:
    """Return the standard deviation of a local size that each has for itself, where it is known."""
    if isinstance(plan.uncertainty, StatedUncertainty):
        return float(plan.uncertainty.repeatability_mm) * UM_PER_MM
    if result.budget is None:
        return None
    for row in result.budget.rows:
        if row.name.startswith((REPEATABILITY, READING_STEP)):
            return row.standard_um
    return None


def _caveats(station: StationResult, deviation_um: float | None) -> FormCaveats | None:
    try:
        return form_caveats(
            [size.point.angle_deg for size in station.sizes],
            [size.size_mm for size in station.sizes],
            TWO_POINT,
            None if deviation_um is None else deviation_um / UM_PER_MM,
        )
    except FormError:  # too few, or all at one orientation: the plot says so by what it shows
        return None

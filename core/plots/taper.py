"""The taper plot with its confidence band and the generatrices by orientation, as data."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from seatproof.core.evaluation.evaluate import SeatEvaluation
from seatproof.core.evaluation.requirement import Characteristic
from seatproof.core.form.arrays import FloatArray
from seatproof.core.units import UM_PER_MM

CONFIDENCE: Final = 0.95
_STEPS: Final = 41


@dataclass(frozen=True, slots=True)
class Generatrix:
    """The local sizes of one orientation along the seat; departures in µm, diametral."""

    orientation: int
    angle_deg: float
    z_mm: tuple[float, ...]
    departure_um: tuple[float, ...]
    stations: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class TaperPlot:
    """Departures from the nominal diameter (µm, diametral) along the seat.

    `band_z_mm`, `band_low_um` and `band_high_um` bound the fitted line with 95 % confidence, from
    the scatter of the stations about it; empty where nothing is left over to tell it.
    `expanded_um` is the U of what the plan judges the size by.
    """

    nominal_mm: float
    from_mm: float
    to_mm: float
    lower_um: float | None
    upper_um: float | None
    guard_um: float
    means: tuple[tuple[int, float, float], ...]
    expanded_um: float | None
    judged: str
    line: tuple[tuple[float, float], ...]
    band_z_mm: FloatArray
    band_low_um: FloatArray
    band_high_um: FloatArray
    taper_um: float | None
    tolerance_um: float | None
    generatrices: tuple[Generatrix, ...]


def taper_plot(evaluation: SeatEvaluation) -> TaperPlot:
    """Make the plot of a seat whose readings are sizes."""
    seat = evaluation.seat
    nominal_mm = float(seat.nominal_mm)
    from_mm, to_mm = float(seat.from_mm), float(seat.to_mm)

    def departure(size_mm: float) -> float:
        return (size_mm - nominal_mm) * UM_PER_MM

    size = None
    lower_um = upper_um = None
    if seat.has_size:
        size = evaluation.requirement(Characteristic.SIZE)
        lower_um, upper_um = size.lower_um, size.upper_um
    fit = evaluation.taper
    z_mm = np.empty(0)
    low = high = np.empty(0)
    if fit is not None and fit.confidence_half_width_um(from_mm, CONFIDENCE) is not None:
        z_mm = np.linspace(from_mm, to_mm, _STEPS)
        middle = np.array([departure(fit.diameter_at(float(z))) for z in z_mm])
        half = np.array([fit.confidence_half_width_um(float(z), CONFIDENCE) for z in z_mm])
        low, high = middle - half, middle + half
    return TaperPlot(
        nominal_mm=nominal_mm,
        from_mm=from_mm,
        to_mm=to_mm,
        lower_um=lower_um,
        upper_um=upper_um,
        guard_um=0.0 if size is None else size.guard_um,
        means=tuple((one.station, one.z_mm, departure(one.mean_mm)) for one in evaluation.stations),
        expanded_um=None if size is None else size.expanded_um,
        judged="" if size is None else size.judged,
        line=()
        if fit is None
        else tuple((z, departure(fit.diameter_at(z))) for z in (from_mm, to_mm)),
        band_z_mm=z_mm,
        band_low_um=low,
        band_high_um=high,
        taper_um=None if fit is None else fit.over(to_mm - from_mm),
        tolerance_um=_tolerance(evaluation),
        generatrices=_generatrices(evaluation),
    )


def _tolerance(evaluation: SeatEvaluation) -> float | None:
    try:
        return evaluation.requirement(Characteristic.TAPER).upper_um
    except KeyError:
        return None


def _generatrices(evaluation: SeatEvaluation) -> tuple[Generatrix, ...]:
    nominal_mm = float(evaluation.seat.nominal_mm)
    lines = []
    for orientation, angle_deg in enumerate(evaluation.seat.orientations_deg, start=1):
        along = sorted(
            (size for size in evaluation.sizes if size.point.orientation == orientation),
            key=lambda size: size.point.z_mm,
        )
        if along:
            lines.append(
                Generatrix(
                    orientation,
                    float(angle_deg),
                    tuple(size.point.z_mm for size in along),
                    tuple((size.size_mm - nominal_mm) * UM_PER_MM for size in along),
                    tuple(size.point.station for size in along),
                )
            )
    return tuple(lines)

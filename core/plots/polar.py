"""The polar form plot as data: deviations from the mean circle, magnified, with tolerance band.

Deviations are radial, in µm, from the mean circle of the station. Two-point data show a diameter,
so that half its deviation stands at both of its ends; the curve is the fitted second undulation.
"""

from collections.abc import Iterable
from math import cos, radians
from typing import Final

from pydantic import BaseModel, ConfigDict

from seatproof.core.evaluation.evaluate import SeatEvaluation
from seatproof.core.evaluation.sizes import StationResult
from seatproof.core.plots.steps import step_above, step_below
from seatproof.core.units import UM_PER_MM, Unit

# Deviations fill at most this part of the circle's radius: more, and the circle is no circle.
_ROOM: Final = 0.3
_CURVE_STEP_DEG: Final = 5


class PolarTrace(BaseModel):
    """One station: measured deviations at both ends of every diameter, and the fitted curve."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    station: int
    label: str
    angles_deg: tuple[float, ...]
    deviations_um: tuple[float, ...]
    curve_deg: tuple[float, ...] = ()
    curve_um: tuple[float, ...] = ()


class PolarPlot(BaseModel):
    """A polar form plot.

    `magnification` is how many times larger deviations are drawn than the circle itself: a
    deviation d on a circle of radius r stands at the relative distance 1 + magnification·d/r.
    `grid_um` is the distance between grid circles; `band_um` the roundness tolerance zone, inner
    and outer edge, where the seat has one.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    traces: tuple[PolarTrace, ...]
    radius_mm: float
    magnification: int
    grid_um: float
    band_um: tuple[float, float] | None

    def relative(self, deviation_um: float) -> float:
        """Return where a deviation is drawn, in radii of the mean circle."""
        deviation_mm = deviation_um / UM_PER_MM
        return float(1.0 + self.magnification * deviation_mm / self.radius_mm)


def polar_plot(evaluation: SeatEvaluation, stations: Iterable[int] | None = None) -> PolarPlot:
    """Make the polar plot of a seat's stations, all of them or those named."""
    wanted = None if stations is None else set(stations)
    results = [
        result for result in evaluation.stations if wanted is None or result.station in wanted
    ]
    traces = tuple(_trace(result) for result in results)
    seat = evaluation.seat
    radius_mm = float(seat.nominal_mm) / 2.0
    tolerance_um = seat.roundness.radial_um(seat.nominal_mm) if seat.roundness else None
    band = _band(traces, tolerance_um) if tolerance_um is not None else None
    extent_um = _extent(traces, band)
    room_um = _ROOM * radius_mm * UM_PER_MM
    magnification = max(1, round(step_below(room_um / extent_um)))
    # A round figure in the plan's own unit: screen and sheet letter it.
    unit_um = float(evaluation.unit.in_mm) * UM_PER_MM if evaluation.unit is Unit.INCH else 1.0
    grid_um = step_above(room_um / magnification / 4.0 / unit_um) * unit_um
    return PolarPlot(
        traces=traces,
        radius_mm=radius_mm,
        magnification=magnification,
        grid_um=grid_um,
        band_um=band,
    )


def _trace(result: StationResult) -> PolarTrace:
    centre_mm = result.ovality.mean_mm if result.ovality is not None else result.mean_mm
    one_side = [
        (size.point.angle_deg, (size.size_mm - centre_mm) * UM_PER_MM / 2.0)
        for size in result.sizes
    ]
    both = sorted(
        [*one_side, *((angle_deg + 180.0, deviation) for angle_deg, deviation in one_side)]
    )
    curve: tuple[tuple[float, float], ...] = ()
    if result.ovality is not None:
        fit = result.ovality
        curve = tuple(
            (
                float(angle_deg),
                fit.ovality_um / 4.0 * cos(2.0 * radians(angle_deg - fit.major_axis_deg)),
            )
            for angle_deg in range(0, 360, _CURVE_STEP_DEG)
        )
    return PolarTrace(
        station=result.station,
        label=f"station {result.station}",
        angles_deg=tuple(round(angle_deg, 3) for angle_deg, _ in both),
        deviations_um=tuple(round(deviation, 3) for _, deviation in both),
        curve_deg=tuple(round(angle_deg, 3) for angle_deg, _ in curve),
        curve_um=tuple(round(deviation, 3) for _, deviation in curve),
    )


def _extent(traces: tuple[PolarTrace, ...], band: tuple[float, float] | None) -> float:
    """Return the largest deviation to be drawn, at least a micrometre."""
    drawn = [value for trace in traces for value in (*trace.deviations_um, *trace.curve_um)]
    drawn += band or ()
    return max([1.0, *(abs(value) for value in drawn)])


def _band(traces: tuple[PolarTrace, ...], tolerance_um: float) -> tuple[float, float]:
    """Lay the tolerance zone so that what was found lies in its middle."""
    found = [value for trace in traces for value in trace.deviations_um]
    middle = (min(found) + max(found)) / 2.0 if found else 0.0
    return round(middle - tolerance_um / 2.0, 3), round(middle + tolerance_um / 2.0, 3)

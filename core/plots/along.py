"""The plot of diameter along the seat as data: limits, local sizes, station means, fitted line."""

from pydantic import BaseModel, ConfigDict

from seatproof.core.evaluation.evaluate import SeatEvaluation
from seatproof.core.evaluation.requirement import Characteristic
from seatproof.core.units import UM_PER_MM


class SizeMark(BaseModel):
    """One local size: where it lies, and its departure from the nominal size."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    station: int
    orientation: int
    z_mm: float
    departure_um: float


class AlongPlot(BaseModel):
    """Departures from the nominal diameter (µm, diametral) over the axial position (mm).

    `line` holds the two ends of the fitted taper line, at the ends of the seat; empty where there
    is none. `guard_um` is the guard band that the decision rule lays on both sides of each limit.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    nominal_mm: float
    from_mm: float
    to_mm: float
    lower_um: float
    upper_um: float
    guard_um: float
    sizes: tuple[SizeMark, ...]
    means: tuple[tuple[float, float], ...]
    line: tuple[tuple[float, float], ...]

    def extent_um(self) -> tuple[float, float]:
        """Return the lowest and highest departure to be shown, limits and guard bands included."""
        shown = [self.lower_um - self.guard_um, self.upper_um + self.guard_um]
        shown += [size.departure_um for size in self.sizes]
        shown += [departure for _, departure in (*self.means, *self.line)]
        return min(shown), max(shown)


def along_plot(evaluation: SeatEvaluation) -> AlongPlot:
    """Make the plot of a seat."""
    seat = evaluation.seat
    nominal_mm = float(seat.nominal_mm)
    from_mm, to_mm = float(seat.from_mm), float(seat.to_mm)

    def departure(size_mm: float) -> float:
        return round((size_mm - nominal_mm) * UM_PER_MM, 3)

    line: tuple[tuple[float, float], ...] = ()
    if evaluation.taper is not None:
        taper = evaluation.taper
        line = tuple((z_mm, departure(taper.diameter_at(z_mm))) for z_mm in (from_mm, to_mm))
    lower_mm, upper_mm = seat.limits_mm
    return AlongPlot(
        nominal_mm=nominal_mm,
        from_mm=from_mm,
        to_mm=to_mm,
        lower_um=departure(float(lower_mm)),
        upper_um=departure(float(upper_mm)),
        guard_um=round(evaluation.requirement(Characteristic.SIZE).guard_um, 3),
        sizes=tuple(
            SizeMark(
                station=size.point.station,
                orientation=size.point.orientation,
                z_mm=round(size.point.z_mm, 4),
                departure_um=departure(size.size_mm),
            )
            for size in evaluation.sizes
        ),
        means=tuple(
            (round(station.z_mm, 4), departure(station.mean_mm)) for station in evaluation.stations
        ),
        line=line,
    )

"""Local sizes and station results of a seat, from the readings that count."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from math import pi
from statistics import median
from typing import Final, Literal

from seatproof.core.form.errors import FormError
from seatproof.core.form.twopoint import OvalityFit, fit_ovality
from seatproof.core.plan.points import Point, PointKey
from seatproof.core.plan.seat import Seat
from seatproof.core.record.kinds import GaugeInService, Temperatures
from seatproof.core.record.state import InspectionState, LoggedReading
from seatproof.core.uncertainty.gauge import (
    CurvePoint,
    Evidence,
    GaugeFacts,
    SettingStandard,
    indication,
)
from seatproof.core.units import REFERENCE_TEMPERATURE_C, UM_PER_MM, Unit, to_mm
from seatproof.core.verdict.limits import exact

RepeatValue = Literal["mean", "median", "largest"]

_REFERENCE_C: Final = Decimal(str(REFERENCE_TEMPERATURE_C))
_ONE: Final = Decimal(1)


@dataclass(frozen=True, slots=True)
class LocalSize:
    """The two-point size (ISO 14405-1) at one point, from the readings that count there.

    Attributes
    ----------
    point : Point
    size_mm : float
        Their mean, or what else the plan makes of repeats; at 20 °C where temperatures were noted,
        otherwise as read; with the error curve of the gauge's certificate, where that is applied.
    readings : int
    spread_um : float
        The largest minus the smallest of them.
    correction_um : float
        What was added for 20 °C.
    curve_um : float
        What was added for the gauge's error of indication.
    worth : float
        How many readings the size is worth: all of them in a mean, 2/π of them in a median of
        three or more, one where the largest counts.
    scatter_um2 : float
        Sum of the squares of their distances from their mean.
    """

    point: Point
    size_mm: float
    readings: int
    spread_um: float
    correction_um: float
    curve_um: float = 0.0
    worth: float = 1.0
    scatter_um2: float = 0.0

    @property
    def key(self) -> PointKey:
        return self.point.key


@dataclass(frozen=True, slots=True)
class StationResult:
    """One station: its local sizes, their mean, range, and ovality where they determine it.

    `range_um` and the ovality are diametral. `missing` counts orientations without a value.
    """

    station: int
    z_mm: float
    sizes: tuple[LocalSize, ...]
    missing: int
    mean_mm: float
    range_um: float
    ovality: OvalityFit | None
    why_no_ovality: str

    @property
    def readings(self) -> float:
        """How many readings the mean is worth."""
        return readings_behind([size.worth for size in self.sizes])


def local_sizes(state: InspectionState, seat: Seat) -> tuple[LocalSize, ...]:
    """Return the local sizes of a seat, in the order of the walk; unmeasured points are absent.

    A seat whose readings are no sizes (an indicator's) has none.
    """
    if seat.method != "two-point":
        return ()
    found = (_local_size(state, seat, point) for point in state.plan.points_of(seat.id))
    return tuple(size for size in found if size is not None)


def local_size_at(state: InspectionState, key: PointKey) -> LocalSize | None:
    """Return the local size at one point, just as `local_sizes` does; None where there is none."""
    seat = state.plan.seat(key.seat_id)
    if seat.method != "two-point":
        return None
    z_mm = seat.stations_mm[key.station - 1]
    angle_deg = seat.orientations_deg[key.orientation - 1]
    return _local_size(state, seat, Point(key, float(z_mm), float(angle_deg)))


def noted_before(state: InspectionState, seq: int) -> tuple[int, Temperatures] | None:
    """Return the temperatures noted last before a reading, with the event that noted them."""
    return next((noted for noted in reversed(state.temperatures) if noted[0] < seq), None)


def curve_correction_um(gauge: GaugeInService, size_mm: float) -> float:
    """Return what the gauge's certificate, where it is to be used, has one add to a size."""
    if gauge.evidence != "certificate" or not gauge.error_curve:
        return 0.0
    return indication(gauge_facts(gauge), size_mm).correction_um


def gauge_facts(gauge: GaugeInService, standard: SettingStandard | None = None) -> GaugeFacts:
    """Return what the record says of a gauge, in micrometres."""
    travel_mm = None
    if gauge.range_from_mm is not None and gauge.range_to_mm is not None:
        travel_mm = float(Decimal(gauge.range_to_mm) - Decimal(gauge.range_from_mm))
    step_mm = to_mm(Decimal(gauge.resolution), Unit(gauge.unit))
    return GaugeFacts(
        step_um=float(step_mm) * UM_PER_MM,
        permissible_error_um=(
            None
            if gauge.permissible_error_mm is None
            else float(gauge.permissible_error_mm) * UM_PER_MM
        ),
        travel_mm=travel_mm if travel_mm is not None and travel_mm > 0.0 else None,
        curve=tuple(
            CurvePoint(
                float(point.size_mm),
                float(point.error_mm) * UM_PER_MM,
                float(point.expanded_mm) * UM_PER_MM,
                float(point.coverage_factor),
            )
            for point in gauge.error_curve
        ),
        standard=standard,
        evidence=Evidence(gauge.evidence),
    )


def _local_size(state: InspectionState, seat: Seat, point: Point) -> LocalSize | None:
    readings = state.readings_at(point.key)
    if not readings:
        return None
    raw = [reading.value_mm for reading in readings]
    factors = [_reference_factor(state, reading) for reading in readings]
    at_20 = [value * factor for value, factor in zip(raw, factors, strict=True)]
    curve_um = 0.0
    if state.plan.uncertainty.method == "budget":
        curve_um = curve_correction_um(readings[-1].gauge, float(raw[-1]))
    size = REPEAT_VALUES[seat.repeat_value](at_20)
    return LocalSize(
        point=point,
        size_mm=float(size + Decimal(repr(curve_um)) / 1000) if curve_um else float(size),
        readings=len(readings),
        spread_um=float(max(raw) - min(raw)) * UM_PER_MM,
        correction_um=float(size - REPEAT_VALUES[seat.repeat_value](raw)) * UM_PER_MM,
        curve_um=curve_um,
        worth=worth_of(seat.repeat_value, len(readings)),
        scatter_um2=_scatter_um2(raw),
    )


def station_results(seat: Seat, sizes: tuple[LocalSize, ...]) -> tuple[StationResult, ...]:
    """Gather local sizes by station; stations without any value are absent."""
    by_station: dict[int, list[LocalSize]] = {}
    for size in sizes:
        by_station.setdefault(size.point.key.station, []).append(size)
    results = []
    for station, z_mm in enumerate(seat.stations_mm, start=1):
        here = tuple(by_station.get(station, ()))
        if not here:
            continue
        values = [size.size_mm for size in here]
        ovality, why = _ovality(here)
        results.append(
            StationResult(
                station=station,
                z_mm=float(z_mm),
                sizes=here,
                missing=len(seat.orientations_deg) - len(here),
                mean_mm=mean(values),
                range_um=difference_um(max(values), min(values)),
                ovality=ovality,
                why_no_ovality=why,
            )
        )
    return tuple(results)


def mean(values: list[float]) -> float:
    """Return the mean of values taken as the decimals they were read as, rounded once.

    A mean that lies on a limit is then on the limit; the mean of binary fractions often lies beside
    it in the last place.

    >>> mean([110.012] * 7), mean([99.994, 99.997, 100.000])
    (110.012, 99.997)
    """
    return float(exact_mean([exact(value) for value in values]))


def difference_um(larger_mm: float, smaller_mm: float) -> float:
    """Return a difference of two lengths taken as the decimals they were read as, µm.

    >>> difference_um(99.995, 99.990), (99.995 - 99.990) * 1000 == 5.0
    (5.0, False)
    """
    return float((exact(larger_mm) - exact(smaller_mm)) * 1000)


def readings_behind(readings: Sequence[float]) -> float:
    """Return how many readings a mean of means is worth.

    Its variance is that of one reading divided by this number.

    >>> readings_behind([2, 2, 2]), readings_behind([1, 3])
    (6.0, 3.0)
    """
    return len(readings) ** 2 / sum(1.0 / number for number in readings)


def _scatter_um2(values: list[Decimal]) -> float:
    if len(values) == 1:
        return 0.0
    middle = exact_mean(values)
    return sum((float(value - middle) * UM_PER_MM) ** 2 for value in values)


def exact_mean(values: list[Decimal]) -> Decimal:
    """Return the mean of decimals."""
    return sum(values, Decimal(0)) / len(values)


REPEAT_VALUES: Final[dict[RepeatValue, Callable[[list[Decimal]], Decimal]]] = {
    "mean": exact_mean,
    "median": median,
    "largest": max,
}


def worth_of(repeat_value: RepeatValue, readings: int) -> float:
    """Return how many readings a size is worth by what the plan makes of them."""
    if repeat_value == "largest":
        return 1.0
    if repeat_value == "median" and readings > 2:
        return 2.0 / pi * readings  # of many normal values; of a few a median is worth more
    return float(readings)


def _ovality(sizes: tuple[LocalSize, ...]) -> tuple[OvalityFit | None, str]:
    try:
        fit = fit_ovality(
            [size.point.angle_deg for size in sizes], [size.size_mm for size in sizes]
        )
    except FormError as error:
        return None, str(error)
    return fit, ""


def _reference_factor(state: InspectionState, reading: LoggedReading) -> Decimal:
    """Return what reduces a reading to 20 °C (ISO 1); 1 where no temperatures were noted.

    d20 = x · [1 + α_gauge·(t_gauge − 20) − α_shaft·(t_shaft − 20)]: a warm gauge shows less than
    is there, a warm shaft is larger than it will be.
    """
    noted = noted_before(state, reading.seq)
    if noted is None:
        return _ONE
    return _factor(
        noted[1].shaft_c,
        noted[1].gauge_c,
        state.plan.shaft.expansion_per_kelvin,
        reading.gauge.expansion_per_kelvin,
    )


@lru_cache(maxsize=64)  # the same for all readings between two notes
def _factor(shaft_c: str, gauge_c: str, shaft_expansion: Decimal, gauge_expansion: str) -> Decimal:
    gauge_part = Decimal(gauge_expansion) * (Decimal(gauge_c) - _REFERENCE_C)
    shaft_part = shaft_expansion * (Decimal(shaft_c) - _REFERENCE_C)
    return 1 + gauge_part - shaft_part

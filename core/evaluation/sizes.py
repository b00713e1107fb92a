"""Local sizes and station results of a seat, from the readings that count."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from seatproof.core.form.errors import FormError
from seatproof.core.form.twopoint import OvalityFit, fit_ovality
from seatproof.core.plan.points import Point, PointKey
from seatproof.core.plan.seat import Seat
from seatproof.core.record.kinds import Temperatures
from seatproof.core.record.state import InspectionState, LoggedReading
from seatproof.core.units import REFERENCE_TEMPERATURE_C, UM_PER_MM

_REFERENCE_C = Decimal(str(REFERENCE_TEMPERATURE_C))


@dataclass(frozen=True, slots=True)
class LocalSize:
    """The two-point size (ISO 14405-1) at one point: the mean of the readings that count there.

    `size_mm` is at 20 °C where temperatures were noted, otherwise as read; `correction_um` is what
    was added for that. `spread_um` is the largest minus the smallest of the repeats.
    """

    point: Point
    size_mm: float
    readings: int
    spread_um: float
    correction_um: float

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
        return readings_behind([size.readings for size in self.sizes])


def local_sizes(state: InspectionState, seat: Seat) -> tuple[LocalSize, ...]:
    """Return the local sizes of a seat, in the order of the walk; unmeasured points are absent."""
    noted = dict(state.temperatures)
    sizes = []
    for point in state.plan.points_of(seat.id):
        readings = state.readings_at(point.key)
        if not readings:
            continue
        raw = [reading.value_mm for reading in readings]
        at_20 = [
            _at_reference(
                reading,
                _temperatures_at(noted, reading.seq),
                state.plan.shaft.expansion_per_kelvin,
                Decimal(reading.gauge.expansion_per_kelvin),
            )
            for reading in readings
        ]
        mean_raw, mean_20 = _exact_mean(raw), _exact_mean(at_20)
        sizes.append(
            LocalSize(
                point=point,
                size_mm=float(mean_20),
                readings=len(readings),
                spread_um=float(max(raw) - min(raw)) * UM_PER_MM,
                correction_um=float(mean_20 - mean_raw) * UM_PER_MM,
            )
        )
    return tuple(sizes)


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
                range_um=(max(values) - min(values)) * UM_PER_MM,
                ovality=ovality,
                why_no_ovality=why,
            )
        )
    return tuple(results)


def mean(values: list[float]) -> float:
    """Return the mean as if computed exactly: equal values give just that value.

    >>> mean([110.012] * 7)
    110.012
    """
    return float(_exact_mean([Decimal(value) for value in values]))


def readings_behind(readings: Sequence[float]) -> float:
    """Return how many readings a mean of means is worth.

    Its variance is that of one reading divided by this number.

    >>> readings_behind([2, 2, 2]), readings_behind([1, 3])
    (6.0, 3.0)
    """
    return len(readings) ** 2 / sum(1.0 / number for number in readings)


def _exact_mean(values: list[Decimal]) -> Decimal:
    return sum(values, Decimal(0)) / len(values)


def _ovality(sizes: tuple[LocalSize, ...]) -> tuple[OvalityFit | None, str]:
    try:
        fit = fit_ovality(
            [size.point.angle_deg for size in sizes], [size.size_mm for size in sizes]
        )
    except FormError as error:
        return None, str(error)
    return fit, ""


def _temperatures_at(noted: Mapping[int, Temperatures], seq: int) -> Temperatures | None:
    """Return what was noted last before a reading."""
    before = [number for number in noted if number < seq]
    return noted[max(before)] if before else None


def _at_reference(
    reading: LoggedReading,
    temperatures: Temperatures | None,
    shaft_expansion: Decimal,
    gauge_expansion: Decimal,
) -> Decimal:
    """Reduce a reading to 20 °C (ISO 1).

    d20 = x · [1 + α_gauge·(t_gauge − 20) − α_shaft·(t_shaft − 20)]: a warm gauge shows less than
    is there, a warm shaft is larger than it will be.
    """
    if temperatures is None:
        return reading.value_mm
    gauge_part = gauge_expansion * (Decimal(temperatures.gauge_c) - _REFERENCE_C)
    shaft_part = shaft_expansion * (Decimal(temperatures.shaft_c) - _REFERENCE_C)
    return reading.value_mm * (1 + gauge_part - shaft_part)

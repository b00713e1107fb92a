"""Whether a press can be right where it came, and whether it breaks the trend of its neighbours.

What cannot be right is parked. What breaks a trend may be a defect of the shaft: it is logged, and
a repeat is asked for.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from math import cos, radians, sin
from typing import Final

import numpy as np

from seatproof.core import figures
from seatproof.core.form.suspects import find_suspects
from seatproof.core.plan.fields import length_text
from seatproof.core.plan.points import Point, PointKey
from seatproof.core.plan.seat import Seat
from seatproof.core.record.inspection_state import InspectionState
from seatproof.core.record.kinds import Cause, Received
from seatproof.core.units import UM_PER_MM, Unit, to_mm

# A worn or wrongly turned seat is off by some tenths; a value farther off is another thing: another
# diameter, another unit, a gauge not closed on the shaft.
PLAUSIBLE_MM: Final = {Unit.MM: Decimal(1), Unit.INCH: to_mm(Decimal("0.04"), Unit.INCH)}

# What is farther off than so many of these distances is no wear, even where somebody used it.
_WORN_AT_MOST: Final = 5

# A trend is judged by the stations and orientations nearby: enough to tell, few enough to be quick.
_NEAR_STATIONS: Final = 2
_NEAR_ORIENTATIONS: Final = 6
_SPARE: Final = 4  # values beyond the unknowns of the fit, below which none can be called odd
_SIGNIFICANCE: Final = 0.01  # of one false alarm among the neighbours looked at
_STEPS: Final = 3  # a departure below so many steps of the gauge is its rounding
_DEVIATIONS: Final = 6  # and one below so many standard deviations of a reading is its noise


@dataclass(frozen=True, slots=True)
class Finding:
    """Why a value cannot belong where it came; `fits` is the seat that it would fit."""

    sentence: str
    cause: Cause
    fits: str = ""


def window_mm(state: InspectionState, seat: Seat) -> tuple[Decimal, Decimal]:
    """Return the smallest and largest plausible value at a seat, wider where wear was confirmed."""
    far_mm = _far_mm(state, seat)
    centre_mm = _centre_mm(seat)
    worn_mm = state.confirmed_worn_mm(seat.id)
    return min((centre_mm, *worn_mm)) - far_mm, max((centre_mm, *worn_mm)) + far_mm


def can_be_worn(state: InspectionState, seat: Seat, value_mm: Decimal) -> bool:
    """Tell whether a value outside the window may be the size of a worn seat; else it is a slip."""
    return abs(value_mm - _centre_mm(seat)) <= _WORN_AT_MOST * _far_mm(state, seat)


def finding_against(state: InspectionState, received: Received) -> Finding | None:
    """Return why a value cannot belong to the point that is next, or None where it can."""
    gauge = state.gauge_named(received.gauge)
    if gauge is not None and received.unit != gauge.unit:
        return Finding(
            f"The gauge sent {_as_sent(received)}, but it is in service as a gauge that shows "
            f"{gauge.unit}.",
            "unit",
        )
    if state.cursor is None:
        return Finding("No point is open.", "no open point")
    seat = state.plan.seat(state.cursor.seat_id)
    value_mm = Decimal(received.value_mm)
    fits = _fits(state, value_mm)
    if fits(seat):
        return None
    said = _outside(state, seat, received)
    if seat.method != "two-point":
        return Finding(f"{said}.", "window")
    for other in state.seats:
        if other.id != seat.id and other.method == "two-point" and fits(other):
            return Finding(f"{said}; it would fit seat {other.id}.", "neighbouring seat", other.id)
    if _fits(state, value_mm * Unit.INCH.in_mm)(seat):
        return Finding(f"{said}; the gauge may be switched to inches.", "inches")
    if _fits(state, value_mm / Unit.INCH.in_mm)(seat):
        return Finding(f"{said}; the gauge may be switched to millimetres.", "millimetres")
    return Finding(f"{said}.", "window")


def trend_break(state: InspectionState, key: PointKey) -> str | None:
    """Return in a sentence how the value at a point breaks the trend of its neighbours, or None.

    The neighbours are fitted with a line along the seat and, round it, the first undulations that
    the method sees; the value is compared with the fit to all the others (deleted residual).
    """
    seat = state.plan.seat(key.seat_id)
    near = [point for point in _near(seat, key) if state.counting.get(point.key)]
    here = next((index for index, point in enumerate(near) if point.key == key), None)
    if here is None:
        return None
    values_mm = [_mean_mm(state, point.key) for point in near]
    design = _design(seat, near)
    if len(near) < design.shape[1] + _SPARE or np.linalg.matrix_rank(design) < design.shape[1]:
        return None
    centred_um = (np.array(values_mm) - np.median(values_mm)) * UM_PER_MM
    floor_um = _least_departure_um(state, key)
    for suspect in find_suspects(design, centred_um, significance=_SIGNIFICANCE):
        if suspect.index == here and abs(suspect.departure) >= floor_um:
            departure = figures.small(suspect.departure, state.plan.unit, sign=True)
            return (
                f"The value at {key} departs by {departure} from what its neighbours lead one to "
                "expect; measure it once more."
            )
    return None


def _near(seat: Seat, key: PointKey) -> Iterator[Point]:
    """Return the points of the stations and orientations nearby, the point itself among them."""
    stations, directions = seat.stations_mm, seat.orientations_deg
    around = range(-_NEAR_ORIENTATIONS, _NEAR_ORIENTATIONS + 1)
    orientations = sorted({(key.orientation - 1 + step) % len(directions) + 1 for step in around})
    first = max(1, key.station - _NEAR_STATIONS)
    for station in range(first, min(len(stations), key.station + _NEAR_STATIONS) + 1):
        for orientation in orientations:
            yield Point(
                PointKey(seat.id, station, orientation),
                float(stations[station - 1]),
                float(directions[orientation - 1]),
            )


def _design(seat: Seat, points: list[Point]) -> "np.ndarray[tuple[int, int], np.dtype[np.float64]]":
    """Return a column for each thing that neighbours may share: level, slope, undulations."""
    columns: list[Callable[[Point], float]] = [lambda point: 1.0]
    if len({point.station for point in points}) > 1:
        middle_mm = float(seat.from_mm + seat.length_mm / 2)
        columns.append(lambda point: (point.z_mm - middle_mm) / float(seat.length_mm))
    # A diameter comes again after half a turn: its first undulation is the second of the shaft.
    undulations = [2] if seat.method == "two-point" else [1, 2]
    directions = len({point.orientation for point in points})
    for undulation in undulations:
        if directions < 3 + 2 * undulations.index(undulation):
            break
        for wave in (cos, sin):
            columns.append(
                lambda point, wave=wave, n=undulation: wave(n * radians(point.angle_deg))  # type: ignore[misc]  # a default binds the loop's value
            )
    return np.array([[column(point) for column in columns] for point in points])


def _least_departure_um(state: InspectionState, key: PointKey) -> float:
    last = state.readings_at(key)[-1]
    step_mm = to_mm(Decimal(last.gauge.resolution), Unit(last.gauge.unit))
    noise_mm = state.plan.uncertainty.repeatability_mm or Decimal(0)
    return float(max(_STEPS * step_mm, _DEVIATIONS * noise_mm)) * UM_PER_MM


def _mean_mm(state: InspectionState, key: PointKey) -> float:
    values = [reading.value_mm for reading in state.readings_at(key)]
    return float(sum(values, Decimal(0)) / len(values))


def _fits(state: InspectionState, value_mm: Decimal) -> Callable[[Seat], bool]:
    def fits(seat: Seat) -> bool:
        smallest_mm, largest_mm = window_mm(state, seat)
        return smallest_mm <= value_mm <= largest_mm

    return fits


def _outside(state: InspectionState, seat: Seat, received: Received) -> str:
    unit = state.plan.unit
    if seat.method != "two-point":
        far = length_text(_far_mm(state, seat), unit)
        return (
            f"{_as_sent(received)} is more than {far} from the zero of the indicator on seat "
            f"{seat.id}"
        )
    if state.confirmed_worn_mm(seat.id):
        smallest, largest = (length_text(end, unit) for end in window_mm(state, seat))
        return (
            f"{_as_sent(received)} is outside {smallest} to {largest}, which is plausible at seat "
            f"{seat.id} since wear was confirmed there"
        )
    return (
        f"{_as_sent(received)} is more than {length_text(_far_mm(state, seat), unit)} from the "
        f"nominal size {length_text(seat.nominal_mm, unit)} of seat {seat.id}"
    )


def _far_mm(state: InspectionState, seat: Seat) -> Decimal:
    return PLAUSIBLE_MM[state.plan.unit] if seat.plausible_mm is None else seat.plausible_mm


def _centre_mm(seat: Seat) -> Decimal:
    """Return the middle of the window: an indicator shows no size, so its own zero is taken."""
    return seat.nominal_mm if seat.method == "two-point" else Decimal(0)


def _as_sent(received: Received) -> str:
    return f"{figures.received(received.value)} {Unit(received.unit).sign}"

"""The form plot with a reference circle of one's choice, as data: departures, contacts, the zone.

Departures are radial, in µm. A profile (radial readings, or several set-ups together) is seen from
the centre of its reference circle. Two-point readings give no profile, so no reference circle and
no zone: half of each diameter's departure from the station's mean stands at both of its ends.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from typing import Final

import numpy as np

from seatproof.core.evaluation.combined_form import CombinedStation
from seatproof.core.evaluation.evaluate import SeatEvaluation
from seatproof.core.evaluation.profiles import StationProfile, points_mm
from seatproof.core.evaluation.sizes import StationResult
from seatproof.core.form.arrays import FloatArray
from seatproof.core.form.circle import CircleFit, ReferenceCircle, points_from_radii
from seatproof.core.form.errors import FormError
from seatproof.core.form.lsc import least_squares_circle
from seatproof.core.form.mcc import minimum_circumscribed_circle
from seatproof.core.form.mic import maximum_inscribed_circle
from seatproof.core.form.mzc import minimum_zone_circle
from seatproof.core.plots.steps import step_above, step_below
from seatproof.core.units import UM_PER_MM, Unit

# Departures fill at most this part of the circle's radius: more, and the circle is no circle.
_ROOM: Final = 0.3
_CURVE_DEG: Final = np.arange(0.0, 361.0, 2.0)
_FEWEST: Final = 4  # three points lie on any circle


@dataclass(frozen=True, slots=True)
class FormTrace:
    """One station: its points about the reference circle, and a fitted curve where there is one.

    Attributes
    ----------
    station : int
    label : str
    z_mm : float
    angles_deg, departures_um : ndarray, shape (n,)
        Seen from the centre of the reference circle.
    curve_deg, curve_um : ndarray, shape (m,)
        Empty where nothing was fitted.
    centre_um : (float, float)
        Centre of the reference circle from the axis of turning; for several set-ups, which do not
        show that axis, from the least-squares centre.
    zone_um : float or None
        Largest minus smallest departure (RONt); None for two-point readings.
    contacts_out, contacts_in : tuple of int
        The points farthest from and nearest to the centre; none for two-point readings.
    """

    station: int
    label: str
    z_mm: float
    angles_deg: FloatArray
    departures_um: FloatArray
    curve_deg: FloatArray
    curve_um: FloatArray
    centre_um: tuple[float, float]
    zone_um: float | None
    contacts_out: tuple[int, ...]
    contacts_in: tuple[int, ...]

    @property
    def is_profile(self) -> bool:
        """Whether it has a reference circle."""
        return self.zone_um is not None

    @property
    def highest_um(self) -> float:
        return float(np.max(self.departures_um))

    @property
    def lowest_um(self) -> float:
        return float(np.min(self.departures_um))


@dataclass(frozen=True, slots=True)
class FormPlot:
    """The stations of a seat about one kind of reference circle.

    A departure d on a circle of radius r stands at the relative distance 1 + magnification·d/r.
    `tolerance_um` is the width of the roundness zone, radial, None where the seat has none; it lies
    so that what one station shows lies in its middle (`band_of`). `refused` says, by station, why
    there is no circle.
    """

    unit: Unit
    reference: ReferenceCircle
    traces: tuple[FormTrace, ...]
    radius_mm: float
    magnification: int
    grid_um: float
    tolerance_um: float | None
    refused: tuple[str, ...]

    def relative(self, departure_um: FloatArray | float) -> FloatArray:
        """Return where departures are drawn, in radii of the reference circle."""
        scaled = np.asarray(departure_um, dtype=np.float64) / UM_PER_MM / self.radius_mm
        return np.asarray(1.0 + self.magnification * scaled)

    def band_um(self) -> tuple[float, float] | None:
        """Return the inner and outer edge of the tolerance zone about all that is shown."""
        if self.tolerance_um is None or not self.traces:
            return None
        highest = max(trace.highest_um for trace in self.traces)
        lowest = min(trace.lowest_um for trace in self.traces)
        middle = (highest + lowest) / 2.0
        return middle - self.tolerance_um / 2.0, middle + self.tolerance_um / 2.0


def form_plot(
    evaluation: SeatEvaluation,
    reference: ReferenceCircle = ReferenceCircle.LSC,
    station: int | None = None,
    magnification: int | None = None,
) -> FormPlot:
    """Make the form plot of a seat; of all stations, or of one.

    `magnification` is chosen so that the plot has room, unless one is given.
    """
    traces: list[FormTrace] = []
    refused: list[str] = []
    for number, make in _sources(evaluation, reference):
        if station is not None and number != station:
            continue
        try:
            traces.append(make())
        except FormError as error:
            refused.append(f"station {number}: {error}")
    seat = evaluation.seat
    radius_mm = float(seat.nominal_mm) / 2.0
    tolerance_um = seat.roundness.radial_um(seat.nominal_mm) if seat.roundness else None
    room_um = _ROOM * radius_mm * UM_PER_MM
    most = [abs(value) for trace in traces for value in (trace.highest_um, trace.lowest_um)]
    extent_um = max([1.0, tolerance_um or 0.0, *most])
    times = magnification or max(1, round(step_below(room_um / extent_um)))
    # A round figure in the plan's own unit.
    step_um = float(evaluation.unit.in_mm) * UM_PER_MM if evaluation.unit is Unit.INCH else 1.0
    return FormPlot(
        unit=evaluation.unit,
        reference=reference,
        traces=tuple(traces),
        radius_mm=radius_mm,
        magnification=times,
        grid_um=step_above(room_um / times / 4.0 / step_um) * step_um,
        tolerance_um=tolerance_um,
        refused=tuple(refused),
    )


def has_profiles(evaluation: SeatEvaluation) -> bool:
    """Tell whether a seat's readings give profiles, which alone have a reference circle."""
    if any(combined.profile is not None for combined in evaluation.combined):
        return True
    return evaluation.seat.method == "radial" and bool(evaluation.profiles)


def fitted(points: FloatArray, reference: ReferenceCircle) -> CircleFit:
    """Fit a reference circle to points (n, 2); `FormError` where they do not give one."""
    match reference:
        case ReferenceCircle.LSC:
            return least_squares_circle(points)
        case ReferenceCircle.MZC:
            return minimum_zone_circle(points).circle
        case ReferenceCircle.MCC:
            return minimum_circumscribed_circle(points)
        case ReferenceCircle.MIC:
            return maximum_inscribed_circle(points).circle


def _sources(
    evaluation: SeatEvaluation, reference: ReferenceCircle
) -> Iterator[tuple[int, Callable[[], FormTrace]]]:
    """Yield every station with what makes its trace."""
    seat = evaluation.seat
    radius_mm = float(seat.nominal_mm) / 2.0
    if has_profiles(evaluation) and evaluation.combined:
        for number, combined in enumerate(evaluation.combined, start=1):
            if combined.profile is not None:
                yield number, partial(_of_setups, number, combined, radius_mm, reference)
        return
    for result in evaluation.stations:
        if result.sizes:
            yield result.station, partial(_of_diameters, result)
    for profile in evaluation.profiles:
        if seat.method == "radial" and len(profile.reading_um) >= _FEWEST:
            points = points_mm(seat, profile)
            yield profile.station, partial(_of_radii, profile, points, reference)


def _of_diameters(result: StationResult) -> FormTrace:
    """Lay both ends of every diameter about the middle of the station."""
    fit = result.ovality
    centre_mm = fit.mean_mm if fit is not None else result.mean_mm
    angle = np.array([size.point.angle_deg for size in result.sizes])
    half_um = np.array([(size.size_mm - centre_mm) * UM_PER_MM / 2.0 for size in result.sizes])
    angles, halves = np.concatenate([angle, angle + 180.0]), np.concatenate([half_um, half_um])
    order = np.argsort(angles, kind="stable")
    curve = np.empty(0)
    if fit is not None:
        swing_mm = [fit.diameter_at(float(turn)) - fit.mean_mm for turn in _CURVE_DEG]
        curve = np.array(swing_mm) * UM_PER_MM / 2.0
    return FormTrace(
        station=result.station,
        label=f"station {result.station}",
        z_mm=result.z_mm,
        angles_deg=angles[order],
        departures_um=halves[order],
        curve_deg=_CURVE_DEG if fit is not None else np.empty(0),
        curve_um=curve,
        centre_um=(0.0, 0.0),
        zone_um=None,
        contacts_out=(),
        contacts_in=(),
    )


def _of_radii(profile: StationProfile, points: FloatArray, reference: ReferenceCircle) -> FormTrace:
    label = f"station {profile.station}"
    return _about(profile.station, label, profile.z_mm, points, reference)


def _of_setups(
    number: int, combined: CombinedStation, radius_mm: float, reference: ReferenceCircle
) -> FormTrace:
    assert combined.profile is not None  # asked before
    angles = _CURVE_DEG[:-1]
    radii = radius_mm + combined.profile.profile_um(angles) / UM_PER_MM
    label = f"station {number}, {' with '.join(combined.sets)}"
    return _about(number, label, combined.z_mm, points_from_radii(angles, radii), reference)


def _about(
    station: int, label: str, z_mm: float, points: FloatArray, reference: ReferenceCircle
) -> FormTrace:
    """See the points (n, 2) of a profile from the centre of its reference circle."""
    circle = fitted(points, reference)
    away = points - np.array([circle.centre_x, circle.centre_y])
    angles = np.degrees(np.arctan2(away[:, 1], away[:, 0])) % 360.0
    order = np.argsort(angles, kind="stable")
    departures = ((np.hypot(away[:, 0], away[:, 1]) - circle.radius) * UM_PER_MM)[order]
    high, low = float(np.max(departures)), float(np.min(departures))
    tie = 1e-6  # of a micrometre: nearer than any gauge can tell
    return FormTrace(
        station=station,
        label=label,
        z_mm=z_mm,
        angles_deg=angles[order],
        departures_um=departures,
        curve_deg=np.empty(0),
        curve_um=np.empty(0),
        centre_um=(circle.centre_x * UM_PER_MM, circle.centre_y * UM_PER_MM),
        zone_um=high - low,
        contacts_out=tuple(int(i) for i in np.flatnonzero(departures >= high - tie)),
        contacts_in=tuple(int(i) for i in np.flatnonzero(departures <= low + tie)),
    )

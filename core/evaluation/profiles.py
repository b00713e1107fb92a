"""Stations read with an indicator: their profiles, and how well such readings repeat.

Such readings have an arbitrary zero and are no sizes. Radial ones are departures of the radius from
the axis on which the shaft is turned; those over a vee block show each undulation enlarged by a
factor of its own.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf, sqrt

import numpy as np

from seatproof.core.evaluation.sizes import REPEAT_VALUES, gauge_facts, worth_of
from seatproof.core.form.circle import CircleFit, points_from_radii
from seatproof.core.form.errors import FormError
from seatproof.core.form.lsc import least_squares_circle
from seatproof.core.form.mzc import minimum_zone_circle
from seatproof.core.form.setup import RADIAL, TWO_POINT, Indicator, Setup
from seatproof.core.plan.model import Plan
from seatproof.core.plan.points import PointKey
from seatproof.core.plan.seat import Seat
from seatproof.core.plan.uncertainty import StatedUncertainty
from seatproof.core.record.state import InspectionState
from seatproof.core.uncertainty.repeatability import Repeatability, pooled
from seatproof.core.units import UM_PER_MM
from seatproof.core.verdict.limits import exact


@dataclass(frozen=True, slots=True)
class StationProfile:
    """What an indicator showed round one station.

    Attributes
    ----------
    set_id : str
        Id of the set of readings, as the plan names it.
    setup : Setup
    station : int
    z_mm : float
    keys : tuple of PointKey
    angle_deg, reading_um : tuple of float
        Orientation, and the value of the readings that count there.
    worth : float
        How many readings the value known least well is worth.
    scatter : tuple of (int, float)
        For each point the number of readings, and the sum of squares about their mean, µm².
    step_um : float
        Resolution of the indicator.
    circle : CircleFit or None
        Reference circle of a radial set in mm, about the axis of turning; the plan says which.
    why_no_circle : str
    permissible_error_um : float or None
        The largest of its indicators' limits of error of indication; None where one states none.
    """

    set_id: str
    setup: Setup
    station: int
    z_mm: float
    keys: tuple[PointKey, ...]
    angle_deg: tuple[float, ...]
    reading_um: tuple[float, ...]
    worth: float
    scatter: tuple[tuple[int, float], ...]
    step_um: float
    circle: CircleFit | None
    why_no_circle: str
    permissible_error_um: float | None = None

    @property
    def roundness_um(self) -> float | None:
        """Roundness (RONt) about the reference circle, *radial*, unfiltered."""
        return None if self.circle is None else self.circle.zone * UM_PER_MM

    @property
    def run_out_um(self) -> float:
        """Largest minus smallest reading."""
        return float(exact(max(self.reading_um)) - exact(min(self.reading_um)))


def setup_of(seat: Seat) -> Setup:
    """Return how a set of readings is taken."""
    if seat.method == "two-point":
        return TWO_POINT
    if seat.method == "radial":
        return RADIAL
    assert seat.vee_angle_deg is not None  # the plan saw to it
    return Setup.vee(float(seat.vee_angle_deg), Indicator(seat.indicator))


def profiles_of(state: InspectionState, seat: Seat) -> tuple[StationProfile, ...]:
    """Return the stations of an indicator's set; those without any value are absent."""
    if seat.method == "two-point":
        return ()
    setup = setup_of(seat)
    found = []
    for station, z_mm in enumerate(seat.stations_mm, start=1):
        keys, angles, values, scatter, step_um = [], [], [], [], 0.0
        errors: list[float | None] = []
        for orientation, angle_deg in enumerate(seat.orientations_deg, start=1):
            key = PointKey(seat.id, station, orientation)
            readings = state.readings_at(key)
            if not readings:
                continue
            exact_um = [reading.value_mm * 1000 for reading in readings]
            um = np.array([float(value) for value in exact_um])
            keys.append(key)
            angles.append(float(angle_deg))
            values.append(float(REPEAT_VALUES[seat.repeat_value](exact_um)))
            scatter.append((len(um), float(np.sum((um - np.mean(um)) ** 2))))
            facts = gauge_facts(readings[-1].gauge)
            step_um = max(step_um, facts.step_um)
            errors.append(facts.permissible_error_um)
        if not keys:
            continue
        circle, why = _circle(seat, angles, values)
        found.append(
            StationProfile(
                set_id=seat.id,
                setup=setup,
                station=station,
                z_mm=float(z_mm),
                keys=tuple(keys),
                angle_deg=tuple(angles),
                reading_um=tuple(values),
                worth=min(worth_of(seat.repeat_value, count) for count, _ in scatter),
                scatter=tuple(scatter),
                step_um=step_um,
                circle=circle,
                why_no_circle=why,
                permissible_error_um=_largest_or_none(errors),
            )
        )
    return tuple(found)


def points_mm(seat: Seat, profile: StationProfile) -> np.ndarray:
    """Return the points of a radial station about the axis of turning, shape (n, 2)."""
    radius_mm = float(seat.nominal_mm) / 2.0
    radii = radius_mm + np.array(profile.reading_um) / UM_PER_MM
    return points_from_radii(profile.angle_deg, radii)


def indicator_repeatability(plan: Plan, profiles: Sequence[StationProfile]) -> Repeatability | None:
    """Return how well an indicator's readings repeat: as stated, else pooled from repeats.

    Never less than the step of the indicator makes of it; None where nothing says.
    """
    stated = plan.uncertainty
    basis = stated.basis
    found: Repeatability | None
    if stated.repeatability_mm is not None:
        readings = None if isinstance(stated, StatedUncertainty) else stated.repeatability_readings
        um = float(stated.repeatability_mm) * UM_PER_MM
        found = Repeatability.stated(um, readings, basis)
    else:
        found = pooled((one for profile in profiles for one in profile.scatter), "repeats, pooled")
    if found is None:
        return None
    floor_um = max((profile.step_um for profile in profiles), default=0.0) / sqrt(12.0)
    if found.standard_um >= floor_um:
        return found
    return Repeatability(floor_um, inf, "step of the indicator")


def _largest_or_none(errors_um: list[float | None]) -> float | None:
    known = [error for error in errors_um if error is not None]
    return max(known) if len(known) == len(errors_um) else None


def _circle(
    seat: Seat, angles: list[float], values_um: list[float]
) -> tuple[CircleFit | None, str]:
    if seat.method != "radial":
        return None, "Readings over a vee block have no circle of their own."
    radii = float(seat.nominal_mm) / 2.0 + np.array(values_um) / UM_PER_MM
    try:
        points = points_from_radii(angles, radii)
        if len(values_um) < 4:
            # Three readings lie on a circle always: their roundness would be nothing, and a lie.
            return None, "Three readings lie on any circle; measure at four orientations at least."
        if seat.reference_circle == "least squares":
            return least_squares_circle(points), ""
        return minimum_zone_circle(points).circle, ""
    except FormError as error:
        return None, str(error)

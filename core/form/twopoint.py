"""Two-point (diameter) data of one section: ovality, its direction, range, and their uncertainty.

Every length named here is *diametral*: a difference of diameters, as a micrometer gives it. For an
even undulation it is twice the matching difference of radii, which is what form tolerances
(ISO 1101) limit. Odd undulations do not show in diameters at all.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from seatproof.core.form.arrays import FloatArray, finite_vector, paired_vectors
from seatproof.core.form.errors import InputError, TooFewError
from seatproof.core.form.orientations import ovality_design
from seatproof.core.units import UM_PER_MM

_NO_DIRECTION_DEG: Final = 26.0


@dataclass(frozen=True, slots=True)
class OvalityFit:
    """The ellipse that the diameters of one section show, d(θ) = d0 + a cos 2θ + b sin 2θ.

    Attributes
    ----------
    mean_mm : float
        d0, the mean diameter over all directions (not merely over those measured).
    cos_um, sin_um : float
        a and b, micrometres of diameter.
    ovality_um : float
        Largest minus smallest *diameter* of the fitted curve, 2·√(a² + b²).
    major_axis_deg : float
        Orientation of the largest diameter, in [0, 180). Of no meaning when the ovality is zero.
    range_um : float
        Largest minus smallest diameter as read; a lower bound that depends on where one measured.
    residuals_um : tuple of float
        Reading minus fitted curve, in the order given.
    residual_sd_um : float or None
        Standard deviation of one reading about the curve; None where nothing is left over.
    dof : int
        Readings left over after the three unknowns.
    orientations : int
        How many different orientations (modulo 180°) were used.
    """

    mean_mm: float
    cos_um: float
    sin_um: float
    ovality_um: float
    major_axis_deg: float
    range_um: float
    residuals_um: tuple[float, ...]
    residual_sd_um: float | None
    dof: int
    orientations: int

    def diameter_at(self, angle_deg: float) -> float:
        """Diameter (mm) of the fitted curve at an orientation."""
        twice = 2.0 * np.radians(angle_deg)
        swing_um = self.cos_um * np.cos(twice) + self.sin_um * np.sin(twice)
        return float(self.mean_mm + swing_um / UM_PER_MM)


def fit_ovality(angle_deg: ArrayLike, diameter_mm: ArrayLike) -> OvalityFit:
    """Fit the second undulation to the diameters of one section by least squares.

    Exact for an ellipse of small ovality whatever the orientations, where the plain range of two
    diameters at 90° can miss an ovality altogether.

    Parameters
    ----------
    angle_deg : array_like, shape (n,)
        Orientation of each reading in degrees, any order; θ and θ + 180° are the same diameter.
        Repeated orientations are averaged by the fit.
    diameter_mm : array_like, shape (n,)
        Diameter read there, millimetres.

    Returns
    -------
    OvalityFit

    Raises
    ------
    InputError
        Lengths differ or a value is not finite.
    TooFewError
        Fewer than three different orientations.
    DegenerateError
        The orientations lie too close together to show the second undulation.
    """
    angle, diameter = paired_vectors(angle_deg, "orientations", diameter_mm, "diameters")
    design = ovality_design(angle)
    # Solving for the departures from the mean keeps nanometres on a diameter of a metre.
    mean_mm = float(np.mean(diameter)) if diameter.size else 0.0
    departure_um = (diameter - mean_mm) * UM_PER_MM
    solution = design.inverse @ departure_um
    residuals = departure_um - design.matrix @ solution
    offset_um, cos_um, sin_um = (float(value) for value in solution)
    dof = diameter.size - 3
    sd = float(np.sqrt(residuals @ residuals / dof)) if dof > 0 else None
    return OvalityFit(
        mean_mm=mean_mm + offset_um / UM_PER_MM,
        cos_um=cos_um,
        sin_um=sin_um,
        ovality_um=2.0 * float(np.hypot(cos_um, sin_um)),
        major_axis_deg=float(np.degrees(0.5 * np.arctan2(sin_um, cos_um)) % 180.0),
        range_um=float(np.ptp(departure_um)),
        residuals_um=tuple(residuals.tolist()),
        residual_sd_um=sd,
        dof=dof,
        orientations=design.orientations,
    )


def ovality_standard_error_um(
    repeatability_um: float, angle_deg: ArrayLike, major_axis_deg: float | None = None
) -> float:
    """Return the standard uncertainty of a fitted ovality caused by the scatter of readings.

    Linear propagation through the fit; for N equally spaced orientations it is s·√(8/N) whatever
    the axis. It holds while the ovality is clearly larger than this figure; an ovality of the same
    size reads systematically high, because noise alone always looks oval.

    Parameters
    ----------
    repeatability_um : float
        Standard deviation of one reading, micrometres of diameter.
    angle_deg : array_like, shape (n,)
        Orientations of the readings, degrees.
    major_axis_deg : float, optional
        Direction of the major axis; without it the worst direction is taken.

    Raises
    ------
    InputError, TooFewError, DegenerateError
        As `fit_ovality`; also a negative or unusable repeatability.
    """
    _check_repeatability(repeatability_um)
    covariance = _covariance(angle_deg)
    if major_axis_deg is None:
        variance = float(np.linalg.eigvalsh(covariance)[-1])
    else:
        twice = 2.0 * np.radians(major_axis_deg)
        direction = np.array([np.cos(twice), np.sin(twice)])
        variance = float(direction @ covariance @ direction)
    return 2.0 * repeatability_um * float(np.sqrt(variance))


def major_axis_standard_error_deg(
    fit: OvalityFit, repeatability_um: float, angle_deg: ArrayLike
) -> float | None:
    """Return the standard uncertainty of the direction of the major axis, degrees.

    Linear propagation: half the standard error of the second undulation across its direction,
    divided by its amplitude. None where that exceeds 26° (half the uniform spread of a half turn
    over √12), for then the readings give no direction at all.

    Parameters
    ----------
    fit : OvalityFit
    repeatability_um : float
        Standard deviation of one reading, micrometres of diameter.
    angle_deg : array_like, shape (n,)
        Orientations of the readings, degrees.

    Raises
    ------
    InputError, TooFewError, DegenerateError
        As `ovality_standard_error_um`.
    """
    _check_repeatability(repeatability_um)
    covariance = _covariance(angle_deg)
    if fit.ovality_um == 0.0:
        return None
    twice = 2.0 * np.radians(fit.major_axis_deg)
    across = np.array([-np.sin(twice), np.cos(twice)])
    error = repeatability_um * float(np.sqrt(across @ covariance @ across))
    degrees = float(np.degrees(0.5 * error / (0.5 * fit.ovality_um)))
    return degrees if degrees < _NO_DIRECTION_DEG else None


def half_range_radial_um(diameter_mm: ArrayLike) -> float:
    """Return half the range of diameters: the *radial* form that a micrometer can show.

    Of even undulations it shows what the orientations meet, of odd ones nothing, so it is a lower
    bound of the roundness and never "the roundness".

    Raises
    ------
    InputError
        A diameter is not finite.
    TooFewError
        No diameter at all.
    """
    diameter = finite_vector(diameter_mm, "diameters")
    if diameter.size == 0:
        raise TooFewError("the range of diameters", "diameters", 1, 0)
    return float(np.ptp(diameter)) / 2.0 * UM_PER_MM


def _covariance(angle_deg: ArrayLike) -> FloatArray:
    """Covariance of (a, b) for readings of unit variance."""
    return ovality_design(finite_vector(angle_deg, "orientations")).covariance[1:, 1:]


def _check_repeatability(repeatability_um: float) -> None:
    if not (np.isfinite(repeatability_um) and repeatability_um >= 0.0):
        raise InputError(f"a repeatability must be zero or more, not {repeatability_um} µm")

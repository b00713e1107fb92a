"""Taper: the (weighted) least-squares line through the diameters of the stations of a seat.

Every length that depends on the slope is *diametral*: the change of the diameter, which is twice
the change of the radius.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import sqrt
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from seatproof.core.form.arrays import FloatArray, finite_vector, paired_vectors
from seatproof.core.form.errors import DegenerateError, InputError, TooFewError
from seatproof.core.form.quantiles import normal_quantile, student_t_quantile
from seatproof.core.units import UM_PER_MM

_RESULT: Final = "taper"


class LargerEnd(StrEnum):
    """Which end of the seat is the larger one."""

    LOW_Z = "nearest the datum"
    HIGH_Z = "farthest from the datum"
    NEITHER = "neither"


@dataclass(frozen=True, slots=True)
class TaperFit:
    """A straight line through station diameters, d(z) = mean diameter + slope · (z - mean z).

    Attributes
    ----------
    slope_um_per_mm : float
        Change of the *diameter* in µm per mm of length, positive where it grows away from the
        datum face.
    mean_z_mm, mean_diameter_mm : float
        The (weighted) mean point, through which the line always passes.
    residuals_um : tuple of float
        Station diameter minus line, in the order given.
    residual_sd_um : float or None
        (Weighted) standard deviation about the line; None for two stations. With stated standard
        errors that differ between stations it is relative to a station of mean weight.
    dof : int
        Stations left over after the two unknowns.
    slope_se_um_per_mm : float or None
        Standard error of the slope from the stated standard errors; None where none was stated.
    slope_residual_se_um_per_mm : float or None
        Standard error of the slope from the residuals; None where nothing is left over.
    mean_se_um, mean_residual_se_um : float or None
        The same two for the mean diameter.
    z_min_mm, z_max_mm : float
        First and last station; the line is a guess outside.
    """

    slope_um_per_mm: float
    mean_z_mm: float
    mean_diameter_mm: float
    residuals_um: tuple[float, ...]
    residual_sd_um: float | None
    dof: int
    slope_se_um_per_mm: float | None
    slope_residual_se_um_per_mm: float | None
    mean_se_um: float | None
    mean_residual_se_um: float | None
    z_min_mm: float
    z_max_mm: float

    def over(self, length_mm: float) -> float:
        """Change of the diameter (µm) over a stated length; state the length beside it."""
        return self.slope_um_per_mm * length_mm

    @property
    def per_100_mm_um(self) -> float:
        """Change of the diameter in µm per 100 mm."""
        return self.over(100.0)

    @property
    def included_angle_deg(self) -> float:
        """Angle between opposite flanks of the cone, 2·atan(slope / 2), in degrees; signed."""
        return float(np.degrees(2.0 * np.arctan(self.slope_um_per_mm / UM_PER_MM / 2.0)))

    @property
    def larger_end(self) -> LargerEnd:
        """Which end is larger, by the sign of the slope alone; see its standard error."""
        if self.slope_um_per_mm == 0.0:
            return LargerEnd.NEITHER
        return LargerEnd.HIGH_Z if self.slope_um_per_mm > 0.0 else LargerEnd.LOW_Z

    def diameter_at(self, z_mm: float) -> float:
        """Diameter (mm) of the line at an axial position."""
        return self.mean_diameter_mm + self.over(z_mm - self.mean_z_mm) / UM_PER_MM

    def line_standard_error_um(self, z_mm: float) -> float | None:
        """Return the standard error (µm) of the line at z.

        From the stated errors first, else from the residuals, else None.
        """
        if self.mean_se_um is not None and self.slope_se_um_per_mm is not None:
            mean_se, slope_se = self.mean_se_um, self.slope_se_um_per_mm
        elif self.mean_residual_se_um is not None and self.slope_residual_se_um_per_mm is not None:
            mean_se, slope_se = self.mean_residual_se_um, self.slope_residual_se_um_per_mm
        else:
            return None
        return float(np.hypot(mean_se, slope_se * (z_mm - self.mean_z_mm)))

    def confidence_half_width_um(self, z_mm: float, confidence: float = 0.95) -> float | None:
        """Half width (µm) of the confidence band of the line at z, from the residuals.

        None for two stations, where no residual is left.
        """
        if self.mean_residual_se_um is None or self.slope_residual_se_um_per_mm is None:
            return None
        lever = self.slope_residual_se_um_per_mm * (z_mm - self.mean_z_mm)
        factor = student_t_quantile(0.5 + confidence / 2.0, self.dof)
        return factor * float(np.hypot(self.mean_residual_se_um, lever))

    def prediction_half_width_um(self, z_mm: float, confidence: float = 0.95) -> float | None:
        """Half width (µm) of the band for one further station at z, from the residuals.

        None for two stations, where no residual is left.
        """
        if self.residual_sd_um is None:
            return None
        factor = student_t_quantile(0.5 + confidence / 2.0, self.dof)
        line = self.confidence_half_width_um(z_mm, confidence)
        assert line is not None  # both exist or neither
        return float(np.hypot(factor * self.residual_sd_um, line))

    def slope_interval_um_per_mm(self, confidence: float = 0.95) -> tuple[float, float] | None:
        """Confidence interval of the slope: stated errors first, else residuals, else None."""
        if self.slope_se_um_per_mm is not None:
            half = normal_quantile(0.5 + confidence / 2.0) * self.slope_se_um_per_mm
        elif self.slope_residual_se_um_per_mm is not None:
            factor = student_t_quantile(0.5 + confidence / 2.0, self.dof)
            half = factor * self.slope_residual_se_um_per_mm
        else:
            return None
        return self.slope_um_per_mm - half, self.slope_um_per_mm + half


def fit_taper(
    z_mm: ArrayLike,
    diameter_mm: ArrayLike,
    standard_error_um: float | Sequence[float] | FloatArray | None = None,
) -> TaperFit:
    """Fit the least-squares line to station diameters; the axial positions count as exact.

    Parameters
    ----------
    z_mm : array_like, shape (n,)
        Distance of each station from the datum face, millimetres, any order.
    diameter_mm : array_like, shape (n,)
        Diameter found there (usually the mean over the orientations), millimetres.
    standard_error_um : float or array_like of shape (n,), optional
        Standard error of each station diameter, micrometres. One figure serves for all; different
        figures weight the stations by their inverse squares.

    Returns
    -------
    TaperFit
        Two stations give the line through both, with no residual.

    Raises
    ------
    InputError
        Lengths differ, a value is not finite, a standard error is not positive.
    TooFewError
        Fewer than two stations.
    DegenerateError
        All stations lie at one axial position.

    References
    ----------
    .. [1] N. R. Draper, H. Smith, Applied Regression Analysis, 3rd ed., sections 1.2 to 1.4, 3.1
       and 9.2 (weights).
    """
    z, diameter = paired_vectors(z_mm, "axial positions", diameter_mm, "diameters")
    return fit_tapers(z, diameter[None, :], standard_error_um)[0]


def fit_tapers(
    z: FloatArray,
    diameters: FloatArray,
    standard_error_um: float | Sequence[float] | FloatArray | None = None,
) -> tuple[TaperFit, ...]:
    """Fit the lines through several rows of diameters at the same stations, all at once.

    Parameters
    ----------
    z : ndarray, shape (n,)
        Millimetres, finite.
    diameters : ndarray, shape (k, n)
        Millimetres, finite; one line for each row.
    standard_error_um : float or array_like of shape (n,), optional
        As `fit_taper`.

    Raises
    ------
    InputError, TooFewError, DegenerateError
        As `fit_taper`.
    """
    if z.size < 2:
        raise TooFewError(
            _RESULT, "stations", 2, int(z.size), "measure at least at both ends of the seat"
        )
    if np.ptp(z) == 0.0:
        raise DegenerateError(
            _RESULT, f"all stations lie at z = {z[0]:g} mm; measure at a second axial position"
        )
    error_um = _standard_errors(standard_error_um, z.size)
    weight = np.ones_like(z) if error_um is None else (np.min(error_um) / error_um) ** 2
    total = float(np.sum(weight))
    mean_z = float(weight @ z) / total
    arm = z - mean_z
    spread = float(weight @ arm**2)
    # Departures from one diameter keep the last digits that the sums would lose.
    departures_um = (diameters - diameters[:, :1]) * UM_PER_MM
    means_um = departures_um @ weight / total
    slopes = (departures_um - means_um[:, None]) @ (weight * arm) / spread
    residuals = departures_um - means_um[:, None] - slopes[:, None] * arm
    dof = int(z.size) - 2
    unit = None if error_um is None else float(np.min(error_um))
    squares = (residuals**2 @ weight).tolist()
    return tuple(
        _taper(z, (mean_z, first + mean_um / UM_PER_MM), slope, row, ss, (total, spread), dof, unit)
        for first, mean_um, slope, row, ss in zip(
            diameters[:, 0].tolist(),
            means_um.tolist(),
            slopes.tolist(),
            residuals.tolist(),
            squares,
            strict=True,
        )
    )


def _taper(
    z: FloatArray,
    mean: tuple[float, float],
    slope: float,
    residuals_um: list[float],
    squares: float,
    information: tuple[float, float],
    dof: int,
    unit: float | None,
) -> TaperFit:
    """Lay out one line: `information` is the sum of the weights and that about the mean."""
    total, spread = information
    sd = sqrt(squares / dof * z.size / total) if dof > 0 else None
    scatter = None if sd is None else sd * sqrt(total / z.size)
    return TaperFit(
        slope_um_per_mm=slope,
        mean_z_mm=mean[0],
        mean_diameter_mm=mean[1],
        residuals_um=tuple(residuals_um),
        residual_sd_um=sd,
        dof=dof,
        slope_se_um_per_mm=_scaled(unit, spread),
        slope_residual_se_um_per_mm=_scaled(scatter, spread),
        mean_se_um=_scaled(unit, total),
        mean_residual_se_um=_scaled(scatter, total),
        z_min_mm=float(np.min(z)),
        z_max_mm=float(np.max(z)),
    )


def _standard_errors(
    standard_error_um: float | Sequence[float] | FloatArray | None, count: int
) -> FloatArray | None:
    if standard_error_um is None:
        return None
    given = np.atleast_1d(np.asarray(standard_error_um, dtype=np.float64))
    error = finite_vector(np.full(count, given[0]) if given.size == 1 else given, "standard errors")
    if error.size != count:
        raise InputError(f"there are {count} stations but {error.size} standard errors")
    if np.any(error <= 0.0):
        raise InputError("a standard error must be greater than zero")
    return error


def _scaled(sd_um: float | None, information: float) -> float | None:
    return None if sd_um is None else sd_um / sqrt(information)

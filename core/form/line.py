"""Straight lines through values along the seat: least squares with errors, and minimum zones."""

from dataclasses import dataclass
from math import fsum, hypot, sqrt
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from seatproof.core.form.arrays import FloatArray, paired_vectors
from seatproof.core.form.errors import DegenerateError, TooFewError
from seatproof.core.form.hull import convex_hull

_RESULT: Final = "a straight line"


@dataclass(frozen=True, slots=True)
class LeastSquaresLine:
    """Ordinary least squares of value on z, z counting as exact.

    Attributes
    ----------
    slope, intercept : float
        value = intercept + slope · z.
    z_mean, value_at_mean : float
        The mean point, through which the line passes.
    change_over_length : float
        Slope times the range of z.
    residual_ss, residual_zone : float
        Sum of squares and peak to valley of the residuals.
    r_squared : float or None
        Share of the variation explained; None where the values do not vary.
    residual_sd, sd_slope, sd_intercept : float or None
        Residual standard deviation and standard errors; None for two points.
    """

    slope: float
    intercept: float
    z_mean: float
    value_at_mean: float
    change_over_length: float
    residual_ss: float
    residual_zone: float
    r_squared: float | None
    residual_sd: float | None
    sd_slope: float | None
    sd_intercept: float | None


@dataclass(frozen=True, slots=True)
class OriginLine:
    """Least squares of value on z through the origin.

    `r_squared` is against zero, not against the mean, as is usual without an intercept.
    """

    slope: float
    residual_ss: float
    r_squared: float | None
    residual_sd: float | None
    sd_slope: float | None


@dataclass(frozen=True, slots=True)
class Band:
    """A straight band that holds all points, by its middle line.

    Attributes
    ----------
    slope, intercept : float or None
        Middle line value = intercept + slope · z; None where it is parallel to the value axis.
    zone : float
        Width of the band.
    residual_ss : float or None
        Sum of squared distances at right angles (orthogonal least squares only).
    """

    slope: float | None
    intercept: float | None
    zone: float
    residual_ss: float | None = None


def fit_line(z: ArrayLike, value: ArrayLike) -> LeastSquaresLine:
    """Fit value = intercept + slope · z by ordinary least squares.

    Parameters
    ----------
    z, value : array_like, shape (n,)
        Any order, any units; results in the same ones.

    Raises
    ------
    InputError
        Lengths differ or a value is not finite.
    TooFewError
        Fewer than two points.
    DegenerateError
        All z are equal.

    References
    ----------
    .. [1] N. R. Draper, H. Smith, Applied Regression Analysis, 3rd ed., chapter 1.
    """
    x, y = _checked(z, value)
    z_mean, y_mean = fsum(x) / x.size, fsum(y) / y.size
    dx, dy = x - z_mean, y - y_mean
    sxx, sxy, syy = (fsum(one) for one in (dx * dx, dx * dy, dy * dy))
    slope = sxy / sxx
    residual = dy - slope * dx
    residual = residual - fsum(residual) / x.size
    squares = fsum(residual * residual)
    dof = x.size - 2
    sd = sqrt(squares / dof) if dof > 0 else None
    return LeastSquaresLine(
        slope=slope,
        intercept=y_mean - slope * z_mean,
        z_mean=z_mean,
        value_at_mean=y_mean,
        change_over_length=slope * float(np.ptp(x)),
        residual_ss=squares,
        residual_zone=float(np.ptp(residual)),
        r_squared=1.0 - squares / syy if syy > 0.0 else None,
        residual_sd=sd,
        sd_slope=None if sd is None else sd / sqrt(sxx),
        sd_intercept=None if sd is None else sd * sqrt(1.0 / x.size + z_mean**2 / sxx),
    )


def fit_line_through_origin(z: ArrayLike, value: ArrayLike) -> OriginLine:
    """Fit value = slope · z by least squares.

    Raises
    ------
    InputError, TooFewError, DegenerateError
        As `fit_line`.
    """
    x, y = _checked(z, value)
    sxx, sxy, syy = fsum(x * x), fsum(x * y), fsum(y * y)
    slope = sxy / sxx
    residual = y - slope * x
    squares = fsum(residual * residual)
    sd = sqrt(squares / (x.size - 1))
    return OriginLine(
        slope=slope,
        residual_ss=squares,
        r_squared=1.0 - squares / syy if syy > 0.0 else None,
        residual_sd=sd,
        sd_slope=sd / sqrt(sxx),
    )


def fit_line_orthogonally(z: ArrayLike, value: ArrayLike) -> Band:
    """Fit the line of least squared distances at right angles to itself.

    Raises
    ------
    InputError, TooFewError, DegenerateError
        As `fit_line`.

    References
    ----------
    .. [1] K. Pearson, On lines and planes of closest fit to systems of points in space,
       Philosophical Magazine 2 (1901).
    """
    x, y = _checked(z, value)
    x_mean, y_mean = fsum(x) / x.size, fsum(y) / y.size
    dx, dy = x - x_mean, y - y_mean
    sxx, sxy, syy = fsum(dx * dx), fsum(dx * dy), fsum(dy * dy)
    half = 0.5 * (syy - sxx)
    # tan of the angle of the larger principal axis, in the form that does not cancel.
    if sxy == 0.0:
        slope = 0.0 if sxx >= syy else float("inf")
    elif half <= 0.0:
        slope = sxy / (hypot(half, sxy) - half)
    else:
        slope = (half + hypot(half, sxy)) / sxy
    if np.isinf(slope):
        return Band(None, None, float(np.ptp(dx)), fsum(dx * dx))
    distance = (dy - slope * dx) / hypot(1.0, slope)
    return Band(slope, y_mean - slope * x_mean, float(np.ptp(distance)), fsum(distance**2))


def minimum_zone_band(z: ArrayLike, value: ArrayLike) -> Band:
    """Find the narrowest band at right angles to itself (straightness, ISO 12780-1).

    Raises
    ------
    InputError, TooFewError, DegenerateError
        As `fit_line`.

    References
    ----------
    .. [1] M. E. Houle, G. T. Toussaint, Computing the width of a set, IEEE PAMI 10 (1988): one
       side of the band lies along an edge of the convex hull.
    """
    return _narrowest(*_checked(z, value), upright=False)


def minimum_zone_band_along_values(z: ArrayLike, value: ArrayLike) -> Band:
    """Find the band narrowest along the value axis (Chebyshev line).

    Raises
    ------
    InputError, TooFewError, DegenerateError
        As `fit_line`.
    """
    return _narrowest(*_checked(z, value), upright=True)


def _narrowest(x: FloatArray, y: FloatArray, *, upright: bool) -> Band:
    shift = np.array([fsum(x) / x.size, fsum(y) / y.size])
    points = np.column_stack([x, y]) - shift
    # Stretching an axis keeps the hull; it evens out millimetres of length and micrometres of form.
    extent = np.max(points, axis=0) - np.min(points, axis=0)
    corners = points[convex_hull(points / np.where(extent > 0.0, extent, 1.0))]
    edge = np.roll(corners, -1, axis=0) - corners
    sloping = edge[:, 0] != 0.0
    slopes = edge[sloping, 1] / edge[sloping, 0]
    level = corners[:, 1] - slopes[:, None] * corners[:, 0]
    high, low = level.max(axis=1), level.min(axis=1)
    widths = high - low if upright else (high - low) / np.hypot(1.0, slopes)
    best = int(np.argmin(widths))
    if not upright and not sloping.all():
        width = float(np.ptp(corners[:, 0]))
        if width < widths[best]:
            return Band(None, None, width)
    slope = float(slopes[best])
    offset = 0.5 * float(high[best] + low[best])
    intercept = offset + float(shift[1]) - slope * float(shift[0])
    return Band(slope, intercept, float(widths[best]))


def _checked(z: ArrayLike, value: ArrayLike) -> tuple[FloatArray, FloatArray]:
    x, y = paired_vectors(z, "axial positions", value, "values")
    if x.size < 2:
        raise TooFewError(_RESULT, "points", 2, int(x.size))
    if np.ptp(x) == 0.0:
        raise DegenerateError(
            _RESULT, f"all values stand at z = {x[0]:g}; measure at a second axial position"
        )
    return x, y

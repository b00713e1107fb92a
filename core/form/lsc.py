"""Least-squares circle (LSC): the geometric fit, by Newton's method on the centre."""

from dataclasses import replace
from math import hypot
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from seatproof.core.form.arrays import FloatArray
from seatproof.core.form.circle import CircleFit, ReferenceCircle, circle_points, seen_from
from seatproof.core.form.errors import NotDefinedError

_RESULT: Final = "the least-squares circle"
_STEPS: Final = 60
# Above this ratio of residual to radius the sum of squares can have several minima.
_GROSS: Final = 1e-3
_START_POINTS: Final = 1000
_POLISH: Final = 1e-7
_SHORT: Final = 5000


def least_squares_circle(points: ArrayLike) -> CircleFit:
    """Fit the circle that minimises Σ(d_i - r)², d_i the true distances from the centre.

    Not the algebraic fit, and not the linearised one (limaçon), which is wrong by e²/2r at an
    eccentricity e. Repeated points count as often as they occur.

    Parameters
    ----------
    points : array_like, shape (n, 2)
        Points of one section, any order, any spacing.

    Returns
    -------
    CircleFit
        `radius` is the mean distance; peak, valley and rms are RONp, RONv and RONq.

    Raises
    ------
    InputError, TooFewError, DegenerateError
        See `circle_points`.
    NotDefinedError
        A straight line fits no worse than any circle.

    References
    ----------
    .. [1] ISO 12181-1, least squares reference circle.
    .. [2] N. Chernov, Circular and Linear Regression, CRC 2010, sections 4.4 (existence) and 4.5.
    """
    array = circle_points(points, _RESULT)
    shift = middle(array)
    local = array - shift
    centre = fitted_centre(local)
    if _squares(local, centre) >= _line_squares(local):
        raise NotDefinedError(_RESULT, "a straight line fits these points no worse than a circle")
    radius = _mean(np.hypot(local[:, 0] - centre[0], local[:, 1] - centre[1]))
    # The figures are taken in the local frame, where a far origin costs no digits.
    fit = seen_from(local, centre, radius, ReferenceCircle.LSC)
    return moved(fit, shift)


def middle(points: FloatArray) -> FloatArray:
    """Mean of points (n, 2)."""
    total: FloatArray = np.add.reduce(points, axis=0)
    return total / len(points)


def moved(fit: CircleFit, shift: FloatArray) -> CircleFit:
    """Return the same fit seen from an origin that lies at -shift."""
    return replace(
        fit,
        centre_x=fit.centre_x + float(shift[0]),
        centre_y=fit.centre_y + float(shift[1]),
    )


def fitted_centre(local: FloatArray) -> FloatArray:
    """Centre of the least-squares circle of points (n, 2) whose mean is near the origin."""
    centre = _newton(local, algebraic_centre(local))
    distance = np.hypot(local[:, 0] - centre[0], local[:, 1] - centre[1])
    mean = _mean(distance)
    departure = distance - mean
    if _dot(departure, departure) <= len(local) * (_GROSS * mean) ** 2:
        return centre
    return _best_of_many(local, centre)


def algebraic_centre(local: FloatArray) -> FloatArray:
    """Centre that minimises Σ(d_i² - r²)²: a start that needs no iteration (Kåsa).

    Where it is not determined, the mean of the points.
    """
    x, y = local[:, 0], local[:, 1]
    square = x * x + y * y
    mean = middle(local)
    dx, dy = x - mean[0], y - mean[1]
    xx, xy, yy = _dot(dx, dx), _dot(dx, dy), _dot(dy, dy)
    level = square - _mean(square)
    gx, gy = 0.5 * _dot(dx, level), 0.5 * _dot(dy, level)
    area = xx * yy - xy * xy
    if area <= 0.0:
        return mean
    return np.array([(gx * yy - gy * xy) / area, (gy * xx - gx * xy) / area])


def _newton(local: FloatArray, start: FloatArray) -> FloatArray:
    """Descend Σ(d_i - mean d)² in the centre; full Newton where convex, else Gauss-Newton."""
    centre = start
    extent = float(np.max(np.abs(local)))
    value: float | None = None
    last = float("inf")
    for _ in range(_STEPS):
        step = _step(local, centre)
        length = float(np.hypot(step[0], step[1]))
        if not length <= 1e9 * extent:
            break
        scale = 1.0
        # Below that length the sum of squares has lost the difference to rounding, the gradient
        # has not: the remaining steps are taken as they are.
        if length > _POLISH * extent:
            value = _squares(local, centre) if value is None else value
            while length * scale > _POLISH * extent:
                trial = _squares(local, centre + scale * step)
                if trial <= value:
                    value = trial
                    break
                scale *= 0.25
        centre = centre + scale * step
        # A step that no longer shrinks is rounding.
        if length <= np.finfo(float).eps * extent or 0.5 * last <= length <= _POLISH * extent:
            break
        last = length
    return centre


def _step(local: FloatArray, centre: FloatArray) -> FloatArray:
    """Newton's step for the centre, or a damped Gauss-Newton one where the sum is not convex."""
    x, y = local[:, 0] - centre[0], local[:, 1] - centre[1]
    distance = np.maximum(np.hypot(x, y), np.finfo(float).tiny)
    ux, uy = x / distance, y / distance
    residual = distance - _mean(distance)
    vx, vy = ux - _mean(ux), uy - _mean(uy)
    gx, gy = -_dot(residual, vx), -_dot(residual, vy)
    xx, xy, yy = _dot(vx, vx), _dot(vx, vy), _dot(vy, vy)
    bend = residual / distance
    bend_x, bend_y = bend * ux, bend * uy
    hxx, hxy, hyy = xx + _dot(bend_y, uy), xy - _dot(bend_x, uy), yy + _dot(bend_x, ux)
    half, reach = 0.5 * (hxx + hyy), hypot(0.5 * (hxx - hyy), hxy)
    if half - reach <= 1e-14 * (half + reach):
        damping = 1e-9 * (xx + yy)
        hxx, hxy, hyy = xx + damping, xy, yy + damping
    area = hxx * hyy - hxy * hxy
    if area <= 0.0:
        return np.full(2, np.inf)  # seen from so far away the points are one
    return np.array([(hxy * gy - hyy * gx) / area, (hxy * gx - hxx * gy) / area])


def _best_of_many(local: FloatArray, found: FloatArray) -> FloatArray:
    """Search other valleys of a grossly unround profile from a ring of starts."""
    some = local[:: max(1, len(local) // _START_POINTS)]
    size = float(np.max(np.abs(local)))
    turn = np.radians(np.arange(0.0, 360.0, 30.0))
    ring = np.column_stack([np.cos(turn), np.sin(turn)])
    starts = [np.zeros(2), *(size * factor * way for factor in (0.3, 1.0, 4.0) for way in ring)]
    candidates = [_newton(some, start) for start in starts]
    best = min(candidates, key=lambda centre: _squares(local, centre))
    best = _newton(local, best)
    return best if _squares(local, best) < _squares(local, found) else found


def _squares(local: FloatArray, centre: FloatArray) -> float:
    distance = np.hypot(local[:, 0] - centre[0], local[:, 1] - centre[1])
    residual = distance - _mean(distance)
    return _dot(residual, residual)


def _line_squares(local: FloatArray) -> float:
    """Σ of squared distances from the best straight line: the circle of infinite radius."""
    dx, dy = (local - middle(local)).T
    xx, xy, yy = _dot(dx, dx), _dot(dx, dy), _dot(dy, dy)
    return max(0.0, 0.5 * (xx + yy) - hypot(0.5 * (xx - yy), xy))


def _dot(a: FloatArray, b: FloatArray) -> float:
    # A threaded BLAS costs more in waking its threads than long vectors are worth here.
    return float(a @ b) if len(a) <= _SHORT else float(np.einsum("i,i->", a, b))


def _mean(a: FloatArray) -> float:
    return float(np.add.reduce(a)) / len(a)

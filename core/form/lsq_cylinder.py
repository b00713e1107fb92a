"""Least-squares cylinder: true distances from the axis, by Gauss and Newton with damping."""

from collections.abc import Iterator
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from seatproof.core.form.arrays import FloatArray
from seatproof.core.form.axis import AxisFrame
from seatproof.core.form.cylinder import (
    CylinderFit,
    ReferenceCylinder,
    axis_distances,
    cylinder_points,
    scatter,
    seen_along,
)
from seatproof.core.form.errors import DegenerateError
from seatproof.core.form.lsc import algebraic_centre

_RESULT: Final = "the least-squares cylinder"
_STEPS: Final = 80
_START_POINTS: Final = 120
_PLAIN: Final = 1e-2  # a residual below this part of the radius shows that the axis was found
_NEARBY: Final = 1e-5
_WORST_CONDITION: Final = 1e10


def least_squares_cylinder(points: ArrayLike) -> CylinderFit:
    """Fit the cylinder that minimises Σ(d_i - r)², d_i the true distances from the axis.

    Parameters
    ----------
    points : array_like, shape (n, 3)
        Points of two or more sections, any order; the axis may lie in any direction.

    Returns
    -------
    CylinderFit
        `radius` is the mean distance; `zone` is the cylindricity from this cylinder.

    Raises
    ------
    InputError, TooFewError, DegenerateError
        See `cylinder_points`; DegenerateError too where the points leave the axis undetermined.

    References
    ----------
    .. [1] ISO 12180-1, least squares reference cylinder.
    .. [2] A. B. Forbes, Least-squares best-fit geometric elements, NPL report DITC 140/89.
    """
    array = cylinder_points(points, _RESULT)
    place, direction = fitted_axis(array)
    distance = axis_distances(array, place, direction)
    return seen_along(array, place, direction, float(np.mean(distance)), ReferenceCylinder.LSC)


def fitted_axis(points: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return place and direction of the axis of the least-squares cylinder.

    Raises
    ------
    DegenerateError
        The points leave the axis undetermined.
    """
    place, way = _fit(points, *nearby_axis(points))
    _check(points, place, way)
    return place, way


def nearby_axis(points: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return place and direction of an axis fitted to some of the points, as a start.

    Raises
    ------
    DegenerateError
        The points leave the axis undetermined.
    """
    some = points[:: max(1, len(points) // _START_POINTS)]
    tried = []
    for direction in _start_directions(some):
        start = _start(some, direction)
        if start is None:
            continue
        place, way = _fit(some, *start, enough=_NEARBY)
        distance = axis_distances(some, place, way)
        tried.append((float(np.std(distance)) / float(np.mean(distance)), place, way))
        if tried[-1][0] < _PLAIN:
            break
    if not tried:
        raise DegenerateError(_RESULT, "no start direction shows a round section")
    _, place, way = min(tried, key=lambda one: one[0])
    _check(some, place, way)
    return place, way


def _start_directions(points: FloatArray) -> Iterator[FloatArray]:
    """Yield the frame's own axes, z first, then the principal axes of the points."""
    yield from np.eye(3)[::-1]
    yield from np.linalg.eigh(scatter(points))[1].T


def _start(points: FloatArray, direction: FloatArray) -> tuple[FloatArray, FloatArray] | None:
    """Axis through the circle that fits the points as seen along a direction."""
    frame = AxisFrame.along(points, np.mean(points, axis=0), direction)
    if frame.half <= 0.0:
        return None
    flat = frame.points[:, :2]
    spread = np.linalg.eigvalsh(scatter(flat))
    if spread[0] <= 1e-18 * spread[-1]:
        return None
    centre = algebraic_centre(flat)
    if not np.max(np.abs(centre)) < 1e3 * np.max(np.abs(flat)):
        return None
    return frame.axis(np.array([centre[0], centre[1], 0.0, 0.0]))


def _fit(
    points: FloatArray, place: FloatArray, direction: FloatArray, enough: float = 4e-16
) -> tuple[FloatArray, FloatArray]:
    """Descend Σ(d_i - mean d)² until a step is below `enough` times the size of the points."""
    damping = 0.0
    frame = AxisFrame.along(points, place, direction)
    distance, slopes = frame.distances_and_slopes(np.zeros(4))
    residual = distance - np.mean(distance)
    squares = float(np.einsum("i,i->", residual, residual))
    size = float(np.max(np.abs(frame.points)))
    for _ in range(_STEPS):
        centred = slopes - np.mean(slopes, axis=0)
        normal = np.einsum("ij,ik->jk", centred, centred)
        pull = np.einsum("ij,i->j", centred, residual)
        weight = damping * float(np.trace(normal)) + np.finfo(float).tiny
        step = -_solved(normal + weight * np.eye(4), pull)
        length = float(np.max(np.abs(step)))
        next_place, next_way = frame.axis(step)
        trial_frame = AxisFrame.along(points, next_place, next_way)
        trial_distance, trial_slopes = trial_frame.distances_and_slopes(np.zeros(4))
        trial_residual = trial_distance - np.mean(trial_distance)
        trial = float(np.einsum("i,i->", trial_residual, trial_residual))
        if trial > squares and length > 1e-9 * size:
            damping = max(1e-4, 4.0 * damping)
            if damping > 1e6:
                break
            continue
        damping = damping / 4.0 if damping > 1e-6 else 0.0
        frame, distance, slopes = trial_frame, trial_distance, trial_slopes
        residual, squares = trial_residual, trial
        place, direction = next_place, next_way
        if length <= enough * size:
            break
    return place, direction


def _solved(matrix: FloatArray, right: FloatArray) -> FloatArray:
    try:
        return np.asarray(np.linalg.solve(matrix, right), dtype=np.float64)
    except np.linalg.LinAlgError:  # a free axis: the shortest step; `_check` refuses it later
        return np.asarray(np.linalg.lstsq(matrix, right, rcond=1e-15)[0], dtype=np.float64)


def _check(points: FloatArray, place: FloatArray, direction: FloatArray) -> None:
    frame = AxisFrame.along(points, place, direction)
    if frame.half <= 0.0:
        raise DegenerateError(_RESULT, "all the points lie in one section; measure a second one")
    _, slopes = frame.distances_and_slopes(np.zeros(4))
    singular = np.linalg.svd(slopes - np.mean(slopes, axis=0), compute_uv=False)
    if singular[0] > _WORST_CONDITION * singular[-1]:
        raise DegenerateError(
            _RESULT, "the points leave the axis free; measure round more of each section"
        )

"""Convex hull of points in the plane, and the narrowest strip that holds them."""

from typing import Final

import numpy as np

from seatproof.core.form.arrays import FloatArray, IndexArray

_ROWS: Final = 512
_FEW: Final = 64
_FLAT: Final = 1e-14


def convex_hull(points: FloatArray) -> IndexArray:
    """Return the indices of the hull's corners, anticlockwise.

    The points are put in order of angle round an inner place; a point that lies within the triangle
    of that place and its two neighbours is no corner, whatever becomes of the neighbours. All such
    points are struck out together until none is left.

    Parameters
    ----------
    points : ndarray, shape (n, 2)
        At least one. Of points on one line the two ends are the corners.

    Returns
    -------
    ndarray of int, shape (h,)
    """
    if len(points) <= _FEW:
        return _by_chain(points)
    three = points[_spanning_triangle(points)]
    area = abs(float(_cross(three[1] - three[0], three[2] - three[0])))
    if area <= _FLAT * float(np.max(np.abs(three - three[0]))) ** 2:
        return _by_chain(points)
    inside = np.mean(three, axis=0)
    away = points - inside
    order: IndexArray = np.lexsort(
        (np.hypot(away[:, 0], away[:, 1]), np.arctan2(away[:, 1], away[:, 0]))
    )
    order = _farthest_in_each_direction(order, away)
    while True:
        here = away[order]
        before, after = np.roll(here, 1, axis=0), np.roll(here, -1, axis=0)
        turn = _cross(here - before, after - here)
        corner = turn > 0.0
        if corner.all():
            return order
        order = np.asarray(order[corner], dtype=np.intp)


def _by_chain(points: FloatArray) -> IndexArray:
    """Walk along the lower and the upper side (Andrew's monotone chain): quick for few points."""
    places = points.tolist()
    order = sorted(range(len(places)), key=places.__getitem__)
    sides = []
    for walk in (order, order[::-1]):
        chain: list[int] = []
        for index in walk:
            x, y = places[index]
            while len(chain) >= 2:
                (ax, ay), (bx, by) = places[chain[-2]], places[chain[-1]]
                if (bx - ax) * (y - by) - (by - ay) * (x - bx) > 0.0:
                    break
                chain.pop()
            chain.append(index)
        sides += chain[:-1]
    return np.array(sides or order[:1], dtype=np.intp)


def hull_widths(corners: FloatArray) -> FloatArray:
    """Width of a convex polygon (h, 2) at right angles to each of its edges, shape (h,)."""
    edge = np.roll(corners, -1, axis=0) - corners
    normal = np.column_stack([-edge[:, 1], edge[:, 0]]) / np.hypot(edge[:, 0], edge[:, 1])[:, None]
    width = np.empty(len(corners))
    for start in range(0, len(corners), _ROWS):  # bounded memory for thousands of corners
        some = normal[start : start + _ROWS]
        level = some @ corners.T
        width[start : start + _ROWS] = level.max(axis=1) - np.einsum(
            "ij,ij->i", some, corners[start : start + _ROWS]
        )
    return width


def strip_width(points: FloatArray) -> float:
    """Width of the narrowest strip between parallel lines that holds all points (n, 2)."""
    return float(np.min(hull_widths(points[convex_hull(points)])))


def least_strip_width(points: FloatArray) -> float:
    """Return a quick lower bound of `strip_width`: the least height of a wide triangle of them."""
    three = points[_spanning_triangle(points)]
    sides = three - three[[1, 2, 0]]
    longest = float(np.max(np.hypot(sides[:, 0], sides[:, 1])))
    return abs(float(_cross(sides[0], sides[1]))) / longest if longest > 0.0 else 0.0


def _spanning_triangle(points: FloatArray) -> list[int]:
    first = int(np.argmax(points[:, 0]))
    away = points - points[first]
    second = int(np.argmax(np.hypot(away[:, 0], away[:, 1])))
    third = int(np.argmax(np.abs(_cross(away, away[second]))))
    return [first, second, third]


def _farthest_in_each_direction(order: IndexArray, away: FloatArray) -> IndexArray:
    """Of points in exactly one direction keep the last, which is the farthest (`order` sorts)."""
    here = away[order]
    after = np.roll(here, -1, axis=0)
    same = (_cross(here, after) == 0.0) & (np.einsum("ij,ij->i", here, after) > 0.0)
    if same.all():  # cannot happen for points that span a plane; keeps the loop honest
        return order[-1:]
    return np.asarray(order[~same], dtype=np.intp)


def _cross(a: FloatArray, b: FloatArray) -> FloatArray:
    return np.asarray(a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0], dtype=np.float64)

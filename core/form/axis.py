"""A frame that lies along a cylinder: points as seen from an axis that is nearly its own z."""

import math
from dataclasses import dataclass, replace
from typing import Self

import numpy as np

from seatproof.core.form.arrays import FloatArray, IndexArray

Triple = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class AxisFrame:
    """Points turned and shifted so that a first axis is z, with small changes of that axis.

    A change is x = (x0, y0, ex, ey): the axis moves by (x0, y0) at mid height and by (ex, ey) more
    at the upper end, so all four are lengths of one kind.

    Attributes
    ----------
    points : ndarray, shape (n, 3)
        In the frame; mid height at z = 0.
    half : float
        Half the height, the lever arm of the tilt.
    origin, rotation : ndarray
        Where the frame stands: original = origin + points @ rotation.
    """

    points: FloatArray
    half: float
    origin: FloatArray
    rotation: FloatArray

    @classmethod
    def along(cls, points: FloatArray, place: FloatArray, direction: FloatArray) -> Self:
        """Stand the frame on the axis through `place` along a unit vector."""
        rotation = _rows_with_last(direction)
        # The transpose of rows: every sum below runs over one coordinate of all points.
        local = (rotation @ (points - place).T).T
        high, low = float(local[:, 2].max()), float(local[:, 2].min())
        middle = 0.5 * (high + low)
        local[:, 2] -= middle
        return cls(
            points=local,
            half=high - middle,
            origin=place + middle * direction,
            rotation=rotation,
        )

    def only(self, chosen: IndexArray) -> Self:
        """Return the same frame with some of its points."""
        return replace(self, points=self.points[chosen])

    def distances(self, change: FloatArray) -> FloatArray:
        """Distances of the points from the changed axis, shape (n,)."""
        x, y, _, _, _ = self._across(change, self.points)
        return np.sqrt(x * x + y * y)

    def distances_and_slopes(
        self, change: FloatArray, chosen: IndexArray | slice = slice(None)
    ) -> tuple[FloatArray, FloatArray]:
        """Distances of the chosen points and their derivatives by the change, (n,) and (n, 4)."""
        x, y, lever, a, b = self._across(change, self.points[chosen])
        distance = np.sqrt(x * x + y * y)
        ux, uy = x / distance, y / distance
        # Moving the axis point by a vector m changes d by -u·m, u the unit vector across the axis
        # in space; tilting it does the same at the lever of the point. u has no part along the
        # axis, so its frame components follow from the plane ones.
        vx, vy = _plane_to_frame(ux, uy, a, b)
        arm = lever / self.half
        return distance, np.column_stack([-vx, -vy, -arm * vx, -arm * vy])

    def axis(self, change: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Return the changed axis as a place and a unit vector in the original frame."""
        tilt = np.array([change[2] / self.half, change[3] / self.half, 1.0])
        place = self.origin + np.array([change[0], change[1], 0.0]) @ self.rotation
        direction = tilt @ self.rotation
        return place, direction / np.linalg.norm(direction)

    def _across(
        self, change: FloatArray, points: FloatArray
    ) -> tuple[FloatArray, FloatArray, FloatArray, float, float]:
        """Coordinates in the plane across the changed axis, lever along it, and its tilts."""
        a, b = float(change[2]) / self.half, float(change[3]) / self.half
        length = float(np.sqrt(1.0 + a * a + b * b))
        wx, wy, wz = points[:, 0] - change[0], points[:, 1] - change[1], points[:, 2]
        along = (a * wx + b * wy + wz) / length
        first, second = _plane_basis(a, b)
        x = first[0] * wx + first[2] * wz
        y = second[0] * wx + second[1] * wy + second[2] * wz
        return x, y, along / length, a, b


def _plane_basis(a: float, b: float) -> tuple[Triple, Triple]:
    """Two unit vectors across the axis (a, b, 1) and across each other."""
    across_y, whole = math.hypot(1.0, a), math.sqrt(1.0 + a * a + b * b)
    first = (1.0 / across_y, 0.0, -a / across_y)
    second = (
        -a * b / (across_y * whole),
        across_y / whole,
        -b / (across_y * whole),
    )
    return first, second


def _plane_to_frame(
    ux: FloatArray, uy: FloatArray, a: float, b: float
) -> tuple[FloatArray, FloatArray]:
    first, second = _plane_basis(a, b)
    return ux * first[0] + uy * second[0], uy * second[1]


def _rows_with_last(direction: FloatArray) -> FloatArray:
    """Return a rotation whose last row is `direction`."""
    # Three numbers are quicker one by one.
    a, b, c = (float(value) for value in direction)
    least = min(abs(a), abs(b), abs(c))
    if abs(a) == least:
        first = (0.0, -c, b)
    elif abs(b) == least:
        first = (c, 0.0, -a)
    else:
        first = (-b, a, 0.0)
    length = math.hypot(*first)
    x, y, z = (value / length for value in first)
    return np.array([(x, y, z), (b * z - c * y, c * x - a * z, a * y - b * x), (a, b, c)])

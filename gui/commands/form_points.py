"""What a file of points holds, whatever it was written in."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]


class Kind(StrEnum):
    """What the points are."""

    CIRCLE = "circle"
    CYLINDER = "cylinder"
    LINE = "line"
    DIAMETERS = "diameters"


DIMENSIONS: Final = {Kind.CIRCLE: 2, Kind.CYLINDER: 3, Kind.LINE: 2, Kind.DIAMETERS: 2}


@dataclass(frozen=True, slots=True)
class FormFile:
    """The points of one file.

    `points` is (x, y), (x, y, z), (z, value), or (angle in degrees, diameter) by kind. `unit` is
    that of the lengths as the file names it, which may be none at all ("1").
    """

    kind: Kind
    unit: str
    points: FloatArray


def polar(angle_deg: FloatArray, radius: FloatArray) -> FloatArray:
    """Lay out radii at their angles as points (x, y), as the reference data define them."""
    turn = np.radians(angle_deg)
    return np.column_stack([radius * np.cos(turn), radius * np.sin(turn)])

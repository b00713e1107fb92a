"""The step at a worn track: how much smaller the seat is where an old ring ran. Diametral."""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from seatproof.core.form.arrays import paired_vectors
from seatproof.core.form.errors import InputError, TooFewError
from seatproof.core.units import UM_PER_MM

_RESULT: Final = "the step at the track"


@dataclass(frozen=True, slots=True)
class StepFit:
    """The step of the diameter between a track and the seat beside it.

    Attributes
    ----------
    step_um : float
        Diameter beside the track minus diameter in it: positive where the track is worn. Half of
        it is the depth of the wear.
    standard_error_um : float or None
        From the stated repeatability, else from the residuals, else None.
    with_taper : bool
        Whether a taper common to both parts was fitted too; else both means were compared.
    inside, outside : int
        Diameters in the track and beside it.
    dof : int
        Diameters left over.
    """

    step_um: float
    standard_error_um: float | None
    with_taper: bool
    inside: int
    outside: int
    dof: int


def fit_step(
    z_mm: ArrayLike,
    diameter_mm: ArrayLike,
    track_mm: tuple[float, float],
    standard_error_um: float | None = None,
) -> StepFit:
    """Compare the diameters in a track with those beside it, allowing for taper where it shows.

    A taper is fitted when there are stations beside the track on both sides of it and one value is
    left over; else a taper and a step could not be told apart.

    Parameters
    ----------
    z_mm, diameter_mm : array_like, shape (n,)
        Stations and diameters, millimetres.
    track_mm : tuple of two floats
        From where to where the old track is seen, the ends included.
    standard_error_um : float, optional
        Standard error of one station diameter.

    Raises
    ------
    InputError
        Lengths differ, a value is not finite, the track has no length.
    TooFewError
        No station in the track or none beside it.
    """
    z, diameter = paired_vectors(z_mm, "axial positions", diameter_mm, "diameters")
    first, last = sorted(track_mm)
    if not first < last:
        raise InputError(f"the track must have a length, but runs from {first:g} to {last:g} mm")
    if standard_error_um is not None and not 0.0 < standard_error_um < np.inf:
        raise InputError(f"a standard error is greater than zero, not {standard_error_um} µm")
    within = (z >= first) & (z <= last)
    inside, outside = int(np.count_nonzero(within)), int(np.count_nonzero(~within))
    if inside == 0 or outside == 0:
        missing = "in the track" if inside == 0 else "beside the track"
        raise TooFewError(_RESULT, f"stations {missing}", 1, 0, "measure one there")
    both_sides = bool(np.any(z < first) and np.any(z > last))
    with_taper = both_sides and z.size >= 4
    columns = [np.ones_like(z), -within.astype(float)]
    if with_taper:
        columns.append(z - np.mean(z))
    design = np.column_stack(columns)
    departure_um = (diameter - diameter[0]) * UM_PER_MM
    solution = np.linalg.lstsq(design, departure_um, rcond=None)[0]
    residual = departure_um - design @ solution
    dof = int(z.size) - design.shape[1]
    spread = float(np.sqrt(np.linalg.inv(design.T @ design)[1, 1]))
    unit = standard_error_um
    if unit is None and dof > 0:
        unit = float(np.sqrt(residual @ residual / dof))
    return StepFit(
        step_um=float(solution[1]),
        standard_error_um=None if unit is None else unit * spread,
        with_taper=with_taper,
        inside=inside,
        outside=outside,
        dof=dof,
    )

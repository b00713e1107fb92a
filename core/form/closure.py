"""The closure check of two-point data: what four or more directions leave to test the readings by.

An ellipse has three unknowns; every further direction must agree with it. If it does not, a reading
is a blunder, or the section has four or more lobes.
"""

from dataclasses import dataclass
from math import sqrt
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from seatproof.core.form.arrays import FloatArray, paired_vectors
from seatproof.core.form.errors import InputError
from seatproof.core.form.orientations import ovality_design
from seatproof.core.form.quantiles import chi_square_tail
from seatproof.core.form.suspects import Suspect, judge_residuals
from seatproof.core.form.twopoint import fit_ovality
from seatproof.core.units import UM_PER_MM

_QUARTERS_DEG: Final = np.array([0.0, 45.0, 90.0, 135.0])


@dataclass(frozen=True, slots=True)
class ClosureCheck:
    """Whether the diameters of a section agree with an ellipse, to their repeatability.

    Attributes
    ----------
    dof : int
        How many readings are left over; with none nothing can be checked.
    misclosure_um : float or None
        Root mean square misfit per reading left over, micrometres of diameter; None where none is.
    probability : float or None
        Probability of as large a misfit from scatter alone; None where none is left over.
    closes : bool or None
        Whether that probability is at least the significance asked for; None where unknown.
    quarter_difference_um : float or None
        With directions at 0°, 45°, 90° and 135° from the first: q = d0 + d90 - d45 - d135, whose
        standard deviation is twice that of one reading.
    suspects : tuple of Suspect
        Readings that stand out from the others, worst first (departures in µm); with one reading
        left over a misfit shows, but not whose it is.
    """

    dof: int
    misclosure_um: float | None
    probability: float | None
    closes: bool | None
    quarter_difference_um: float | None
    suspects: tuple[Suspect, ...]


def check_closure(
    angle_deg: ArrayLike,
    diameter_mm: ArrayLike,
    repeatability_um: float,
    significance: float = 0.05,
) -> ClosureCheck:
    """Check whether the diameters of one section close on an ellipse.

    Parameters
    ----------
    angle_deg : array_like, shape (n,)
        Orientations in degrees.
    diameter_mm : array_like, shape (n,)
        Diameters in millimetres.
    repeatability_um : float
        Standard deviation of one reading, micrometres of diameter.
    significance : float
        Share of sound sections that the check is allowed to doubt.

    Raises
    ------
    InputError
        As `fit_ovality`, or the repeatability is not greater than zero.
    TooFewError, DegenerateError
        As `fit_ovality`.
    """
    if not (np.isfinite(repeatability_um) and repeatability_um > 0.0):
        raise InputError(f"a repeatability is greater than zero, not {repeatability_um} µm")
    angle, diameter = paired_vectors(angle_deg, "orientations", diameter_mm, "diameters")
    fit = fit_ovality(angle, diameter)
    if fit.dof == 0:
        return ClosureCheck(0, None, None, None, None, ())
    residuals = np.array(fit.residuals_um)
    squares = float(residuals @ residuals)
    probability = chi_square_tail(squares / repeatability_um**2, fit.dof)
    departure_um = (diameter - np.mean(diameter)) * UM_PER_MM
    return ClosureCheck(
        dof=fit.dof,
        misclosure_um=sqrt(squares / fit.dof),
        probability=probability,
        closes=probability >= significance,
        quarter_difference_um=_quarter_difference(angle, departure_um),
        suspects=judge_residuals(
            residuals, ovality_design(angle).free, fit.dof, repeatability_um, significance
        ),
    )


def _quarter_difference(angle_deg: FloatArray, departure_um: FloatArray) -> float | None:
    if angle_deg.size != 4:
        return None
    turned = (angle_deg - angle_deg[0]) % 180.0
    order = np.argsort(turned)
    if not np.allclose(turned[order], _QUARTERS_DEG, atol=1e-6):
        return None
    d0, d45, d90, d135 = departure_um[order]
    return float(d0 + d90 - d45 - d135)

"""The seat along its generatrices: taper and straightness by orientation, from diameters."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from seatproof.core.form.arrays import finite_vector, paired_vectors
from seatproof.core.form.errors import InputError
from seatproof.core.form.line import minimum_zone_band_along_values
from seatproof.core.form.taper import TaperFit, fit_taper
from seatproof.core.units import UM_PER_MM


@dataclass(frozen=True, slots=True)
class GeneratrixPair:
    """Two opposite generatrices, as the diameters between them show them.

    Attributes
    ----------
    angle_deg : float
        Orientation of the diameters.
    taper : TaperFit
        Line through them.
    straightness_um : float
        Width of the narrowest straight band that holds the diameters along the seat, µm of
        *diameter*: what both generatrices depart together. A bend of the shaft does not show.
    """

    angle_deg: float
    taper: TaperFit
    straightness_um: float


def generatrix_pairs(
    z_mm: ArrayLike, angle_deg: ArrayLike, diameter_mm: ArrayLike
) -> tuple[GeneratrixPair, ...]:
    """Fit every orientation by itself, in the order of the angles.

    Parameters
    ----------
    z_mm, angle_deg, diameter_mm : array_like, shape (n,)
        Station, orientation and diameter of each point. Orientations with fewer than two stations
        are left out.

    Raises
    ------
    InputError
        Lengths differ, a value is not finite, or no orientation has two stations.
    """
    z, diameter = paired_vectors(z_mm, "axial positions", diameter_mm, "diameters")
    angle = finite_vector(angle_deg, "orientations")
    if angle.size != z.size:
        raise InputError(f"there are {z.size} diameters but {angle.size} orientations")
    order = np.lexsort((z, angle))
    z, angle, diameter = z[order], angle[order], diameter[order]
    first = np.flatnonzero(np.diff(angle, prepend=np.nan))
    pairs = []
    for start, end in zip(first, [*first[1:], z.size], strict=True):
        here = slice(int(start), int(end))
        if z[here][0] == z[here][-1]:
            continue
        # Departures from one diameter keep the last digits of the band.
        band = minimum_zone_band_along_values(z[here], diameter[here] - diameter[start])
        pairs.append(
            GeneratrixPair(
                angle_deg=float(angle[start]),
                taper=fit_taper(z[here], diameter[here]),
                straightness_um=band.zone * UM_PER_MM,
            )
        )
    if not pairs:
        raise InputError("no orientation was measured at two stations; repeat one at both ends")
    return tuple(pairs)

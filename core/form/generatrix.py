"""The seat along its generatrices: taper and straightness by orientation, from diameters."""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from seatproof.core.form.arrays import FloatArray, finite_vector, paired_vectors
from seatproof.core.form.errors import InputError
from seatproof.core.form.line import minimum_zone_band_along_values
from seatproof.core.form.taper import TaperFit, fit_tapers
from seatproof.core.units import UM_PER_MM

_FEW_STATIONS: Final = 24


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
    first = np.flatnonzero(np.diff(angle, prepend=np.nan)).tolist()
    # Usually every orientation was measured at the same stations; those are fitted together.
    alike: dict[bytes, list[slice]] = {}
    for start, end in zip(first, [*first[1:], z.size], strict=True):
        if z[start] != z[end - 1]:
            alike.setdefault(z[start:end].tobytes(), []).append(slice(start, end))
    pairs = []
    for places in alike.values():
        stations = z[places[0]]
        rows = np.stack([diameter[place] for place in places])
        pairs += [
            GeneratrixPair(float(angle[place.start]), taper, width * UM_PER_MM)
            for place, taper, width in zip(
                places, fit_tapers(stations, rows), _straightness(stations, rows), strict=True
            )
        ]
    if not pairs:
        raise InputError("no orientation was measured at two stations; repeat one at both ends")
    return tuple(sorted(pairs, key=lambda pair: pair.angle_deg))


def _straightness(z: FloatArray, rows: FloatArray) -> list[float]:
    """Width of the narrowest straight band along the diameters, for each row (k, n), in mm."""
    # Departures from one diameter keep the last digits of the band.
    departures = rows - rows[:, :1]
    if z.size > _FEW_STATIONS:
        return [minimum_zone_band_along_values(z, row).zone for row in departures]
    # The narrowest band runs along the line through two of the points: all lines are tried.
    one, other = np.triu_indices(z.size, 1)
    sloping = z[other] > z[one]
    one, other = one[sloping], other[sloping]
    slopes = (departures[:, other] - departures[:, one]) / (z[other] - z[one])
    levels = departures[:, None, :] - slopes[:, :, None] * (z - z[0])
    widths: list[float] = np.ptp(levels, axis=2).min(axis=1).tolist()
    return widths

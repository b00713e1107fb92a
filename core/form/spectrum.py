"""The undulation spectrum of one section from radial readings, or the even part from diameters."""

from numpy.typing import ArrayLike

from seatproof.core.form.combination import ReadingSet, combine
from seatproof.core.form.setup import RADIAL, TWO_POINT
from seatproof.core.form.undulation import CombinedProfile


def radial_spectrum(
    angle_deg: ArrayLike,
    radius_mm: ArrayLike,
    repeatability_um: float | None = None,
    highest: int | None = None,
) -> CombinedProfile:
    """Fit undulations to radii at any angles, with standard errors; eccentricity is taken out.

    The eccentricity must be small beside √(radius · form); else use `remove_eccentricity` first.
    Parameters and errors as `combine`.
    """
    return combine([ReadingSet.of(RADIAL, angle_deg, radius_mm, repeatability_um)], highest)


def two_point_spectrum(
    angle_deg: ArrayLike,
    diameter_mm: ArrayLike,
    repeatability_um: float | None = None,
    highest: int | None = None,
) -> CombinedProfile:
    """Fit the even undulations to the diameters of a section; the odd ones come out as invisible.

    The amplitudes are *radial*: half of what shows in the diameter. Parameters and errors as
    `combine`.
    """
    return combine([ReadingSet.of(TWO_POINT, angle_deg, diameter_mm, repeatability_um)], highest)

"""A ring in halves clamped round a shaft: its joints' opening, or its looseness.

The halves close into a full circle on one shaft diameter, the closing diameter. On a larger shaft
the joints stay open, and the clamp grips; on a smaller one the joints touch first, and it cannot.
"""

from dataclasses import dataclass
from math import isfinite, pi
from typing import Final

from seatproof.core.fit.errors import DimensionError
from seatproof.core.fit.interference import SeatSize
from seatproof.core.fit.press import STEEL_MODULUS_MPA, Cylinder, press
from seatproof.core.units import UM_PER_MM

_JOINTS: Final = 2
_UNEQUAL: Final = 1.5  # beyond a feeler's step or two


@dataclass(frozen=True, slots=True)
class Joints:
    """Where the joints of a ring in halves stand on a shaft of one diameter.

    Attributes
    ----------
    over_um : float
        Shaft diameter less closing diameter.
    opening_um, opening_each_um : float
        Gap of both joints together, measured round the bore, and of one of two equal ones; zero
        where they touch.
    looseness_um : float
        Diametral clearance of the closed ring on the shaft; zero where the joints are open.
    forced_strain : float
        Strain round the bore if the joints were forced shut all the same.
    forced_stress_mpa : float
        Hoop stress that goes with it on a shaft that does not give: an upper bound.
    forced_ring_stress_mpa : float or None
        Hoop stress at the bore if shaft and ring both give (Lamé); None without a ring's section.
    """

    over_um: float
    opening_um: float
    opening_each_um: float
    looseness_um: float
    forced_strain: float
    forced_stress_mpa: float
    forced_ring_stress_mpa: float | None


def joints(
    shaft_mm: float,
    closing_mm: float,
    *,
    ring_outer_mm: float | None = None,
    shaft_bore_mm: float = 0.0,
    modulus_mpa: float = STEEL_MODULUS_MPA,
) -> Joints:
    """Work out how the joints of a ring in halves stand on a shaft.

    The circumference of the shaft is π·Δd longer than that of the closed ring; that is what the
    joints are open by together.

    Parameters
    ----------
    shaft_mm : float
        Shaft diameter at 20 °C.
    closing_mm : float
        Diameter on which the joints just close.
    ring_outer_mm : float, optional
        Outside diameter of a ring of equal stiffness.
    shaft_bore_mm : float
        Bore of a hollow shaft.
    modulus_mpa : float
        Of ring and shaft.

    Raises
    ------
    DimensionError
        A diameter is not above zero.

    Examples
    --------
    >>> found = joints(100.010, 100.0)
    >>> round(found.opening_um, 1), round(found.opening_each_um, 1)
    (31.4, 15.7)
    """
    for what, diameter_mm in (("shaft's size", shaft_mm), ("closing diameter", closing_mm)):
        if not (isfinite(diameter_mm) and diameter_mm > 0.0):
            raise DimensionError(what, f"{diameter_mm} mm", "it must be above zero")
    over_mm = shaft_mm - closing_mm
    above_mm = max(over_mm, 0.0)
    strain = above_mm / closing_mm
    ring_stress = None
    if ring_outer_mm is not None:
        ring = Cylinder(closing_mm, ring_outer_mm, modulus_mpa)
        shaft = Cylinder(shaft_bore_mm, closing_mm, modulus_mpa)
        ring_stress = press(above_mm * UM_PER_MM, ring, shaft).ring_hoop_mpa
    return Joints(
        over_um=over_mm * UM_PER_MM,
        opening_um=pi * above_mm * UM_PER_MM,
        opening_each_um=pi * above_mm * UM_PER_MM / _JOINTS,
        looseness_um=max(-over_mm, 0.0) * UM_PER_MM,
        forced_strain=strain,
        forced_stress_mpa=modulus_mpa * strain,
        forced_ring_stress_mpa=ring_stress,
    )


def diameter_from_gaps(closing_mm: float, gaps_mm: tuple[float, float]) -> float:
    """Return the shaft diameter that two measured joint gaps tell: a check of the micrometer.

    Parameters
    ----------
    closing_mm : float
        Diameter on which the joints just close.
    gaps_mm : (float, float)
        Both gaps as found with feelers.

    Raises
    ------
    DimensionError
        A gap is not above zero: joints that touch say only that the shaft is not larger.
    """
    for gap_mm in gaps_mm:
        if not (isfinite(gap_mm) and gap_mm > 0.0):
            raise DimensionError(
                "joint gap", f"{gap_mm} mm", "a joint without a gap tells nothing of the diameter"
            )
    return closing_mm + sum(gaps_mm) / pi


@dataclass(frozen=True, slots=True)
class HalvesFit:
    """A ring in halves on a seat as it was measured.

    Attributes
    ----------
    closing_mm : float
    smallest, probable, largest : Joints
        On the smallest local size less U, on the mean, and on the largest local size plus U.
    told_by_gaps_mm : float or None
        Shaft diameter that measured joint gaps tell.
    warnings : tuple of str
    """

    closing_mm: float
    smallest: Joints
    probable: Joints
    largest: Joints
    told_by_gaps_mm: float | None
    warnings: tuple[str, ...]


def fit_halves(
    seat: SeatSize,
    closing_mm: float,
    *,
    ring_outer_mm: float | None = None,
    shaft_bore_mm: float = 0.0,
    gaps_mm: tuple[float, float] | None = None,
) -> HalvesFit:
    """Work out how a ring in halves will sit on a seat as it was measured.

    Parameters
    ----------
    seat : SeatSize
    closing_mm, ring_outer_mm, shaft_bore_mm
        As for `joints`.
    gaps_mm : (float, float), optional
        Gaps found at the two joints after clamping.

    Raises
    ------
    DimensionError
        As `joints` and `diameter_from_gaps`.
    """
    smallest, probable, largest = (
        joints(size_mm, closing_mm, ring_outer_mm=ring_outer_mm, shaft_bore_mm=shaft_bore_mm)
        for size_mm in (
            seat.smallest_mm - seat.expanded_mm,
            seat.mean_mm,
            seat.largest_mm + seat.expanded_mm,
        )
    )
    warnings = []
    if largest.over_um <= 0.0:
        warnings.append(
            "The joints close before the ring grips: the shaft is under the closing diameter. Do "
            "not run it; check shaft and ring, and follow the bearing maker's instructions."
        )
    elif smallest.over_um <= 0.0:
        warnings.append(
            "The joints may close before the ring grips: the closing diameter lies within what is "
            "known of the shaft."
        )
    told_mm = None
    if gaps_mm is not None:
        told_mm = diameter_from_gaps(closing_mm, gaps_mm)
        low, high = seat.smallest_mm - seat.expanded_mm, seat.largest_mm + seat.expanded_mm
        if not low <= told_mm <= high:
            warnings.append(
                "The measured joint gaps tell another shaft diameter than the gauge: look for a "
                "burr, dirt, a wrong ring or a wrong reading."
            )
        if max(gaps_mm) > _UNEQUAL * min(gaps_mm):
            warnings.append("The two joint gaps differ; set them equal, as the maker asks.")
    return HalvesFit(closing_mm, smallest, probable, largest, told_mm, tuple(warnings))

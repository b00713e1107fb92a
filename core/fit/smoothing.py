"""How much of a measured interference is lost as the asperities flatten: a range, not a number."""

from dataclasses import dataclass
from math import isfinite
from typing import Final

from seatproof.core.fit.errors import DimensionError

_RZ_PER_RA: Final = 6.0  # about; surfaces differ


@dataclass(frozen=True, slots=True)
class Smoothing:
    """The interference that is left by one of the formulas in use, and that formula in words."""

    formula: str
    effective_um: float


def smoothed(
    interference_um: float,
    bore_mm: float,
    roughness_um: tuple[float, float] | None = None,
) -> tuple[Smoothing, ...]:
    """Return what formulas in use leave of an interference; they differ, which is the point.

    Parameters
    ----------
    interference_um : float
        Diametral, µm, as measured; a clearance is returned as it is.
    bore_mm : float
        Diameter of the fit.
    roughness_um : (float, float), optional
        Ra of the shaft and of the bore, µm; Rz is taken as six times that.

    Raises
    ------
    DimensionError
        A roughness is negative or not finite.
    """
    if roughness_um is not None:
        for ra in roughness_um:
            if not (isfinite(ra) and ra >= 0.0):
                raise DimensionError("roughness", f"{ra} µm", "it must be zero or more")
    if interference_um <= 0.0:
        return (Smoothing("loose: nothing is pressed flat", interference_um),)
    found = [
        Smoothing("d/(d + 2), ground shaft", interference_um * bore_mm / (bore_mm + 2.0)),
        Smoothing("d/(d + 3), turned shaft", interference_um * bore_mm / (bore_mm + 3.0)),
    ]
    if roughness_um is not None:
        heights_um = _RZ_PER_RA * sum(roughness_um)
        found += [
            Smoothing("less a tenth of each Rz", interference_um - 0.1 * heights_um),
            Smoothing("less 0.8 times each Rz", interference_um - 0.8 * heights_um),
        ]
    return tuple(found)

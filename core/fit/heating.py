"""The temperature to which a ring is warmed so that it slips over its seat with a stated gap."""

from math import isfinite

from seatproof.core.fit.errors import DimensionError
from seatproof.core.fit.interference import Warmth
from seatproof.core.units import REFERENCE_TEMPERATURE_C, UM_PER_MM


def slip_on_temperature_c(
    interference_um: float, gap_um: float, bore_mm: float, warmth: Warmth | None = None
) -> float:
    """Return the ring temperature at which its bore is larger than the seat by the gap.

    Parameters
    ----------
    interference_um : float
        Diametral at 20 °C; the most that is to be expected.
    gap_um : float
        Diametral gap wanted for slipping on, zero or more.
    bore_mm : float
        Bore diameter.
    warmth : Warmth, optional
        Its `shaft_c` is the shaft's temperature while mounting; its `ring_c` is not used.

    Returns
    -------
    float
        Degrees Celsius, never below the shaft's own where there is nothing to overcome. How hot a
        bearing may become is stated by its maker alone.

    Raises
    ------
    DimensionError
        The gap is negative, or the ring does not expand at all.
    """
    if not (isfinite(gap_um) and gap_um >= 0.0):
        raise DimensionError("gap for slipping on", f"{gap_um} µm", "it must be zero or more")
    state = warmth or Warmth()
    if state.ring_expansion <= 0.0:
        raise DimensionError(
            "expansion of the ring", f"{state.ring_expansion} /K", "it must be above zero"
        )
    shaft = state.shaft_expansion * (state.shaft_c - REFERENCE_TEMPERATURE_C)
    needed = (interference_um + gap_um) / UM_PER_MM / bore_mm + shaft
    needed_c = REFERENCE_TEMPERATURE_C + needed / state.ring_expansion
    return max(needed_c, state.shaft_c)

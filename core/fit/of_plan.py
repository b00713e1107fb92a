"""The fit of a seat whose ring a plan describes."""

from seatproof.core.fit.bore import Bore, bore_by_class
from seatproof.core.fit.closed import ClosedFit, ClosedRing
from seatproof.core.fit.estimate import fit_closed
from seatproof.core.fit.halves import HalvesFit, fit_halves
from seatproof.core.fit.interference import SeatSize
from seatproof.core.fit.press import Cylinder
from seatproof.core.plan.ring import RingFit
from seatproof.core.plan.seat import Seat
from seatproof.core.units import UM_PER_MM


def fit_of(seat: Seat, size: SeatSize) -> ClosedFit | HalvesFit | None:
    """Work out the fit of the ring that a plan names for a seat, at 20 °C.

    Parameters
    ----------
    seat : Seat
    size : SeatSize
        As measured.

    Returns
    -------
    ClosedFit, HalvesFit or None
        None where the plan does not say enough: of a closed ring its bore, of one in halves its
        closing diameter.

    Raises
    ------
    FitError
        What the plan says of the ring cannot be.
    """
    told = seat.fit
    if told is None:
        return None
    outer_mm = None if told.ring_outer_mm is None else float(told.ring_outer_mm)
    if seat.ring == "halves":
        if told.closing_diameter_mm is None:
            return None
        return fit_halves(
            size,
            float(told.closing_diameter_mm),
            ring_outer_mm=outer_mm,
            shaft_bore_mm=float(told.shaft_bore_mm),
        )
    ring = _closed_ring(seat, told)
    if ring is None:
        return None
    shaft = Cylinder(float(told.shaft_bore_mm), float(seat.nominal_mm))
    return fit_closed(size, ring, shaft=shaft)


def bore_of(seat: Seat, told: RingFit) -> Bore | None:
    """Return the limits of the ring's bore, by class or as stated; None where neither is there."""
    if told.bore_class is not None:
        return bore_by_class(seat.nominal_mm, told.bore_class)
    if told.bore_lower_mm is not None and told.bore_upper_mm is not None:
        return Bore(told.bore_lower_mm, told.bore_upper_mm, told.source or "stated in the plan")
    return None


def _closed_ring(seat: Seat, told: RingFit) -> ClosedRing | None:
    """Return the closed ring that a plan describes; None without its bore."""
    bore = bore_of(seat, told)
    if bore is None:
        return None
    section = None
    if told.ring_outer_mm is not None:
        section = Cylinder(float(seat.nominal_mm), float(told.ring_outer_mm))
    clearance = None
    if told.clearance_lower_mm is not None and told.clearance_upper_mm is not None:
        clearance = (
            float(told.clearance_lower_mm) * UM_PER_MM,
            float(told.clearance_upper_mm) * UM_PER_MM,
        )
    return ClosedRing(bore, section, clearance)

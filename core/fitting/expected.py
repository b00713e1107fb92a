"""What the measured seat leads to expect of a ring in halves: the gap at each of its joints."""

from decimal import Decimal

from seatproof.core.evaluation.evaluate import Evaluation
from seatproof.core.evaluation.requirement import Characteristic
from seatproof.core.fit.errors import FitError
from seatproof.core.fit.halves import HalvesFit
from seatproof.core.fit.interference import SeatSize
from seatproof.core.fit.of_plan import fit_of
from seatproof.core.units import UM_PER_MM


def expected_gap_mm(evaluation: Evaluation, seat_id: str | None) -> Decimal | None:
    """Return the gap at each of two equal joints, for the mean size of a seat.

    Returns
    -------
    Decimal or None
        To a thousandth of a millimetre; None where the plan says too little of the ring or the seat
        was not measured.
    """
    for result in evaluation.seats:
        if result.seat.id != seat_id or not result.seat.has_size:
            continue
        if result.smallest is None or result.largest is None or result.mean_mm is None:
            return None
        expanded_um = result.requirement(Characteristic.SIZE).expanded_um or 0.0
        size = SeatSize(
            result.smallest.size_mm,
            result.largest.size_mm,
            result.mean_mm,
            expanded_um / UM_PER_MM,
        )
        try:
            fit = fit_of(result.seat, size)
        except FitError:
            return None  # the fit section of the sheet says what is wrong with the ring's figures
        if isinstance(fit, HalvesFit):
            return Decimal(f"{fit.probable.opening_each_um / UM_PER_MM:.3f}")
    return None

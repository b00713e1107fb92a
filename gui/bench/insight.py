"""What a seat's results hang on, in sentences: deciding points, the next best reading; no Qt.

The sentences are in English, and said when they are shown.
"""

from functools import lru_cache
from typing import Final

from seatproof.core import figures
from seatproof.core.evaluation.evaluate import Evaluation, SeatEvaluation
from seatproof.core.evaluation.sizes import LocalSize
from seatproof.core.foresight.advice import advise
from seatproof.core.foresight.next_reading import NextReading
from seatproof.core.form.errors import FormError
from seatproof.core.form.sampling import SamplingLoss, sampling_loss
from seatproof.core.form.setup import TWO_POINT
from seatproof.core.plan.seat import Seat
from seatproof.core.record.state import InspectionState
from seatproof.core.units import UM_PER_MM, Unit
from seatproof.core.verdict.rule import Verdict
from seatproof.gui.shared.saying import wording

_MOST_ADVICE: Final = 2
_OVER: Final = wording("Station {station} at {angle} is {by} over the upper limit.")
_UNDER: Final = wording("Station {station} at {angle} is {by} under the lower limit.")
_WORTH_MOST: Final = wording("Worth most next: {key} once more, for {aim}.")
_WORTH_MOST_BY_CHANCE: Final = wording(
    "Worth most next: {key} once more, for {aim}, chance to settle it {chance}."
)
_DIRECTIONS_SHOW: Final = wording(
    "{count} directions show {low} to {high} of a form deviation of usual shafts, half of them "
    "less than {median} (simulated)."
)


def insights(state: InspectionState, evaluation: Evaluation, seat_id: str) -> tuple[str, ...]:
    """Say what decides a seat's verdicts, what would settle them, and what few directions hide."""
    result = evaluation.seat(seat_id)
    if not result.sizes or not result.seat.has_size:
        return ()
    said = [*_deciding(result, state.plan.unit)]
    for requirement in result.requirements:
        said += [sentence for sentence in requirement.settle if sentence not in said]
    if result.verdict is Verdict.NOT_PROVEN and not state.next_open(seat_id=seat_id):
        said += [_advice(one) for one in advise(state, evaluation, seat_id)[:_MOST_ADVICE]]
    if result.seat.roundness is not None or result.seat.cylindricity is not None:
        said += _of_few_directions(result.seat)
    return tuple(said)


def _deciding(result: SeatEvaluation, unit: Unit) -> list[str]:
    """Name the points that lie beyond a limit, the worst of each side."""
    lower_mm, upper_mm = (float(limit) for limit in result.seat.limits_mm)
    said = []
    for size, over_mm, sentence in (
        (result.largest, _over(result.largest, upper_mm), _OVER),
        (result.smallest, -_over(result.smallest, lower_mm), _UNDER),
    ):
        if size is not None and over_mm > 0:
            said.append(
                sentence.format(
                    station=size.point.station,
                    angle=figures.angle(size.point.angle_deg),
                    by=figures.small(over_mm * UM_PER_MM, unit),
                )
            )
    return said


def _over(size: LocalSize | None, limit_mm: float) -> float:
    return 0.0 if size is None else size.size_mm - limit_mm


def _advice(one: NextReading) -> str:
    sentence = _WORTH_MOST_BY_CHANCE if one.chance < 1 else _WORTH_MOST
    return sentence.format(key=one.key, aim=one.aim, chance=f"{one.chance:.0%}")


def _of_few_directions(seat: Seat) -> list[str]:
    loss = _loss(tuple(float(angle) for angle in seat.orientations_deg))
    if loss is None:
        return []
    return [
        _DIRECTIONS_SHOW.format(
            count=len(seat.orientations_deg),
            low=f"{loss.low:.0%}",
            high=f"{loss.high:.0%}",
            median=f"{loss.median:.0%}",
        )
    ]


@lru_cache(maxsize=64)
def _loss(angles_deg: tuple[float, ...]) -> SamplingLoss | None:
    try:
        return sampling_loss(angles_deg, TWO_POINT)
    except FormError:
        return None

"""One requirement as the sheet and the bench show it: limits, value, U, verdict, reasons."""

from seatproof.core import figures
from seatproof.core.evaluation.requirement import Characteristic, Requirement
from seatproof.core.plan.model import Plan
from seatproof.core.plan.seat import Seat
from seatproof.core.units import Unit
from seatproof.core.wording.content import Numbers, RequirementLine
from seatproof.core.wording.words import words_of
from seatproof.core.words import Words


def requirement_line(
    plan: Plan, requirement: Requirement, words: Words | None = None
) -> RequirementLine:
    """Write one requirement; in English unless other words are given."""
    say = words or words_of("en")
    unit = plan.unit
    seat = plan.seat(requirement.seat_id)
    return RequirementLine(
        seat=requirement.seat_id,
        characteristic=say(requirement.characteristic),
        sense=say(requirement.sense),
        limits=_limits(seat, requirement, unit),
        value=_value(seat, requirement, unit),
        uncertainty=_uncertainty(requirement, unit, say),
        probability=probability_text(requirement.probability),
        numbers=_numbers(seat, requirement, unit),
        verdict=requirement.verdict,
        judged=say.again(requirement.judged),
        reasons=tuple(say.again(reason) for reason in (*requirement.reasons, *requirement.settle)),
    )


def _limits(seat: Seat, requirement: Requirement, unit: Unit) -> str:
    if requirement.characteristic is Characteristic.SIZE:
        lower, upper = figures.limits(*seat.limits_mm, unit)
        return f"{lower} … {upper} {unit}"
    assert requirement.upper_um is not None  # every form requirement has an upper limit
    return f"≤ {figures.tolerance(requirement.upper_um, unit)}"


def _value(seat: Seat, requirement: Requirement, unit: Unit) -> str:
    smallest, largest = requirement.smallest_um, requirement.largest_um
    if smallest is None or largest is None:
        return figures.NOTHING
    if requirement.characteristic is Characteristic.SIZE:
        nominal_mm = float(seat.nominal_mm)
        ends = [figures.size(nominal_mm + value / 1000.0, unit) for value in (smallest, largest)]
        return f"{ends[0]} … {ends[1]} {unit}" if ends[0] != ends[1] else f"{ends[0]} {unit}"
    if requirement.characteristic is Characteristic.TAPER:
        # The tolerance limits its amount; which end is larger is among the reasons.
        return figures.small(abs(largest), unit)
    return f"≥ {figures.small(largest, unit)}"


def _uncertainty(requirement: Requirement, unit: Unit, say: Words) -> str:
    text = figures.uncertainty(requirement.expanded_um, unit)
    if requirement.expanded_um is None:
        return text
    if requirement.coverage_factor is None:
        return f"{text} ({say('noise')})"
    return f"{text} (k\u00a0=\u00a0{factor_text(requirement.coverage_factor)})"


def _numbers(seat: Seat, requirement: Requirement, unit: Unit) -> Numbers:
    """Give the figures as they are printed, without units and typographic signs."""
    smallest, largest = requirement.smallest_um, requirement.largest_um
    factor, probability = requirement.coverage_factor, requirement.probability
    rest = {
        "small_unit": figures.small_unit(unit),
        "expanded": _bare(figures.uncertainty(requirement.expanded_um, unit)),
        "coverage_factor": "" if factor is None else factor_text(factor),
        "probability": "" if probability is None else f"{probability:.4f}",
    }
    if requirement.characteristic is Characteristic.SIZE:
        nominal_mm = float(seat.nominal_mm)
        lower, upper = figures.limits(*seat.limits_mm, unit)
        ends = [
            "" if value is None else _bare(figures.size(nominal_mm + value / 1000.0, unit))
            for value in (smallest, largest)
        ]
        return Numbers.model_validate(
            {
                "unit": unit.value,
                "lower": lower,
                "upper": upper,
                "smallest": ends[0],
                "largest": ends[1],
                **rest,
            }
        )
    upper_um = requirement.upper_um
    return Numbers.model_validate(
        {
            "unit": figures.small_unit(unit),
            "upper": "" if upper_um is None else _bare(figures.tolerance(upper_um, unit)),
            "smallest": _bare(figures.small(smallest, unit)),
            "largest": _bare(figures.small(largest, unit)),
            **rest,
        }
    )


def _bare(text: str) -> str:
    """Return a figure as decimal text; "" for none."""
    number = text.partition(" ")[0].replace(figures.MINUS, "-")
    return "" if number == figures.NOTHING else number


def factor_text(factor: float) -> str:
    """Write a coverage factor with two decimals, or as short as it is.

    >>> factor_text(2.0), factor_text(2.0466)
    ('2', '2.05')
    """
    return f"{round(factor, 2):g}"


def probability_text(probability: float | None) -> str:
    r"""Write a probability in per cent, never rounded to certainty; "" where there is none.

    >>> tuple(probability_text(value) for value in (0.9873, 1.0, 0.0, None))
    ('98.7\xa0%', '> 99.9\xa0%', '< 0.1\xa0%', '')
    """
    if probability is None:
        return ""
    if probability > 0.999:
        return "> 99.9\u00a0%"
    if probability < 0.001:
        return "< 0.1\u00a0%"
    return f"{probability * 100:.1f}\u00a0%"

"""What the answers given at a fitting step amount to: met, not met, and why.

Torque is work of its own and stands in `seatproof.core.fitting.torque`.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from seatproof.core.plan.fields import length_text
from seatproof.core.plan.fitting import IdentityStep, QuantityStep, ValueStep
from seatproof.core.units import Unit, from_mm

# Two feeler gauges of 0.01 mm each: what a pair of gaps can hardly be told apart by.
_GAPS_AGREE_MM = Decimal("0.02")


@dataclass(frozen=True, slots=True)
class Finding:
    """Whether a step is met, and sentences that say what was found; None while it is open."""

    met: bool | None
    sentences: tuple[str, ...] = ()


def identity_finding(step: IdentityStep, read: Mapping[str, str]) -> Finding:
    """Compare the marks read from parts that belong together.

    Blanks and capitals make no difference: marks are read off castings and by torchlight.
    """
    missing = [part for part in step.parts if not read.get(part, "").strip()]
    if missing:
        return Finding(None, (f"Not read yet: {_listed(missing)}.",))
    marks = {part: _plain(read[part]) for part in step.parts}
    wanted = marks[step.parts[0]] if step.expected is None else _plain(step.expected)
    other = [part for part in step.parts if marks[part] != wanted]
    if not other:
        return Finding(True)
    says = "; ".join(f"{part}: {read[part].strip()}" for part in step.parts)
    if step.expected is not None:
        return Finding(False, (f"{_listed(other)} should read {step.expected} ({says}).",))
    return Finding(False, (f"The marks differ, so the parts do not belong together ({says}).",))


def value_finding(
    step: ValueStep, read_mm: Mapping[str, Decimal], unit: Unit, predicted_mm: Decimal | None = None
) -> Finding:
    """Hold lengths against their limits; joint gaps also against one another and the seat.

    `predicted_mm` is the gap at each joint that the measured size of the seat leads to expect.
    """
    missing = [place for place in step.places if place not in read_mm]
    if missing:
        return Finding(None, (f"Not measured yet: {_listed(missing)}.",))
    values = [(place, read_mm[place]) for place in step.places]
    sentences = [
        f"{place}: {length_text(value, unit)} is {side} {length_text(limit, unit)}."
        for place, value in values
        for side, limit, outside in (
            ("below", step.lower_mm, step.lower_mm is not None and value < step.lower_mm),
            ("above", step.upper_mm, step.upper_mm is not None and value > step.upper_mm),
        )
        if outside and limit is not None
    ]
    met = not sentences
    if step.joint_gaps:
        doubts = _joint_gaps(step, values, unit)
        met = met and not doubts
        sentences += doubts
        if predicted_mm is not None:
            sentences += _against_the_seat(values, predicted_mm, unit)
    return Finding(met, tuple(sentences))


def quantity_finding(step: QuantityStep, amount: Decimal | None) -> Finding:
    """Hold an amount against its limits."""
    if amount is None:
        return Finding(None, ("No amount noted yet.",))
    if step.lower is not None and amount < step.lower:
        return Finding(False, (f"{amount} {step.unit} is below {step.lower} {step.unit}.",))
    if step.upper is not None and amount > step.upper:
        return Finding(False, (f"{amount} {step.unit} is above {step.upper} {step.unit}.",))
    return Finding(True)


def _joint_gaps(step: ValueStep, values: Sequence[tuple[str, Decimal]], unit: Unit) -> list[str]:
    doubts = [
        f"{place} is closed: the halves meet, so the ring may not grip the shaft. Stop, and go by "
        "the bearing maker's instructions."
        for place, value in values
        if value <= 0
    ]
    gaps = [value for _, value in values]
    allowed = step.equal_within_mm if step.equal_within_mm is not None else _GAPS_AGREE_MM
    if max(gaps) - min(gaps) > allowed:
        doubts.append(
            f"The gaps differ by {length_text(max(gaps) - min(gaps), unit)}, more than "
            f"{length_text(allowed, unit)}; the halves do not sit alike."
        )
    return doubts


def _against_the_seat(
    values: Sequence[tuple[str, Decimal]], predicted_mm: Decimal, unit: Unit
) -> list[str]:
    mean_mm = sum((value for _, value in values), Decimal(0)) / len(values)
    return [
        f"Mean gap {gap_text(mean_mm, unit)}; the measured seat leads to expect "
        f"{gap_text(predicted_mm, unit)} at each joint (estimate)."
    ]


def gap_text(gap_mm: Decimal, unit: Unit) -> str:
    """Say a gap in the plan's unit, to what a feeler gauge can tell apart.

    >>> gap_text(Decimal("0.0518"), Unit.MM), gap_text(Decimal("0.052"), Unit.INCH)
    ('0.052 mm', '0.002 in')
    """
    decimals = 3 if unit is Unit.MM else 4
    return f"{round(from_mm(gap_mm, unit), decimals).normalize():f} {unit}"


def _plain(mark: str) -> str:
    return "".join(mark.split()).casefold()


def _listed(names: Sequence[str]) -> str:
    return ", ".join(names)

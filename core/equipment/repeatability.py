"""A repeatability test of a gauge: several presses on one point, and what they do to U.

The uncertainty worked out here is that of a single reading with this gauge, without temperature,
alignment and the setting standard: what the test can change, and nothing else.
"""

import statistics
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from seatproof.core.equipment.book import RepeatabilityTested
from seatproof.core.equipment.errors import EquipmentRefusedError
from seatproof.core.equipment.item import Item
from seatproof.core.uncertainty.contribution import Contribution, half_width
from seatproof.core.uncertainty.coverage import Coverage, combined_um, effective_dof
from seatproof.core.uncertainty.gauge import CurvePoint, Evidence, GaugeFacts, indication
from seatproof.core.uncertainty.repeatability import (
    REFERENCE_STEP,
    Repeatability,
    reading_contribution,
)
from seatproof.core.units import UM_PER_MM, Unit, to_mm

USUAL_PRESSES: Final = 10
FEWEST_PRESSES: Final = 2


@dataclass(frozen=True, slots=True)
class RepeatabilityTest:
    """What the presses say: mean in mm, standard deviation of one reading and range in µm."""

    values_mm: tuple[Decimal, ...]
    mean_mm: float
    deviation_um: float
    range_um: float

    @property
    def presses(self) -> int:
        return len(self.values_mm)


@dataclass(frozen=True, slots=True)
class ReadingUncertainty:
    """U of a single reading, µm, without the test and with it; `gist` says what follows.

    `lacking` says what the register does not know of the gauge; its error is not counted then.
    """

    before_um: float
    after_um: float
    gist: str
    lacking: str = ""


def evaluate_presses(values_mm: Sequence[Decimal]) -> RepeatabilityTest:
    """Evaluate presses on one point.

    Raises
    ------
    EquipmentRefusedError
        There are fewer than two.
    """
    if len(values_mm) < FEWEST_PRESSES:
        raise EquipmentRefusedError("One press says nothing of a spread; press at least twice.")
    deviation_mm = statistics.stdev(values_mm)  # exact on decimals until its root is taken
    return RepeatabilityTest(
        values_mm=tuple(values_mm),
        mean_mm=float(statistics.mean(values_mm)),
        deviation_um=float(deviation_mm) * UM_PER_MM,
        range_um=float(max(values_mm) - min(values_mm)) * UM_PER_MM,
    )


def entry_of(item: Item, test: RepeatabilityTest) -> RepeatabilityTested:
    """Return what the register keeps of a test."""
    return RepeatabilityTested(
        inventory_number=item.inventory_number,
        values_mm=tuple(f"{value:f}" for value in test.values_mm),
        deviation_mm=f"{test.deviation_um / UM_PER_MM:.7f}",
        resolution_mm=f"{_step_mm(item):f}",
    )


def reading_uncertainty(item: Item, test: RepeatabilityTest) -> ReadingUncertainty:
    """Work out what a test does to the uncertainty of a single reading at its size.

    Raises
    ------
    EquipmentRefusedError
        The item is no gauge whose values are lengths.
    """
    step_um = float(_step_mm(item)) * UM_PER_MM
    stated = None
    if item.repeatability_mm is not None:
        stated = Repeatability.stated(
            float(item.repeatability_mm) * UM_PER_MM, item.repeats or None, "register"
        )
    tested = Repeatability.stated(test.deviation_um, test.presses, "test")
    shown = indication(_facts(item, step_um), test.mean_mm)
    others = [half_width(REFERENCE_STEP, step_um / 2.0)]
    if shown.contribution is not None:
        others.append(shown.contribution)
    before_um = _expanded_um([reading_contribution(stated, step_um), *others])
    own = reading_contribution(tested, step_um)
    after_um = _expanded_um([own, *others])
    share = own.standard_um**2 / combined_um(part.standard_um for part in (own, *others)) ** 2
    return ReadingUncertainty(before_um, after_um, _gist(tested, own, share), shown.lacking)


def _gist(tested: Repeatability, own: Contribution, share: float) -> str:
    if own.name != "repeatability":
        return (
            "The presses scatter by less than the gauge's step, so half a step counts instead; "
            "repeats would not help."
        )
    if share > 0.5:
        return (
            f"The scatter is the largest part of it ({share * 100:.0f} % of the variance): "
            "repeats at every point would help most."
        )
    return (
        f"The scatter is {share * 100:.0f} % of the variance; the gauge's own error counts for "
        "more than repeats could gain."
    )


def _expanded_um(parts: list[Contribution]) -> float:
    standard_um = combined_um(part.standard_um for part in parts)
    dof = effective_dof((part.standard_um, part.dof) for part in parts)
    return Coverage().factor(dof) * standard_um


def _step_mm(item: Item) -> Decimal:
    if not item.kind.sends_lengths or item.resolution is None:
        raise EquipmentRefusedError(f"A {item.kind} gives no readings to test.")
    return to_mm(Decimal(item.resolution), Unit(item.unit))


def _facts(item: Item, step_um: float) -> GaugeFacts:
    ends = (item.range_from_mm, item.range_to_mm)
    curve = tuple(
        CurvePoint(
            float(point.size_mm),
            float(point.error_mm) * UM_PER_MM,
            float(point.expanded_mm) * UM_PER_MM,
            float(point.coverage_factor),
        )
        for point in item.certificate.error_curve
    )
    return GaugeFacts(
        step_um=step_um,
        permissible_error_um=(
            None
            if item.permissible_error_mm is None
            else float(item.permissible_error_mm) * UM_PER_MM
        ),
        travel_mm=None if None in ends else float(ends[1] or 0) - float(ends[0] or 0),
        curve=curve,
        evidence=Evidence(item.evidence),
    )

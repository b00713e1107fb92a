"""A requirement on a seat: the value found, its uncertainty, and the verdict."""

from dataclasses import dataclass
from enum import StrEnum
from math import isinf
from typing import Final, Literal

from seatproof.core.plan.model import Plan
from seatproof.core.plan.points import PointKey
from seatproof.core.plan.seat import FormTolerance
from seatproof.core.verdict.rule import Rule, Verdict

BLIND: Final = (
    "Two-point measurement sees even lobes only: a shaft with 3, 5 or 7 lobes looks round to it. "
    "It also cannot see whether the axis is straight, nor what lies between the points, such as "
    "lobes finer than the orientations are spaced."
)


class Characteristic(StrEnum):
    """What a requirement is about."""

    SIZE = "size"
    ROUNDNESS = "roundness"
    CYLINDRICITY = "cylindricity"
    TAPER = "taper"
    RUN_OUT = "run-out"
    TOTAL_RUN_OUT = "total run-out"


Sense = Literal["diametral", "radial"]


@dataclass(frozen=True, slots=True)
class Requirement:
    """One requirement of a seat, with the value found, its uncertainty and the verdict.

    Attributes
    ----------
    smallest_um, largest_um : float or None
        The value, in micrometres of `sense`: for size the extremes of what is judged, as
        departures from the nominal size; for form one figure, twice; None without enough readings.
    expanded_um : float or None
        Expanded uncertainty of it, with `coverage_factor`; for two-point form, where None stands
        for the factor, half the range that reading noise stays below at the rule's probability.
    guard_um : float
        Width of the guard band that the decision rule lays inside the limits; outside it is the
        same but where two limits are near compared with the uncertainty, which widens the inner.
    lower_um, upper_um : float or None
        The limits in the same terms.
    judged : str
        What was compared with the limits, in words.
    decisive : tuple of PointKey
        The points that gave the value.
    reasons : tuple of str
        Sentences that say why the verdict is what it is, and what it rests on.
    standard_um : float or None
        Standard uncertainty of what is judged, where U is a multiple of it.
    degrees_of_freedom : float or None
        Effective ones behind `coverage_factor`; None where they are infinite or there is none.
    probability : float or None
        Probability of conformity (JCGM 106): of all that is judged together; None where what was
        measured gives none, as two-point data do for form.
    settle : tuple of str
        For a size that is not proven although the readings are complete and in no doubt: sentences
        on what would settle it.
    """

    seat_id: str
    characteristic: Characteristic
    sense: Sense
    judged: str
    lower_um: float | None
    upper_um: float | None
    smallest_um: float | None
    largest_um: float | None
    expanded_um: float | None
    coverage_factor: float | None
    guard_um: float
    verdict: Verdict
    decisive: tuple[PointKey, ...]
    reasons: tuple[str, ...]
    standard_um: float | None = None
    degrees_of_freedom: float | None = None
    probability: float | None = None
    settle: tuple[str, ...] = ()

    @property
    def consumer_risk(self) -> float | None:
        """Probability that what is accepted does not conform; None where it is not accepted."""
        if self.probability is None or self.verdict is not Verdict.CONFORMS:
            return None
        return 1.0 - self.probability

    @property
    def producer_risk(self) -> float | None:
        """Probability that what is not accepted conforms; None where it is accepted."""
        if self.probability is None or self.verdict is Verdict.CONFORMS:
            return None
        return self.probability


def rule_of(plan: Plan) -> Rule:
    """Return the decision rule that the plan names; its limit on U is in micrometres."""
    decision = plan.decision
    largest_mm = decision.largest_uncertainty_mm
    return Rule.named(
        decision.rule,
        float(decision.probability),
        None if largest_mm is None else float(largest_mm * 1000),
    )


def too_uncertain(rule: Rule, expanded_um: float | None) -> tuple[str, ...]:
    """Say that U, in the sense it is stated in, is above what simple acceptance may have."""
    largest_um = rule.largest_expanded
    if rule.guarded or largest_um is None or expanded_um is None or expanded_um <= largest_um:
        return ()
    return ("U is larger than the plan allows for simple acceptance.",)


def inner_guard_um(rule: Rule, standard_um: float, tolerance_um: float, dof: float) -> float:
    """Return the guard band inside two limits; the one-sided one where no value has room."""
    inner = rule.inner_guard(standard_um, tolerance_um, dof)
    return rule.guard_band(standard_um, dof) if isinf(inner) else inner


def finite_or_none(dof: float) -> float | None:
    """Return degrees of freedom, None for infinitely many."""
    return None if isinf(dof) else dof


def stated_tolerance(tolerance: FormTolerance | None) -> FormTolerance:
    """Return a tolerance that the caller knows the seat to have."""
    if tolerance is None:
        raise ValueError("the seat states no such tolerance")
    return tolerance

"""The verdict on one value: what is known of it, its limits, and the rule in; a judgement out."""

from dataclasses import dataclass
from enum import StrEnum
from math import isfinite

from seatproof.core.verdict.errors import RuleError
from seatproof.core.verdict.knowledge import Estimate, Knowledge, Trials
from seatproof.core.verdict.limits import Limits, Zone
from seatproof.core.verdict.rule import Rule, Verdict


class Ground(StrEnum):
    """Why a verdict is what it is."""

    INSIDE = "the value lies in the acceptance zone"
    OUTSIDE = "the value lies beyond a limit by more than the uncertainty explains"
    BEYOND_LIMIT = "the value lies beyond a limit"
    NEAR_LIMIT = "a limit lies within the uncertainty of the value"
    NO_ZONE = "the uncertainty is too large for these limits to accept any value"
    UNCERTAINTY_TOO_LARGE = "the expanded uncertainty is above what simple acceptance may have here"


class Side(StrEnum):
    """One of the two limits."""

    LOWER = "lower"
    UPPER = "upper"


@dataclass(frozen=True, slots=True)
class Judgement:
    """The verdict on one value and the risks that go with it; lengths in the unit of the limits.

    Attributes
    ----------
    verdict : Verdict
    ground : Ground
    probability : float
        Probability of conformity: that the true value lies inside the limits (JCGM 106, 7).
    consumer_risk : float
        Specific consumer's risk at this value: the probability that what is accepted here does not
        conform, ``1 - probability``.
    producer_risk : float
        Specific producer's risk at this value: the probability that what is refused here conforms.
    acceptance : Zone or None
        Values of this uncertainty that the rule would accept; None where there are none.
    refusal : Zone
        Values from whose ends outward the rule finds that something does not conform.
    guard : float or None
        Width of the guard band inside the limits: the greater one where they differ; 0 for simple
        acceptance, None where nothing could be accepted.
    side : Side
        The limit that the value is in danger of.
    margin : float
        Distance of the value from that limit, positive inside.
    """

    verdict: Verdict
    ground: Ground
    probability: float
    consumer_risk: float
    producer_risk: float
    acceptance: Zone | None
    refusal: Zone
    guard: float | None
    side: Side
    margin: float


def judge(known: Knowledge, limits: Limits, rule: Rule, expanded: float | None = None) -> Judgement:
    """Judge one value.

    A guarded rule accepts where the probability of the zone between the limits is at least the
    rule's, which for a normal distribution and one near limit is a guard band of 1.645 u at 95 %,
    and for two near limits the exact wider one. It refuses where one limit is exceeded with at
    least that probability: a zone that is narrow against the uncertainty does not prove by its
    narrowness that a value lies outside.

    Parameters
    ----------
    known : Knowledge
        `Estimate` or `Trials`. A rule that makes a guard band takes an estimate's standard
        uncertainty and degrees of freedom; of trials both kinds of guarded rule take the
        distribution itself.
    limits : Limits
        In the unit of the value.
    rule : Rule
    expanded : float, optional
        Expanded uncertainty U of the value, which a rule with `largest_expanded` compares.

    Raises
    ------
    RuleError
        The rule limits U and none was given.

    References
    ----------
    .. [1] JCGM 106:2012, 7.2 to 7.5 and 8.2 to 8.3.
    .. [2] ISO 14253-1:2017.
    """
    lower, upper = limits.as_floats
    best = float(known.best)
    probability = known.inside(lower, upper)
    acceptance, refusal = _zones(known, limits, rule)
    verdict, ground = _decide(known, limits, rule, probability, acceptance, expanded)
    below, above = best - lower, upper - best
    side = Side.LOWER if below < above else Side.UPPER
    return Judgement(
        verdict=verdict,
        ground=ground,
        probability=probability,
        consumer_risk=1.0 - probability,
        producer_risk=probability,
        acceptance=acceptance,
        refusal=refusal,
        guard=_guard(acceptance, lower, upper),
        side=side,
        margin=min(below, above),
    )


def _decide(
    known: Knowledge,
    limits: Limits,
    rule: Rule,
    probability: float,
    acceptance: Zone | None,
    expanded: float | None,
) -> tuple[Verdict, Ground]:
    if not rule.guarded:
        if rule.largest_expanded is not None:
            if expanded is None:
                raise RuleError(rule.name, "it limits the expanded uncertainty, and none was given")
            if expanded > rule.largest_expanded:
                return Verdict.NOT_PROVEN, Ground.UNCERTAINTY_TOO_LARGE
        if limits.holds(known.best):
            return Verdict.CONFORMS, Ground.INSIDE
        return Verdict.DOES_NOT_CONFORM, Ground.BEYOND_LIMIT
    lower, upper = limits.as_floats
    doubt = known.doubt(rule.probability) if isinstance(known, Trials) else 0.0
    if max(known.below(lower), known.beyond(upper)) >= rule.probability + doubt:
        return Verdict.DOES_NOT_CONFORM, Ground.OUTSIDE
    if isinstance(known, Estimate):
        # By the zone and not by the probability, so that a value on its edge is inside.
        accepted = acceptance is not None and acceptance.holds(float(known.value))
    else:
        accepted = probability >= rule.probability + doubt
    if accepted:
        return Verdict.CONFORMS, Ground.INSIDE
    return Verdict.NOT_PROVEN, Ground.NO_ZONE if acceptance is None else Ground.NEAR_LIMIT


def _zones(known: Knowledge, limits: Limits, rule: Rule) -> tuple[Zone | None, Zone]:
    """Return the acceptance zone and the zone outside which a value is refused."""
    lower, upper = limits.as_floats
    if not rule.guarded:
        return Zone(lower, upper), Zone(lower, upper)
    if isinstance(known, Estimate):
        freedom = known.degrees_of_freedom
        outer = rule.guard_band(known.standard_uncertainty, freedom)
        acceptance = rule.acceptance_zone(limits, known.standard_uncertainty, freedom)
        return acceptance, Zone(lower - outer, upper + outer)
    needed = rule.probability + known.doubt(rule.probability)
    return known.acceptance(lower, upper, needed), known.refusal(lower, upper, needed)


def _guard(acceptance: Zone | None, lower: float, upper: float) -> float | None:
    if acceptance is None:
        return None
    bands = (
        acceptance.lower - lower if isfinite(lower) else 0.0,
        upper - acceptance.upper if isfinite(upper) else 0.0,
    )
    return max(0.0, *bands)

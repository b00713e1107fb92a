"""The decision rule and the uncertainty it works with, in words."""

from seatproof.core.plan.fields import length_text
from seatproof.core.plan.model import Plan
from seatproof.core.plan.uncertainty import StatedUncertainty
from seatproof.core.wording.content import Fact
from seatproof.core.words import Words

_GUARD_BAND = (
    "guard band of ISO 14253-1 at {probability}. A requirement conforms when its value lies inside "
    "the limits by the guard band at least, does not conform when it lies outside them by more "
    "than that, and is otherwise not proven."
)
_SIMPLE = (
    "simple acceptance. The value itself is compared with the limits; at a limit the chance of "
    "being wrong is up to one half."
)
_SIMPLE_BOUND = "U may be {largest} at most; with a larger one nothing is proven."
_PROBABILITY = (
    "probability of conformity (JCGM 106). A requirement conforms when the probability that the "
    "true value lies inside the limits is {probability} at least, does not conform when the "
    "probability that it lies outside them is, and is otherwise not proven."
)
_STATED = (
    "U = {expanded} (k = {factor}) of one local size, standard deviation of one reading "
    "{repeatability}; basis: {basis}"
)
_BUDGET = (
    "worked out for every value from the budget that stands with its seat (GUM), for a coverage "
    "probability of {probability}; basis: {basis}"
)
_BUDGET_FACTOR = (
    "worked out for every value from the budget that stands with its seat (GUM), with a fixed "
    "factor k = {factor}; basis: {basis}"
)
_NOISE = (
    "the value found is a lower bound, and “noise” is what reading noise alone adds to it at most, "
    "at {probability}."
)


def decision_facts(plan: Plan, say: Words) -> tuple[Fact, ...]:
    """Say by which rule a value becomes a verdict, and where its uncertainty comes from."""
    probability = _per_cent(float(plan.decision.probability))
    facts = [(say("Decision rule"), _rule(plan, probability, say))]
    stated = plan.uncertainty
    if isinstance(stated, StatedUncertainty):
        text = say(
            _STATED,
            expanded=length_text(stated.expanded_mm, plan.unit),
            factor=f"{stated.coverage_factor:f}",
            repeatability=length_text(stated.repeatability_mm, plan.unit),
            basis=_closed(stated.basis),
        )
        facts.append((say("Uncertainty as the plan states it"), text))
    elif stated.coverage_factor is not None:
        text = say(
            _BUDGET_FACTOR, factor=f"{stated.coverage_factor:f}", basis=_closed(stated.basis)
        )
        facts.append((say("Uncertainty"), text))
    else:
        coverage = _per_cent(float(stated.coverage_probability))
        text = say(_BUDGET, probability=coverage, basis=_closed(stated.basis))
        facts.append((say("Uncertainty"), text))
    if any(seat.has_size and (seat.roundness or seat.cylindricity) for seat in plan.seats):
        facts.append((say("Form from two-point readings"), say(_NOISE, probability=probability)))
    return tuple(Fact(label=label, value=value) for label, value in facts)


def _rule(plan: Plan, probability: str, say: Words) -> str:
    decision = plan.decision
    if decision.rule == "guard band":
        return say(_GUARD_BAND, probability=probability)
    if decision.rule == "probability":
        return say(_PROBABILITY, probability=probability)
    if decision.largest_uncertainty_mm is None:
        return say(_SIMPLE)
    largest = length_text(decision.largest_uncertainty_mm, plan.unit)
    return f"{say(_SIMPLE)} {say(_SIMPLE_BOUND, largest=largest)}"


def _per_cent(share: float) -> str:
    return f"{share * 100:g}\u00a0%"  # never broken between the lines


def _closed(basis: str) -> str:
    """End the words of a plan's author with one full stop."""
    return f"{basis.rstrip().rstrip('.')}."

"""What a plan has one assume of form that was not seen, and how that is said beside a verdict."""

from seatproof.core.plan.fields import length_text
from seatproof.core.plan.model import Plan
from seatproof.core.plan.uncertainty import BudgetUncertainty
from seatproof.core.units import UM_PER_MM


def missed_form_um(plan: Plan) -> float:
    """Return what so few orientations may have missed of the form, µm, radial."""
    stated = plan.uncertainty
    if not isinstance(stated, BudgetUncertainty):
        return 0.0
    return float(stated.missed_form_mm) * UM_PER_MM


def missed_form_said(plan: Plan) -> tuple[str, ...]:
    """Say it in a sentence, where there is something to say."""
    stated = plan.uncertainty
    if not isinstance(stated, BudgetUncertainty) or not stated.missed_form_mm:
        return ()
    missed = length_text(stated.missed_form_mm, plan.unit)
    return (f"Assumes that so few orientations missed {missed} (radial) at most.",)

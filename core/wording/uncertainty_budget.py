"""The uncertainty budget of a seat as the table that a metrologist knows."""

from math import isinf
from typing import Final

from seatproof.core import figures
from seatproof.core.evaluation.evaluate import SeatEvaluation
from seatproof.core.uncertainty.budget import Budget, BudgetRow
from seatproof.core.units import Unit
from seatproof.core.wording.content import Grid, Section
from seatproof.core.wording.requirement_line import factor_text
from seatproof.core.words import Words

_HEADS: Final = (
    "contribution",
    "value ±",
    "distribution",
    "divisor",
    "sensitivity",
    "u, µm",
    "ν",
    "share",
    "shared by",
)
_SHARES: Final = (0.23, 0.1, 0.105, 0.065, 0.155, 0.065, 0.05, 0.065, 0.165)
_FIGURES: Final = (1, 3, 4, 5, 6, 7)
_AFTER_AVERAGING: Final = (
    "The column u holds what is left after averaging and cancelling: what all readings share "
    "cancels in a taper."
)


def budget_section(result: SeatEvaluation, say: Words) -> Section:
    """Return the budget of the least known local size in full, and what the other results rest on.

    Empty where the plan states its uncertainty.
    """
    heading = say("Uncertainty budget of seat {seat}", seat=result.seat.id)
    if not result.budgets:
        return Section(heading=heading)
    first, *others = result.budgets
    grids = [_budget_grid(first, result, say)]
    if others:
        grids.append(_other_results(others, result.unit, say))
    if result.grades:
        grids.append(_grades(result, say))
    return Section(heading=heading, grids=tuple(grids))


def _budget_grid(budget: Budget, result: SeatEvaluation, say: Words) -> Grid:
    unit = result.unit
    coverage = (
        ""
        if budget.coverage_probability is None
        else say(" for {probability}", probability=f"{budget.coverage_probability * 100:g}\u00a0%")
    )
    foot = say(
        "Combined standard uncertainty u = {standard}, degrees of freedom {dof}, k = {factor}"
        "{coverage}, U = {expanded}.",
        standard=f"{budget.standard_um:.3f} µm",
        dof=_dof(budget.dof),
        factor=factor_text(budget.coverage_factor),
        coverage=coverage,
        expanded=figures.uncertainty(budget.expanded_um, unit),
    )
    notes = [foot, *(say.again(note) for note in result.notes)]
    return Grid(
        caption=f"{say(budget.of)[:1].upper()}{say(budget.of)[1:]}",
        heads=tuple(say(head) for head in _HEADS),
        shares=_SHARES,
        figures=_FIGURES,
        rows=tuple(_row(row, say) for row in budget.rows),
        note=" ".join(notes),
    )


def _row(row: BudgetRow, say: Words) -> tuple[str, ...]:
    name, bracket, number = row.name.partition(" (")
    # Expansion coefficients are told in millionths per kelvin, as tables give them.
    unit, scale = ("10⁻⁶/K", 1e6) if row.unit == "1/K" else (row.unit, 1.0)
    bracketed = f"({unit})" if "/" in unit else unit
    return (
        f"{say(name)}{bracket}{number}",
        f"{_number(row.value * scale)}{'·' if scale > 1.0 else ' '}{unit}",
        say(row.distribution),
        _number(row.divisor),
        _number(row.sensitivity / scale) + ("" if unit == "µm" else f" µm/{bracketed}"),
        f"{row.standard_um:.3f}",
        _dof(row.dof),
        f"{row.share * 100:.0f}\u00a0%",
        say(row.sharing),
    )


def _other_results(budgets: list[Budget], unit: Unit, say: Words) -> Grid:
    return Grid(
        caption=say("Uncertainty of the other results"),
        heads=tuple(say(head) for head in ("result", "u, µm", "ν", "k", "U")),
        shares=(0.5, 0.13, 0.12, 0.1, 0.15),
        figures=(1, 2, 3, 4),
        rows=tuple(
            (
                say(budget.of),
                f"{budget.standard_um:.3f}",
                _dof(budget.dof),
                factor_text(budget.coverage_factor),
                figures.uncertainty(budget.expanded_um, unit),
            )
            for budget in budgets
        ),
        note=say(_AFTER_AVERAGING),
    )


def _grades(result: SeatEvaluation, say: Words) -> Grid:
    return Grid(
        caption=say("U of one local size by the evidence for the gauge"),
        heads=tuple(say(head) for head in ("evidence", "U", "")),
        shares=(0.25, 0.12, 0.63),
        figures=(1,),
        rows=tuple(
            (
                say(grade.evidence),
                figures.uncertainty(grade.expanded_um, result.unit),
                say("in use")
                if grade.in_use
                else say("would be; {assumption}", assumption=say.again(grade.assumption))
                if grade.assumption
                else say("at hand, not used"),
            )
            for grade in result.grades
        ),
    )


def _number(value: float) -> str:
    return f"{value:.3g}".replace("-", figures.MINUS)


def _dof(dof: float) -> str:
    return "∞" if isinf(dof) or dof >= 1000 else f"{dof:.0f}"

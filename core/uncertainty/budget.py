"""The budget of one result: its contributions as the rows of a table."""

from dataclasses import dataclass

from seatproof.core.uncertainty.contribution import Distribution, InputUnit, Sharing
from seatproof.core.uncertainty.coverage import Coverage
from seatproof.core.uncertainty.propagation import Combined, Propagation


@dataclass(frozen=True, slots=True)
class BudgetRow:
    """One contribution to one result.

    Attributes
    ----------
    name : str
    value : float
        Half-width, standard deviation or expanded uncertainty, in `unit`.
    unit : str
    distribution : Distribution
    divisor : float
    sensitivity : float
        µm (diametral) of a local size for one `unit`.
    standard_um : float
        Standard uncertainty of the *result* from it. For a local size that is
        |sensitivity| · value / divisor; in a mean or a taper averaging and cancelling come on top.
    dof : float
        Degrees of freedom; infinite for what is stated.
    share : float
        Part of the variance of the result, 0 to 1.
    sharing : Sharing
    basis : str
        Where the value comes from.
    """

    name: str
    value: float
    unit: InputUnit
    distribution: Distribution
    divisor: float
    sensitivity: float
    standard_um: float
    dof: float
    share: float
    sharing: Sharing
    basis: str


@dataclass(frozen=True, slots=True)
class Budget:
    """The uncertainty budget of one result.

    Attributes
    ----------
    of : str
        The result, in words.
    rows : tuple of BudgetRow
        In a fixed order; what contributes nothing is kept, so that it is seen to be thought of.
    standard_um : float
        Combined standard uncertainty.
    dof : float
        Effective degrees of freedom (Welch and Satterthwaite).
    coverage_factor, expanded_um : float
        k, and U = k · u; full precision, rounded where it is shown.
    coverage_probability : float or None
        What U is stated for; None where the plan fixes k instead.
    """

    of: str
    rows: tuple[BudgetRow, ...]
    standard_um: float
    dof: float
    coverage_factor: float
    expanded_um: float
    coverage_probability: float | None


def budget_of_size(
    propagation: Propagation, index: int, combined: Combined, coverage: Coverage, of: str
) -> Budget:
    """Return the budget of one local size, with what averaging its readings makes of each row."""
    thinning = float(propagation.layout.thinning[index])
    return _budget(propagation, combined, coverage, of, thinning)


def budget_of_result(
    propagation: Propagation, combined: Combined, coverage: Coverage, of: str
) -> Budget:
    """Return the budget of a result that was worked out from several local sizes."""
    return _budget(propagation, combined, coverage, of, 1.0)


def _budget(
    propagation: Propagation,
    combined: Combined,
    coverage: Coverage,
    of: str,
    thinning: float,
) -> Budget:
    variance = combined.standard_um**2
    rows = []
    for effect, part_um in zip(propagation.effects, combined.parts_um, strict=True):
        row = effect.contribution
        thinned = thinning if row.sharing is Sharing.READING else 1.0
        rows.append(
            BudgetRow(
                name=row.name,
                value=row.value,
                unit=row.unit,
                distribution=row.distribution,
                divisor=row.divisor / thinned,
                sensitivity=row.sensitivity,
                standard_um=part_um,
                dof=row.dof,
                share=part_um**2 / variance if variance else 0.0,
                sharing=row.sharing,
                basis=row.basis,
            )
        )
    factor = coverage.factor(combined.dof)
    return Budget(
        of=of,
        rows=tuple(rows),
        standard_um=combined.standard_um,
        dof=combined.dof,
        coverage_factor=factor,
        expanded_um=factor * combined.standard_um,
        coverage_probability=None if coverage.fixed_factor is not None else coverage.probability,
    )

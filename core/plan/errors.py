"""What can be wrong with a plan, said so that its author can mend it.

PlanError
    the text is no plan; carries every problem found, each with field, value and mend
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing to mend: the field's path, the value found there, and what to do."""

    field: str
    value: str | None
    sentence: str

    def __str__(self) -> str:
        found = "" if self.value is None else f" = {self.value}"
        where = f"{self.field}{found}: " if self.field else ""
        return f"{where}{self.sentence}"


class PlanError(ValueError):
    """A plan that cannot be used; `problems` holds at least one thing to mend."""

    def __init__(self, source: str, problems: tuple[Problem, ...]) -> None:
        self.source = source
        self.problems = problems
        more = len(problems) - 1
        rest = f" (and {more} more: seatproof plan lists them all)" if more else ""
        super().__init__(f"The plan {source} cannot be used: {problems[0]}{rest}")

    @classmethod
    def single(cls, source: str, sentence: str) -> "PlanError":
        """Return an error about the plan as a whole."""
        return cls(source, (Problem("", None, sentence),))

"""What can be wrong with a tolerance class or a grade that someone asked for.

::

    LimitsError(ValueError)
    ├── ClassTextError          the text is not of the form of a class
    ├── DeviationLetterError    no shaft, or no hole, has such a letter
    ├── NominalSizeError        the nominal size is outside the tables
    ├── ClassNotDefinedError    the standard gives no such class at this size
    ├── SizeBelowZeroError      the class would reach below a size of zero
    ├── GradeTextError          the text is neither a grade nor a fraction of one
    └── GradeNotDefinedError    the standard gives no such grade at this size
"""

from decimal import Decimal

from seatproof.core.quantities import plain_text


class LimitsError(ValueError):
    """The limits asked for do not exist; the message says which do."""


class ClassTextError(LimitsError):
    """A text that is not of the form of a tolerance class.

    Attributes
    ----------
    tolerance_class : str
        The text as given.
    """

    def __init__(self, tolerance_class: str) -> None:
        self.tolerance_class = tolerance_class
        super().__init__(
            f'"{tolerance_class}" is not a tolerance class: write a deviation letter and a grade, '
            "such as k6 for a shaft or H7 for a hole."
        )


class DeviationLetterError(LimitsError):
    """A letter that stands for no fundamental deviation.

    Attributes
    ----------
    letter : str
        The letter or letters as given.
    available : tuple of str
        The letters that exist: of shafts if `letter` is small, of holes if it is capital; empty if
        it is neither throughout.
    """

    def __init__(self, letter: str, available: tuple[str, ...]) -> None:
        self.letter = letter
        self.available = available
        if available:
            kind = "shaft" if letter.islower() else "hole"
            sentence = f"No {kind} has the letter {letter}: there are {', '.join(available)}."
        else:
            sentence = (
                f'"{letter}" is no deviation letter: write small letters for a shaft, such as js, '
                "or capital ones for a hole, such as JS."
            )
        super().__init__(sentence)


class NominalSizeError(LimitsError):
    """A nominal size that the tables do not cover.

    Attributes
    ----------
    nominal_mm : Decimal
        The size as given.
    up_to_mm : Decimal
        The largest size of the tables.
    """

    def __init__(self, nominal_mm: Decimal, up_to_mm: Decimal) -> None:
        self.nominal_mm = nominal_mm
        self.up_to_mm = up_to_mm
        super().__init__(
            f"The nominal size {plain_text(nominal_mm)} mm is outside the tables of ISO 286: "
            f"it must be over 0 and at most {plain_text(up_to_mm)} mm."
        )


class ClassNotDefinedError(LimitsError):
    """A class for which the standard gives no limits at this size.

    Attributes
    ----------
    nominal_mm : Decimal
        The nominal size.
    tolerance_class : str
        The class as given.
    available : tuple of str
        The classes of the same letter at this size, finest first; may be empty.
    size_ranges_mm : tuple of (Decimal, Decimal)
        Where the letter exists at all: over the first number up to and including the second.
    other_case : str or None
        The same class in the other case, where that one exists at this size.
    """

    def __init__(
        self,
        nominal_mm: Decimal,
        tolerance_class: str,
        *,
        available: tuple[str, ...],
        size_ranges_mm: tuple[tuple[Decimal, Decimal], ...],
        other_case: str | None,
    ) -> None:
        self.nominal_mm = nominal_mm
        self.tolerance_class = tolerance_class
        self.available = available
        self.size_ranges_mm = size_ranges_mm
        self.other_case = other_case
        other_kind = "hole" if tolerance_class.islower() else "shaft"
        hint = f" (for a {other_kind} write {other_case})" if other_case else ""
        if available:
            given = f"at this size there are {_span(available)}{hint}"
        else:
            ranges = " and ".join(
                f"over {plain_text(over)} up to {plain_text(up_to)} mm"
                for over, up_to in size_ranges_mm
            )
            given = f"its letter is used {ranges} only{hint}"
        super().__init__(
            f"ISO 286 gives no {tolerance_class} at {plain_text(nominal_mm)} mm: {given}."
        )


class SizeBelowZeroError(LimitsError):
    """A class that would let a part have no size at all.

    The tables begin over 0 mm, so a nominal size of some micrometres finds its limit deviations
    there; it is a slip of the pen, or a size in another unit.

    Attributes
    ----------
    nominal_mm : Decimal
        The nominal size.
    tolerance_class : str
        The class as given.
    min_mm : Decimal
        What its lower limit of size would be.
    """

    def __init__(self, nominal_mm: Decimal, tolerance_class: str, min_mm: Decimal) -> None:
        self.nominal_mm = nominal_mm
        self.tolerance_class = tolerance_class
        self.min_mm = min_mm
        super().__init__(
            f"The class {tolerance_class} at {plain_text(nominal_mm)} mm would have a lower limit "
            f"of {plain_text(min_mm)} mm: check the nominal size and its unit."
        )


class GradeTextError(LimitsError):
    """A text that is neither a standard tolerance grade nor a fraction of one.

    Attributes
    ----------
    text : str
        The text as given.
    """

    def __init__(self, text: str, *, is_fraction_allowed: bool) -> None:
        self.text = text
        example = "such as IT5, or a part of one, such as IT5/2"
        super().__init__(
            f'"{text}" is not a standard tolerance grade: write IT and a number, '
            f"{example if is_fraction_allowed else 'such as IT5'}."
        )


class GradeNotDefinedError(LimitsError):
    """A grade for which the standard gives no tolerance at this size.

    Attributes
    ----------
    nominal_mm : Decimal
        The nominal size.
    grade : str
        The grade as given.
    available : tuple of str
        The grades that exist at this size, finest first.
    """

    def __init__(self, nominal_mm: Decimal, grade: str, available: tuple[str, ...]) -> None:
        self.nominal_mm = nominal_mm
        self.grade = grade
        self.available = available
        super().__init__(
            f"ISO 286 gives no {grade} at {plain_text(nominal_mm)} mm: "
            f"at this size there are {_span(available)}."
        )


def _span(names: tuple[str, ...]) -> str:
    # The grades of one letter at one size have no gaps, so the ends say everything.
    return names[0] if len(names) == 1 else f"{names[0]} to {names[-1]}"

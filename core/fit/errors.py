"""What no fit can be worked out from, as one sentence each.

::

    FitError(ValueError)
    ├── DimensionError          a size, temperature or property that cannot be used
    ├── BoreClassError          a bore class that does not exist
    └── BoreTableError          a bore size for which no limits are tabulated here
"""

from decimal import Decimal

from seatproof.core.quantities import plain_text


class FitError(ValueError):
    """The fit cannot be worked out; the message says what is missing or wrong."""


class DimensionError(FitError):
    """A quantity that cannot be used.

    Attributes
    ----------
    what : str
        What is meant, such as "ring's outside diameter".
    given : object
        What was given for it.
    """

    def __init__(self, what: str, given: object, reason: str) -> None:
        self.what = what
        self.given = given
        super().__init__(f"The {what}, {given}, cannot be used: {reason}.")


class BoreClassError(FitError):
    """A tolerance class of bearing bores that is not tabulated.

    Attributes
    ----------
    bore_class : str
        As given.
    available : tuple of str
        Those that are.
    """

    def __init__(self, bore_class: str, available: tuple[str, ...]) -> None:
        self.bore_class = bore_class
        self.available = available
        super().__init__(
            f'No limits of bore class "{bore_class}" are known here: there are '
            f"{', '.join(available)}. State the bore's limits from the bearing maker's papers."
        )


class BoreTableError(FitError):
    """A nominal bore outside the table.

    Attributes
    ----------
    nominal_mm : Decimal
        As given.
    up_to_mm : Decimal
        Where the table ends.
    """

    def __init__(self, nominal_mm: Decimal, up_to_mm: Decimal) -> None:
        self.nominal_mm = nominal_mm
        self.up_to_mm = up_to_mm
        super().__init__(
            f"The limits of a bore of {plain_text(nominal_mm)} mm are not in the table, which goes "
            f"from 2.5 mm up to {plain_text(up_to_mm)} mm. State the bore's limits from the "
            "bearing maker's papers."
        )

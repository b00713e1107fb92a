"""What the form computations refuse, as one small tree; each error carries its facts.

    FormError
    ├── InputError               shapes differ, a value is not a number, a length is not positive
    ├── TooFewError              fewer distinct points, orientations or stations than needed
    ├── DegenerateError          enough values, but they lie so that the result does not exist
    └── NotDefinedError          the result itself is not defined for these points

The message is one sentence that says what is wrong and what to do.
"""


class FormError(Exception):
    """A form result that cannot be computed from what was given."""


class InputError(FormError):
    """The values themselves cannot be used: wrong shape, or not finite."""


class TooFewError(FormError):
    """Fewer distinct things than the result needs.

    Attributes
    ----------
    result, what : str
        What was asked for, and of what there are too few ("orientations", "points", "stations").
    needed, found : int
        How many distinct ones are needed, and how many there are.
    """

    def __init__(self, result: str, what: str, needed: int, found: int, remedy: str = "") -> None:
        self.result = result
        self.what = what
        self.needed = needed
        self.found = found
        tail = f"; {remedy}" if remedy else ""
        super().__init__(
            f"{result} needs at least {needed} different {what}, but there are {found}{tail}"
        )


class DegenerateError(FormError):
    """There are enough values, but their arrangement leaves the result undetermined.

    Attributes
    ----------
    result, reason : str
        What was asked for, and why these values do not determine it.
    """

    def __init__(self, result: str, reason: str) -> None:
        self.result = result
        self.reason = reason
        super().__init__(f"{result} is not determined: {reason}")


class NotDefinedError(FormError):
    """The result does not exist for these points, although the points are sound.

    Attributes
    ----------
    result, reason : str
        What was asked for, and why it does not exist.
    """

    def __init__(self, result: str, reason: str) -> None:
        self.result = result
        self.reason = reason
        super().__init__(f"{result} is not defined here: {reason}")

"""What cannot be foreseen, as one sentence each.

::

    ForesightError(ValueError)
    ├── NoSuchSeatError         the plan has no such seat, or none that shows sizes
    └── DesignError             numbers of stations, orientations or repeats that cannot be
"""


class ForesightError(ValueError):
    """Nothing can be said beforehand; the message says why."""


class NoSuchSeatError(ForesightError):
    """A seat that the plan does not have, or that is not measured by diameters.

    Attributes
    ----------
    seat_id : str
        As asked for; empty where any would have done.
    available : tuple of str
        Seats that can be foreseen.
    """

    def __init__(self, seat_id: str, available: tuple[str, ...]) -> None:
        self.seat_id = seat_id
        self.available = available
        known = ", ".join(available) or "none"
        super().__init__(
            f'No seat "{seat_id}" is measured by diameters in this plan; those that are: {known}.'
        )


class DesignError(ForesightError):
    """Numbers of stations, orientations or repeats that cannot be.

    Attributes
    ----------
    what : str
    given : int
    """

    def __init__(self, what: str, given: int, most: int) -> None:
        self.what = what
        self.given = given
        super().__init__(f"{given} {what} cannot be foreseen: give a number from 1 to {most}.")

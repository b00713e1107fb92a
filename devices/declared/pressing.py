"""Which values of a gauge are presses, and how close they may lie; saved with its format."""

from decimal import Decimal
from typing import Annotated

from pydantic import Field

from seatproof.devices.arrival import BURST_WINDOW_S, REPEAT_WINDOW_S, DoubtFinder
from seatproof.devices.declared.base import Declared
from seatproof.devices.picking import STABLE_COUNT, Picker, Take

_Window = Annotated[float, Field(ge=0, le=10)]


class Pressing(Declared):
    """How the values of a gauge are taken.

    Attributes
    ----------
    take : Take
        Which values of a stream count; each, for a gauge that sends at its button.
    window_s : float
        Length of the window of the maximum, minimum or stable value.
    stable_within, stable_count
        How many values in a row must agree, and how closely, in the gauge's unit.
    repeat_window_s : float
        An identical frame within this time is doubted, as from a bouncing or held button.
    burst_window_s : float
        Any value within this time of the one before is doubted, as faster than anybody presses.
        A foot switch or a timer that presses 20 to 30 times a second needs less than the usual.
    same_digits : bool
        Whether the gauge always shows the same decimals; one that leaves zeros out at the end
        does not, and a digit that was lost on the way cannot be seen then.
    """

    take: Take = Take.EACH
    window_s: Annotated[float, Field(ge=0.05, le=3600)] = 5.0
    stable_within: Annotated[Decimal, Field(ge=0, le=1000)] = Decimal(0)
    stable_count: Annotated[int, Field(ge=2, le=1000)] = STABLE_COUNT
    repeat_window_s: _Window = REPEAT_WINDOW_S
    burst_window_s: _Window = BURST_WINDOW_S
    same_digits: bool = True

    def picker(self) -> Picker:
        """Return a new picker that takes values so."""
        return Picker(
            self.take,
            window_s=self.window_s,
            stable_within=self.stable_within,
            stable_count=self.stable_count,
        )

    def doubt_finder(self) -> DoubtFinder:
        """Return a new finder with these windows."""
        return DoubtFinder(
            repeat_window_s=self.repeat_window_s,
            burst_window_s=self.burst_window_s,
            same_digits=self.same_digits,
        )

"""One frame that came from a gauge, and what makes it suspicious as a press."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Final

from seatproof.devices.formats import Reading, Refusal


class Doubt(StrEnum):
    """Why a value may not be one press for one point; the value says it as a clause."""

    REPEATED = "the same value came twice in a moment, as from a bouncing or held button"
    BURST = "it came in one burst with the value before, faster than anybody presses"
    UNASKED = "it came without a request, or too late for one"


# A bouncing or held button repeats within this; a person does not.
REPEAT_WINDOW_S: Final = 0.3

# Two values closer than this were not pressed one after the other. Adapters hold bytes back by
# 16 ms, some systems by twice that, so two honest presses still arrive further apart.
BURST_WINDOW_S: Final = 0.1


@dataclass(frozen=True, slots=True)
class Arrival:
    """One frame that came from the gauge, in the order of `number`.

    Attributes
    ----------
    content : Reading or Refusal
        What the frame says.
    number : int
        Counts the arrivals of one reader from 1, over all losses of the line.
    utc : datetime
        When its last byte was handed over. Adapters bunch bytes, so two frames may share a time.
    monotonic_s : float
        The same moment on a clock that never jumps.
    doubts : tuple of Doubt
        What makes a reading suspicious as a press; nothing is left out for it.
    """

    content: Reading | Refusal
    number: int
    utc: datetime
    monotonic_s: float
    doubts: tuple[Doubt, ...] = ()


class DoubtFinder:
    """Compares each reading with the one before it.

    Parameters
    ----------
    repeat_window_s : float
        An identical frame within this time is marked as repeated.
    burst_window_s : float
        Any reading within this time of the one before is marked as part of a burst.
    """

    def __init__(
        self,
        *,
        repeat_window_s: float = REPEAT_WINDOW_S,
        burst_window_s: float = BURST_WINDOW_S,
    ) -> None:
        self._repeat_window_s = repeat_window_s
        self._burst_window_s = burst_window_s
        self._last: tuple[Reading, float] | None = None

    def doubts_about(self, content: Reading | Refusal, at_s: float) -> tuple[Doubt, ...]:
        """Return what is suspicious about the frame that comes next; a refusal never is."""
        if not isinstance(content, Reading):
            return ()
        last, self._last = self._last, (content, at_s)
        if last is None:
            return ()
        reading, last_s = last
        found = []
        if content.raw == reading.raw and at_s - last_s < self._repeat_window_s:
            found.append(Doubt.REPEATED)
        if at_s - last_s < self._burst_window_s:
            found.append(Doubt.BURST)
        return tuple(found)

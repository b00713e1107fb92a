"""One frame that came from a gauge, and what makes it suspicious as a press."""

import re
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Final

from seatproof.devices.formats import Reading, Refusal


class Doubt(StrEnum):
    """Why a value may not be one press for one point; the value says it as a clause."""

    REPEATED = "the same value came twice in a moment, as from a bouncing or held button"
    BURST = "it came in one burst with the value before, faster than anybody presses"
    CHANGED = "it has other digits than the values before, as when some were lost on the way"
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
    """Compares each reading with those before it.

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
        self._usual: dict[str | None, _Shape] = {}
        self._unusual: dict[str | None, _Shape] = {}

    def doubts_about(self, content: Reading | Refusal, at_s: float) -> tuple[Doubt, ...]:
        """Return what is suspicious about the frame that comes next; a refusal never is.

        `at_s` is when it came, on a clock that never jumps.
        """
        if not isinstance(content, Reading):
            return ()
        found = self._doubts_of_time(content, at_s)
        if self._has_changed(content):
            found.append(Doubt.CHANGED)
        return tuple(found)

    def _doubts_of_time(self, reading: Reading, at_s: float) -> list[Doubt]:
        last, self._last = self._last, (reading, at_s)
        if last is None:
            return []
        before, before_s = last
        found = []
        if reading.raw == before.raw and at_s - before_s < self._repeat_window_s:
            found.append(Doubt.REPEATED)
        if at_s - before_s < self._burst_window_s:
            found.append(Doubt.BURST)
        return found

    def _has_changed(self, reading: Reading) -> bool:
        """Tell whether a gauge that sends alike always sends otherwise now.

        The second frame in a row of another shape is believed: then it is the gauge, not the line.
        """
        channel, shape = reading.channel, _Shape.of(reading)
        usual = self._usual.get(channel)
        if usual is None or usual.fits(shape):
            self._unusual.pop(channel, None)
            self._usual[channel] = shape if usual is None else usual.joined(shape)
            return False
        if self._unusual.get(channel) == shape:
            self._usual[channel] = self._unusual.pop(channel)
            return False
        self._unusual[channel] = shape
        return True


# A zero before another digit of the whole part: such numbers have always the same width.
_ZERO_LED: Final = re.compile(r"(?<![0-9.,])0[0-9]")


@dataclass(frozen=True, slots=True)
class _Shape:
    """How a value is written, as far as one gauge always writes it so."""

    decimals: int
    n_bytes: int
    has_one_width: bool

    @classmethod
    def of(cls, reading: Reading) -> "_Shape":
        exponent = reading.value.as_tuple().exponent
        number = reading.text.removeprefix(reading.channel or "")
        return cls(
            decimals=-exponent if isinstance(exponent, int) else 0,
            n_bytes=len(reading.raw),
            has_one_width=reading.channel is not None or _ZERO_LED.search(number) is not None,
        )

    def fits(self, other: "_Shape") -> bool:
        has_one_width = self.has_one_width or other.has_one_width
        return self.decimals == other.decimals and (
            not has_one_width or self.n_bytes == other.n_bytes
        )

    def joined(self, other: "_Shape") -> "_Shape":
        return self if self.has_one_width else other

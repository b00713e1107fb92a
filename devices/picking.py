"""Which values of a stream count as presses: all, the confirmed, or one of a window of time.

Turning a micrometer about a shaft while it streams, the largest value within a window is the
diameter; the smallest is that of a bore along its axis; the stable one is the value at rest.
"""

import threading
from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from typing import Final

from seatproof.core.units import Unit
from seatproof.devices.arrival import Arrival, Doubt
from seatproof.devices.formats import Reading


class Take(StrEnum):
    """What counts as a press."""

    EACH = "each"  # every frame; the right way for a gauge that sends at its button
    CONFIRMED = "confirmed"  # what the gauge marks as sent at its button
    LAST = "last"  # the newest value when a key is pressed
    MAXIMUM = "maximum"
    MINIMUM = "minimum"
    STABLE = "stable"  # the value that did not change for a while


# A value older than this when the key is pressed is not what the display shows now.
FRESH_S: Final = 1.0
STABLE_COUNT: Final = 5


@dataclass(frozen=True, slots=True)
class Picked:
    """What came of one step: arrivals that are presses, and a sentence where none could be had."""

    presses: tuple[Arrival, ...] = ()
    sentence: str = ""


_NOTHING: Final = Picked()
_NO_VALUE_NOW: Final = "The gauge sends nothing now, so there is no value to take."
_NO_REST: Final = "The value did not come to rest within the window."
_NONE_CAME: Final = "No value came within the window."
_MIXED: Final = (
    "Values of several channels or in several units came within the window, so none was taken: "
    "let one gauge alone send, in one unit."
)


class Picker:
    """Chooses presses from arrivals. `press` may be called from any thread.

    A value that is written otherwise than the others may have lost a digit on the way, and would
    be the largest or smallest for just that reason: a window passes over it.

    Parameters
    ----------
    take : Take
    window_s : float
        How long a window lasts that `press` opens; for the maximum, minimum and stable value.
    stable_within : Decimal
        Largest difference of the stable values, in the gauge's unit.
    stable_count : int
        How many values in a row must agree.
    """

    def __init__(
        self,
        take: Take = Take.EACH,
        *,
        window_s: float = 5.0,
        stable_within: Decimal = Decimal(0),
        stable_count: int = STABLE_COUNT,
    ) -> None:
        if window_s <= 0 or stable_count < 2 or stable_within < 0:
            raise ValueError("a window needs time, and stability at least two values to compare")
        self.take: Final = take
        self._window_s = window_s
        self._stable_within = stable_within
        self._recent: deque[Arrival] = deque(maxlen=stable_count)
        self._wanted = threading.Event()
        self._until_s: float | None = None
        self._best: Arrival | None = None
        self._is_mixed = False
        self._last: Arrival | None = None
        self._was_confirmed = False

    @property
    def window_s(self) -> float | None:
        """How long a window lasts; None where `press` opens none."""
        return None if self.take in (Take.EACH, Take.CONFIRMED, Take.LAST) else self._window_s

    @property
    def needs_press(self) -> bool:
        """Whether nothing is taken without `press`."""
        return self.take not in (Take.EACH, Take.CONFIRMED)

    @property
    def takes_each(self) -> bool:
        """Whether every arrival is a press."""
        return self.take is Take.EACH

    def press(self) -> None:
        """Take the newest value, or open a window."""
        self._wanted.set()

    def feed(self, arrival: Arrival) -> Picked:
        """Take one arrival into account."""
        content = arrival.content
        if self.take is Take.EACH:
            return Picked((arrival,))
        if not isinstance(content, Reading):
            return _NOTHING
        if self.take is Take.CONFIRMED:
            # A held button keeps the mark set; only its coming is a press.
            is_new = bool(content.confirmed) and not self._was_confirmed
            self._was_confirmed = bool(content.confirmed)
            return Picked((arrival,)) if is_new else _NOTHING
        self._last = arrival
        if self._until_s is not None and arrival.monotonic_s <= self._until_s:
            return self._in_window(arrival)
        return _NOTHING

    def step(self, now_s: float) -> Picked:
        """Open, or close, a window whose time has come."""
        if self.take in (Take.EACH, Take.CONFIRMED):
            return _NOTHING
        if self._until_s is not None and now_s > self._until_s:
            return self._close()
        if not self._wanted.is_set() or self._until_s is not None:
            return _NOTHING
        self._wanted.clear()
        if self.take is not Take.LAST:
            self._until_s, self._best, self._is_mixed = now_s + self._window_s, None, False
            self._recent.clear()
            return _NOTHING
        last = self._last
        if last is None or now_s - last.monotonic_s > FRESH_S:
            return Picked(sentence=_NO_VALUE_NOW)
        self._last = None
        return Picked((last,))

    def _in_window(self, arrival: Arrival) -> Picked:
        if any(doubt in _OF_WRITING for doubt in arrival.doubts):
            return _NOTHING
        if self._best is not None and _source_of(arrival) != _source_of(self._best):
            self._is_mixed = True
        if self.take is Take.STABLE:
            self._best = arrival
            self._recent.append(arrival)
            if self._is_mixed:
                return _NOTHING
            if len(self._recent) == self._recent.maxlen and self._agree(self._recent):
                self._until_s = None
                return Picked((arrival,))
            return _NOTHING
        if self._best is None or self._is_better(arrival, self._best):
            self._best = arrival
        return _NOTHING

    def _close(self) -> Picked:
        self._until_s = None
        if self._is_mixed:
            return Picked(sentence=_MIXED)
        if self._best is None:
            return Picked(sentence=_NONE_CAME)
        if self.take is Take.STABLE:
            return Picked(sentence=_NO_REST)
        return Picked((self._best,))

    def _is_better(self, one: Arrival, other: Arrival) -> bool:
        value, best = _value(one), _value(other)
        return value > best if self.take is Take.MAXIMUM else value < best

    def _agree(self, arrivals: "Sequence[Arrival] | deque[Arrival]") -> bool:
        values = [a.content.value for a in arrivals if isinstance(a.content, Reading)]
        return max(values) - min(values) <= self._stable_within


_OF_WRITING: Final = (Doubt.CHANGED, Doubt.DIFFERS)


def _value(arrival: Arrival) -> Decimal:
    assert isinstance(arrival.content, Reading)
    return arrival.content.value


def _source_of(arrival: Arrival) -> tuple[str | None, Unit | None]:
    """Return the channel and the unit: only values that have both alike can be compared."""
    assert isinstance(arrival.content, Reading)
    return arrival.content.channel, arrival.content.unit

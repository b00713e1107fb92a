"""One frame that came from a gauge, and what makes it suspicious as a press."""

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from enum import StrEnum
from typing import Final

from seatproof.core.units import Unit
from seatproof.devices.formats import Reading, Refusal


class Doubt(StrEnum):
    """Why a value may not be one press for one point; the value says it as a clause."""

    REPEATED = "the same value came twice in a moment, as from a bouncing or held button"
    BURST = "it came in one burst with the value before, faster than anybody presses"
    CHANGED = "it is not written as the values before, as when something was lost on the way"
    DIFFERS = (
        "it is not written as the first value, so one of the two may have lost something on the "
        "way: compare both with the display"
    )
    AFTER_DAMAGE = "it came a moment after a damaged frame, and may be the rest of it"
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
    """Compares each reading with those before it, of the same channel.

    Parameters
    ----------
    repeat_window_s : float
        An identical frame within this time is marked as repeated, and any that comes so soon after
        a damaged one.
    burst_window_s : float
        Any reading within this time of the one before is marked as part of a burst.
    same_digits : bool
        Whether the gauge always sends as many decimals; see `Doubt.CHANGED`.
    """

    def __init__(
        self,
        *,
        repeat_window_s: float = REPEAT_WINDOW_S,
        burst_window_s: float = BURST_WINDOW_S,
        same_digits: bool = True,
    ) -> None:
        if repeat_window_s < 0 or burst_window_s < 0:
            raise ValueError("a window cannot be shorter than nothing")
        self._repeat_window_s = repeat_window_s
        self._burst_window_s = burst_window_s
        self._same_digits = same_digits
        self._last: dict[str | None, tuple[Reading, float]] = {}
        self._damaged_s: float | None = None
        self._usual: dict[str | None, _Usual] = {}

    def doubts_about(
        self,
        content: Reading | Refusal,
        at_s: float | None,
        *,
        is_press: bool = True,
        may_be_torn: bool = False,
    ) -> tuple[Doubt, ...]:
        """Return what is suspicious about the frame that comes next; a refusal never is.

        `at_s` is when it came, on a clock that never jumps; None where nobody knows, as in a
        capture without times. Of a stream, whose values are no presses, only the digits are
        compared. `may_be_torn` tells whether the rest of a refused frame may come next, where
        nothing but silence ended it.
        """
        if not isinstance(content, Reading):
            self._damaged_s = at_s if may_be_torn and content.status is None else None
            return ()
        found: list[Doubt] = []
        if is_press and at_s is not None:
            found += self._doubts_of_time(content, at_s)
        changed = self._change(content)
        return tuple(found if changed is None else [*found, changed])

    def _doubts_of_time(self, reading: Reading, at_s: float) -> Iterator[Doubt]:
        last = self._last.get(reading.channel)
        self._last[reading.channel] = (reading, at_s)
        if last is not None:
            before, before_s = last
            if reading.raw == before.raw and at_s - before_s < self._repeat_window_s:
                yield Doubt.REPEATED
            if at_s - before_s < self._burst_window_s:
                yield Doubt.BURST
        damaged_s, self._damaged_s = self._damaged_s, None
        if damaged_s is not None and at_s - damaged_s < self._repeat_window_s:
            yield Doubt.AFTER_DAMAGE

    def _change(self, reading: Reading) -> Doubt | None:
        """Tell whether a gauge that sends alike always sends otherwise now.

        The second frame in a row of another shape is believed: then it is the gauge, not the line.
        """
        shape = _Shape.of(reading, same_digits=self._same_digits)
        usual = self._usual.get(reading.channel)
        if usual is None:
            self._usual[reading.channel] = _Usual(shape)
            return None
        if usual.shape.fits(shape):
            usual.shape, usual.other = usual.shape.joined(shape), None
            usual.n_seen += 1
            return None
        if usual.other is not None and usual.other.fits(shape):
            self._usual[reading.channel] = _Usual(shape, n_seen=2)
            return None
        usual.other = shape
        return Doubt.CHANGED if usual.n_seen > 1 else Doubt.DIFFERS


# A zero before another digit of the whole part: such numbers have always the same width.
_ZERO_LED: Final = re.compile(r"(?<![0-9.,])0[0-9]")


@dataclass(frozen=True, slots=True)
class _Shape:
    """How a value is written, as far as one gauge always writes it so."""

    decimals: int | None
    unit: Unit | None
    n_bytes: int
    has_one_width: bool
    writes_plus: bool | None  # None for a negative value, which does not show it

    @classmethod
    def of(cls, reading: Reading, *, same_digits: bool) -> "_Shape":
        exponent = reading.value.as_tuple().exponent
        decimals = -exponent if isinstance(exponent, int) else 0
        number = reading.text.removeprefix(reading.channel or "")
        return cls(
            decimals=decimals if same_digits else None,
            unit=reading.unit,
            n_bytes=len(reading.raw),
            has_one_width=reading.channel is not None or _ZERO_LED.search(number) is not None,
            writes_plus=None if "-" in number else "+" in number,
        )

    def fits(self, other: "_Shape") -> bool:
        has_one_width = self.has_one_width or other.has_one_width
        return (
            (self.decimals, self.unit) == (other.decimals, other.unit)
            and (not has_one_width or self.n_bytes == other.n_bytes)
            and (None in (self.writes_plus, other.writes_plus)
                 or self.writes_plus == other.writes_plus)
        )  # fmt: skip

    def joined(self, other: "_Shape") -> "_Shape":
        return replace(
            self if self.has_one_width else other,
            writes_plus=other.writes_plus if self.writes_plus is None else self.writes_plus,
        )


@dataclass(slots=True)
class _Usual:
    """The shape of a channel's values, how many had it, and another one seen once since."""

    shape: _Shape
    n_seen: int = 1
    other: _Shape | None = None

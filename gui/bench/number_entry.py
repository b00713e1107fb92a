"""Digits typed at the bench, one after the other, as the number of a point; without Qt."""

import time
from collections.abc import Callable
from typing import Final

_PAUSE_S: Final = 1.5
_MOST_DIGITS: Final = 5


class NumberEntry:
    """Puts digits together until somebody pauses; `clock` gives seconds that never jump."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._digits = ""
        self._last_s = 0.0

    def add(self, digit: str) -> int:
        """Take one more digit; return the number so far."""
        now_s = self._clock()
        if now_s - self._last_s > _PAUSE_S or len(self._digits) >= _MOST_DIGITS:
            self._digits = ""
        self._last_s = now_s
        self._digits += digit
        return int(self._digits)

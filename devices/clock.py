"""The time of an arrival, passed in so that a test can set it."""

import time
from datetime import UTC, datetime
from typing import Protocol


class Clock(Protocol):
    """Two clocks: one that people use, and one that never jumps."""

    def utc(self) -> datetime:
        """Return the date and time in UTC."""

    def monotonic_s(self) -> float:
        """Return seconds since some moment; only differences mean anything."""


class SystemClock:
    """The computer's own clocks."""

    def utc(self) -> datetime:
        return datetime.now(UTC)

    def monotonic_s(self) -> float:
        return time.monotonic()

"""Requests to a gauge that answers only when asked: when to send one, and whose answer came."""

import threading
from enum import StrEnum

from seatproof.devices.declared.request import Request


class Answer(StrEnum):
    """What an arrival is to the request before it."""

    ASKED = "asked"
    UNASKED = "unasked"


class Asking:
    """One outstanding request at a time, never closer together than the interface allows.

    `ask` may be called from any thread; the rest belongs to the thread that owns the line.

    Parameters
    ----------
    request : Request
        What is sent, and its times.
    every_s : float or None
        Ask by itself, so often; None only when told.
    """

    def __init__(self, request: Request, *, every_s: float | None = None) -> None:
        self._request = request
        self._every_s = None if every_s is None else max(every_s, request.interval_s)
        self._wanted = threading.Event()
        self._sent_s: float | None = None
        self._is_open = False
        self._is_missing = False

    @property
    def is_only_answers(self) -> bool:
        """Whether every value is an answer; one that is none is to be doubted."""
        return not self._request.also_unasked

    def ask(self) -> None:
        """Want a value; several wishes before one is sent are one."""
        self._wanted.set()

    def begin(self) -> None:
        """Forget what was asked on a line that is gone."""
        self._is_open = self._is_missing = False
        self._wanted.clear()

    def due(self, now_s: float) -> bytes | None:
        """Return the request's bytes if it is to be sent now; it then counts as sent."""
        if self._is_open and not self._is_overdue(now_s):
            return None
        since_s = None if self._sent_s is None else now_s - self._sent_s
        if since_s is not None and since_s < self._request.interval_s:
            return None
        by_time = self._every_s is not None and (since_s is None or since_s >= self._every_s)
        if not by_time and not self._wanted.is_set():
            return None
        self._wanted.clear()
        self._sent_s, self._is_open = now_s, True
        return self._request.octets

    def answer(self, now_s: float) -> Answer:
        """Tell what a frame is that comes now; the request it answers is closed."""
        in_time = self._is_open and not self._is_overdue(now_s)
        self._is_open = self._is_missing = False
        return Answer.ASKED if in_time else Answer.UNASKED

    def missed(self, now_s: float) -> bool:
        """Tell that an answer has not come in its time; once, until an answer comes again."""
        if not self._is_open or not self._is_overdue(now_s):
            return False
        is_new = self._every_s is None or not self._is_missing
        self._is_open, self._is_missing = False, True
        return is_new

    def _is_overdue(self, now_s: float) -> bool:
        return self._sent_s is not None and now_s - self._sent_s > self._request.answer_s

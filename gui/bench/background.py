"""A thread beside the window for what takes longer than a press may; results come back in Qt's."""

import logging
import sys
import threading
import time
from collections.abc import Callable
from queue import SimpleQueue
from typing import Any, Final

from PySide6.QtCore import QObject, Qt, Signal, Slot

_PATIENCE_S: Final = 5.0

# Python lets one thread run for this long before another may; by default fifty times longer. The
# window asks for its turn some hundred times while it paints one press.
_TURN_S: Final = 0.0001

# A job that took longer than this waits until hands pause, so that it meets no press, and at the
# latest for so long.
_LONG_S: Final = 0.02
_QUIET_S: Final = 0.25
_LONGEST_WAIT_S: Final = 3.0
_logger = logging.getLogger(__name__)


class Background(QObject):
    """Does jobs one after the other in a thread of its own.

    The thread begins with the first job and ends with `stop`; results that come later than that
    are dropped. A job that fails is a fault of ours: it is logged, and its result never comes.

    Signals
    -------
    done : callable, object
        Emitted in the thread; what to call with a result, in the thread that this object lives in.
    """

    _done = Signal(object, object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._jobs: SimpleQueue[tuple[Callable[[], Any], Callable[[Any], None]] | None] = (
            SimpleQueue()
        )
        self._thread: threading.Thread | None = None
        self._stopping = threading.Event()
        self._last_press_s = 0.0
        self._last_job_s = 0.0
        self._done.connect(self._hand_over, Qt.ConnectionType.QueuedConnection)

    def __call__(self, job: Callable[[], Any], then: Callable[[Any], None]) -> None:
        """Do a job soon, and call `then` with its result."""
        if self._thread is None:
            self._thread = threading.Thread(target=self._run, name="evaluation", daemon=True)
            self._thread.start()
        self._jobs.put((job, then))

    def stop(self) -> bool:
        """End the thread after the job it has; return whether it did within a few seconds."""
        self._stopping.set()
        if self._thread is None:
            return True
        self._jobs.put(None)
        self._thread.join(_PATIENCE_S)
        return not self._thread.is_alive()

    def hold_back(self) -> None:
        """Note that a press came: a long job waits a moment for the next one."""
        self._last_press_s = time.monotonic()

    def _run(self) -> None:
        sys.setswitchinterval(_TURN_S)
        while (task := self._jobs.get()) is not None and not self._stopping.is_set():
            job, then = task
            self._wait_for_quiet()
            began_s = time.thread_time()
            try:
                result = job()
            except Exception:
                _logger.exception("a job beside the window failed")
                continue
            self._last_job_s = time.thread_time() - began_s
            if not self._stopping.is_set():
                self._done.emit(then, result)

    def _wait_for_quiet(self) -> None:
        """Let presses pass before a job that takes long."""
        if self._last_job_s < _LONG_S:
            return
        until_s = time.monotonic() + _LONGEST_WAIT_S
        while (now_s := time.monotonic()) < until_s and not self._stopping.is_set():
            left_s = self._last_press_s + _QUIET_S - now_s
            if left_s <= 0:
                return
            self._stopping.wait(min(left_s, until_s - now_s))

    @Slot(object, object)
    def _hand_over(self, then: Callable[[Any], None], result: Any) -> None:
        if not self._stopping.is_set():
            then(result)

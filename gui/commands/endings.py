"""How commands that run on are ended: by Ctrl-C, or by the system's request to end."""

import signal
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType


@contextmanager
def ended_by_signal() -> Iterator[None]:
    """Let a request to end clean up as Ctrl-C does: links and logs must not be left undone."""

    def interrupt(number: int, frame: FrameType | None) -> None:
        del number, frame
        raise KeyboardInterrupt

    if threading.current_thread() is not threading.main_thread():
        yield  # only the main thread may set a signal's handler
        return
    numbers = [signal.SIGTERM] + ([signal.SIGHUP] if sys.platform != "win32" else [])
    before = {number: signal.signal(number, interrupt) for number in numbers}
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)

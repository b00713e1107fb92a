"""Take all bytes of one press from a line, from silence to silence."""

import time
from typing import Final

from seatproof.devices.errors import EndOfSource
from seatproof.devices.transport import Transport

# Longer than any pause inside a frame, shorter than a person needs for the next press.
QUIET_S: Final = 0.4
_MOST_BYTES: Final = 2000
_POLL_S: Final = 0.05


class NeverQuietError(Exception):
    """The gauge sends without a pause, so no press can be told from the next."""

    def __init__(self, n_bytes: int) -> None:
        self.n_bytes = n_bytes
        super().__init__(
            f"The gauge sent {n_bytes} bytes without a pause: set it to send at its button, or "
            "check the speed of the line."
        )


def collect_press(line: Transport, *, timeout_s: float, quiet_s: float = QUIET_S) -> bytes:
    """Return the bytes of the next press; ``b""`` if none came in time, or a capture has ended.

    Raises
    ------
    NeverQuietError
        Bytes came and did not stop.
    DeviceError
        The line is gone.
    """
    data = b""
    last_s = _now_s(line)
    deadline_s = last_s + timeout_s
    while True:
        try:
            more = line.read(_POLL_S)
        except EndOfSource:
            return data
        now_s = _now_s(line)
        if more:
            data, last_s = data + more, now_s
            if len(data) > _MOST_BYTES:
                raise NeverQuietError(len(data))
        elif data and now_s - last_s >= quiet_s:
            return data
        elif not data and now_s >= deadline_s:
            return b""


def _now_s(line: Transport) -> float:
    return time.monotonic() + line.skipped_s

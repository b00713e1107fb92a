"""Captures replayed: a file of raw bytes, or a saved wire log with the times of its bytes."""

import time
from pathlib import Path
from typing import Final

from seatproof.devices.errors import EndOfSource, SourceError
from seatproof.devices.wire_log import is_wire_log, read_entries

FILE_PREFIX: Final = "file:"
REPLAY_PREFIX: Final = "replay:"
_MAX_READ_BYTES: Final = 4096

# Weeks of a fast stream. A file that goes on is a device that never ends, or no capture at all.
MAX_CAPTURE_BYTES: Final = 64_000_000

# Silences longer than this end nothing more than it does: what is left is passed over at once.
_LONGEST_STEP_S: Final = 60.0


class FileTransport:
    """A capture file from its first byte to its last.

    With ``file:PATH`` nothing is waited for; the silences of a wire log are passed over, and
    `skipped_s` tells by how much, so that what depends on silence sees what it saw at the time.
    With ``replay:PATH`` the silences are kept. Raw bytes have no times and come at once either way.
    A file of more than `MAX_CAPTURE_BYTES` is refused.

    Raises
    ------
    SourceError
        The file cannot be read.
    """

    port_name: Final = None
    is_live: Final = False

    def __init__(self, source: str) -> None:
        self._source = source
        self._waits = source.startswith(REPLAY_PREFIX)
        path = Path(source.removeprefix(FILE_PREFIX).removeprefix(REPLAY_PREFIX))
        try:
            data = _read_bounded(path)
        except (OSError, ValueError) as error:
            reason = getattr(error, "strerror", None) or str(error)
            raise SourceError(source, f"the file cannot be read ({reason}).") from error
        if len(data) > MAX_CAPTURE_BYTES:
            reason = (
                f"it holds more than {MAX_CAPTURE_BYTES // 1_000_000} MB, which is no capture of a "
                "gauge; name the file that holds the bytes."
            )
            raise SourceError(source, reason)
        self.keeps_time: Final = is_wire_log(data)
        self._pieces = list(reversed(_pieces(source, data)))
        self._at_s = 0.0  # how much of the capture's time has passed
        self._closed = False
        self.skipped_s = 0.0
        self.description: Final = f"capture file {path}"

    def read(self, timeout_s: float) -> bytes:
        if self._closed:
            raise SourceError(self._source, "the file is closed.")
        if not self._pieces:
            raise EndOfSource(self._source)
        due_s, data = self._pieces[-1]
        wait_s = due_s - self._at_s
        if wait_s > timeout_s:
            is_long = not self._waits and wait_s > _LONGEST_STEP_S
            self._pass(wait_s - _LONGEST_STEP_S / 2 if is_long else timeout_s)
            return b""
        self._pass(max(0.0, wait_s))
        self._pieces.pop()
        return data

    def write(self, data: bytes) -> None:
        raise SourceError(self._source, f"a capture file takes no requests ({len(data)} bytes).")

    def close(self) -> None:
        self._closed = True
        self._pieces.clear()

    def _pass(self, seconds: float) -> None:
        self._at_s += seconds
        if self._waits:
            time.sleep(seconds)
        else:
            self.skipped_s += seconds


def _read_bounded(path: Path) -> bytes:
    """Return a file's bytes, or one more than can be a capture."""
    with path.open("rb") as file:
        return file.read(MAX_CAPTURE_BYTES + 1)


def _pieces(source: str, data: bytes) -> list[tuple[float, bytes]]:
    if not is_wire_log(data):
        starts = range(0, len(data), _MAX_READ_BYTES)
        return [(0.0, data[at : at + _MAX_READ_BYTES]) for at in starts]
    text = data.decode("utf-8", "replace")
    return [(e.at_s, e.data) for e in read_entries(source, text) if e.direction == "in"]

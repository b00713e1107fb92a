"""Captures replayed: a file of raw bytes, or a saved wire log with the times of its bytes."""

import time
from pathlib import Path
from typing import Final

from seatproof.devices.errors import EndOfSource, SourceError
from seatproof.devices.wire_log import is_wire_log, read_entries

FILE_PREFIX: Final = "file:"
REPLAY_PREFIX: Final = "replay:"
_MAX_READ_BYTES: Final = 4096


class FileTransport:
    """A capture file from its first byte to its last.

    With ``file:PATH`` nothing is waited for; the silences of a wire log are passed over, and
    `skipped_s` tells by how much, so that what depends on silence sees what it saw at the time.
    With ``replay:PATH`` the silences are kept. Raw bytes have no times and come at once either way.

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
            data = path.read_bytes()
        except (OSError, ValueError) as error:
            reason = getattr(error, "strerror", None) or str(error)
            raise SourceError(source, f"the file cannot be read ({reason}).") from error
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
            self._pass(timeout_s)
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


def _pieces(source: str, data: bytes) -> list[tuple[float, bytes]]:
    if not is_wire_log(data):
        starts = range(0, len(data), _MAX_READ_BYTES)
        return [(0.0, data[at : at + _MAX_READ_BYTES]) for at in starts]
    text = data.decode("utf-8", "replace")
    return [(e.at_s, e.data) for e in read_entries(source, text) if e.direction == "in"]

"""A gauge that types: keystrokes, from a window's filter or typed lines, as a line of bytes.

Keyboard interfaces send key codes and the computer's layout makes characters of them, so any
character may come out as another. Nothing is repaired here: a character that is none of a number's
goes on as it is, and the format refuses the frame.
"""

import queue
import threading
from typing import Final

from seatproof.devices.errors import EndOfSource, PortLostError, SourceError
from seatproof.devices.transport import LineSettings

TYPED_SOURCE: Final = "keyboard"

# A keyboard interface sends a character every few milliseconds; nobody types ten a second for long.
BURST_GAP_S: Final = 0.15

# Nothing can have been typed before listening began, so nothing has to settle.
TYPED_SETTINGS: Final = LineSettings(settle_s=0.0, gap_s=BURST_GAP_S)

# Control-A, which some interfaces press first to select what a field holds.
_SELECT_ALL: Final = "\x01"


class TypedLine:
    """A transport that is fed with typed characters; feeding may be done from any thread.

    Enter and Tab end a frame. Characters with long pauses between them are typed by hand: with
    `TYPED_SETTINGS` they are refused as broken off. Each reader needs a line of its own:

        typed = TypedLine()
        GaugeReader(TYPED_SOURCE, TYPED_SETTINGS, open_line=typed.open, ...)
    """

    port_name: Final = None
    is_live: Final = True
    keeps_time: Final = True
    skipped_s: Final = 0.0
    description: Final = "keyboard"

    def __init__(self) -> None:
        self._queue: queue.SimpleQueue[bytes | None] = queue.SimpleQueue()
        self._ended = False
        self._closed = threading.Event()

    def open(self, source: str, settings: LineSettings) -> "TypedLine":
        """Return this line, as a reader's `open_line` does; there is nothing to open or to set."""
        del source, settings
        return self

    def feed(self, characters: str) -> None:
        """Take characters that were typed, in order."""
        plain = characters.replace(_SELECT_ALL, "").replace("\t", "\r").replace("\n", "\r")
        if plain:
            self._queue.put(plain.encode("utf-8", "surrogatepass"))

    def end(self) -> None:
        """Say that nothing more will be typed."""
        self._queue.put(None)

    def read(self, timeout_s: float) -> bytes:
        if self._closed.is_set():
            raise PortLostError(TYPED_SOURCE, "closed")
        if self._ended:
            raise EndOfSource(TYPED_SOURCE)
        try:
            data = self._queue.get(timeout=max(0.0, timeout_s))
        except queue.Empty:
            return b""
        if data is None:
            self._ended = True
            raise EndOfSource(TYPED_SOURCE)
        return data

    def write(self, data: bytes) -> None:
        raise SourceError(TYPED_SOURCE, f"a keyboard takes no requests ({len(data)} bytes).")

    def close(self) -> None:
        self._closed.set()

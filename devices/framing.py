"""Cut a stream of bytes into frames at line ends, however the bytes arrive.

Knows nothing of ports, clocks or numbers. The same bytes give the same frames in whatever pieces
they come: USB adapters cut a frame anywhere, and a sign byte may arrive alone.
"""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final, Protocol

CR: Final = 0x0D
LF: Final = 0x0A
# One family of dial indicators sends this byte behind its CR.
DC2: Final = 0x12

# The longest text frame known to us has 48 bytes. A run this long without a line end is not a
# gauge's text: a wrong speed or parity looks like that, and memory must not grow with it.
MAX_FRAME_BYTES: Final = 256


class FrameFault(StrEnum):
    """Why a frame cannot be trusted to be all that the gauge sent."""

    TORN_START = "torn start"  # listening began in the middle of it
    AFTER_BREAK = "after a break"  # the one before broke off, so this may be the rest of it
    NO_END = "no end"  # the line fell silent or went away before its end came
    TOO_LONG = "too long"  # part of a run of bytes without an end
    OUTSIDE = "outside"  # between two frames, or the rest of one that lost a byte


@dataclass(frozen=True, slots=True)
class Frame:
    r"""What stood between two line ends.

    Attributes
    ----------
    data : bytes
        The bytes without the line end.
    raw : bytes
        The bytes with the first byte of the line end, if it came. The second byte of a two-byte
        end (LF or 0x12 behind CR) is never included: it may come much later or not at all, and
        a frame is not held back for it.
    fault : FrameFault or None
        Why the frame may not be whole.
    """

    data: bytes
    raw: bytes
    fault: FrameFault | None = None

    @property
    def whole(self) -> bool:
        """Whether all that the gauge sent for this frame is known to be here."""
        return self.fault is None


class Framer(Protocol):
    """Cuts a stream into frames; the same bytes give the same frames in whatever pieces."""

    @property
    def gap_s(self) -> float | None:
        """How long a silence ends a frame, where the framing itself says so."""

    def feed(self, data: bytes) -> list[Frame]:
        """Take the next bytes of the stream and return the frames they complete, in order."""

    def silence(self) -> list[Frame]:
        """Take note that the line has been quiet for the gap, or that a file is at its end."""

    def flush(self) -> list[Frame]:
        """Take note that the line went away; return what waited as a frame that is not whole."""


class LineFramer:
    r"""Frames that end in CR, LF, CR LF or CR 0x12; an empty line is nothing.

    Parameters
    ----------
    trust_first : bool
        Whether the first byte fed is known to begin a frame, because silence preceded it or
        because a file starts there. If not, what comes before the first line end is delivered
        with the fault `FrameFault.TORN_START`: the tail ``4.35`` of ``01A+00024.35`` looks like
        a reading and is none.
    max_frame_bytes : int
        Longest run of bytes without a line end that can be one frame. A longer run is delivered
        in pieces of this size, all with the fault `FrameFault.TOO_LONG`.

    Examples
    --------
    >>> framer = LineFramer(trust_first=True)
    >>> framer.feed(b"01A+0002")
    []
    >>> framer.feed(b"4.35\r")
    [Frame(data=b'01A+00024.35', raw=b'01A+00024.35\r', fault=None)]
    >>> framer.feed(b"\n")
    []
    """

    def __init__(self, *, trust_first: bool, max_frame_bytes: int = MAX_FRAME_BYTES) -> None:
        if max_frame_bytes < 1:
            raise ValueError(f"a frame needs room for at least one byte, not {max_frame_bytes}")
        self._max_frame_bytes = max_frame_bytes
        self._pending = bytearray()
        self._fault = None if trust_first else FrameFault.TORN_START
        self._after_cr = False

    gap_s: Final[float | None] = None

    @property
    def pending_bytes(self) -> int:
        """How many bytes wait for their line end."""
        return len(self._pending)

    def feed(self, data: bytes) -> list[Frame]:
        """Take the next bytes of the stream and return the frames they complete, in order."""
        frames: list[Frame] = []
        for byte in data:
            ends_last_line = self._after_cr and byte in (LF, DC2)
            self._after_cr = False
            if ends_last_line:
                continue
            if byte in (CR, LF):
                self._after_cr = byte == CR
                if self._pending:
                    frames.append(self._cut(bytes([byte]), self._fault))
                self._fault = None
            else:
                if len(self._pending) == self._max_frame_bytes:
                    self._fault = FrameFault.TOO_LONG
                    frames.append(self._cut(b"", self._fault))
                self._pending.append(byte)
        return frames

    def flush(self) -> list[Frame]:
        """Give up waiting for a line end; return what waited as a frame that is not whole.

        What comes next may be the rest of it, so the next frame is not trusted either.
        """
        if not self._pending:
            return []
        fault = FrameFault.TOO_LONG if self._fault is FrameFault.TOO_LONG else FrameFault.NO_END
        self._fault = FrameFault.AFTER_BREAK
        return [self._cut(b"", fault)]

    def silence(self) -> list[Frame]:
        """Do as `flush` does: silence ends no line."""
        return self.flush()

    def _cut(self, end: bytes, fault: FrameFault | None) -> Frame:
        data = bytes(self._pending)
        self._pending.clear()
        return Frame(data=data, raw=data + end, fault=fault)

"""Framers for gauges that do not simply end a line: other ends, marks, fixed lengths, silence.

Like `LineFramer` they know nothing of ports or clocks, are bounded, and give the same frames in
whatever pieces the bytes come.
"""

from typing import Final

from seatproof.devices.framing import CR, LF, MAX_FRAME_BYTES, Frame, FrameFault

# The most that can come between two silences where nothing else tells frames apart: some hundred
# frames of a gauge that an adapter or a capture bunched.
MAX_BURST_BYTES: Final = 16 * MAX_FRAME_BYTES


class EndFramer:
    r"""Frames that end in one sequence of bytes and no other.

    Parameters
    ----------
    end : bytes
        Such as ``b"\r\n"``, or ``b","`` for an interface that ends its values so.
    trust_first : bool
        Whether the first byte fed is known to begin a frame.
    """

    gap_s: Final[float | None] = None

    def __init__(self, end: bytes, *, trust_first: bool) -> None:
        if not end:
            raise ValueError("an end needs at least one byte")
        self._end = end
        self._pending = bytearray()
        self._fault = None if trust_first else FrameFault.TORN_START

    def feed(self, data: bytes) -> list[Frame]:
        frames: list[Frame] = []
        for byte in data:
            self._pending.append(byte)
            if self._pending.endswith(self._end):
                body = bytes(self._pending[: -len(self._end)])
                if body:
                    frames.append(Frame(body, bytes(self._pending), self._fault))
                self._pending.clear()
                self._fault = None
            elif len(self._pending) >= MAX_FRAME_BYTES:
                self._fault = FrameFault.TOO_LONG
                frames.append(self._give_up(self._fault))
        return frames

    def silence(self) -> list[Frame]:
        return self.flush()

    def flush(self) -> list[Frame]:
        if not self._pending:
            return []
        fault = FrameFault.TOO_LONG if self._fault is FrameFault.TOO_LONG else FrameFault.NO_END
        self._fault = FrameFault.AFTER_BREAK
        return [self._give_up(fault)]

    def _give_up(self, fault: FrameFault) -> Frame:
        body = bytes(self._pending)
        self._pending.clear()
        return Frame(body, body, fault)


class MarkFramer:
    """Frames between a start mark and an end mark, with or without check characters behind it.

    The start mark proves where a frame begins, so it does not matter when listening began. Line
    ends between frames are nothing; other bytes there are delivered as what they are: outside.

    Parameters
    ----------
    start, end : int
        The two marks, such as STX (2) and ETX (3).
    n_behind : int
        How many bytes follow the end mark and belong to the frame; they are in `Frame.raw` only.
    """

    gap_s: Final[float | None] = None

    def __init__(self, start: int, end: int, *, n_behind: int = 0) -> None:
        if start == end:
            raise ValueError("the start mark and the end mark must differ")
        self._start, self._end, self._n_behind = start, end, n_behind
        self._pending = bytearray()
        self._body_end: int | None = None  # where the end mark stands in what is pending

    def feed(self, data: bytes) -> list[Frame]:
        frames: list[Frame] = []
        for byte in data:
            is_behind = self._body_end is not None
            if byte == self._start and self._pending and not is_behind:
                frames += self._give_up(FrameFault.OUTSIDE)
            self._pending.append(byte)
            if byte == self._end and self._has_start() and not is_behind:
                self._body_end = len(self._pending) - 1
            if self._is_complete():
                frames.append(Frame(bytes(self._pending[1 : self._body_end]), bytes(self._pending)))
                self._clear()
            elif len(self._pending) >= MAX_FRAME_BYTES:
                frames += self._give_up(FrameFault.TOO_LONG)
        return frames

    def silence(self) -> list[Frame]:
        return self.flush()

    def flush(self) -> list[Frame]:
        return self._give_up(FrameFault.NO_END if self._has_start() else FrameFault.OUTSIDE)

    def _has_start(self) -> bool:
        return self._pending.startswith(bytes([self._start]))

    def _is_complete(self) -> bool:
        return (
            self._body_end is not None and len(self._pending) == self._body_end + 1 + self._n_behind
        )

    def _give_up(self, fault: FrameFault) -> list[Frame]:
        raw = bytes(self._pending)
        self._clear()
        return [Frame(raw, raw, fault)] if raw.strip(bytes([CR, LF])) else []

    def _clear(self) -> None:
        self._pending.clear()
        self._body_end = None


class LengthFramer:
    """Frames of one length, told apart by a sync byte or, where there is none, by silence.

    Without a sync byte nothing in the bytes tells where a frame begins: after one lost byte every
    place would hold something else. So only what stands between two silences counts, and only
    where it is a whole number of frames.

    Parameters
    ----------
    length : int
        Bytes of one frame, the sync byte included.
    sync : int or None
        The byte that begins each frame and can stand nowhere else in one. After a lost byte, the
        next sync byte begins the next frame; what was left of the damaged one is delivered as such.
    trust_first : bool
        Whether silence preceded the first byte fed.
    gap_s : float
        A silence of this length lies between frames and never inside one.
    """

    def __init__(self, length: int, *, sync: int | None, trust_first: bool, gap_s: float) -> None:
        if not 1 <= length <= MAX_FRAME_BYTES:
            raise ValueError(f"a frame has 1 to {MAX_FRAME_BYTES} bytes, not {length}")
        self.gap_s: Final[float | None] = gap_s
        self._length, self._sync = length, sync
        self._pending = bytearray()
        self._fault = None if trust_first or sync is not None else FrameFault.TORN_START

    def feed(self, data: bytes) -> list[Frame]:
        frames: list[Frame] = []
        for byte in data:
            if self._sync is None:
                if len(self._pending) == MAX_BURST_BYTES:
                    self._fault = FrameFault.TOO_LONG
                    frames += self._give_up(self._fault)
                self._pending.append(byte)
                continue
            if byte == self._sync:
                frames += self._give_up(FrameFault.OUTSIDE)
            self._pending.append(byte)
            if len(self._pending) == self._length:
                in_step = self._pending[0] == self._sync
                frames += self._give_up(None if in_step else FrameFault.OUTSIDE)
        return frames

    def silence(self) -> list[Frame]:
        fault, self._fault = self._fault, None  # the next byte begins a frame
        if self._sync is not None:
            return self._give_up(FrameFault.NO_END)
        if len(self._pending) % self._length:
            fault = fault or FrameFault.NO_END
        return self._give_up(fault)

    def flush(self) -> list[Frame]:
        fault, self._fault = self._fault, None
        if self._sync is None:
            self._fault = FrameFault.AFTER_BREAK
        return self._give_up(fault or FrameFault.NO_END)

    def _give_up(self, fault: FrameFault | None) -> list[Frame]:
        """Return what is pending: frames where there is no fault, else pieces that are none."""
        raw = bytes(self._pending)
        self._pending.clear()
        size = self._length if fault is None else MAX_FRAME_BYTES
        pieces = [raw[at : at + size] for at in range(0, len(raw), size)]
        return [Frame(piece, piece, fault) for piece in pieces]


class GapFramer:
    """Frames that nothing but silence ends.

    Parameters
    ----------
    gap_s : float
        Length of the silence.
    trust_first : bool
        Whether silence preceded the first byte fed.
    end : bytes
        What must stand before the silence, where something must, such as a comma. It alone would
        not do: the comma of a decimal number is one as well.
    """

    def __init__(self, gap_s: float, *, trust_first: bool, end: bytes = b"") -> None:
        self.gap_s: Final[float | None] = gap_s
        self._end = end
        self._pending = bytearray()
        self._fault = None if trust_first else FrameFault.TORN_START

    def feed(self, data: bytes) -> list[Frame]:
        frames: list[Frame] = []
        for byte in data:
            if len(self._pending) == MAX_FRAME_BYTES:
                self._fault = FrameFault.TOO_LONG
                frames += self._cut(self._fault)
            self._pending.append(byte)
        return frames

    def silence(self) -> list[Frame]:
        if not self._pending:
            if self._fault is not FrameFault.AFTER_BREAK:
                self._fault = None
            return []
        lacks_end = not self._pending.endswith(self._end)
        frames = self._cut(self._fault or (FrameFault.NO_END if lacks_end else None))
        # Where an end was declared and did not come, the frame was only held up: what comes next
        # is the rest of it, however long that takes.
        self._fault = FrameFault.AFTER_BREAK if lacks_end else None
        return frames

    def flush(self) -> list[Frame]:
        if not self._pending:
            return []
        frames = self._cut(self._fault or FrameFault.NO_END)
        self._fault = FrameFault.AFTER_BREAK
        return frames

    def _cut(self, fault: FrameFault | None) -> list[Frame]:
        raw = bytes(self._pending)
        self._pending.clear()
        has_end = fault in (None, FrameFault.TORN_START, FrameFault.AFTER_BREAK)
        body = raw.removesuffix(self._end) if has_end else raw
        return [Frame(body, raw, fault)] if body else []

"""Find how the frames of a gauge are told apart, from presses made one at a time."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from seatproof.devices.declared.framing import AnyLine, End, Framing, Length, Marks, Quiet
from seatproof.devices.framing import MAX_FRAME_BYTES

_LINE_ENDS: Final = (b"\r\n", b"\r\x12", b"\r", b"\n")
_MARKS: Final = (
    (b"\x02", b"\x03"), (b"\x02", b"\x17"), (b"\x02", b"\x04"), (b"\x01", b"\x04"),
    (b"[", b"]"), (b"(", b")"), (b"<", b">"), (b"{", b"}"),
)  # fmt: skip
_MOST_BEHIND: Final = 4


@dataclass(frozen=True, slots=True)
class Framed:
    """A way to tell frames apart, and the frame of each press under it."""

    framing: Framing
    bodies: tuple[bytes, ...]


def text_framings(raws: Sequence[bytes]) -> Iterator[Framed]:
    """Yield the ways that fit all presses, the surest first."""
    yield from _marks(raws)
    for end in _LINE_ENDS:
        if all(raw.endswith(end) for raw in raws):
            bodies = tuple(raw[: -len(end)] for raw in raws)
            if not any(byte in body for body in bodies for byte in b"\r\n"):
                yield Framed(AnyLine(), bodies)
                return
    end = raws[0][-1:]
    if end < b"\x20" and all(raw.endswith(end) and raw.count(end) == 1 for raw in raws):
        yield Framed(End(end=end), tuple(raw[:-1] for raw in raws))
    yield Framed(Quiet(), tuple(raws))
    if end in (b",", b" ", b";") and all(raw.endswith(end) and len(raw) > 1 for raw in raws):
        yield Framed(Quiet(end=end), tuple(raw[:-1] for raw in raws))


def packet_framings(raws: Sequence[bytes]) -> Iterator[Framed]:
    """Yield the ways that fit packets: as for text, or one length."""
    for framed in text_framings(raws):
        if not isinstance(framed.framing, Quiet):
            yield framed
    lengths = {len(raw) for raw in raws}
    if len(lengths) > 1 or not 1 <= lengths.copy().pop() <= MAX_FRAME_BYTES:
        return
    length, first = lengths.pop(), raws[0][:1]
    # A byte that is no pair of digits and came nowhere else can keep the frames in step.
    is_sync = not first.hex().isdigit() and all(
        raw.startswith(first) and raw.count(first) == 1 for raw in raws
    )
    yield Framed(Length(length=length, sync=first if is_sync else None), tuple(raws))


def _marks(raws: Sequence[bytes]) -> Iterator[Framed]:
    for start, end in _MARKS:
        bodies, behind = [], set()
        for raw in raws:
            at = raw.rfind(end)
            if not raw.startswith(start) or at < 1 or start in raw[1:at] or end in raw[1:at]:
                break
            bodies.append(raw[1:at])
            behind.add(len(raw[at + 1 :].rstrip(b"\r\n")) and len(raw) - at - 1)
        if len(bodies) == len(raws) and len(behind) == 1 and max(behind) <= _MOST_BEHIND:
            yield Framed(Marks(start=start, end=end, bytes_behind=behind.pop()), tuple(bodies))

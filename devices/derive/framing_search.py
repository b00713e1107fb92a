"""Find how the frames of a gauge are told apart, from presses made one at a time."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product
from typing import Final

from seatproof.devices.declared.check import CheckForm, CheckRule, is_check, n_check_bytes
from seatproof.devices.declared.framing import (
    AnyLine,
    CheckBehind,
    End,
    Framing,
    Length,
    Marks,
    Quiet,
)
from seatproof.devices.framing import MAX_FRAME_BYTES

_LINE_ENDS: Final = (b"\r\n", b"\r\x12", b"\r", b"\n")
_MARKS: Final = (
    (b"\x02", b"\x03"), (b"\x02", b"\x17"), (b"\x02", b"\x04"), (b"\x01", b"\x04"),
    (b"[", b"]"), (b"(", b")"), (b"<", b">"), (b"{", b"}"),
)  # fmt: skip
_MOST_BEHIND: Final = 4
_CHECK_FORMS: Final[tuple[CheckForm, ...]] = ("hex", "half bytes", "byte")


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
        bodies, behind = [], []
        for raw in raws:
            at = raw.find(end, 1)  # check characters may look like the end mark
            if not raw.startswith(start) or at < 1 or start in raw[1:at]:
                break
            bodies.append(raw[1:at])
            behind.append(raw[at + 1 :])
        if len(bodies) < len(raws):
            continue
        lengths = {len(text) for text in behind}
        if not any(text.strip(b"\r\n") for text in behind):
            lengths = {0}  # line ends between frames are nothing
        if len(lengths) == 1 and max(lengths) <= _MOST_BEHIND:
            marks = Marks(start=start, end=end, bytes_behind=lengths.pop())
            yield Framed(_with_check(marks, raws, bodies), tuple(bodies))


def _with_check(marks: Marks, raws: Sequence[bytes], bodies: Sequence[bytes]) -> Marks:
    """Return the marks with the check characters that stand behind them, where some do."""
    behind = [raw[len(body) + 2 :] for raw, body in zip(raws, bodies, strict=True)]
    for form, rule, with_end, with_start in product(
        _CHECK_FORMS, CheckRule, (True, False), (False, True)
    ):
        sent = [text[: n_check_bytes(form)] for text in behind]
        if len(behind[0]) < n_check_bytes(form) or len(set(sent)) < 2:
            continue  # what is always the same is no check
        front, back = marks.start if with_start else b"", marks.end if with_end else b""
        if all(
            is_check(rule, form, front + body + back, check)
            for body, check in zip(bodies, sent, strict=True)
        ):
            check = CheckBehind(rule=rule, form=form, with_start=with_start, with_end=with_end)
            return marks.model_copy(update={"check": check})
    return marks

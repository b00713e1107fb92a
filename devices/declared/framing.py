"""How frames are told apart, as it is declared in a format."""

from typing import Annotated, Final, Literal, Self

from pydantic import Field, model_validator

from seatproof.devices.declared.base import Declared, Octets
from seatproof.devices.declared.check import CheckForm, CheckRule, is_check, n_check_bytes
from seatproof.devices.framers import EndFramer, GapFramer, LengthFramer, MarkFramer
from seatproof.devices.framing import MAX_FRAME_BYTES, Frame, Framer, LineFramer

_Byte = Annotated[Octets, Field(min_length=1, max_length=1)]
_Gap = Annotated[float, Field(ge=0.005, le=5)]

# Longer than any adapter holds bytes back (16 ms are usual), shorter than anybody presses twice.
QUIET_S: Final = 0.1

_ENDS: Final = {
    b"\r": "CR",
    b"\n": "LF",
    b"\r\n": "CR LF",
    b"\r\x12": "CR and the byte 12",
}
_MARKS: Final = {b"\x02": "STX", b"\x03": "ETX", b"\x17": "ETB", b"\x04": "EOT", b"\x01": "SOH"}


class _Framing(Declared):
    """What all ways of telling frames apart have in common."""

    @property
    def finds_ends(self) -> bool:
        """Whether the end of a frame is found in the bytes or by silence, not by counting.

        Where it is, a frame of exactly the right length is whole even if its beginning is not
        proved otherwise; a count that began in the wrong place would always be right.
        """
        return True

    def damage(self, frame: Frame) -> str | None:
        """Return why a frame was damaged on the way, by what stands beside its text."""
        del frame
        return None


class AnyLine(_Framing):
    """Lines that end in CR, LF, CR LF or CR 0x12, whichever comes."""

    kind: Literal["any line"] = "any line"

    def framer(self, *, trust_first: bool) -> Framer:
        return LineFramer(trust_first=trust_first)

    def in_words(self) -> str:
        return "a frame ends at CR, LF or both"


class End(_Framing):
    """Frames that end in just these bytes."""

    kind: Literal["end"] = "end"
    end: Annotated[Octets, Field(min_length=1, max_length=4)]

    def framer(self, *, trust_first: bool) -> Framer:
        return EndFramer(self.end, trust_first=trust_first)

    def in_words(self) -> str:
        return f"a frame ends at {_ENDS.get(self.end) or 'the bytes ' + self.end.hex(' ')}"


class CheckBehind(Declared):
    """Check characters behind the end mark.

    `with_start` and `with_end` tell whether the two marks are counted as well; the end mark often
    is, the start mark seldom.
    """

    rule: CheckRule
    form: CheckForm = "byte"
    with_start: bool = False
    with_end: bool = True


class Marks(_Framing):
    """Frames between two marks, such as STX and ETX.

    Attributes
    ----------
    start, end : bytes
        The two marks.
    bytes_behind : int
        How many bytes stand behind the end mark and belong to the frame, check included.
    check : CheckBehind or None
        Check characters directly behind the end mark; a frame that they do not fit is refused.
    """

    kind: Literal["marks"] = "marks"
    start: _Byte = b"\x02"
    end: _Byte = b"\x03"
    bytes_behind: Annotated[int, Field(ge=0, le=8)] = 0
    check: CheckBehind | None = None

    @model_validator(mode="after")
    def _differ(self) -> Self:
        if self.start == self.end:
            raise ValueError("the start mark and the end mark must differ")
        return self

    def framer(self, *, trust_first: bool) -> Framer:
        del trust_first  # the start mark proves where a frame begins
        return MarkFramer(self.start[0], self.end[0], n_behind=self.n_behind)

    @property
    def n_check(self) -> int:
        """How many bytes the check takes."""
        return 0 if self.check is None else n_check_bytes(self.check.form)

    @property
    def n_behind(self) -> int:
        """How many bytes belong to the frame behind its end mark."""
        return max(self.bytes_behind, self.n_check)

    def damage(self, frame: Frame) -> str | None:
        if self.check is None or not frame.whole:
            return None
        at = len(frame.data) + 2
        covered = self.start if self.check.with_start else b""
        covered += frame.data + (self.end if self.check.with_end else b"")
        if is_check(self.check.rule, self.check.form, covered, frame.raw[at : at + self.n_check]):
            return None
        return "The check characters do not fit the frame, so it was damaged: press again."

    def in_words(self) -> str:
        return (
            f"a frame stands between {_mark(self.start)} and {_mark(self.end)}"
            f"{self._behind_in_words()}"
        )

    def _behind_in_words(self) -> str:
        n_left = self.n_behind - self.n_check
        left = f"{n_left} byte{'s' * (n_left > 1)} whose meaning is not known" if n_left else ""
        check = "" if self.check is None else f"check characters ({self.check.rule})"
        behind = " and ".join(piece for piece in (check, left) if piece)
        return f", with {behind} behind" if behind else ""


class Length(_Framing):
    """Frames of one length, in step by a sync byte or by silence."""

    kind: Literal["length"] = "length"
    length: Annotated[int, Field(ge=1, le=MAX_FRAME_BYTES)]
    sync: _Byte | None = None
    gap_s: _Gap = QUIET_S

    @property
    def finds_ends(self) -> bool:
        return self.sync is not None

    def framer(self, *, trust_first: bool) -> Framer:
        sync = None if self.sync is None else self.sync[0]
        return LengthFramer(self.length, sync=sync, trust_first=trust_first, gap_s=self.gap_s)

    def in_words(self) -> str:
        if self.sync is None:
            return f"a frame has {self.length} bytes, with silence around it"
        return f"a frame has {self.length} bytes and begins with the byte {self.sync.hex()}"


class Quiet(_Framing):
    """Frames that silence ends, with or without a last byte such as a comma before it."""

    kind: Literal["quiet"] = "quiet"
    gap_s: _Gap = QUIET_S
    end: Annotated[Octets, Field(max_length=4)] = b""

    def framer(self, *, trust_first: bool) -> Framer:
        return GapFramer(self.gap_s, trust_first=trust_first, end=self.end)

    def in_words(self) -> str:
        before = f" after the byte {self.end.hex(' ')}" if self.end else ""
        return f"a frame ends when the line is quiet for {self.gap_s:g} s{before}"


Framing = Annotated[AnyLine | End | Marks | Length | Quiet, Field(discriminator="kind")]


def _mark(mark: bytes) -> str:
    printable = 0x20 < mark[0] < 0x7F
    return _MARKS.get(mark) or (f"'{mark.decode()}'" if printable else f"the byte {mark.hex()}")

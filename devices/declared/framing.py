"""How frames are told apart, as it is declared in a format."""

from typing import Annotated, Final, Literal, Self

from pydantic import Field, model_validator

from seatproof.devices.declared.base import Declared, Octets
from seatproof.devices.framers import EndFramer, GapFramer, LengthFramer, MarkFramer
from seatproof.devices.framing import MAX_FRAME_BYTES, Framer, LineFramer

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


class AnyLine(Declared):
    """Lines that end in CR, LF, CR LF or CR 0x12, whichever comes."""

    kind: Literal["any line"] = "any line"

    def framer(self, *, trust_first: bool) -> Framer:
        return LineFramer(trust_first=trust_first)

    def in_words(self) -> str:
        return "a frame ends at CR, LF or both"


class End(Declared):
    """Frames that end in just these bytes."""

    kind: Literal["end"] = "end"
    end: Annotated[Octets, Field(min_length=1, max_length=4)]

    def framer(self, *, trust_first: bool) -> Framer:
        return EndFramer(self.end, trust_first=trust_first)

    def in_words(self) -> str:
        return f"a frame ends at {_ENDS.get(self.end) or 'the bytes ' + self.end.hex(' ')}"


class Marks(Declared):
    """Frames between two marks, such as STX and ETX."""

    kind: Literal["marks"] = "marks"
    start: _Byte = b"\x02"
    end: _Byte = b"\x03"
    bytes_behind: Annotated[int, Field(ge=0, le=8)] = 0

    @model_validator(mode="after")
    def _differ(self) -> Self:
        if self.start == self.end:
            raise ValueError("the start mark and the end mark must differ")
        return self

    def framer(self, *, trust_first: bool) -> Framer:
        del trust_first  # the start mark proves where a frame begins
        return MarkFramer(self.start[0], self.end[0], n_behind=self.bytes_behind)

    def in_words(self) -> str:
        behind = f" and {self.bytes_behind} bytes behind it" if self.bytes_behind else ""
        return f"a frame stands between {_mark(self.start)} and {_mark(self.end)}{behind}"


class Length(Declared):
    """Frames of one length, in step by a sync byte or by silence."""

    kind: Literal["length"] = "length"
    length: Annotated[int, Field(ge=1, le=MAX_FRAME_BYTES)]
    sync: _Byte | None = None
    gap_s: _Gap = QUIET_S

    def framer(self, *, trust_first: bool) -> Framer:
        sync = None if self.sync is None else self.sync[0]
        return LengthFramer(self.length, sync=sync, trust_first=trust_first, gap_s=self.gap_s)

    def in_words(self) -> str:
        if self.sync is None:
            return f"a frame has {self.length} bytes, with silence around it"
        return f"a frame has {self.length} bytes and begins with the byte {self.sync.hex()}"


class Quiet(Declared):
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

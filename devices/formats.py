"""Read the text of one frame: a length exactly as the gauge wrote it, or a refusal with a reason.

Pure functions. A frame gives a reading or a refusal and nothing in between: never a zero, never
the reading before, never a number as an error mark.
"""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Final, Protocol

from seatproof.core.units import Unit
from seatproof.devices.framing import Frame, FrameFault, Framer, LineFramer
from seatproof.devices.reasons import ROW_OF_EIGHTS, is_row_of_eights, why_no_match


@dataclass(frozen=True, slots=True)
class Reading:
    r"""A length that a gauge sent.

    Attributes
    ----------
    value : Decimal
        Exactly the digits that came; zero carries no minus.
    unit : Unit or None
        The unit the frame names; None where the line does not say.
    channel : str or None
        The gauge's own mark of itself or of its channel.
    text : str
        The frame as a person can read it; bytes that are no letters appear as ``\x00``.
    raw : bytes
        The frame as it came.
    format : str
        Name of the format that read it.
    confirmed : bool or None
        Whether the gauge says that its button was pressed for this value; None where it never says.
    """

    value: Decimal
    unit: Unit | None
    channel: str | None
    text: str
    raw: bytes
    format: str
    confirmed: bool | None = None

    @property
    def value_text(self) -> str:
        """The value with all its digits, never with an exponent."""
        return f"{self.value:f}"


@dataclass(frozen=True, slots=True)
class Refusal:
    """A frame that is not a reading, and the reason as a sentence for the person at the bench.

    `status` is the word or code by which the gauge itself says that it has no value.
    """

    reason: str
    text: str
    raw: bytes
    status: str | None = None


class FrameFormat(Protocol):
    """How the frames of one gauge are cut from its line and read."""

    @property
    def name(self) -> str:
        """The name by which the format is chosen and recorded."""

    def framer(self, *, trust_first: bool) -> Framer:
        """Return a new framer; see `LineFramer` for `trust_first`."""

    def read(self, frame: Frame) -> Reading | Refusal:
        """Read one frame; never raises."""


_UNITS: Final[Mapping[bytes, Unit]] = {
    b"mm": Unit.MM,
    b"in": Unit.INCH,
    b"inch": Unit.INCH,
    b"um": Unit.UM,
    # µm in Latin-1, and with the micro sign or the Greek letter in UTF-8. No other byte above 0x7F
    # can pass: had a parity bit made the 0xB5 out of a 5, it would have changed the point as well.
    b"\xb5m": Unit.UM,
    b"\xc2\xb5m": Unit.UM,
    b"\xce\xbcm": Unit.UM,
    b"mil": Unit.MIL,
}

# Two layouts of the channel mark are unmistakable: two digits and a letter, or one or two digits
# and a colon. Both stand directly before the sign, so neither can take a digit of the number.
# No gauge shows more than six digits on one side of the point.
_NUMBER: Final = re.compile(
    rb"""
    (?P<blanks>\x20*)
    (?: (?: (?P<lettered>[0-9]{2}[A-Za-z]) | (?P<numbered>[0-9]{1,2}): ) (?=[+-]) )?
    (?: (?P<sign>[+-]) \x20* )?
    (?P<digits>[0-9]{1,6}\.[0-9]{1,6})
    (?: \x20* (?P<unit>mm|MM|inch|INCH|in|IN|um|UM|mil|MIL|\xc2?\xb5m|\xce\xbcm) )?
    \x20*
    """,
    re.VERBOSE,
)

# How many digits the fixed-width number behind each channel mark has. A frame that lost a digit on
# the line is shorter, and there is no other sign of it.
_LAYOUT_DIGITS: Final = {"lettered": range(7, 9), "numbered": range(6, 9)}

_MICRO: Final = re.compile(r"\\xc2\\xb5|\\xb5|\\xce\\xbc")


def as_text(data: bytes) -> str:
    r"""Show bytes to a person: printable ASCII as it is, everything else as its hex code.

    >>> as_text(b"-\x00009891")
    '-\\x00009891'
    """
    return "".join(chr(byte) if 0x20 <= byte < 0x7F else f"\\x{byte:02x}" for byte in data)


def read_frame(frame: Frame, format_name: str = "auto") -> Reading | Refusal:
    r"""Read one frame.

    Parameters
    ----------
    frame : Frame
        What the framer cut; a frame that is not whole is always refused.
    format_name : str
        One of `FORMAT_NAMES`. ``auto`` reads only what cannot be misread: an optional channel
        mark (``01A`` or ``1:``) directly before a sign, an optional sign, digits on both sides
        of a decimal point, an optional unit (mm, in, inch, um, µm, mil), blanks around them, and
        nothing else.

    Raises
    ------
    ValueError
        No format has this name.

    Examples
    --------
    >>> reading = read_frame(Frame(b"01A+00024.35", b"01A+00024.35\r"))
    >>> reading.channel, reading.value, reading.unit
    ('01A', Decimal('24.35'), None)
    """
    if format_name not in _FORMATS:
        raise ValueError(f"no format is called {format_name!r}; there are: {', '.join(_FORMATS)}")
    reason = why_not_whole(frame)
    if reason is not None:
        return Refusal(reason, as_text(frame.data), frame.raw)
    return _FORMATS[format_name](frame)


def why_not_whole(frame: Frame) -> str | None:
    """Return why a frame may not be all that the gauge sent, as a sentence; None where it is."""
    match frame.fault:
        case FrameFault.TORN_START:
            return (
                "Listening began in the middle of this frame, so its beginning may be missing: "
                "press again."
            )
        case FrameFault.AFTER_BREAK:
            return (
                "The frame before broke off, so this may be the rest of it and not all of a value: "
                "press again."
            )
        case FrameFault.NO_END:
            return "The frame broke off before its end: press again."
        case FrameFault.TOO_LONG:
            return "Bytes come and no frame ends: check speed, data bits and parity of the line."
        case FrameFault.OUTSIDE:
            return (
                "These bytes belong to no whole frame, so some were lost on the way: press again."
            )
        case None:
            return None


class AutoFormat:
    """What can be read without being told anything about the gauge; see `read_frame`."""

    name: Final = "auto"

    def framer(self, *, trust_first: bool) -> Framer:
        return LineFramer(trust_first=trust_first)

    def read(self, frame: Frame) -> Reading | Refusal:
        return read_frame(frame)


def _read_auto(frame: Frame) -> Reading | Refusal:
    match = _NUMBER.fullmatch(frame.data)
    if match is None:
        return Refusal(why_no_match(frame.data), as_text(frame.data), frame.raw)
    doubt = _why_doubtful(match)
    if doubt is not None:
        return Refusal(doubt, as_text(frame.data), frame.raw)
    unit, channel = match["unit"], match["lettered"] or match["numbered"]
    value = Decimal(((match["sign"] or b"") + match["digits"]).decode("ascii"))
    return Reading(
        value=value.copy_abs() if value.is_zero() else value,
        unit=None if unit is None else _UNITS[unit.lower()],
        channel=None if channel is None else channel.decode("ascii"),
        text=_MICRO.sub("µ", as_text(frame.data)),
        raw=frame.raw,
        format="auto",
    )


def _why_doubtful(match: re.Match[bytes]) -> str | None:
    """Why a frame that has the form of a reading must still not count as one."""
    n_digits = len(match["digits"]) - 1
    if is_row_of_eights(match["digits"]):
        return ROW_OF_EIGHTS
    if match["sign"] is None and len(match["blanks"]) > 1:
        return (
            "Several blanks stand where a minus may have been lost: "
            "check the display and press again, or choose the gauge's own format."
        )
    for mark, n_layout in _LAYOUT_DIGITS.items():
        if match[mark] is not None and n_digits not in n_layout:
            return (
                f"The number has {n_digits} digits where this layout has {n_layout[0]} to "
                f"{n_layout[-1]}, so some were lost or added on the way: press again."
            )
    return None


_FORMATS: Final[Mapping[str, Callable[[Frame], Reading | Refusal]]] = {"auto": _read_auto}
FORMAT_NAMES: Final = tuple(_FORMATS)

"""Search the speed and parity of a line by what makes its bytes well-formed text.

Listening with 8 data bits shows the parity of 7-bit text in the highest bit, so one press at each
speed is enough to find both.
"""

from dataclasses import replace
from typing import Final

from seatproof.devices.symptoms import parity_of
from seatproof.devices.transport import LineSettings

# The commonest speeds of gauges first.
SPEEDS: Final = (9600, 4800, 2400, 19200, 1200, 38400, 57600, 115200)

# At a wrong speed a few bytes may be text by chance, but not a number with its line end.
_FEWEST_BYTES: Final = 5
_FEWEST_DIGITS: Final = 3
_CONTROLS: Final = b"\x00\x01\x02\x03\x04\x12\x17"
_ENDS: Final = (b"\r", b"\n", b"\r\x12", b"\x03", b"\x04", b"]")
_USUAL: Final = frozenset(
    b"0123456789+-., :=[]\r\n" + _CONTROLS + b"ABCDEFGHIMNTU" + b"abcdefghiklmnt"
)


def settings_seen_in(data: bytes, speed: int) -> LineSettings | None:
    r"""Return the settings under which bytes heard with 8 data bits are text; None if none.

    >>> print(settings_seen_in(b"+066.\xb2\xb2\x8d", 4800))
    4800 7E1
    """
    heard = LineSettings(speed=speed)
    parity = parity_of(data)
    seven = bytes(byte & 0x7F for byte in data)
    if parity is not None and _is_frame(seven):
        return replace(heard, data_bits=7, parity="E" if parity == "E" else "O")
    if all(byte & 0x80 for byte in data) and _is_frame(seven):
        return replace(heard, data_bits=7, stop_bits=2)  # the first stop bit took the eighth place
    return heard if _is_frame(data) else None


class LineSearch:
    """Tries one speed after another; tell it what was heard at each.

    Attributes
    ----------
    trying : LineSettings or None
        What to open the line with now; None when all speeds have been tried.
    found : LineSettings or None
        The settings, once bytes have shown them.
    """

    def __init__(self, speeds: tuple[int, ...] = SPEEDS) -> None:
        self._left = list(speeds)
        self.found: LineSettings | None = None
        self.trying: LineSettings | None = None
        self._next()

    def hear(self, data: bytes) -> None:
        """Judge what came at the settings that are being tried; nothing means a try more."""
        if self.trying is None or not data:
            return
        self.found = settings_seen_in(data, self.trying.speed)
        if self.found is None:
            self._next()
        else:
            self.trying = None

    def _next(self) -> None:
        self.trying = LineSettings(speed=self._left.pop(0)) if self._left else None


def _is_frame(data: bytes) -> bool:
    n_digits = sum(chr(byte).isdigit() for byte in data if byte < 0x80)
    return (
        len(data) >= _FEWEST_BYTES
        and n_digits >= _FEWEST_DIGITS
        and n_digits * 2 >= len(data) - 3
        and data.endswith(_ENDS)
        and _USUAL.issuperset(data)
    )

"""Check characters: what a gauge adds to its frame so that damage on the way can be seen."""

from collections.abc import Callable, Mapping
from enum import StrEnum
from functools import reduce
from operator import xor
from typing import Final, Literal


class CheckRule(StrEnum):
    """How one check byte is made from the bytes before it."""

    SUM = "sum"
    NEGATED_SUM = "negated sum"  # sum and check byte together make 0
    XOR = "xor"
    SUM_7 = "sum of 7 bits"


# Two half bytes, each with 30 added, stand for 0 to 9 and for the six characters behind the 9.
CheckForm = Literal["byte", "hex", "half bytes"]

_MADE: Final[Mapping[CheckRule, Callable[[bytes], int]]] = {
    CheckRule.SUM: lambda data: sum(data) & 0xFF,
    CheckRule.NEGATED_SUM: lambda data: -sum(data) & 0xFF,
    CheckRule.XOR: lambda data: reduce(xor, data, 0),
    CheckRule.SUM_7: lambda data: sum(data) & 0x7F,
}


def check_byte(rule: CheckRule, data: bytes) -> int:
    """Return the check byte of `data`.

    >>> hex(check_byte(CheckRule.SUM, bytes([0x0B, 0x00, ord("D"), 0xFA, 0x00])))
    '0x49'
    """
    return _MADE[rule](data)


def check_text(rule: CheckRule, form: CheckForm, data: bytes) -> bytes:
    """Return the check byte as a frame carries it; hexadecimal digits in lower case.

    >>> check_text(CheckRule.XOR, "hex", b"1.5"), check_text(CheckRule.XOR, "half bytes", b"1.5")
    (b'2a', b'2:')
    """
    made = check_byte(rule, data)
    match form:
        case "byte":
            return bytes([made])
        case "hex":
            return f"{made:02x}".encode("ascii")
        case "half bytes":
            return bytes([0x30 | made >> 4, 0x30 | made & 0x0F])


def is_check(rule: CheckRule, form: CheckForm, data: bytes, sent: bytes) -> bool:
    """Tell whether what a frame carries is the check of `data`; hexadecimal digits in any case."""
    return check_text(rule, form, data) == (sent.lower() if form == "hex" else sent)


def n_check_bytes(form: CheckForm) -> int:
    """Return how many bytes of a frame the check takes."""
    return 1 if form == "byte" else 2

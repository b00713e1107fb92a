"""Say what is wrong with a line by what its bytes look like; nothing is ever mended in silence."""

from typing import Final

_CR, _LF, _TAB = 0x0D, 0x0A, 0x09
_PARITY_MARK: Final = b"\xff\x00"

# How many bytes with their highest bit set make a pattern that chance does not explain.
_ENOUGH: Final = 3


def is_plain(byte: int) -> bool:
    """Tell whether a byte is printable ASCII or a common control character of text."""
    return 0x20 <= byte < 0x7F or byte in (_CR, _LF, _TAB)


def parity_of(data: bytes) -> str | None:
    """Return the parity, ``E`` or ``O``, that bit 7 carries over seven-bit text; None if neither.

    Bit 7 of text that was sent with 8 data bits is never set, so bytes that have it set and are
    text without it were sent with 7.
    """
    seven = [byte & 0x7F for byte in data]
    if not any(byte & 0x80 for byte in data) or not all(is_plain(byte) for byte in seven):
        return None
    odd_counts = {byte.bit_count() % 2 for byte in data}
    if len(odd_counts) > 1:
        return None
    return "O" if odd_counts == {1} else "E"


def explain_bytes(data: bytes) -> str | None:
    """Return a sentence about bytes that no plain text has; None where there are none.

    >>> print(explain_bytes(bytes.fromhex("2b 30 36 36 2e b2 b2")))
    The bytes are text with even parity in their highest bit: set the line's data bits and parity \
to 7E.
    """
    n_high = sum(byte >= 0x80 for byte in data)
    if n_high == 0:
        return None
    if _PARITY_MARK in data:
        return (
            "A character arrived with wrong parity and was marked by the port: check data bits "
            "and parity of the line, and its cable, and press again."
        )
    parity = parity_of(data)
    if parity is not None and len(data) > _ENOUGH:
        name = {"E": "even", "O": "odd"}[parity]
        return (
            f"The bytes are text with {name} parity in their highest bit: set the line's data bits "
            f"and parity to 7{parity}."
        )
    if n_high >= _ENOUGH and n_high * 3 >= len(data):
        return (
            "Most bytes are no text at all, as at a wrong speed: check speed, data bits and parity "
            "of the line."
        )
    return (
        "The frame holds bytes that no plain text has: check data bits and parity of the line "
        "(7 data bits with parity look like this when they are read as 8 without)."
    )

"""Marks: one word of the full-text index for each exact property of an inspection.

A property is compared as people mean it: upper and lower case and the number of blanks between
words make no difference.
"""

import hashlib
from enum import StrEnum
from typing import Final

_DIGITS: Final = 16  # of the hash: 64 bits keep a million values apart


class Property(StrEnum):
    """What an inspection can be found by exactly; the letter begins the mark."""

    ASSET = "a"
    SHAFT = "h"
    WORK_ORDER = "w"
    SHEET_NUMBER = "n"
    SEAT = "s"
    INSPECTOR = "i"
    GAUGE = "g"
    VERDICT = "v"
    SEALED = "z"
    STATE = "t"


def mark(which: Property, value: str) -> str:
    """Return the word that stands for a value of a property."""
    plain = " ".join(value.split()).casefold()
    return f"{which.value}{hashlib.sha256(plain.encode()).hexdigest()[:_DIGITS]}"

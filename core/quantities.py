"""Lengths as a person writes them: exact decimals and the fractions of inch drawings.

Text from a gauge is not read here; a gauge's format has its own rules.
"""

import re
from decimal import Decimal
from typing import Final

# At most nine digits before the point and twelve after it: far more than any drawing has, and few
# enough that sums and unit conversions stay exact within the 28 digits of decimal arithmetic.
_DECIMAL: Final = re.compile(r"\d{1,9}(?:\.\d{1,12})?|\.\d{1,12}", re.ASCII)
_FRACTION: Final = re.compile(
    r"(?:(?P<whole>\d{1,9})\ +)?(?P<part>\d{1,4})/(?P<parts>\d{1,4})", re.ASCII
)

# What people type instead, most telling first, and what to tell them.
_MISTAKES: Final = (
    (re.compile(r""), "nothing was entered; write a number such as 110.5 or 3 15/16"),
    (re.compile(r"[+-]?(?:nan|inf|infinity)", re.I), "a length must be a finite number"),
    (re.compile(r"[+\-−].*"), "a length is written without a sign"),
    (
        re.compile(r".*,.*"),
        "write a point before the decimals and no thousands separator, as in 1250.5",
    ),
    (re.compile(r"\d[\d.]*e[+-]?\d+", re.I), "write the number out, without an exponent"),
    (
        re.compile(r"\d+\s*-\s*\d+/\d+"),
        "leave a space, not a dash, before the fraction, as in 3 15/16",
    ),
    (
        re.compile(r"\d{1,3}([ '_’])\d{3}(?:\1\d{3})*(?:\.\d*)?"),
        "leave out the thousands separator, as in 1250.5",
    ),
    (re.compile(r"[\d./ ]*\d\s*(?:mm|µm|um|in|inch|mil|\"|″)"), "leave out the unit"),
    (re.compile(r"[\d.]{10,}"), "at most 9 digits before and 12 after the point can be used"),
)


class QuantityError(ValueError):
    """A text that cannot be read as a length.

    Attributes
    ----------
    text : str
        The text as it was entered.
    reason : str
        What is wrong and what to write instead.
    """

    def __init__(self, text: str, reason: str) -> None:
        self.text = text
        self.reason = reason
        super().__init__(f'"{text}" cannot be read as a length: {reason}.')


def parse_length(text: str) -> Decimal:
    """Read a length without its unit: a decimal, a fraction, or a whole number and a fraction.

    Parameters
    ----------
    text : str
        Such as ``110``, ``110.5``, ``.75``, ``15/16`` or ``3 15/16``; blanks around it are ignored.

    Returns
    -------
    Decimal
        The exact value, in whatever unit the text was meant; zero is a length.

    Raises
    ------
    QuantityError
        The text is no such number (a sign, decimal comma, thousands separator, exponent or unit is
        refused rather than guessed at), or its fraction has no exact decimal value.

    Examples
    --------
    >>> parse_length("3 15/16")
    Decimal('3.9375')
    """
    stripped = text.strip()
    if _DECIMAL.fullmatch(stripped):
        return Decimal(stripped)
    fraction = _FRACTION.fullmatch(stripped)
    if fraction is None:
        raise QuantityError(text, _mistake(stripped))
    whole, part, parts = (int(group or 0) for group in fraction.groups())
    if part >= parts:
        # "3 16/15" is more likely two numbers swapped than 4 1/15. A zero below ends here too.
        raise QuantityError(text, "the number above the line must be smaller than the one below it")
    if not _has_exact_decimal(part, parts):
        raise QuantityError(text, "the fraction has no exact decimal value; write the decimal")
    return whole + Decimal(part) / Decimal(parts)


def plain_text(value: Decimal) -> str:
    """Write an exact decimal without exponent or trailing zeros, as `parse_length` reads it.

    >>> plain_text(Decimal("1.1E+2")), plain_text(Decimal("100.01250"))
    ('110', '100.0125')
    """
    # A number of a million digits would be no help in a message; such a one keeps its exponent.
    if not value.is_finite() or abs(value.adjusted()) > 20:
        return str(value)
    written = f"{value:f}"
    return written.rstrip("0").rstrip(".") if "." in written else written


def _mistake(stripped: str) -> str:
    for pattern, reason in _MISTAKES:
        if pattern.fullmatch(stripped):
            return reason
    return "write a number such as 110.5 or 3 15/16"


def _has_exact_decimal(part: int, parts: int) -> bool:
    # True where the denominator in lowest terms is made of twos and fives: it then divides a power
    # of ten, and below 10 000 (four digits) the thirteenth power is enough (2^13 = 8192).
    return part * 10**13 % parts == 0

"""Why a frame is not a number that can be read without being told anything about the gauge."""

import re
from collections.abc import Callable
from typing import Final

from seatproof.devices.symptoms import explain_bytes

_ROW_DIGITS: Final = 4
ROW_OF_EIGHTS: Final = (
    "The display is a row of eights, as in a display test or with a weak cell: "
    "check the gauge and press again."
)


def is_row_of_eights(data: bytes) -> bool:
    """Tell whether all digits, and at least four, are eights."""
    digits = re.findall(rb"[0-9]", data)
    return len(digits) >= _ROW_DIGITS and set(digits) == {b"8"}


def _found(pattern: bytes) -> Callable[[bytes], bool]:
    compiled = re.compile(pattern)
    return lambda data: compiled.search(data) is not None


def _all(pattern: bytes) -> Callable[[bytes], bool]:
    compiled = re.compile(pattern)
    return lambda data: compiled.fullmatch(data) is not None


_MARK: Final = rb"\x20*(?:[0-9]{2}[A-Za-z]|[0-9]{1,2}:)?"

# Asked in this order; the first that holds is the reason a person gets.
_REASONS: Final[tuple[tuple[Callable[[bytes], bool], str], ...]] = (
    (
        _found(rb"[\x00-\x1f\x7f]"),
        "The frame holds control characters beside its text: choose the gauge's own format.",
    ),
    (
        _all(rb"[^0-9]*"),
        "The gauge sent no number: look at its display, and press again when it shows a length.",
    ),
    (
        _found(rb"[0-9],|,[0-9]"),
        "The number has a comma, which may be a decimal mark or may part thousands: "
        "choose the gauge's own format.",
    ),
    (
        lambda data: data.count(b".") < 2 and is_row_of_eights(data),
        ROW_OF_EIGHTS,
    ),
    (
        _found(rb"[+-]\x20*[+-]|[+-][^+-]*[0-9][^+-]*[+-]"),
        "The frame has two signs: press again.",
    ),
    (
        _all(_MARK + rb"[+-]?\x20*(?:[0-9]+\.|\.[0-9]+)\x20*"),
        "The number is cut short at its decimal point: press again.",
    ),
    (
        _all(_MARK + rb"[+-]?\x20*[0-9]+\x20*"),
        "A whole number without a decimal point may be a code of the gauge's interface or hide "
        "its point: look at the gauge's display, or choose the gauge's own format.",
    ),
    (
        _found(rb"[0-9]\.[0-9]+[^0-9].*[0-9]|[0-9]\.[0-9]*\.|[0-9]\x20+[0-9]"),
        "The frame holds more than one number: press again.",
    ),
    (
        _all(rb"\x20*[0-9]{2}[A-Za-z]\x20*[0-9].*|\x20*[0-9]{1,2}:\x20*[0-9].*"),
        "The sign behind the channel mark is missing: press again.",
    ),
    (
        _all(_MARK + rb"[+-]?\x20*[0-9]+\.[0-9]+\x20*[A-Za-z%\"'/].*"),
        "What stands behind the number is not one of the units mm, in, inch, um, µm or mil: "
        "set the gauge to one of them, or choose the gauge's own format.",
    ),
    (
        _all(_MARK + rb"[+-]?\x20*[0-9]+\.[0-9]+\x20*"),
        "The number has more digits than a gauge shows: press again.",
    ),
)


def why_no_match(data: bytes) -> str:
    """Return the reason as a sentence for the person at the bench."""
    symptom = explain_bytes(data)
    if symptom is not None:
        return symptom
    for holds, reason in _REASONS:
        if holds(data):
            return reason
    return (
        "The frame is not a number in a layout that is known without being told: press again, "
        "or choose the gauge's own format."
    )

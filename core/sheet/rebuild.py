"""A sheet made again from its record, and held against the file that is there."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from seatproof.core.record.events import Event
from seatproof.core.record.state import fold
from seatproof.core.sheet.document import build_sheet


@dataclass(frozen=True, slots=True)
class Comparison:
    """How a file agrees with the one that its record gives.

    Attributes
    ----------
    first_difference : int or None
        Offset of the first byte that differs; None where all agree.
    differing : int
        How many bytes differ within the length that both have.
    missing : int
        How many bytes the file is too short by.
    appended : bytes
        What follows in the file: a signature that was added, or something that does not belong.
    """

    first_difference: int | None
    differing: int
    missing: int
    appended: bytes

    @property
    def same(self) -> bool:
        """Whether every byte of the sheet is there as it was made; `appended` may follow."""
        return self.first_difference is None

    @property
    def sentence(self) -> str:
        """What was found, in plain words."""
        if self.same and not self.appended:
            return "The file is the one that its record gives, byte for byte."
        if self.same:
            return (
                "The sheet is the one that its record gives, byte for byte; "
                f"{_bytes(len(self.appended))} added behind it."
            )
        if self.differing:
            return (
                f"The file differs from the one that its record gives, first at byte "
                f"{self.first_difference}; {_bytes(self.differing + self.missing)} altered."
            )
        return f"The file ends too early: {_bytes(self.missing)} lost."


def _bytes(count: int) -> str:
    return "1 byte was" if count == 1 else f"{count} bytes were"


def rebuild(events: Sequence[Event]) -> bytes:
    """Make the sheet again that covers all of these events.

    Raises
    ------
    SheetError
        This program cannot draw it (`LayoutUnknownError`, `ContentUnknownError`).
    RecordError
        The events form no record that this program knows.
    """
    return build_sheet(fold(events))


def compare(pdf: bytes, rebuilt: bytes) -> Comparison:
    """Hold a file against the sheet that its record gives."""
    length = min(len(pdf), len(rebuilt))
    missing = len(rebuilt) - length
    first, differing = None, 0
    if pdf[:length] != rebuilt[:length]:
        found, given = (np.frombuffer(data[:length], np.uint8) for data in (pdf, rebuilt))
        unlike = found != given
        first, differing = int(np.argmax(unlike)), int(np.count_nonzero(unlike))
    elif missing:
        first = length
    return Comparison(first, differing, missing, pdf[len(rebuilt) :])

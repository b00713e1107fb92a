"""What can be wrong with a record or with what is asked of it.

RecordError
    ChainBrokenError     an event does not hold: altered, missing, out of order
    EventUnknownError    an event of a kind or shape that this program does not know
    RecordFileError      a file that cannot be read or written as a record
    CommandRefusedError  the thing asked cannot be done in the present state
"""

from pathlib import Path


class RecordError(Exception):
    """Something about a record that its user can act on."""


class ChainBrokenError(RecordError):
    """The first event that does not hold, and why."""

    def __init__(self, inspection: str, seq: int, finding: str) -> None:
        self.inspection = inspection
        self.seq = seq
        self.finding = finding
        super().__init__(
            f"Event {seq} of inspection {inspection} does not hold: {finding}. "
            "Use a copy of the record from before it was altered."
        )


class EventUnknownError(RecordError):
    """An event that was written by a newer program, or not by Seatproof at all."""

    def __init__(self, inspection: str, seq: int, kind: str, finding: str) -> None:
        self.inspection = inspection
        self.seq = seq
        self.kind = kind
        self.finding = finding
        super().__init__(
            f'Event {seq} of inspection {inspection}, of kind "{kind}", cannot be read: {finding}. '
            "Open the record with the version of Seatproof that wrote it, or a later one."
        )


class RecordFileError(RecordError):
    """A file that is no record, or cannot be read or written.

    `is_altered` tells a record that somebody changed from a file that is none.
    """

    def __init__(self, path: Path | None, finding: str, *, is_altered: bool = False) -> None:
        self.path = path
        self.finding = finding
        self.is_altered = is_altered
        what = "The record" if path is None else f"The record {path}"
        super().__init__(f"{what} cannot be used: {finding}.")


class CommandRefusedError(RecordError):
    """Something asked of an inspection that its state does not allow; nothing was changed."""

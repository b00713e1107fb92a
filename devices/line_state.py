"""What a line is doing, as it is told to whoever shows it."""

from dataclasses import dataclass
from enum import StrEnum

from seatproof.devices.errors import DeviceError


class LineKind(StrEnum):
    """What a line is doing. The last three are final: nothing follows them."""

    CONNECTING = "connecting"  # not open yet; the reader keeps trying
    CONNECTED = "connected"  # what arrives now is read
    LOST = "lost"  # was open and is gone; the reader keeps trying
    FAILED = "failed"  # trying again would not help
    ENDED = "ended"  # the capture file is at its end
    CLOSED = "closed"  # stopped as asked


class Symptom(StrEnum):
    """What seems wrong with a line that is connected."""

    SILENCE = "silence"
    FLOOD = "flood"
    SHARED = "shared"
    NO_ANSWER = "no answer"
    NOTHING_TAKEN = "nothing taken"  # a key was pressed, and there was no value to take


@dataclass(frozen=True, slots=True)
class LineState:
    """What became of the line; told once at every change.

    Attributes
    ----------
    kind : LineKind
    sentence : str
        For the person at the bench.
    source : str
        The source as it was asked for.
    error : DeviceError or None
        What stands in the way, where something does.
    dropped_bytes : int
        With CONNECTED: how many bytes were dropped that may have been sent before.
    symptom : Symptom or None
        With CONNECTED: what seems wrong, where something does.
    """

    kind: LineKind
    sentence: str
    source: str
    error: DeviceError | None = None
    dropped_bytes: int = 0
    symptom: Symptom | None = None

"""Every raw byte of a line with its time, bounded, and saved as a file that can be replayed.

The file is text, one JSON document a line. The first says what it is; each other is one arrival or
one sending: ``{"t": seconds since the beginning, "in": "hex bytes"}``, or ``"out"``.
"""

import json
import math
import os
import threading
from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any, Final, Literal

from seatproof.devices.errors import SourceError

KEY: Final = "seatproof wire log"
VERSION: Final = 1

# A day of presses is some 20 kB and an hour of a fast stream some 400 kB; a flood keeps its end.
MAX_LOG_BYTES: Final = 1_000_000

# Adapters may hand over byte by byte, and each piece costs more memory than its byte.
MAX_LOG_ENTRIES: Final = 100_000

Direction = Literal["in", "out"]


@dataclass(frozen=True, slots=True)
class WireEntry:
    """Bytes that came or went in one piece, at seconds on a clock that never jumps."""

    at_s: float
    direction: Direction
    data: bytes


class WireLog:
    """The newest bytes of a line, both ways; may be asked from any thread."""

    def __init__(
        self, *, max_bytes: int = MAX_LOG_BYTES, max_entries: int = MAX_LOG_ENTRIES
    ) -> None:
        self._max_bytes = max_bytes
        self._max_entries = max_entries
        self._entries: deque[WireEntry] = deque()
        self._n_bytes = 0
        self._n_lost = 0
        self._lock = threading.Lock()

    @property
    def entries(self) -> tuple[WireEntry, ...]:
        with self._lock:
            return tuple(self._entries)

    @property
    def lost_bytes(self) -> int:
        """How many of the oldest bytes had to make room."""
        return self._n_lost

    def add(self, at_s: float, direction: Direction, data: bytes) -> None:
        """Note bytes that came or went."""
        if not data:
            return
        with self._lock:
            self._entries.append(WireEntry(at_s, direction, data))
            self._n_bytes += len(data)
            while len(self._entries) > 1 and (
                self._n_bytes > self._max_bytes or len(self._entries) > self._max_entries
            ):
                n_oldest = len(self._entries.popleft().data)
                self._n_bytes -= n_oldest
                self._n_lost += n_oldest

    def save(
        self,
        path: Path,
        *,
        source: str = "",
        settings: str = "",
        format_name: str = "",
        saved_utc: datetime | None = None,
    ) -> None:
        """Write the log for support, whole or not at all; a file of this name is replaced.

        Raises
        ------
        SourceError
            The file cannot be written.
        """
        with self._lock:
            entries, n_lost = tuple(self._entries), self._n_lost
        first_s = entries[0].at_s if entries else 0.0
        head = {
            KEY: VERSION,
            "source": source,
            "settings": settings,
            "format": format_name,
            "saved": "" if saved_utc is None else saved_utc.isoformat(timespec="seconds"),
            "lost bytes": n_lost,
        }
        lines = [json.dumps(head)]
        for entry in entries:
            moment: dict[str, Any] = {"t": round(entry.at_s - first_s, 6)}
            lines.append(json.dumps(moment | {entry.direction: entry.data.hex(" ")}))
        unfinished = path.with_name(f"{path.name}.{os.getpid()}.part")
        try:
            unfinished.write_text("\n".join(lines) + "\n", encoding="utf-8", newline="\n")
            unfinished.replace(path)
        except OSError as error:
            unfinished.unlink(missing_ok=True)
            reason = f"the wire log cannot be written ({error.strerror or error})."
            raise SourceError(str(path), reason) from error


def is_wire_log(data: bytes) -> bool:
    """Tell whether a file's first bytes are those of a saved wire log."""
    return data.startswith(json.dumps({KEY: VERSION})[:-1].encode("ascii"))


def read_entries(source: str, text: str) -> Iterator[WireEntry]:
    """Yield what a saved wire log holds.

    Raises
    ------
    SourceError
        A line of it is damaged; the sentence says which.
    """
    before_s = 0.0
    for number, line in enumerate(text.splitlines()[1:], start=2):
        if not line.strip():
            continue
        try:
            document = json.loads(line)
            at_s = float(document["t"])
            direction: Direction = "in" if "in" in document else "out"
            data = bytes.fromhex(document[direction])
        except (ValueError, KeyError, TypeError) as error:
            raise SourceError(source, f"line {number} of the wire log is damaged.") from error
        if not before_s <= at_s < math.inf:
            raise SourceError(source, f"line {number} of the wire log lies before the one above.")
        before_s = at_s
        yield WireEntry(at_s, direction, data)

"""The transfer file: inspections on their way from one archive to another.

Text in UTF-8, one JSON value in canonical form (RFC 8785) a line, each line ended by a line feed::

    {"format":"seatproof transfer","version":1}
    {"event":{"actor":…,"hash":…,"inspection":…,"kind":…,"offset_min":…,"payload":…,"previous":…,
              "seq":…,"utc":…}}                 all events of an inspection, oldest first, then the
                                                next inspection
    {"attachment":{"content":"…base64…","sha256":…}}          every attachment that they name, once
    {"end":{"attachments":…,"events":…,"inspections":[{"events":…,"hash":…,"inspection":…},…],
            "sha256":"…"}}

The last line tells what there must be, and the SHA-256 of all bytes above it: a file that was cut
off or changed on the way is not taken for a whole one. Chains say themselves whether they hold.
"""

import base64
import binascii
import hashlib
import json
from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass, fields
from pathlib import Path
from typing import Any, BinaryIO, Final

from seatproof.core.archive.attachments import MAX_ATTACHMENT_BYTES
from seatproof.core.archive.errors import TransferError
from seatproof.core.record.events import Event, canonical

TRANSFER_FORMAT: Final = "seatproof transfer"
TRANSFER_VERSION: Final = 1
TRANSFER_SUFFIX: Final = ".transfer"

_BEGINNING: Final = b'{"format":"seatproof transfer",'
MAX_LINE_BYTES: Final = MAX_ATTACHMENT_BYTES * 4 // 3 + 1000  # an attachment in base64

_FIELDS: Final = {field.name: str for field in fields(Event)} | {
    "seq": int,
    "offset_min": int,
    "payload": dict,
}


@dataclass(frozen=True, slots=True)
class Attachment:
    """Bytes and their name."""

    sha256: str
    content: bytes


@dataclass(frozen=True, slots=True)
class Listed:
    """What the last line says of an inspection: its number of events, and the hash of the last."""

    inspection: str
    events: int
    hash: str


def is_transfer_file(path: Path) -> bool:
    """Tell whether a file begins as a transfer file does; any version of it."""
    try:
        with path.open("rb") as stream:
            return stream.read(len(_BEGINNING)) == _BEGINNING
    except OSError:
        return False


class TransferWriter:
    """Writes a transfer file, line by line."""

    def __init__(self, stream: BinaryIO) -> None:
        self._stream = stream
        self._sum = hashlib.sha256()
        self._listed: dict[str, Listed] = {}
        self._n_events = 0
        self._n_attachments = 0
        self._line({"format": TRANSFER_FORMAT, "version": TRANSFER_VERSION})

    def event(self, event: Event) -> None:
        self._line({"event": asdict(event)})
        self._n_events += 1
        self._listed[event.inspection] = Listed(event.inspection, event.seq, event.hash)

    def attachment(self, attachment: Attachment) -> None:
        content = base64.b64encode(attachment.content).decode("ascii")
        self._line({"attachment": {"content": content, "sha256": attachment.sha256}})
        self._n_attachments += 1

    def end(self) -> None:
        self._line(
            {
                "end": {
                    "attachments": self._n_attachments,
                    "events": self._n_events,
                    "inspections": [asdict(listed) for listed in self._listed.values()],
                    "sha256": self._sum.hexdigest(),
                }
            }
        )

    def _line(self, value: Mapping[str, Any]) -> None:
        line = canonical(value) + b"\n"
        self._stream.write(line)
        self._sum.update(line)


class TransferReader:
    """Reads a transfer file, line by line, and knows at its end that it was whole.

    Every method raises `TransferError`, with the number of the line that cannot be used.
    """

    def __init__(self, path: Path, stream: BinaryIO) -> None:
        self._path = path
        self._stream = stream
        self._sum = hashlib.sha256()
        self._number = 0
        self.bytes_read = 0
        header, _ = self._next()
        if header is None or header.get("format") != TRANSFER_FORMAT:
            raise TransferError(path, f"{path} is not a Seatproof transfer file; name another.")
        if header.get("version") != TRANSFER_VERSION:
            raise TransferError(
                path,
                f"{path} has version {header.get('version')} of the transfer file; read it with a "
                "newer Seatproof.",
            )

    def items(self) -> Iterator[Event | Attachment]:
        """Give events and attachments, and check the last line once they are all given."""
        listed: dict[str, Listed] = {}
        n_events = n_attachments = 0
        while True:
            above = self._sum.hexdigest()
            line, raw = self._next()
            if line is None:
                raise TransferError(
                    self._path,
                    f"{self._path} was cut off after line {self._number}; have it sent again.",
                )
            match line:
                case {"event": dict() as fields_of_it} if len(line) == 1:
                    event = self._event(fields_of_it)
                    n_events += 1
                    listed[event.inspection] = Listed(event.inspection, event.seq, event.hash)
                    yield event
                case {"attachment": dict() as said} if len(line) == 1:
                    n_attachments += 1
                    yield self._attachment(said)
                case {"end": dict() as said} if len(line) == 1:
                    expected = {
                        "attachments": n_attachments,
                        "events": n_events,
                        "inspections": [asdict(one) for one in listed.values()],
                        "sha256": above,
                    }
                    if said != expected or self._next()[1] or not raw.endswith(b"\n"):
                        raise TransferError(
                            self._path,
                            f"{self._path} does not hold what its last line says; it was changed "
                            "on the way. Have it sent again.",
                        )
                    return
                case _:
                    raise self._unusable("it is neither event, attachment nor end")

    def _next(self) -> tuple[dict[str, Any] | None, bytes]:
        """Return the next line as a value and as it stands; None and nothing at the end."""
        try:
            raw = self._stream.readline(MAX_LINE_BYTES)
        except OSError as error:
            raise TransferError(
                self._path, f"{self._path} cannot be read ({error.strerror})."
            ) from error
        if not raw:
            return None, b""
        self._number += 1
        self._sum.update(raw)
        self.bytes_read += len(raw)
        try:
            value = json.loads(raw)
            written = canonical(value) + b"\n"
        except (ValueError, RecursionError) as error:
            if self._number == 1:
                raise TransferError(
                    self._path, f"{self._path} is not a Seatproof transfer file; name another."
                ) from error
            raise self._unusable("it is cut off, or no JSON") from error
        if not isinstance(value, dict) or written != raw:
            if self._number == 1:
                raise TransferError(
                    self._path, f"{self._path} is not a Seatproof transfer file; name another."
                )
            raise self._unusable("it is not as Seatproof wrote it")
        return value, raw

    def _event(self, item: dict[str, Any]) -> Event:
        if item.keys() != _FIELDS.keys():
            raise self._unusable("the event lacks a field or has one too many")
        for name, value in item.items():
            if type(value) is not _FIELDS[name]:
                raise self._unusable(f"{name} of the event is of the wrong kind")
        return Event(**item)

    def _attachment(self, item: dict[str, Any]) -> Attachment:
        content, digest = item.get("content"), item.get("sha256")
        if len(item) != 2 or not isinstance(content, str) or not isinstance(digest, str):
            raise self._unusable("the attachment lacks a field or has one too many")
        try:
            found = base64.b64decode(content, validate=True)
        except (binascii.Error, ValueError) as error:
            raise self._unusable("the attachment is not base64") from error
        if hashlib.sha256(found).hexdigest() != digest:
            raise self._unusable("the attachment was altered")
        return Attachment(digest, found)

    def _unusable(self, finding: str) -> TransferError:
        return TransferError(
            self._path,
            f"Line {self._number} of {self._path} cannot be used: {finding}. Have it sent again.",
        )

"""Moving inspections between archives: from a bench's computer to the office, and back.

What is imported becomes the same events, to the byte. Importing a file twice changes nothing; a
chain that went on at one of the two places is brought forward; one that went on differently at both
is refused.
"""

import contextlib
import os
import sqlite3
import tempfile
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path
from typing import Any, Final
from uuid import uuid4

from seatproof.core.archive.errors import (
    ArchiveConflictError,
    ArchiveEventError,
    ArchiveReadOnlyError,
    AttachmentError,
    TransferError,
)
from seatproof.core.archive.file import Archive
from seatproof.core.archive.progress import Cancelled, Progress, StoppedError, never, silent
from seatproof.core.archive.transfer_file import (
    TRANSFER_SUFFIX,
    Attachment,
    TransferReader,
    TransferWriter,
    is_transfer_file,
)
from seatproof.core.plan.errors import PlanError
from seatproof.core.record.errors import RecordError
from seatproof.core.record.events import Event, check_chain
from seatproof.core.verification.findings import Weight
from seatproof.core.verification.record import verify_events

__all__ = ["TRANSFER_SUFFIX", "Imported", "Refused", "export", "import_from"]

_PHOTO: Final = "photo"
# What is wrong with one inspection, and not with the archive as a whole.
_REFUSALS: Final = (
    ArchiveConflictError,
    ArchiveEventError,
    AttachmentError,
    PlanError,
    RecordError,
    TransferError,
)


@dataclass(frozen=True, slots=True)
class Refused:
    """An inspection that was not taken, and why."""

    inspection: str
    sentence: str


@dataclass(frozen=True, slots=True)
class Imported:
    """What became of the inspections of a transfer file, by their ids.

    `continued` were there already and had gone on elsewhere; `already` were there, as far or
    farther.
    """

    added: tuple[str, ...]
    continued: tuple[str, ...]
    already: tuple[str, ...]
    refused: tuple[Refused, ...]


def export(
    archive: Archive,
    inspections: Sequence[str],
    target: Path,
    progress: Progress = silent,
    cancelled: Cancelled = never,
) -> Path:
    """Write inspections, with the attachments that they name, to one file.

    A transfer file of that name is replaced once the new one is whole, and no other file ever is.
    `progress` is told inspections.

    Raises
    ------
    TransferError
        It cannot be written there, another file lies there, or an inspection is not in the archive.
    AttachmentError
        An attachment is missing or was altered.
    RecordError
        A chain does not hold; nothing that does not hold is sent on.
    StoppedError
        `cancelled` said so.
    """
    if not target.parent.is_dir():
        raise TransferError(
            target, f"The folder {target.parent} does not exist; make it, or name another."
        )
    if target.exists() and not is_transfer_file(target):
        raise TransferError(
            target, f"{target} is there already and is no transfer file; name a new file."
        )
    unfinished = target.with_name(f".{target.name[:40]}-{uuid4().hex}.part")
    named: dict[str, None] = {}
    try:
        with unfinished.open("xb") as stream:
            writer = TransferWriter(stream)
            for done, inspection in enumerate(dict.fromkeys(inspections)):
                progress(done, len(inspections))
                if cancelled():
                    raise StoppedError(target)
                events = archive.events(inspection)
                if not events:
                    raise TransferError(
                        target, f"The archive {archive.path} holds no inspection {inspection}."
                    )
                check_chain(events)
                for event in events:
                    writer.event(event)
                named.update(dict.fromkeys(attachments_named(events)))
            for digest in named:
                if cancelled():
                    raise StoppedError(target)
                writer.attachment(Attachment(digest, archive.attachment(digest)))
            writer.end()
            stream.flush()
            os.fsync(stream.fileno())
        unfinished.replace(target)
    except OSError as error:
        raise TransferError(
            target,
            f"{target} cannot be written ({error.strerror}); make room there, or choose another "
            "folder.",
        ) from error
    finally:
        with contextlib.suppress(OSError):  # the disk may be gone
            unfinished.unlink(missing_ok=True)
    progress(len(inspections), len(inspections))
    return target


def attachments_named(events: Iterable[Event]) -> tuple[str, ...]:
    """Return the attachments that events name, those of a revised inspection included."""
    named: dict[str, None] = {}
    for event in events:
        kind, payload = event.kind, event.payload
        if kind == "carried over":
            kind, payload = payload.get("kind_of", ""), payload.get("payload_of", {})
        digest: Any = payload.get("sha256") if kind == _PHOTO else None
        if isinstance(digest, str):
            named[digest] = None
    return tuple(named)


def import_from(
    archive: Archive,
    source: Path,
    progress: Progress = silent,
    cancelled: Cancelled = never,
) -> Imported:
    """Take the inspections of a transfer file into an archive, each as a whole or not at all.

    The file is verified from its first to its last byte before anything is stored. `progress` is
    told bytes read, of twice the file's size: once for verifying, once for storing. Stopped in the
    middle, what was taken stays; the same file may be imported again.

    Raises
    ------
    TransferError
        The file does not hold; nothing was stored.
    ArchiveError
        The archive cannot be written.
    StoppedError
        `cancelled` said so.
    """
    if archive.read_only:
        raise ArchiveReadOnlyError(archive.path, archive.read_only)
    try:
        size = source.stat().st_size
        with source.open("rb") as stream, _Shelf() as shelf:
            reader = TransferReader(source, stream)
            for item in reader.items():
                if cancelled():
                    raise StoppedError(archive.path)
                progress(reader.bytes_read, 2 * size)
                if isinstance(item, Attachment):
                    shelf.put(item)
            stream.seek(0)
            reader = TransferReader(source, stream)
            return _store(archive, reader, shelf, size, progress, cancelled)
    except OSError as error:
        raise TransferError(source, f"{source} cannot be read ({error.strerror}).") from error


def _store(
    archive: Archive,
    reader: TransferReader,
    shelf: "_Shelf",
    size: int,
    progress: Progress,
    cancelled: Cancelled,
) -> Imported:
    taken: dict[str, list[str]] = {"added": [], "continued": [], "already": []}
    refused: list[Refused] = []
    events = (item for item in reader.items() if isinstance(item, Event))
    for inspection, chain in groupby(events, key=lambda event: event.inspection):
        if cancelled():
            raise StoppedError(archive.path)
        whole = tuple(chain)
        progress(size + reader.bytes_read, 2 * size)
        try:
            fate, further = _compared(archive, whole)
            if further:
                archive.take_in(further, _photos(archive, shelf, further))
        except _REFUSALS as error:
            refused.append(Refused(inspection, str(error)))
            continue
        taken[fate].append(inspection)
    progress(2 * size, 2 * size)
    return Imported(
        tuple(taken["added"]), tuple(taken["continued"]), tuple(taken["already"]), tuple(refused)
    )


def _compared(archive: Archive, chain: tuple[Event, ...]) -> tuple[str, tuple[Event, ...]]:
    """Return what becomes of a chain, and those of its events that the archive lacks."""
    _verify(archive, chain)
    here = archive.events(chain[0].inspection)
    for ours, theirs in zip(here, chain, strict=False):
        if ours.hash != theirs.hash:
            raise TransferError(
                archive.path,
                f"Inspection {ours.inspection} went on differently here and there: the two part at "
                f"event {ours.seq}. Neither is changed; find out which is right, and make a "
                "revision of it where the other holds more.",
            )
    further = chain[len(here) :]
    if not further:
        return "already", ()
    return ("continued" if here else "added"), further


def _verify(archive: Archive, chain: tuple[Event, ...]) -> None:
    """Refuse what `seatproof verify` would not let pass; that leaves out only the figures."""
    for finding in verify_events(chain, figures=False).findings:
        if finding.weight is not Weight.NOTE:
            raise TransferError(archive.path, finding.sentence)


def _photos(archive: Archive, shelf: "_Shelf", events: Sequence[Event]) -> list[bytes]:
    photos = []
    for digest in attachments_named(events):
        if archive.has_attachment(digest):
            continue
        content = shelf.get(digest)
        if content is None:
            raise TransferError(
                archive.path, f"The attachment {digest} did not come along; have it sent again."
            )
        photos.append(content)
    return photos


class _Shelf:
    """Attachments laid aside, in a file, until their inspection comes by: they may be large."""

    def __enter__(self) -> "_Shelf":
        self._folder = tempfile.TemporaryDirectory()
        self._db = sqlite3.connect(Path(self._folder.name) / "attachments", isolation_level=None)
        self._db.execute("PRAGMA journal_mode = OFF")
        self._db.execute("CREATE TABLE shelf (sha256 TEXT PRIMARY KEY, content BLOB)")
        return self

    def __exit__(self, *exc: object) -> None:
        self._db.close()
        self._folder.cleanup()

    def put(self, attachment: Attachment) -> None:
        self._db.execute(
            "INSERT OR IGNORE INTO shelf VALUES (?, ?)", (attachment.sha256, attachment.content)
        )

    def get(self, digest: str) -> bytes | None:
        row = self._db.execute("SELECT content FROM shelf WHERE sha256 = ?", (digest,)).fetchone()
        return None if row is None else bytes(row[0])

"""A record as a file: the events of one inspection as canonical JSON."""

import json
from collections.abc import Sequence
from dataclasses import asdict, fields
from pathlib import Path
from typing import Any, Final

from seatproof.core.contents import contents
from seatproof.core.placing import NotPlacedError, place
from seatproof.core.record.errors import RecordFileError
from seatproof.core.record.events import Event, canonical, check_chain

RECORD_FORMAT: Final = "seatproof record"
RECORD_VERSION: Final = 1

_FIELDS: Final = frozenset(field.name for field in fields(Event))
_TYPES: Final = {"seq": int, "offset_min": int, "payload": dict}


def record_bytes(events: Sequence[Event]) -> bytes:
    """Return the file's content for these events."""
    document = {
        "format": RECORD_FORMAT,
        "version": RECORD_VERSION,
        "events": [asdict(event) for event in events],
    }
    return canonical(document)


def write_record(events: Sequence[Event], path: Path) -> Path:
    """Write a record and return where it is; another file of that name is never written over.

    Raises
    ------
    RecordFileError
        It cannot be written there.
    """
    try:
        return place(record_bytes(events), path)
    except NotPlacedError as error:
        raise RecordFileError(path, f"it cannot be written: {error.finding}") from error


def read_record(path: Path) -> tuple[Event, ...]:
    """Read a record and check its chain.

    Raises
    ------
    RecordFileError
        The file cannot be read or is no record.
    ChainBrokenError
        An event was altered, removed or moved.
    """
    try:
        content = contents(path)
    except OSError as error:
        raise RecordFileError(path, f"it cannot be read ({error.strerror})") from error
    events = parse_record(content, path)
    check_chain(events)
    return events


def parse_record(content: bytes, path: Path | None = None) -> tuple[Event, ...]:
    """Read the content of a record file; whether the events hold is for `check_chain` to say.

    Raises
    ------
    RecordFileError
        It is no record, or (`is_altered`) not one as Seatproof writes it.
    """
    try:
        document = json.loads(content)
    except (ValueError, RecursionError) as error:
        raise RecordFileError(path, "it is not JSON; name a record file") from error
    events = tuple(_event(path, item) for item in _items(path, document))
    if _written(events) != content:
        # Another spelling of the same values, or values that JSON as Seatproof writes it has not.
        raise RecordFileError(
            path, "it is not as Seatproof wrote it; use a copy of the original", is_altered=True
        )
    return events


def _written(events: Sequence[Event]) -> bytes | None:
    try:
        return record_bytes(events)
    except ValueError:
        return None


def _items(path: Path | None, document: Any) -> list[Any]:
    if not isinstance(document, dict) or document.get("format") != RECORD_FORMAT:
        raise RecordFileError(path, "it is not a Seatproof record; name a record file")
    if document.get("version") != RECORD_VERSION:
        raise RecordFileError(
            path, f"it has version {document.get('version')}; open it with a newer Seatproof"
        )
    items = document.get("events")
    if not isinstance(items, list) or not items:
        raise RecordFileError(path, "it holds no events")
    return items


def _event(path: Path | None, item: Any) -> Event:
    if not isinstance(item, dict) or item.keys() != _FIELDS:
        raise RecordFileError(
            path, "one of its events lacks a field or has one too many", is_altered=True
        )
    for name, value in item.items():
        wanted = _TYPES.get(name, str)
        if type(value) is not wanted:
            raise RecordFileError(
                path, f"{name} of one of its events is of the wrong kind", is_altered=True
            )
    return Event(**item)

"""The record taken out of a sheet again, from nothing but the file.

Whatever bytes are given, the answer is the record or a sentence that says why there is none.
"""

import json
import logging
from dataclasses import fields
from io import BytesIO
from typing import Any, Final

from pypdf import PdfReader
from pypdf.generic import StreamObject

from seatproof.core.record.events import Event
from seatproof.core.record.file import RECORD_FORMAT, RECORD_VERSION, record_bytes
from seatproof.core.sheet.document import READINGS_NAME, RECORD_NAME
from seatproof.core.wording.errors import SheetUnreadableError

_FIELDS: Final = frozenset(field.name for field in fields(Event))
_TYPES: Final = {"seq": int, "offset_min": int, "payload": dict}
# What the library finds odd in a damaged file is no news beside the sentence that is given.
logging.getLogger("pypdf").addHandler(logging.NullHandler())

_MOST_BYTES: Final = 500_000_000  # far more than any sheet; a file that claims more is a trap


def extract_record(pdf: bytes) -> tuple[Event, ...]:
    """Return the events attached to a sheet; whether they hold is for `check_chain` to say.

    Raises
    ------
    SheetUnreadableError
        The bytes are no PDF, or no record as Seatproof attaches it is in them.
    """
    data = _attached(pdf, RECORD_NAME)
    try:
        document = json.loads(data)
    except (ValueError, RecursionError) as error:
        raise SheetUnreadableError("the attached record is not JSON") from error
    if not isinstance(document, dict) or document.get("format") != RECORD_FORMAT:
        raise SheetUnreadableError("what is attached is not a Seatproof record")
    if document.get("version") != RECORD_VERSION:
        raise SheetUnreadableError(
            f"the attached record has version {document.get('version')}, which this program does "
            "not know; use a newer Seatproof"
        )
    items = document.get("events")
    if not isinstance(items, list) or not items:
        raise SheetUnreadableError("the attached record holds no events")
    events = tuple(_event(item) for item in items)
    if _written(events) != data:
        raise SheetUnreadableError("the attached record is not spelled as Seatproof wrote it")
    return events


def extract_readings(pdf: bytes) -> bytes:
    """Return the readings attached to a sheet as CSV; `SheetUnreadableError` without them."""
    return _attached(pdf, READINGS_NAME)


def _attached(pdf: bytes, name: str) -> bytes:
    try:
        found = _associated(PdfReader(BytesIO(pdf)), name)
    except SheetUnreadableError:
        raise
    # A damaged file makes the library fail in any way whatever; that it does is the finding.
    except Exception as error:
        raise SheetUnreadableError("it is damaged, or not a PDF file") from error
    if found is None:
        raise SheetUnreadableError(f"{name} is not attached to it; name a sheet made by Seatproof")
    return found


def _associated(reader: PdfReader, name: str) -> bytes | None:
    """Return the file of that name among those that the catalogue associates with the document."""
    root: Any = reader.trailer["/Root"]
    for reference in root.get("/AF", ()):
        specification = reference.get_object()
        if specification.get("/UF") == name:
            stream = specification["/EF"]["/UF"].get_object()
            if not isinstance(stream, StreamObject):
                raise SheetUnreadableError(f"{name} is attached to it without its content")
            data = stream.get_data()
            if len(data) > _MOST_BYTES:
                raise SheetUnreadableError(f"{name} is larger than any record")
            return data
    return None


def _written(events: tuple[Event, ...]) -> bytes | None:
    try:
        return record_bytes(events)
    except ValueError:
        return None


def _event(item: Any) -> Event:
    if not isinstance(item, dict) or item.keys() != _FIELDS:
        raise SheetUnreadableError("an event of the attached record lacks a field or has one more")
    for name, value in item.items():
        if type(value) is not _TYPES.get(name, str):
            raise SheetUnreadableError(
                f"{name} of an event of the attached record is no such thing"
            )
    return Event(**item)

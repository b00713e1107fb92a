"""Events as rows of a table, and whether a row still is what was written."""

import hashlib
import json
import sqlite3
from typing import Final

from seatproof.core.record.events import Event, canonical

# In the order of the fields of `Event`.
EVENT_COLUMNS: Final = "inspection, seq, utc, offset_min, actor, kind, payload, previous, hash"
REGISTER_COLUMNS: Final = EVENT_COLUMNS.replace("inspection", "register")

Row = tuple[str, int, str, int, str, str, str, str, str]

# Strings as RFC 8785 writes them, which is how Python does without escaping.
_json: Final = json.JSONEncoder(ensure_ascii=False).encode


def insert_row(db: sqlite3.Connection, table: str, columns: str, row: Row) -> None:
    """Add an event, as a row, to the table of that name."""
    db.execute(f"INSERT INTO {table} ({columns}) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)", row)


def row_of(event: Event) -> Row:
    """Return an event as a row; its payload as canonical JSON."""
    return (
        event.inspection,
        event.seq,
        event.utc,
        event.offset_min,
        event.actor,
        event.kind,
        canonical(event.payload).decode(),
        event.previous,
        event.hash,
    )


def event_of(row: Row) -> Event:
    """Return the event in a row; `ValueError` where its payload is no JSON object."""
    inspection, seq, utc, offset_min, actor, kind, payload, previous, digest = row
    try:
        value = json.loads(payload)
    except (ValueError, RecursionError) as error:
        raise ValueError(f"event {seq} of {inspection} holds no JSON") from error
    if not isinstance(value, dict):
        raise ValueError(f"event {seq} of {inspection} holds no JSON object")
    return Event(inspection, seq, utc, offset_min, actor, kind, value, previous, digest)


def row_hash(row: Row) -> str:
    """Return the hash of a row's content, from the payload's text as it stands there.

    The same as `event_hash`, without reading the payload: its canonical text goes into the
    canonical text of the event unchanged.
    """
    inspection, seq, utc, offset_min, actor, kind, payload, previous, _ = row
    text = (
        f'{{"actor":{_json(actor)},"inspection":{_json(inspection)},"kind":{_json(kind)},'
        f'"offset_min":{offset_min},"payload":{payload},"previous":{_json(previous)},'
        f'"seq":{seq},"utc":{_json(utc)}}}'
    )
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()


def event_rows(db: sqlite3.Connection, inspection: str) -> list[Row]:
    """Return the rows of an inspection, oldest first."""
    return db.execute(
        f"SELECT {EVENT_COLUMNS} FROM event WHERE inspection = ? ORDER BY seq", (inspection,)
    ).fetchall()


def has_table(db: sqlite3.Connection, name: str) -> bool:
    """Tell whether a file has a table; older ones have fewer."""
    found = db.execute("SELECT 1 FROM sqlite_master WHERE type = 'table' AND name = ?", (name,))
    return found.fetchone() is not None


def chain_tables(db: sqlite3.Connection) -> list[tuple[str, str, str]]:
    """Return the tables of chained events: columns, name, and whose chains they are."""
    tables = [
        (EVENT_COLUMNS, "event", "inspection"),
        (REGISTER_COLUMNS, "register_event", "register"),
    ]
    return [table for table in tables if has_table(db, table[1])]


def count_events(db: sqlite3.Connection) -> int:
    """Return how many events there are, those of registers included."""
    counts = (db.execute(f"SELECT count(*) FROM {name}") for _, name, _ in chain_tables(db))
    return sum(count for (count,) in (rows.fetchone() for rows in counts))

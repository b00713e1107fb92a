"""The archive's tables, in numbered steps that are only ever appended to."""

import sqlite3
from collections.abc import Callable
from typing import Final

from seatproof.core.record.events import GENESIS

APPLICATION_ID: Final = 0x53454154  # "SEAT" in ASCII

Step = Callable[[sqlite3.Connection], None]


def _first(db: sqlite3.Connection) -> None:
    for statement in (
        """
        CREATE TABLE event (
            id INTEGER PRIMARY KEY,
            inspection TEXT NOT NULL CHECK (inspection <> ''),
            seq INTEGER NOT NULL CHECK (seq >= 1),
            utc TEXT NOT NULL,
            offset_min INTEGER NOT NULL,
            actor TEXT NOT NULL,
            kind TEXT NOT NULL,
            payload TEXT NOT NULL CHECK (json_valid(payload)),
            previous TEXT NOT NULL CHECK (length(previous) = 64),
            hash TEXT NOT NULL UNIQUE CHECK (length(hash) = 64),
            UNIQUE (inspection, seq)
        ) STRICT
        """,
        """
        CREATE TRIGGER event_is_never_changed BEFORE UPDATE ON event
        BEGIN SELECT RAISE(ABORT, 'an event is never changed'); END
        """,
        """
        CREATE TRIGGER event_is_never_removed BEFORE DELETE ON event
        BEGIN SELECT RAISE(ABORT, 'an event is never removed'); END
        """,
        f"""
        CREATE TRIGGER event_follows_on_the_last BEFORE INSERT ON event
        WHEN NEW.previous IS NOT (
            SELECT hash FROM event WHERE inspection = NEW.inspection ORDER BY seq DESC LIMIT 1
        ) AND NOT (
            NEW.seq = 1 AND NEW.previous = '{GENESIS}'
        )
        BEGIN SELECT RAISE(ABORT, 'an event must follow on the last one'); END
        """,
    ):
        db.execute(statement)


STEPS: Final[tuple[Step, ...]] = (_first,)

"""The archive's tables, in numbered steps that are only ever appended to.

True are `event` (what happened in inspections), `register_event` (what happened in the register of
people) and `attachment` (photos): rows of these are never changed nor removed. All other tables are
derived from them, for finding, and can be made anew; see `seatproof.core.archive.index`.
"""

import sqlite3
from collections.abc import Callable
from typing import Final

from seatproof.core.record.events import GENESIS

APPLICATION_ID: Final = 0x53454154  # "SEAT" in ASCII

Step = Callable[[sqlite3.Connection], None]


def _chain_table(name: str, keys: str, owner: str) -> tuple[str, ...]:
    """Return what makes a table of chained events, each chain being of one `owner`."""
    return (
        f"""
        CREATE TABLE {name} (
            id INTEGER PRIMARY KEY,
            {keys},
            utc TEXT NOT NULL,
            offset_min INTEGER NOT NULL,
            actor TEXT NOT NULL,
            kind TEXT NOT NULL,
            payload TEXT NOT NULL CHECK (json_valid(payload)),
            previous TEXT NOT NULL CHECK (length(previous) = 64),
            hash TEXT NOT NULL UNIQUE CHECK (length(hash) = 64),
            UNIQUE ({owner}, seq)
        ) STRICT
        """,
        *_never_changed(name, "an event"),
        f"""
        CREATE TRIGGER {name}_follows_on_the_last BEFORE INSERT ON {name}
        WHEN NEW.previous IS NOT (
            SELECT hash FROM {name} WHERE {owner} = NEW.{owner} ORDER BY seq DESC LIMIT 1
        ) AND NOT (
            NEW.seq = 1 AND NEW.previous = '{GENESIS}'
        )
        BEGIN SELECT RAISE(ABORT, 'an event must follow on the last one'); END
        """,
    )


def _never_changed(name: str, noun: str) -> tuple[str, str]:
    return (
        f"""
        CREATE TRIGGER {name}_is_never_changed BEFORE UPDATE ON {name}
        BEGIN SELECT RAISE(ABORT, '{noun} is never changed'); END
        """,
        f"""
        CREATE TRIGGER {name}_is_never_removed BEFORE DELETE ON {name}
        BEGIN SELECT RAISE(ABORT, '{noun} is never removed'); END
        """,
    )


def _first(db: sqlite3.Connection) -> None:
    keys = """
            inspection TEXT NOT NULL CHECK (inspection <> ''),
            seq INTEGER NOT NULL CHECK (seq >= 1)"""
    for statement in _chain_table("event", keys, "inspection"):
        db.execute(statement)


def _second(db: sqlite3.Connection) -> None:
    """Add the register of people, attachments, and all that is derived for finding."""
    # The other way round than in `event`: a row found in a damaged file shows what it is of.
    keys = """
            seq INTEGER NOT NULL CHECK (seq >= 1),
            register TEXT NOT NULL CHECK (register <> '')"""
    for statement in (
        *_chain_table("register_event", keys, "register"),
        """
        CREATE TABLE attachment (
            id INTEGER PRIMARY KEY,
            sha256 TEXT NOT NULL UNIQUE CHECK (length(sha256) = 64),
            content BLOB NOT NULL
        ) STRICT
        """,
        *_never_changed("attachment", "an attachment"),
        # Which way of deriving the rows below come from; no row: they have to be made.
        "CREATE TABLE derivation (version INTEGER NOT NULL) STRICT",
        # `number` is the moment of opening in microseconds since 1970, moved on where it is taken:
        # the order of numbers is the order in time, in this and in every table that names it.
        """
        CREATE TABLE inspection (
            number INTEGER PRIMARY KEY,
            inspection TEXT NOT NULL UNIQUE,
            opened_utc TEXT NOT NULL,
            opened_day TEXT NOT NULL,
            title TEXT NOT NULL,
            plan_version TEXT NOT NULL,
            asset TEXT NOT NULL,
            shaft TEXT NOT NULL,
            work_order TEXT NOT NULL,
            sheet_number TEXT NOT NULL,
            revision INTEGER NOT NULL,
            supersedes TEXT,
            sealed_utc TEXT NOT NULL,
            verdict TEXT NOT NULL,
            state TEXT NOT NULL
        ) STRICT
        """,
        "CREATE INDEX inspection_by_plan ON inspection (title, plan_version)",
        "CREATE INDEX inspection_by_asset ON inspection (asset, number)",
        "CREATE INDEX inspection_by_shaft ON inspection (shaft, number)",
        "CREATE INDEX inspection_by_sheet_number ON inspection (sheet_number)",
        "CREATE INDEX inspection_by_state ON inspection (state, number)",
        "CREATE INDEX inspection_superseding ON inspection (supersedes) "
        "WHERE supersedes IS NOT NULL",
        """
        CREATE TABLE inspector (
            number INTEGER NOT NULL,
            name TEXT NOT NULL,
            PRIMARY KEY (number, name)
        ) STRICT, WITHOUT ROWID
        """,
        """
        CREATE TABLE gauge_use (
            gauge TEXT NOT NULL,
            number INTEGER NOT NULL,
            first_day TEXT NOT NULL,
            last_day TEXT NOT NULL,
            PRIMARY KEY (gauge, number)
        ) STRICT, WITHOUT ROWID
        """,
        "CREATE INDEX gauge_use_by_inspection ON gauge_use (number)",
        """
        CREATE TABLE seat_result (
            number INTEGER NOT NULL,
            seat TEXT NOT NULL,
            evaluation_version INTEGER NOT NULL,
            nominal_mm REAL NOT NULL,
            lower_mm REAL,
            upper_mm REAL,
            verdict TEXT NOT NULL,
            mean_mm REAL,
            smallest_mm REAL,
            largest_mm REAL,
            roundness_um REAL,
            ovality_um REAL,
            taper_um REAL,
            unit TEXT NOT NULL,
            PRIMARY KEY (number, seat)
        ) STRICT, WITHOUT ROWID
        """,
        # `marks` holds one token for every exact property, so that a search for any mixture of
        # properties and words is one intersection of lists in the order of `number`.
        """
        CREATE VIRTUAL TABLE inspection_text USING fts5(
            asset, shaft, work_order, sheet_number, title, seats, people, gauges, notes, marks,
            tokenize = "unicode61 remove_diacritics 2", prefix = '1 2 3'
        )
        """,
    ):
        db.execute(statement)


STEPS: Final[tuple[Step, ...]] = (_first, _second)

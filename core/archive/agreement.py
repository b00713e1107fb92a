"""Whether what stands beside the events of an archive still agrees with them.

Events vouch for themselves by their hashes. What is derived from them does not, and it is what is
searched and listed: whoever alters it makes an archive tell what its records do not. Here it is
derived once more, in memory, and compared. The triggers that refuse changes are looked for as well.
"""

import math
import sqlite3
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any, Final

from seatproof.core.archive.connection import errors_in_words
from seatproof.core.archive.happening import microseconds
from seatproof.core.archive.index import index_events
from seatproof.core.archive.rows import (
    EVENT_COLUMNS,
    REGISTER_COLUMNS,
    Row,
    event_of,
    event_rows,
    insert_row,
    row_hash,
)
from seatproof.core.archive.schema import STEPS

_MOVED_ON: Final = 1_000_000  # of microseconds: far more inspections than are opened in one of them
_TOLERANCE: Final = 1e-9  # relative; another processor may differ in the last bits
_NUMBERED: Final = ("inspector", "gauge_use", "seat_result")
_TEXT: Final = ("inspection_text", "rowid")
_EVALUATED_BY: Final = "evaluation_version"

_Told = dict[str, list[dict[str, Any]]]


class Agreement:
    """Compares what is derived in an archive with what its events give."""

    def __init__(self, path: Path, db: sqlite3.Connection) -> None:
        self._path = path
        self._db = db
        self._again = sqlite3.connect(":memory:", isolation_level=None)
        for step in STEPS:
            step(self._again)

    def close(self) -> None:
        self._again.close()

    def of_the_whole(self) -> tuple[str, ...]:
        """Say what does not agree and belongs to no single inspection."""
        with errors_in_words(self._path):
            return (*self._guards(), *self._rows_of_nothing())

    def of_register(self, register: str) -> tuple[str, ...]:
        """Say which event of a register is not spelled as it was written."""
        with errors_in_words(self._path):
            rows = self._db.execute(
                f"SELECT {REGISTER_COLUMNS} FROM register_event WHERE register = ? ORDER BY seq",
                (register,),
            ).fetchall()
        return tuple(_misspelt(rows, f"the register of {register}"))

    def of(self, inspection: str) -> tuple[str, ...]:
        """Say what is told of an inspection that its events, which must be a whole chain, do not.

        The first event that is not spelled as it was written is named too: a reader that takes the
        first of two values of one name would see another event than this program does.
        """
        with errors_in_words(self._path):
            rows = event_rows(self._db, inspection)
            is_now = _told(self._db, inspection)
            self._again.execute("BEGIN")
            try:
                for row in rows:
                    insert_row(self._again, "event", EVENT_COLUMNS, row)
                index_events(self._again, [event_of(row) for row in rows])
                should_be = _told(self._again, inspection)
            finally:
                self._again.execute("ROLLBACK")
        misspelt = _misspelt(rows, f"inspection {inspection}")
        return (*misspelt, *_differences(inspection, is_now, should_be))

    def _guards(self) -> Iterator[str]:
        is_now, should_be = _definitions(self._db), _definitions(self._again)
        for name in sorted(is_now.keys() | should_be.keys()):
            if is_now.get(name) != should_be.get(name):
                how = (
                    "is missing"
                    if name not in is_now
                    else ("does not belong there" if name not in should_be else "was altered")
                )
                yield f"The {name} of the archive {how}, so it may not refuse changes any longer."

    def _rows_of_nothing(self) -> Iterator[str]:
        for (inspection,) in self._db.execute(
            "SELECT inspection FROM inspection WHERE NOT EXISTS "
            "(SELECT 1 FROM event WHERE event.inspection = inspection.inspection)"
        ):
            yield f"The index lists inspection {inspection}, of which there is no event."
        for table, column in (*((name, "number") for name in _NUMBERED), _TEXT):
            (count,) = self._db.execute(
                f"SELECT count(*) FROM {table} WHERE {column} NOT IN "
                "(SELECT number FROM inspection)"
            ).fetchone()
            if count:
                yield f"The index has {count} rows ({table}) that belong to no inspection."


def _definitions(db: sqlite3.Connection) -> dict[str, str]:
    """Return every trigger and view, and the tables of what is true, with their definitions."""
    return {
        f"{kind} {name}": " ".join(sql.split())
        for kind, name, sql in db.execute(
            "SELECT type, name, sql FROM sqlite_master WHERE type IN ('trigger', 'view') "
            "OR name IN ('event', 'register_event', 'attachment')"
        )
    }


def _misspelt(rows: Sequence[Row], name: str) -> Iterator[str]:
    for row in rows:
        if row_hash(row) != row[8]:
            yield f"Event {row[1]} of {name} is not spelled as Seatproof wrote it."
            return


def _told(db: sqlite3.Connection, inspection: str) -> _Told:
    """Return the rows derived of an inspection, table by table."""
    told = {"inspection": _rows(db, "inspection", "inspection", inspection)}
    number = told["inspection"][0]["number"] if told["inspection"] else None
    for table in _NUMBERED:
        told[table] = _rows(db, table, "number", number)
    # Lines in the order of the alphabet: theirs depends on whether an event was just made or read.
    told[_TEXT[0]] = [
        {name: "; ".join(sorted(_lines(name, text))) for name, text in row.items()}
        for row in _rows(db, *_TEXT, number)
    ]
    return told


def _lines(column: str, text: str) -> list[str]:
    return text.split() if column == "marks" else text.split("\n")


def _rows(db: sqlite3.Connection, table: str, column: str, value: Any) -> list[dict[str, Any]]:
    cursor = db.execute(f"SELECT * FROM {table} WHERE {column} = ? ORDER BY 1, 2", (value,))
    names = [about[0] for about in cursor.description]
    return [dict(zip(names, row, strict=True)) for row in cursor]


def _differences(inspection: str, is_now: _Told, should_be: _Told) -> Iterator[str]:
    if not is_now["inspection"]:
        yield f"Inspection {inspection} is missing from the index, so it is not found by searching."
        return
    row = is_now["inspection"][0]
    moved = row["number"] - microseconds(row["opened_utc"])
    if not 0 <= moved < _MOVED_ON:
        yield f"The index puts inspection {inspection} at another time than its record does."
    for table, rows in should_be.items():
        found = is_now[table]
        if len(found) != len(rows):
            yield (
                f"The index has {len(found)} rows ({table}) of inspection {inspection}, and its "
                f"record gives {len(rows)}."
            )
            continue
        for now, right in zip(found, rows, strict=True):
            if now.get(_EVALUATED_BY) != right.get(_EVALUATED_BY):
                continue  # figures of another version of the program, which need not agree
            for name, value in right.items():
                if name != "number" and not _same(now.get(name), value):
                    yield (
                        f"The index says {name} “{_short(now.get(name))}” of inspection "
                        f"{inspection}, whose record says “{_short(value)}”."
                    )


def _same(one: Any, other: Any) -> bool:
    if isinstance(one, float) and isinstance(other, float):
        return math.isclose(one, other, rel_tol=_TOLERANCE, abs_tol=_TOLERANCE)
    return bool(one == other)


def _short(value: Any) -> str:
    return " ".join(str(value).split())[:80]

"""What is derived from events so that inspections are found: made in step with them, or anew.

Only kinds of event that matter for finding cost anything; a reading costs one look-up. Payloads are
read here by their keys, not through the record's models: an event that this program cannot read in
full must not keep anybody from finding the rest.
"""

import sqlite3
from collections.abc import Iterable, Mapping, Sequence
from itertools import groupby
from typing import Any, Final

from seatproof.core.archive.happening import (
    Happening,
    mapping_at,
    microseconds,
    plan_words,
    text_at,
    texts_in,
)
from seatproof.core.archive.marks import Property, mark
from seatproof.core.archive.progress import Progress, silent
from seatproof.core.archive.results import SeatResult, seat_results
from seatproof.core.archive.rows import event_of, event_rows
from seatproof.core.record.events import Event

DERIVATION: Final = 1  # raised whenever the same events would give other rows

OPEN: Final = "being measured"
SEALED: Final = "sealed"
SUPERSEDED: Final = "superseded"
_STATE_AFTER: Final = {
    ("review", "accepted"): "reviewed",
    ("review", "not accepted"): "sent back",
    ("disposition", "accept"): "accepted",
    ("disposition", "rework"): "to be reworked",
    ("disposition", "concession"): "accepted by concession",
    ("disposition", "reject"): "rejected",
}
STATES: Final = (OPEN, SEALED, *_STATE_AFTER.values(), SUPERSEDED)

UNREADABLE: Final = "This inspection cannot be read"
UNREADABLE_NUMBER: Final = "altered or of a newer program"

# Keys under which people write in their own words, and the kinds of event whose actor did not
# measure.
_WORDS: Final = (
    "reason",
    "note",
    "text",
    "caption",
    "what",
    "why",
    "authority",
    "number",
    "override_reason",
    "check",
    "permit",
    "certificate",
)
_OTHERS_WORK: Final = frozenset({"review", "question", "disposition", "superseded", "signature"})
# Column: key in the identification, and the property by which it is found exactly.
_IDENTIFIED: Final = {
    "asset": ("asset", Property.ASSET),
    "shaft": ("shaft_serial", Property.SHAFT),
    "work_order": ("work_order", Property.WORK_ORDER),
    "sheet_number": ("sheet_number", Property.SHEET_NUMBER),
}
_TEXT_COLUMNS: Final = (
    "asset",
    "shaft",
    "work_order",
    "sheet_number",
    "title",
    "seats",
    "people",
    "gauges",
    "notes",
    "marks",
)


def index_events(db: sqlite3.Connection, events: Sequence[Event]) -> None:
    """Bring what is derived in step with these further events, within the caller's transaction."""
    for inspection, further in groupby(events, key=lambda event: event.inspection):
        index = _InspectionIndex(db, inspection)
        for event in further:
            index.take(event)
        index.write()


def rebuild(
    db: sqlite3.Connection,
    progress: Progress = silent,
) -> None:
    """Make everything derived anew from the events, within the caller's transaction.

    `progress` is told how many inspections are done, of how many.
    """
    for table in ("inspection", "inspector", "gauge_use", "seat_result", "inspection_text"):
        db.execute(f"DELETE FROM {table}")
    (total,) = db.execute("SELECT count(DISTINCT inspection) FROM event").fetchone()
    in_time = db.execute("SELECT inspection FROM event WHERE seq = 1 ORDER BY utc, inspection")
    for done, (inspection,) in enumerate(in_time):
        progress(done, total)
        index_events(db, [event_of(row) for row in event_rows(db, inspection)])
    progress(total, total)
    db.execute("DELETE FROM derivation")
    db.execute("INSERT INTO derivation VALUES (?)", (DERIVATION,))


def derivation_of(db: sqlite3.Connection) -> int | None:
    """Return which way of deriving the rows come from; None where they were never made."""
    row = db.execute("SELECT version FROM derivation").fetchone()
    return None if row is None else int(row[0])


class _InspectionIndex:
    """What is derived of one inspection, while events are added to it."""

    def __init__(self, db: sqlite3.Connection, inspection: str) -> None:
        self._db = db
        self._inspection = inspection
        self._texts: dict[str, str] | None = None  # columns of the full text; None: not looked at
        self._texts_are_new = False
        self._texts_changed = False
        row = db.execute(
            "SELECT number FROM inspection WHERE inspection = ?", (inspection,)
        ).fetchone()
        self._number: int = -1 if row is None else row[0]

    def take(self, event: Event) -> None:
        it = Happening.of(event)
        if event.seq == 1:
            self._open(it)
        self._actor(it)
        match it.kind:
            case "reading" | "parked":
                self._gauge_used(it, text_at(mapping_at(it.payload, "received"), "gauge"))
            case "identification corrected":
                self._identify(it.payload)
            case "gauge in service" | "standard in service" | "tool in service":
                self._gauge(it)
            case "reference check":
                for key in ("gauge", "standard"):
                    if text_at(it.payload, key):
                        self._gauge_used(it, text_at(it.payload, key))
            case "sealed":
                self._seal(it, event.seq)
            case "review" | "disposition":
                decided = text_at(it.payload, "finding") or text_at(it.payload, "decision")
                self._state(_STATE_AFTER.get((it.kind, decided)))
            case "superseded":
                self._state(SUPERSEDED)
        self._words(it)

    def write(self) -> None:
        """Write the full text, once however many events changed it: each time costs."""
        if self._texts is None or not self._texts_changed:
            return
        names = list(self._texts)
        values = [*self._texts.values(), self._number]
        if self._texts_are_new:
            self._db.execute(
                f"INSERT INTO inspection_text ({', '.join(names)}, rowid) "
                f"VALUES ({', '.join('?' * len(values))})",
                values,
            )
        else:
            self._db.execute(
                f"UPDATE inspection_text SET {', '.join(f'{name} = ?' for name in names)} "
                "WHERE rowid = ?",
                values,
            )
        self._texts_are_new = self._texts_changed = False

    # --- opening ---------------------------------------------------------------------------------

    def _open(self, it: Happening) -> None:
        number = microseconds(it.utc)
        while self._db.execute("SELECT 1 FROM inspection WHERE number = ?", (number,)).fetchone():
            number += 1
        self._number = number
        plan = plan_words(text_at(it.payload, "plan_toml"))
        known = plan is not None and bool(mapping_at(it.payload, "identification"))
        supersedes = mapping_at(it.payload, "supersedes").get("inspection")
        revision = it.payload.get("revision", 1)
        self._db.execute(
            "INSERT INTO inspection VALUES (?, ?, ?, ?, ?, ?, '', '', '', ?, ?, ?, '', '', ?)",
            (
                number,
                self._inspection,
                it.utc,
                it.day,
                plan.title if plan is not None and known else UNREADABLE,
                plan.version if plan is not None and known else "",
                UNREADABLE_NUMBER,
                revision if isinstance(revision, int) else 1,
                supersedes if isinstance(supersedes, str) else None,
                OPEN,
            ),
        )
        self._texts = dict.fromkeys(_TEXT_COLUMNS, "")
        self._texts_are_new = self._texts_changed = True
        if plan is not None:
            self._add("title", plan.title)
            for seat, said in plan.seats.items():
                self._add("seats", said)
                self._mark(Property.SEAT, seat)
        self._mark(Property.STATE, OPEN)
        self._mark(Property.SEALED, "no")
        if known:
            self._identify(it.payload)

    def _identify(self, payload: Mapping[str, Any]) -> None:
        """Say which thing it is and under which order: at the opening, and where corrected."""
        identification = mapping_at(payload, "identification")
        values = {name: text_at(identification, key) for name, (key, _) in _IDENTIFIED.items()}
        self._db.execute(
            f"UPDATE inspection SET {', '.join(f'{name} = ?' for name in values)} WHERE number = ?",
            (*values.values(), self._number),
        )
        for name, (_, which) in _IDENTIFIED.items():
            self._set(name, values[name])
            self._mark(which, values[name], instead=True)
        theirs = {key for key, _ in _IDENTIFIED.values()} | {"seats"}
        for key, value in identification.items():
            if key not in theirs:
                for text in texts_in(value):
                    self._add("notes", text)

    # --- as it goes on ---------------------------------------------------------------------------

    def _actor(self, it: Happening) -> None:
        new = self._db.execute(
            "INSERT INTO inspector SELECT ?1, ?2 WHERE NOT EXISTS "
            "(SELECT 1 FROM inspector WHERE number = ?1 AND name = ?2)",
            (self._number, it.actor),
        )
        if new.rowcount:
            self._add("people", it.actor)
            if it.kind not in _OTHERS_WORK:
                self._mark(Property.INSPECTOR, it.actor)

    def _gauge(self, it: Happening) -> None:
        gauge = text_at(it.payload, "inventory_number")
        self._gauge_used(it, gauge)
        for text in (
            gauge,
            text_at(it.payload, "serial_number"),
            text_at(it.payload, "description"),
        ):
            self._add("gauges", text)
        self._mark(Property.GAUGE, gauge)

    def _gauge_used(self, it: Happening, gauge: str) -> None:
        # A gauge's days are widened once a day: nothing is written for all readings but the first.
        self._db.execute(
            """
            INSERT INTO gauge_use VALUES (?1, ?2, ?3, ?3)
            ON CONFLICT (gauge, number) DO UPDATE
            SET first_day = min(first_day, excluded.first_day),
                last_day = max(last_day, excluded.last_day)
            WHERE excluded.first_day < first_day OR excluded.last_day > last_day
            """,
            (gauge, self._number, it.day),
        )

    def _words(self, it: Happening) -> None:
        if it.kind == "signature":
            self._add("people", text_at(it.payload, "name"))
        for key in _WORDS:
            for text in texts_in(it.payload.get(key)):
                self._add("notes", text)

    def _seal(self, it: Happening, seq: int) -> None:
        for text in texts_in(it.payload.get("gaps")):
            self._add("notes", text)
        if it.payload.get("part", "measuring") != "measuring":
            return
        verdict = text_at(mapping_at(it.payload, "content"), "verdict")
        self._db.execute(
            "UPDATE inspection SET sealed_utc = ?, verdict = ? WHERE number = ?",
            (it.utc, verdict, self._number),
        )
        self._mark(Property.SEALED, "yes", instead=True)
        self._mark(Property.VERDICT, verdict, instead=True)
        self._state(SEALED)
        store_results(self._db, self._number, results_at(self._db, self._inspection, seq))

    def _state(self, state: str | None) -> None:
        if state is None:
            return  # a word that a newer program uses
        self._db.execute("UPDATE inspection SET state = ? WHERE number = ?", (state, self._number))
        self._mark(Property.STATE, state, instead=True)

    # --- the full text ---------------------------------------------------------------------------

    def _add(self, column: str, text: str) -> None:
        """Add a line to a column, unless it stands there."""
        before, line = self._read(column), " ".join(text.split())
        if line and line not in before.split("\n"):
            self._set(column, f"{before}\n{line}" if before else line)

    def _mark(self, which: Property, value: str, *, instead: bool = False) -> None:
        """Add a mark; `instead` of the one that the property has."""
        marks = [
            word
            for word in self._read("marks").split()
            if not (instead and word.startswith(which.value))
        ]
        if value.strip():
            marks.append(mark(which, value))
        self._set("marks", " ".join(dict.fromkeys(marks)))

    def _read(self, column: str) -> str:
        if self._texts is None:
            row = self._db.execute(
                f"SELECT {', '.join(_TEXT_COLUMNS)} FROM inspection_text WHERE rowid = ?",
                (self._number,),
            ).fetchone()
            self._texts = dict(zip(_TEXT_COLUMNS, row, strict=True))
        return self._texts[column]

    def _set(self, column: str, text: str) -> None:
        if self._read(column) != text:
            assert self._texts is not None
            self._texts[column] = text
            self._texts_changed = True


def results_at(db: sqlite3.Connection, inspection: str, seq: int) -> tuple[SeatResult, ...]:
    """Evaluate an inspection as it stood at that event."""
    return seat_results([event_of(row) for row in event_rows(db, inspection)[:seq]])


def store_results(db: sqlite3.Connection, number: int, results: Iterable[SeatResult]) -> None:
    """Keep the results of an inspection's seats, in the place of what was kept of them."""
    db.execute("DELETE FROM seat_result WHERE number = ?", (number,))
    db.executemany(
        "INSERT INTO seat_result VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        [(number, *result.as_row()) for result in results],
    )

"""Finding inspections: page by page, by any mixture of words, properties and days.

Pages are bounded by the last `number` seen (keyset), so that the hundredth costs what the first did
and nothing is shown twice while new inspections arrive.
"""

import sqlite3
from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta
from typing import Any, Final

from seatproof.core.archive.query import Entry, GaugeUse, Page, Query, UsePage
from seatproof.core.archive.results import SeatResult

PAGE: Final = 50
_MOST_OF_A_PAGE: Final = 1_000_000
_GREATEST: Final = (1 << 63) - 1
_FURTHEST_EAST: Final = timedelta(hours=14)  # of UTC, and
_FURTHEST_WEST: Final = timedelta(hours=12)
_EPOCH: Final = datetime(1970, 1, 1, tzinfo=UTC)

_ENTRY: Final = """
    SELECT
        i.number, i.inspection, i.opened_utc, i.opened_day, i.title, i.plan_version, i.asset,
        i.shaft, i.work_order, i.sheet_number, i.revision, i.sealed_utc, i.verdict, i.state,
        (SELECT max(seq) FROM event WHERE event.inspection = i.inspection),
        (SELECT later.inspection FROM inspection AS later WHERE later.supersedes = i.inspection
            ORDER BY later.number DESC LIMIT 1)
    FROM inspection AS i
"""


def find(db: sqlite3.Connection, query: Query, page: int | None, size: int) -> Page:
    """Return a page of the inspections that a query wants, newest first.

    `page` is the `next_page` of the one before, None for the first. `ValueError` says what is wrong
    with a query that cannot be asked.
    """
    if size < 1:
        raise ValueError("A page holds one inspection at least.")
    size = min(size, _MOST_OF_A_PAGE)
    numbers = _numbers(db, query, _bounded(page), size + 1)
    entries = entries_of(db, numbers[:size])
    return Page(entries, numbers[size - 1] if len(numbers) > size else None)


def _bounded(page: int | None) -> int | None:
    """Return a page that SQLite can hold: no inspection's number is beyond it."""
    return None if page is None else max(-_GREATEST, min(page, _GREATEST))


def _numbers(db: sqlite3.Connection, query: Query, page: int | None, count: int) -> list[int]:
    text = query.full_text()
    conditions, values = _between(query, page)
    if text is None:
        source, number = "inspection AS found", "found.number"
    else:
        source, number = "inspection_text AS found", "found.rowid"
        conditions.insert(0, "inspection_text MATCH ?")
        values.insert(0, text)
    days: list[str] = []
    if query.opened_from is not None or query.opened_to is not None:
        # The range of numbers above is wider than the days asked for by what clocks differ.
        first = query.opened_from or date.min
        last = query.opened_to or date.max
        days = [first.isoformat(), last.isoformat()]
        conditions.append(
            f"(SELECT opened_day FROM inspection WHERE number = {number}) BETWEEN ? AND ?"
        )
    where = " AND ".join(condition.replace("{n}", number) for condition in conditions)
    rows = db.execute(
        f"SELECT {number} FROM {source} {'WHERE ' + where if where else ''} "
        f"ORDER BY {number} DESC LIMIT ?",
        (*values, *days, count),
    )
    return [row[0] for row in rows]


def _between(query: Query, page: int | None) -> tuple[list[str], list[Any]]:
    conditions, values = [], []
    if page is not None:
        conditions.append("{n} < ?")
        values.append(page)
    if query.opened_from is not None:
        conditions.append("{n} >= ?")
        values.append(_microseconds(query.opened_from, -_FURTHEST_EAST))
    if query.opened_to is not None:
        conditions.append("{n} < ?")
        values.append(_microseconds(query.opened_to, timedelta(days=1) + _FURTHEST_WEST))
    return conditions, values


def _microseconds(day: date, later: timedelta) -> int:
    midnight = datetime(day.year, day.month, day.day, tzinfo=UTC)
    return (midnight - _EPOCH + later) // timedelta(microseconds=1)


def entries_of(db: sqlite3.Connection, numbers: Sequence[int]) -> tuple[Entry, ...]:
    """Return the entries of these numbers, in their order."""
    entries = []
    for number in numbers:
        row = db.execute(f"{_ENTRY} WHERE i.number = ?", (number,)).fetchone()
        people = db.execute("SELECT name FROM inspector WHERE number = ? ORDER BY name", (number,))
        inspectors = tuple(name for (name,) in people)
        used = db.execute("SELECT gauge FROM gauge_use WHERE number = ? ORDER BY gauge", (number,))
        entries.append(_entry(row, inspectors, tuple(gauge for (gauge,) in used)))
    return tuple(entries)


def all_entries(db: sqlite3.Connection) -> tuple[Entry, ...]:
    """Return every inspection, newest first, without inspectors and gauges."""
    return tuple(_entry(row, (), ()) for row in db.execute(f"{_ENTRY} ORDER BY i.number DESC"))


def _entry(row: Any, inspectors: tuple[str, ...], gauges: tuple[str, ...]) -> Entry:
    (
        number,
        inspection,
        opened_utc,
        opened_day,
        title,
        plan_version,
        asset,
        shaft,
        work_order,
        sheet_number,
        revision,
        sealed_utc,
        verdict,
        state,
        events,
        superseded_by,
    ) = row
    return Entry(
        inspection=inspection,
        opened_utc=opened_utc,
        title=title,
        thing=shaft or asset or "not named",
        sheet_number=sheet_number,
        events=events or 0,
        sealed=bool(sealed_utc),
        number=number,
        opened_day=opened_day,
        plan_version=plan_version,
        asset=asset,
        shaft=shaft,
        work_order=work_order,
        revision=revision,
        sealed_utc=sealed_utc,
        verdict=verdict,
        state=state,
        superseded_by=superseded_by or "",
        inspectors=inspectors,
        gauges=gauges,
    )


# --- one gauge, one seat --------------------------------------------------------------------------


def gauge_uses(
    db: sqlite3.Connection, gauge: str, first: date, last: date, page: int | None, size: int
) -> UsePage:
    """Return a page of the inspections in which a gauge was in service between two days."""
    size = min(size, _MOST_OF_A_PAGE)
    rows = db.execute(
        """
        SELECT number, first_day, last_day FROM gauge_use
        WHERE gauge = ?1 AND first_day <= ?2 AND last_day >= ?3 AND (?4 IS NULL OR number < ?4)
        ORDER BY number DESC LIMIT ?5
        """,
        (gauge, last.isoformat(), first.isoformat(), _bounded(page), size + 1),
    ).fetchall()
    entries = entries_of(db, [number for number, _, _ in rows[:size]])
    uses = tuple(
        GaugeUse(entry, first_day, last_day, _readings_from(db, entry.inspection, gauge))
        for entry, (_, first_day, last_day) in zip(entries, rows[:size], strict=True)
    )
    return UsePage(uses, rows[size - 1][0] if len(rows) > size else None)


def _readings_from(db: sqlite3.Connection, inspection: str, gauge: str) -> int:
    (readings,) = db.execute(
        """
        SELECT count(*) FROM event
        WHERE inspection = ?1 AND (
            kind = 'reading' AND json_extract(payload, '$.received.gauge') = ?2
            OR kind = 'carried over' AND json_extract(payload, '$.kind_of') = 'reading'
                AND json_extract(payload, '$.payload_of.received.gauge') = ?2
        )
        """,
        (inspection, gauge),
    ).fetchone()
    return int(readings)


def seat_trend(
    db: sqlite3.Connection, seat: str, asset: str, shaft: str
) -> tuple[tuple[Entry, SeatResult], ...]:
    """Return what every sealed inspection of one seat found, oldest first."""
    conditions = [f"i.{name} = ?" for name, value in (("asset", asset), ("shaft", shaft)) if value]
    if not conditions:
        raise ValueError("Name the asset or the shaft whose seat it is.")
    values = [value for value in (asset, shaft) if value]
    rows = db.execute(
        f"""
        SELECT r.* FROM inspection AS i JOIN seat_result AS r USING (number)
        WHERE {" AND ".join(conditions)} AND r.seat = ? ORDER BY i.number
        """,
        (*values, seat),
    ).fetchall()
    entries = entries_of(db, [row[0] for row in rows])
    return tuple((entry, SeatResult(*row[1:])) for entry, row in zip(entries, rows, strict=True))


def values_of(db: sqlite3.Connection, column: str, beginning: str, count: int) -> tuple[str, ...]:
    """Return different values of a column that begin so, in the order of the alphabet.

    Each is found by one step in an index, however often it stands there.
    """
    found: list[str] = []
    least, strictly = beginning, ">="
    while len(found) < count:
        (value,) = db.execute(
            f"SELECT min({column}) FROM inspection WHERE {column} {strictly} ? AND {column} <> ''",
            (least,),
        ).fetchone()
        if value is None or not value.startswith(beginning):
            break
        found.append(value)
        least, strictly = value, ">"
    return tuple(found)

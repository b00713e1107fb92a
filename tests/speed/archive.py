"""Finding and opening inspections in a large archive, which is made here.

Ten thousand inspections unless the environment says otherwise: ``INSPECTIONS=100000 make speed
ONLY=archive``.
"""

import contextlib
import os
import random
import sqlite3
import sys
import tempfile
import time
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

from seatproof.core.archive import index
from seatproof.core.archive.connection import transaction
from seatproof.core.archive.file import Archive
from seatproof.core.archive.health import check
from seatproof.core.archive.query import Query
from seatproof.core.archive.results import SeatResult, seat_results
from seatproof.core.archive.rows import EVENT_COLUMNS, Row, event_of, row_hash
from seatproof.core.evaluation.evaluate import evaluate
from seatproof.core.files import example
from seatproof.core.record.events import GENESIS, Event, canonical, check_chain
from seatproof.core.record.inspection import Inspection, Press
from seatproof.core.record.kinds import GaugeInService, Identification
from seatproof.core.record.state import fold
from seatproof.core.sheet.compose import compose
from seatproof.core.version import PROGRAM
from tests.speed.table import Row as TableRow
from tests.speed.table import timed_row

INSPECTIONS = int(os.environ.get("INSPECTIONS", "10000"))
SEARCH_MS, OPENING_MS, APPENDING_MS = 100, 150, 50

_START = datetime(2015, 1, 5, 6, tzinfo=UTC)
_BETWEEN = timedelta(minutes=53)
_PIECE = 500
_VARIANTS = 12
_MEMORY_KIB = 2_000_000
# What stands in the place of that which differs from one inspection to the next.
_ASSET, _SHAFT, _ORDER, _SHEET, _WHO, _GAUGE, _NOTE = (
    f"@{word}@" for word in ("asset", "shaft", "order", "sheet", "who", "gauge", "note")
)
_SYLLABLES = ("ka", "ro", "mi", "len", "do", "tra", "vos", "pel", "gun", "sir", "mo", "ban", "ti")


def rows() -> Iterable[TableRow]:
    """Make an archive, and time what people ask of it."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "archive.seatproof"
        start = time.perf_counter()
        build(path, INSPECTIONS)
        built_s = time.perf_counter() - start
        yield TableRow(
            f"an archive of {INSPECTIONS} inspections made",
            "",
            "s",
            built_s,
            peer=f"{path.stat().st_size / 1e9:.2f} GB",
        )
        yield timed_row(
            "the archive opened", OPENING_MS, lambda: Archive.open(path).close(), repeats=5
        )
        with Archive.open(path) as archive:
            yield from _timed(archive)
        start = time.perf_counter()
        health = check(path)
        assert health.holds
        checked_s = time.perf_counter() - start
        yield TableRow(f"every one of its {health.events} events checked", "", "s", checked_s)


def _timed(archive: Archive) -> Iterator[TableRow]:
    middle = archive.find(Query(), size=1).entries[0]
    some = archive.find(Query(text="kiln"), size=50).entries[-1]
    year = date(2015 + INSPECTIONS * 53 // (365 * 24 * 60) // 2, 3, 1)
    searches = {
        "all, newest first": Query(),
        "a word that all have": Query("kiln"),
        "one letter": Query("k"),
        "three beginnings of words": Query("kar tra circ"),
        "a sheet number": Query(some.sheet_number),
        "words that nobody wrote together": Query("kilnkiln circulation fan kiln"),
        "an asset": Query(asset=some.asset),
        "an inspector and a verdict": Query(inspector="Inspector 7", verdict="does not conform"),
        "a gauge in a month": Query(
            gauge="M-11", opened_from=year, opened_to=year + timedelta(days=30)
        ),
        "two that exclude each other": Query("kiln", sealed=False, verdict="conforms"),
        "everything at once": Query(
            "kiln circ",
            asset=some.asset,
            work_order=some.work_order,
            seat="A",
            inspector=some.inspectors[0],
            gauge=some.gauges[0],
            sealed=True,
            opened_from=date(2015, 1, 1),
            opened_to=date(2099, 1, 1),
        ),
    }
    for what, query in searches.items():
        yield timed_row(
            f"search: {what}", SEARCH_MS, lambda query=query: archive.find(query), repeats=20
        )
    last = archive.find(Query("kiln"), page=middle.number - (middle.number - _first(archive)) // 2)
    yield timed_row(
        "search: a page from the middle",
        SEARCH_MS,
        lambda: archive.find(Query("kiln"), last.next_page),
        repeats=20,
    )
    yield timed_row(
        "a gauge's inspections in a year, a page",
        SEARCH_MS,
        lambda: archive.gauge_uses("M-11", year, year + timedelta(days=365)),
        repeats=10,
    )
    yield timed_row(
        "the trend of a seat",
        SEARCH_MS,
        lambda: archive.seat_trend("A", asset=some.asset, shaft=some.shaft),
        repeats=10,
    )

    def opened() -> None:
        events = archive.events(some.inspection)
        check_chain(events)
        fold(events)

    yield timed_row("an inspection opened, its chain checked", OPENING_MS, opened, repeats=20)
    pressed = _begun(archive)
    number = iter(range(10**9))
    yield timed_row(
        "a press made durable in it",
        APPENDING_MS,
        lambda: _press_again(pressed, next(number)),
        repeats=100,
    )


def _first(archive: Archive) -> int:
    (number,) = archive._db.execute("SELECT min(number) FROM inspection").fetchone()
    return int(number)


# --- making an archive ----------------------------------------------------------------------------


@dataclass(frozen=True)
class Variant:
    """A real inspection, its events as rows, and what it found."""

    rows: tuple[Row, ...]
    after: tuple[timedelta, ...]
    results: tuple[SeatResult, ...]


class _Memory:
    """A store for the few inspections that all others are made from."""

    def __init__(self) -> None:
        self.kept: list[Event] = []

    def append(self, event: Event) -> None:
        self.kept.append(event)

    def append_all(self, events: Iterable[Event]) -> None:
        self.kept.extend(events)

    def events(self, inspection: str) -> tuple[Event, ...]:
        return tuple(event for event in self.kept if event.inspection == inspection)


def build(path: Path, count: int) -> None:
    """Make an archive of so many inspections of the kiln fan, each of 60 readings and sealed.

    A few are measured and sealed as the program does it; the others are those with other names,
    times and notes, chained anew. Every tenth from the end is left unsealed.
    """
    draw = random.Random(7)
    variants = [_variant(number) for number in range(_VARIANTS)]
    names = _names(draw)
    Archive.open(path).close()
    with contextlib.closing(sqlite3.connect(path, isolation_level=None)) as db:
        db.execute("PRAGMA journal_mode = OFF")  # an archive that is not finished is worth nothing
        db.execute("PRAGMA synchronous = OFF")
        db.execute(f"PRAGMA cache_size = -{_MEMORY_KIB}")
        # Chains that are made whole need not be looked at event by event; the check is timed later.
        triggers = db.execute(
            "SELECT name, sql FROM sqlite_master WHERE type = 'trigger' AND tbl_name = 'event'"
        ).fetchall()
        for name, _ in triggers:
            db.execute(f"DROP TRIGGER {name}")
        for start in range(0, count, _PIECE):
            with transaction(db):
                for number in range(start, min(start + _PIECE, count)):
                    _add(db, number, draw.choice(variants), next(names))
            if sys.stderr.isatty():
                sys.stderr.write(f"\r{start + _PIECE} of {count} ")
        for _, sql in triggers:
            db.execute(sql)
        db.execute("PRAGMA journal_mode = WAL")
        db.execute("PRAGMA wal_checkpoint(TRUNCATE)")


def _names(draw: random.Random) -> Iterator[dict[str, str]]:
    words = ["".join(draw.choices(_SYLLABLES, k=draw.randint(2, 4))) for _ in range(3000)]
    number = 0
    while True:
        number += 1
        machine = draw.randrange(2000)
        yield {
            _ASSET: f"Drying kiln {machine}, circulation fan",
            _SHAFT: f"KF-{machine:04d}-{draw.randrange(3)}",
            _ORDER: f"W {number // 5}",
            _SHEET: f"SP-{number:06d}",
            _WHO: f"Inspector {draw.randrange(40)}",
            _GAUGE: f"M-{draw.randrange(60)}",
            _NOTE: " ".join(draw.choices(words, k=8)),
        }


def _add(db: sqlite3.Connection, number: int, variant: Variant, names: dict[str, str]) -> None:
    inspection = f"{number:032x}"
    opened = _START + number * _BETWEEN
    previous = GENESIS
    written: list[Row] = []
    unsealed = number % 10 == 9
    gauge = [(_GAUGE, names[_GAUGE])]
    for row, after in list(zip(variant.rows, variant.after, strict=True))[
        : -1 if unsealed else None
    ]:
        _, seq, _, offset_min, actor, kind, payload, _, _ = row
        for mark, name in names.items() if kind != "reading" else gauge:
            payload = payload.replace(mark, name)
        utc = f"{(opened + after).isoformat(timespec='microseconds')[:26]}Z"
        fresh: Any = [
            inspection,
            seq,
            utc,
            offset_min,
            names.get(actor, actor),
            kind,
            payload,
            previous,
            "",
        ]
        previous = fresh[8] = row_hash(fresh)
        written.append(tuple(fresh))
    db.executemany(f"INSERT INTO event ({EVENT_COLUMNS}) VALUES (?,?,?,?,?,?,?,?,?)", written)
    # All readings but the first leave the derived rows alone, and what was found is known.
    telling = [row for row in written if row[5] != "reading" or row[1] == _first_reading(written)]
    with _known_results(variant.results):
        index.index_events(db, [event_of(row) for row in telling])


def _first_reading(written: list[Row]) -> int:
    return next(row[1] for row in written if row[5] == "reading")


@contextlib.contextmanager
def _known_results(results: tuple[SeatResult, ...]) -> Iterator[None]:
    computed = index.results_at
    index.results_at = lambda db, inspection, seq: results
    try:
        yield
    finally:
        index.results_at = computed


def _variant(number: int) -> Variant:
    store = _Memory()
    inspection = _begun(store, number)
    _fill(inspection, number)
    content = compose(inspection.state, evaluate(inspection.state), PROGRAM)
    inspection.seal(content.model_dump(mode="json"), "Measured as recorded.")
    events = store.events(inspection.state.inspection)
    return Variant(
        rows=tuple(
            (
                e.inspection,
                e.seq,
                e.utc,
                e.offset_min,
                e.actor,
                e.kind,
                canonical(e.payload).decode(),
                e.previous,
                e.hash,
            )
            for e in events
        ),
        after=tuple(event.moment - events[0].moment for event in events),
        results=seat_results(events),
    )


def _begun(store: Any, number: int = 0) -> Inspection:
    now = _START

    def clock() -> datetime:
        nonlocal now
        now += timedelta(seconds=4)
        return now

    inspection = Inspection.create(
        store,
        plan_toml=example("kiln_fan.toml").read_text(encoding="utf-8"),
        identification=Identification(
            sheet_number=_SHEET, asset=_ASSET, shaft_serial=_SHAFT, work_order=_ORDER
        ),
        actor=_WHO,
        clock=clock,
    )
    inspection.acknowledge_cautions(("timed",))
    inspection.put_in_service(
        GaugeInService(
            inventory_number=_GAUGE, unit="mm", resolution="0.001", source="none", format="auto"
        )
    )
    first = inspection.state.cursor
    assert first is not None
    inspection.aim(first, _NOTE)
    return inspection


def _fill(inspection: Inspection, number: int) -> None:
    draw = random.Random(number)
    while (key := inspection.state.cursor) is not None:
        nominal = inspection.state.plan.seat(key.seat_id).nominal_mm
        size = nominal + Decimal(draw.randint(4, 20 + 2 * number)) / 1000
        _press(inspection, size, len(inspection.state.readings) + 1)


def _press_again(inspection: Inspection, number: int) -> None:
    _press(inspection, Decimal("110.012"), number)
    if inspection.state.cursor is None:
        inspection.take_back("timed")


def _press(inspection: Inspection, size: Decimal, number: int) -> None:
    text = str(size)
    inspection.take(Press(size, None, text, text.encode() + b"%d" % number, "auto", number))

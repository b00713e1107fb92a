"""The power fails: what the program had not forced to the disk is gone, in any mixture.

SQLite runs on a file system of the test's own, which passes everything on and remembers what was
forced to the disk. A cut leaves that, and of the rest nothing, or some sectors here and there. The
archive's own code runs on it unchanged; with any weaker setting the same test finds readings lost.
"""

import random
import sqlite3
from collections.abc import Callable
from datetime import UTC, datetime
from decimal import Decimal
from pathlib import Path

import apsw
import pytest

from seatproof.core.archive import connection
from seatproof.core.archive.errors import ArchiveError
from seatproof.core.archive.file import Archive
from seatproof.core.record.events import check_chain
from seatproof.core.record.inspection import Inspection, Press
from seatproof.core.record.kinds import GaugeInService, Identification
from seatproof.core.record.state import fold
from tests.journeys.test_crash import PLAN

SECTOR = 512
PRESSES = 30


class Disk(apsw.VFS):
    """Files as they are, and as they would be after a cut; shared memory is no file."""

    def __init__(self) -> None:
        self.forced: dict[str, bytes] = {}
        self.pending: dict[str, list[Callable[[bytearray], None]]] = {}
        self.on_step: Callable[[], None] = lambda: None
        super().__init__("failing power", "")

    def xOpen(self, name, flags):  # noqa: N802 - SQLite's name
        return _File(self, name, flags)

    def xDelete(self, name, sync_folder):  # noqa: N802 - SQLite's name
        super().xDelete(name, sync_folder)
        self.forced.pop(name, None)
        self.pending.pop(name, None)

    def after_cut(self, folder: Path, draw: random.Random) -> Path:
        """Write the files as a cut now would leave them into a folder; return the archive."""
        share = draw.choice((0.0, 0.0, 0.5, 0.9))  # of what was not forced, how much arrived
        for name in {*self.forced, *self.pending}:
            content = bytearray(self.forced.get(name, b""))
            for change in self.pending.get(name, ()):
                if draw.random() < share:
                    change(content)
            if name in self.forced or share:
                (folder / Path(name).name).write_bytes(content)
        return folder / "archive.seatproof"


class _File(apsw.VFSFile):
    def __init__(self, disk: Disk, name, flags) -> None:
        self._disk = disk
        self._name = name.filename() if isinstance(name, apsw.URIFilename) else name
        disk.pending.setdefault(self._name, [])
        super().__init__("", name, flags)

    def xWrite(self, data, offset):  # noqa: N802 - SQLite's name
        super().xWrite(data, offset)
        for start in range(0, len(data), SECTOR):  # a sector arrives whole or not at all
            piece = bytes(data[start : start + SECTOR])
            self._later(lambda content, at=offset + start, piece=piece: _put(content, at, piece))

    def xTruncate(self, size):  # noqa: N802 - SQLite's name
        super().xTruncate(size)
        self._later(lambda content: content.__delitem__(slice(size, None)))

    def xSync(self, flags):  # noqa: N802 - SQLite's name
        self._disk.on_step()  # the real disk is not troubled: what counts is that it was asked
        content = bytearray(self._disk.forced.get(self._name, b""))
        for change in self._disk.pending[self._name]:
            change(content)
        self._disk.pending[self._name] = []
        self._disk.forced[self._name] = bytes(content)
        self._disk.on_step()

    def _later(self, change: Callable[[bytearray], None]) -> None:
        self._disk.pending[self._name].append(change)
        self._disk.on_step()


def _put(content: bytearray, at: int, piece: bytes) -> None:
    if len(content) < at:
        content.extend(bytes(at - len(content)))
    content[at : at + len(piece)] = piece


class Cursor:
    """What the archive asks of a cursor of the standard library's."""

    def __init__(self, rows, rowcount: int) -> None:
        self._rows = rows
        self.rowcount = rowcount

    def fetchone(self):
        return self._rows.fetchone()

    def fetchall(self):
        return self._rows.fetchall()

    def __iter__(self):
        return iter(self._rows)


class Connection:
    """What the archive asks of a connection of the standard library's, on the test's disk."""

    def __init__(self, path: Path, synchronous: str) -> None:
        self._db = apsw.Connection(str(path), vfs="failing power")
        self._synchronous = synchronous

    def execute(self, sql: str, values=()):
        if sql == "PRAGMA synchronous = FULL":
            sql = f"PRAGMA synchronous = {self._synchronous}"
        before = self._db.total_changes()
        rows = self._db.execute(sql, tuple(values))
        return Cursor(rows, self._db.total_changes() - before)

    def executemany(self, sql: str, rows):
        self._db.executemany(sql, rows)

    def set_progress_handler(self, handler, steps):
        self._db.set_progress_handler(handler, steps or 1)

    @property
    def in_transaction(self) -> bool:
        return self._db.in_transaction

    def close(self) -> None:
        self._db.close()


@pytest.fixture
def disk():
    disk = Disk()
    yield disk
    disk.unregister()


def cuts(disk: Disk, tmp_path: Path, monkeypatch, synchronous: str) -> tuple[int, int]:
    """Press and cut the power at random moments; return how many cuts there were, and losses.

    A loss is an acknowledged reading that is not in the archive after the cut, or an archive that
    cannot be opened any longer.
    """
    live = tmp_path / "live" / "archive.seatproof"
    live.parent.mkdir()
    connect = sqlite3.connect

    def connected(path, **options):
        if Path(path) == live:
            return Connection(path, synchronous)
        return connect(path, **options)

    monkeypatch.setattr(connection.sqlite3, "connect", connected)
    draw = random.Random(20)
    acknowledged: list[str] = []
    found = [0, 0]

    def cut() -> None:
        folder = tmp_path / f"cut-{found[0]}"
        folder.mkdir()
        found[0] += 1
        found[1] += not _holds(disk.after_cut(folder, draw), inspection, acknowledged)

    def maybe_cut() -> None:
        if draw.random() < 0.02:
            cut()

    with Archive.open(live) as archive:
        archive._db.execute("PRAGMA wal_autocheckpoint = 40")  # the log is folded in now and then
        now = lambda: datetime(2024, 5, 17, tzinfo=UTC)  # noqa: E731 - a clock
        bench = Inspection.create(
            archive,
            plan_toml=PLAN,
            identification=Identification(sheet_number="P-1"),
            actor="Ann",
            clock=now,
        )
        inspection = bench.state.inspection
        bench.acknowledge_cautions(("Isolate and lock the machine.",))
        bench.put_in_service(
            GaugeInService(
                inventory_number="M-1", unit="mm", resolution="0.001", source="s", format="number"
            )
        )
        disk.on_step = maybe_cut
        for number in range(PRESSES):
            text = f"99.{980 + number % 20}"
            reading = bench.take(Press(Decimal(text), None, text, text.encode(), "n", number))
            acknowledged.append(reading.received.raw_hex + str(reading.seq))
            cut()
        disk.on_step = lambda: None
    return found[0], found[1]


def _holds(path: Path, inspection: str, acknowledged: list[str]) -> bool:
    if not path.exists():
        return False
    try:
        with Archive.open(path) as archive:
            events = archive.events(inspection)
    except ArchiveError:
        return False
    if not events:
        return False
    assert check_chain(events) == len(events)  # whatever is there hangs together
    state = fold(events)
    stored = {reading.received.raw_hex + str(seq) for seq, reading in state.readings.items()}
    return set(acknowledged) <= stored


def test_power_cut_loses_no_acknowledged_reading(disk, tmp_path, monkeypatch):
    n_cuts, losses = cuts(disk, tmp_path, monkeypatch, "FULL")
    assert n_cuts > PRESSES + 10  # after every press, and between
    assert losses == 0


@pytest.mark.parametrize("weaker", ["NORMAL", "OFF"])
def test_the_same_cuts_do_lose_readings_with_a_weaker_setting(disk, tmp_path, monkeypatch, weaker):
    """Else the test above would prove nothing."""
    n_cuts, losses = cuts(disk, tmp_path, monkeypatch, weaker)
    assert losses > n_cuts // 4

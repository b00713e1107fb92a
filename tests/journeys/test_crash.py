"""The program is killed at random moments while presses arrive at twenty a second."""

import os
import random
import shutil
import signal
import subprocess
import sys
import time
from datetime import UTC, datetime
from pathlib import Path

import pytest

from seatproof.core.archive.file import Archive
from seatproof.core.record.events import check_chain
from seatproof.core.record.inspection import Inspection
from seatproof.core.record.kinds import GaugeInService, Identification
from seatproof.core.record.state import fold

KILLS = int(os.environ.get("KILLS", "10"))  # KILLS=200 for an afternoon's worth

pytestmark = pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="this system has no SIGKILL")

PLAN = f"""
format = 1

[plan]
title = "A seat of many points"
version = "1"
unit = "mm"

[shaft]
name = "Shaft"
datum_face = "left end face"
angular_datum = "punch mark"

[[shaft.section]]
length = 600
diameter = 100

[[seat]]
id = "A"
name = "Long seat"
from = 0
length = 600
nominal = 100
tolerance_class = "h6"
stations = 20
orientations = {max(10, KILLS)}

[uncertainty]
expanded = 0.002
repeatability = 0.0005
basis = "made up for a test"
"""

# Does its job again and again, each time in a process of its own that is there to be killed; all
# that it needs is loaded once. `press` goes on where the inspection was left, presses every 50 ms,
# and says what was logged once it was.
WORKSHOP = """
import os, sys, time
from datetime import UTC, datetime
from decimal import Decimal
from pathlib import Path
from seatproof.core.archive.errors import ArchiveFullError
from seatproof.core.archive.file import Archive
from seatproof.core.evaluation import evaluate
from seatproof.core.record.inspection import Inspection, Press

def say(*words):
    os.write(1, (" ".join(str(word) for word in words) + chr(10)).encode())

def press(path, name):
    with Archive.open(Path(path), busy_timeout_s=0) as archive:
        assert not archive.read_only, archive.read_only
        inspection = Inspection.resume(archive, name, actor="Ann", clock=lambda: datetime.now(UTC))
        say("begun", os.getpid())
        number = len(inspection.state.readings)
        due = time.monotonic()
        while inspection.state.cursor is not None:
            number += 1
            size = f"99.99{number % 3}"
            press = Press(Decimal(size), None, size, b"%d:" % number + size.encode(), "n", number)
            try:
                reading = inspection.take(press)
            except ArchiveFullError:
                say("full")
            else:
                place = reading.key
                say(reading.seq, place.station, place.orientation, reading.received.raw_hex)
            due += 0.05
            time.sleep(max(0.0, due - time.monotonic()))

def bring_forward(path):
    say("begun", os.getpid())
    Archive.open(Path(path)).close()
    say("done")
    time.sleep(60)  # for its end

for line in sys.stdin:
    job, *given = line.split()
    child = os.fork()
    if child == 0:
        try:
            {"press": press, "bring_forward": bring_forward}[job](*given)
        finally:
            sys.stderr.flush()
            os._exit(0)
    _, status = os.waitpid(child, 0)
    say("ended", os.waitstatus_to_exitcode(status))
"""


class Workshop:
    """A program whose every job is a process that can be killed."""

    def __init__(self) -> None:
        self.process = subprocess.Popen(
            [sys.executable, "-c", WORKSHOP],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )

    def kill(self, after_s: float, *job: str, until: str = "") -> list[str]:
        """Let a job begin, and kill it so long afterwards; return what it had said until then.

        With `until`, the time counts from when it said that word for the third time.
        """
        self.process.stdin.write(" ".join(job) + "\n")
        self.process.stdin.flush()
        word, pid = self.process.stdout.readline().split()
        assert word == "begun"
        said: list[str] = []
        while until and said.count(until) < 3:
            said.append(self.process.stdout.readline().strip())
        time.sleep(after_s)
        os.kill(int(pid), signal.SIGKILL)
        while not (line := self.process.stdout.readline()).startswith("ended"):
            said.append(line.strip())
        assert line.split()[1] == str(-signal.SIGKILL)
        return said


@pytest.fixture
def workshop():
    workshop = Workshop()
    yield workshop
    with workshop.process as process:
        process.stdin.close()


def begin(path: Path) -> str:
    """Begin an inspection in a new archive, and return which it is."""
    with Archive.open(path) as archive:
        inspection = Inspection.create(
            archive,
            plan_toml=PLAN,
            identification=Identification(sheet_number="C-1"),
            actor="Ann",
            clock=lambda: datetime.now(UTC),
        )
        inspection.acknowledge_cautions(("Isolate and lock the machine.",))
        inspection.put_in_service(
            GaugeInService(
                inventory_number="M-1", unit="mm", resolution="0.001", source="s", format="number"
            )
        )
        return inspection.state.inspection


def assert_whole(path: Path, inspection: str, acknowledged: list[tuple[str, ...]]) -> int:
    """Check what is stored against what was acknowledged; return how many readings there are."""
    with Archive.open(path, busy_timeout_s=0) as archive:
        assert archive.read_only == ""  # the lock died with its program
        events = archive.events(inspection)
    assert check_chain(events) == len(events)
    readings = fold(events).readings.values()
    stored = {
        (str(r.seq), str(r.key.station), str(r.key.orientation), r.received.raw_hex)
        for r in readings
    }
    assert set(acknowledged) <= stored
    # No point has two readings, and no press is logged twice.
    assert len({reading.key for reading in readings}) == len(stored)
    assert len({reading.received.raw_hex for reading in readings}) == len(stored)
    return len(stored)


def test_killed_program_loses_no_acknowledged_reading(tmp_path, workshop):
    path = tmp_path / "archive.seatproof"
    inspection = begin(path)
    draw = random.Random(KILLS)
    acknowledged: list[tuple[str, ...]] = []
    unheard = 0
    for kill in range(KILLS):
        said = workshop.kill(draw.uniform(0.0, 0.8), "press", str(path), inspection)
        acknowledged += [tuple(line.split()) for line in said]
        # What was stored and not said is at most the one press of each kill that cut between.
        unheard = assert_whole(path, inspection, acknowledged) - len(acknowledged)
        assert unheard <= kill + 1
    assert len(acknowledged) > 2 * KILLS
    print(f"{KILLS} kills, {len(acknowledged)} readings acknowledged, {unheard} stored unheard")


def test_program_killed_on_a_full_disk_loses_no_acknowledged_reading(tmp_path, workshop):
    folder = tmp_path / "small"
    folder.mkdir()
    try:
        mounted = subprocess.run(
            ["mount", "-t", "tmpfs", "-o", "size=450k", "tmpfs", str(folder)],
            capture_output=True,
            check=False,
        )
    except FileNotFoundError:
        pytest.skip("there is no mount here")
    if mounted.returncode:
        pytest.skip("nothing may be mounted here")
    try:
        path = folder / "archive.seatproof"
        inspection = begin(path)
        said = workshop.kill(0.1, "press", str(path), inspection, until="full")
        acknowledged = [tuple(line.split()) for line in said if line != "full"]
        assert acknowledged
        subprocess.run(["mount", "-o", "remount,size=20m", str(folder)], check=True)
        assert_whole(path, inspection, acknowledged)
        said = workshop.kill(0.5, "press", str(path), inspection)
        assert "full" not in said
        acknowledged += [tuple(line.split()) for line in said]
        assert_whole(path, inspection, acknowledged)
    finally:
        subprocess.run(["umount", "--lazy", str(folder)], check=True)


def test_program_killed_while_it_brings_an_old_file_forward_loses_nothing(tmp_path, workshop):
    old = Path(__file__).parents[1] / "core" / "archive" / "data" / "first_version.seatproof"
    draw = random.Random(1)
    cut_short = 0
    for number in range(max(5, KILLS // 2)):
        path = tmp_path / str(number) / "archive.seatproof"
        path.parent.mkdir()
        shutil.copy(old, path)
        said = workshop.kill(draw.uniform(0.0, 0.06), "bring_forward", str(path))
        cut_short += "done" not in said
        with Archive.open(path) as archive:
            assert [len(archive.events(name)) for name in archive.inspections()] == [11, 6]
            assert [entry.sheet_number for entry in archive.entries()] == ["F-2", "F-1"]
    assert cut_short

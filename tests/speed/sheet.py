"""The sheet: how long it takes to draw, how much memory that needs, how long a check takes."""

import subprocess
import sys
import tempfile
from collections.abc import Iterable
from decimal import Decimal
from math import cos, radians
from pathlib import Path

from seatproof.core.evaluation.evaluate import evaluate
from seatproof.core.files import example
from seatproof.core.record.events import Event
from seatproof.core.record.file import record_bytes
from seatproof.core.record.inspection import Inspection, Press
from seatproof.core.record.kinds import GaugeInService, Identification
from seatproof.core.record.state import InspectionState
from seatproof.core.sheet.compose import compose
from seatproof.core.sheet.document import build_sheet
from seatproof.core.sheet.extract import extract_record
from seatproof.core.sheet.rebuild import compare, rebuild
from seatproof.core.version import PROGRAM
from seatproof.gui.workplace import local_now
from tests.speed.table import Row, timed_row

_MOST_MB = 150.0

_BUILD = """
import sys
from pathlib import Path
from seatproof.core.record.file import read_record
from seatproof.core.record.state import fold
from seatproof.core.sheet.document import build_sheet
from tests.speed.memory import in_use_mb, most_mb
state = fold(read_record(Path(sys.argv[1])))
idle = in_use_mb()
build_sheet(state)
print(most_mb() - idle)
"""


def rows() -> Iterable[Row]:
    """Measure everything this module has a goal for."""
    fan = _sealed(example("kiln_fan.toml").read_text(encoding="utf-8"))
    large = _sealed(_large(example("kiln_fan.toml").read_text(encoding="utf-8")))
    yield timed_row("the kiln fan's sheet", 500.0, lambda: build_sheet(fan), 20)
    yield timed_row(
        "the sheet of 3 seats x 12 stations x 24 orientations",
        3000.0,
        lambda: build_sheet(large),
        5,
    )
    pdf = build_sheet(fan)
    yield timed_row(
        "a sheet's record taken out, the sheet made again and compared",
        1000.0,
        lambda: compare(pdf, rebuild(extract_record(pdf))),
        10,
    )
    if sys.platform == "linux":  # others tell no process how much memory it has in use
        yield _memory("memory for the kiln fan's sheet, above what was there before", fan)
        yield _memory("memory for the large sheet, above what was there before", large)


def _memory(what: str, state: InspectionState) -> Row:
    with tempfile.TemporaryDirectory() as folder:
        record = Path(folder, "record.json")
        record.write_bytes(record_bytes(state.events))
        done = subprocess.run(
            [sys.executable, "-c", _BUILD, str(record)], capture_output=True, text=True, check=True
        )
    grown = float(done.stdout)
    return Row(
        what=what,
        goal=f"below {_MOST_MB:g} MB",
        unit="MB",
        median=grown,
        met=grown < _MOST_MB,
    )


class _Store:
    """Keeps events for as long as a measurement lasts."""

    def __init__(self) -> None:
        self._kept: list[Event] = []

    def append(self, event: Event) -> None:
        self._kept.append(event)

    def append_all(self, events: Iterable[Event]) -> None:
        self._kept.extend(events)

    def events(self, inspection: str) -> tuple[Event, ...]:
        return tuple(event for event in self._kept if event.inspection == inspection)


def _sealed(toml: str) -> InspectionState:
    inspection = Inspection.create(
        _Store(),
        plan_toml=toml,
        identification=Identification(sheet_number="timed"),
        actor="timed",
        clock=local_now,
    )
    inspection.acknowledge_cautions(("timed",))
    inspection.put_in_service(
        GaugeInService(
            inventory_number="M", unit="mm", resolution="0.001", source="none", format="auto"
        )
    )
    plan = inspection.state.plan
    points = {point.key: point for point in plan.points()}
    arrival = 0
    while (key := inspection.state.cursor) is not None:
        lower, upper = plan.seat(key.seat_id).limits_mm
        oval = Decimal(round(0.001 * cos(2.0 * radians(points[key].angle_deg)), 3))
        value = ((lower + upper) / 2 + oval).quantize(Decimal("0.001"))
        arrival += 1
        text = str(value)
        inspection.take(
            Press(value, None, text, f"{text}\r\n".encode(), format="auto", arrival=arrival)
        )
    content = compose(inspection.state, evaluate(inspection.state), PROGRAM)
    reasons = {gap.what: "timed" for gap in inspection.gaps()}
    inspection.seal(content.model_dump(mode="json"), "timed", reasons)
    return inspection.state


def _large(toml: str) -> str:
    """Return the kiln fan's plan with seat A cut into three of many points."""
    first = toml.index("[[seat]]")
    seat = toml[first : toml.index("[[seat]]", first + 1)]
    parts = [
        seat.replace('id = "A"', f'id = "A{number}"')
        .replace("from = 150", f"from = {150 + number * 20}")
        .replace("length = 60", "length = 20")
        .replace("edge_exclusion = 8", "edge_exclusion = 1")
        .replace("stations = 5", "stations = 12")
        .replace("orientations = 6", "orientations = 24")
        for number in range(3)
    ]
    return toml[:first] + "".join(parts) + toml[toml.index("[uncertainty]") :]

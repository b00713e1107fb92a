"""A day at the bench in fast motion: what it leaves behind in memory, threads, files and timers.

Twenty inspections of a hundred presses unless the environment says otherwise; a whole day of
eight hours has two hundred: ``INSPECTIONS_A_DAY=200 make speed ONLY=day``. In the middle of each
the cable is pulled out and put in again.
"""

import gc
import os
import tempfile
import threading
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import UTC, datetime
from decimal import Decimal
from pathlib import Path

from PySide6.QtCore import QEvent, QTimer
from PySide6.QtWidgets import QApplication

from seatproof.core.archive.file import Archive
from seatproof.core.files import example
from seatproof.core.record.inspection import Inspection
from seatproof.core.record.kinds import GaugeInService, Identification
from seatproof.devices.simulated.line import SimulatedLine
from seatproof.gui.setup.model import SetupForm
from seatproof.gui.shared.theme import LIGHT, apply_theme
from seatproof.gui.window import MainWindow
from seatproof.gui.workplace import Workplace
from tests.speed.table import Row

INSPECTIONS = int(os.environ.get("INSPECTIONS_A_DAY", "20"))
PRESSES = 100
WARM_AFTER = 5  # inspections
GROWTH_MB = 20.0
_PATIENCE_S = 20.0

# A gauge that sends faster than a hand presses: its presses are no bouncing button.
_FORMAT = """
name = "fast"
[layout]
kind = "text"
[pressing]
repeat_window_s = 0.0
burst_window_s = 0.0
"""


@dataclass(frozen=True)
class _Held:
    """What the process holds: memory (MB), threads, open files, and timers of its windows."""

    memory_mb: float
    threads: int
    files: int
    timers: int


def rows() -> Iterable[Row]:
    """Work through the day, and compare what is held after warming up with what is at its end."""
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    app = QApplication.instance() or QApplication(["speed"])
    assert isinstance(app, QApplication)
    apply_theme(app, LIGHT)
    warm, end = _day(app)
    yield Row(
        what=f"memory grown over {INSPECTIONS} inspections of {PRESSES} presses",
        goal=f"below {GROWTH_MB:g} MB after warming up",
        unit="MB",
        median=end.memory_mb - warm.memory_mb,
        met=end.memory_mb - warm.memory_mb < GROWTH_MB,
    )
    for what in ("threads", "files", "timers"):
        more = getattr(end, what) - getattr(warm, what)
        yield Row(what=f"{what} left behind", goal="none", unit="", median=more, met=more <= 0)


def _day(app: QApplication) -> tuple[_Held, _Held]:
    with (
        tempfile.TemporaryDirectory() as name,
        SimulatedLine(link=Path(name) / "gauge") as line,
    ):
        folder = Path(name)
        frame_format = folder / "fast.toml"
        frame_format.write_text(_FORMAT)
        archive = Archive.open(folder / "day.seatproof")
        window = MainWindow(Workplace(archive), LIGHT, SetupForm(inspector="timed"))
        warm = None
        try:
            window.resize(1280, 800)
            window.show()
            for number in range(INSPECTIONS):
                _inspection(app, window, archive, line, frame_format)
                if number + 1 == min(WARM_AFTER, INSPECTIONS - 1):
                    warm = _held(window)
            end = _held(window)
        finally:
            window.close()
            window.deleteLater()
            QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    assert warm is not None, "a day has two inspections at least"
    return warm, end


def _inspection(
    app: QApplication,
    window: MainWindow,
    archive: Archive,
    line: SimulatedLine,
    frame_format: Path,
) -> None:
    """Measure one shaft, go on pressing where no point is open, and leave the bench."""
    inspection = Inspection.create(
        archive,
        plan_toml=example("kiln_fan.toml").read_text(encoding="utf-8"),
        identification=Identification(sheet_number="timed"),
        actor="timed",
        clock=lambda: datetime.now(UTC),
    )
    inspection.acknowledge_cautions(("timed",))
    inspection.put_in_service(
        GaugeInService(
            inventory_number="M",
            unit="mm",
            resolution="0.001",
            source=line.source,
            format=str(frame_format),
        )
    )
    window.go_on(inspection.state.inspection, SetupForm(inspector="timed"))
    view = window.bench_view
    assert view is not None
    model = view.model

    def arrived() -> int:
        state = model.state
        return len(state.readings) + len(state.parked)

    _until(app, lambda: model.line_is_up, "the line to open")
    for press in range(PRESSES):
        if press == PRESSES // 2:
            line.unplug()
            _until(app, lambda: not model.line_is_up, "the cable to be missed")
            line.replug()
            _until(app, lambda: model.line_is_up, "the line to open again")
        point = model.next_point
        seat = "A" if point is None else point.seat_id
        nominal = model.state.plan.seat(seat).nominal_mm
        before = arrived()
        line.send(f"{nominal + Decimal(8 + press % 5) / 1000:.3f}\r".encode())
        _until(app, lambda before=before: arrived() > before, "a press")
    window.show_setup()
    _work(app)


def _held(window: MainWindow) -> _Held:
    gc.collect()
    status = Path("/proc/self/status").read_text(encoding="ascii")
    resident = next(line for line in status.splitlines() if line.startswith("VmRSS"))
    return _Held(
        memory_mb=int(resident.split()[1]) / 1024,
        threads=threading.active_count(),
        files=len(list(Path("/proc/self/fd").iterdir())),
        timers=sum(timer.isActive() for timer in window.findChildren(QTimer)),
    )


def _until(app: QApplication, holds: Callable[[], bool], what: str) -> None:
    deadline_s = time.monotonic() + _PATIENCE_S
    while not holds():
        if time.monotonic() > deadline_s:
            raise TimeoutError(f"waited in vain for {what}")
        app.processEvents()


def _work(app: QApplication) -> None:
    for _ in range(20):
        app.processEvents()
        QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)

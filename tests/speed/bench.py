"""From the last byte of a press to its painted, durable value, in the real window.

Bytes go through a pseudo-terminal at three paces, into inspections of few and of many readings.
A watchdog in the window's own thread notes how long nothing else could be done.
"""

import contextlib
import os
import statistics
import tempfile
import time
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

from PySide6.QtCore import QEvent, QObject, QTimer
from PySide6.QtWidgets import QApplication

from seatproof.core.archive.file import Archive
from seatproof.core.files import example
from seatproof.core.record.inspection import Inspection, Press
from seatproof.core.record.kinds import GaugeInService, Identification
from seatproof.devices.simulated.line import SimulatedLine
from seatproof.gui.bench.last_value import ValueKind
from seatproof.gui.setup.model import SetupForm
from seatproof.gui.shared.theme import LIGHT, apply_theme
from seatproof.gui.window import MainWindow
from seatproof.gui.workplace import Workplace
from tests.speed.table import Row, percentile

_GOAL_MS = 50
_PACES = ((1, 4), (10, 50), (30, 120))  # presses a second, and how many of them
_PATIENCE_S = 10.0

# A gauge that sends faster than a hand presses: its presses are no bouncing button.
_FORMAT = """
name = "fast"
[layout]
kind = "text"
[pressing]
repeat_window_s = 0.0
burst_window_s = 0.0
"""


def rows() -> Iterable[Row]:
    """Time presses in an inspection of 60 and of 5,000 readings."""
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    app = QApplication.instance() or QApplication(["speed"])
    assert isinstance(app, QApplication)
    apply_theme(app, LIGHT)
    for readings, per_seat in ((60, (5, 6)), (5000, (25, 100))):
        with _bench(readings, per_seat) as bench:
            for pace, count in _PACES:
                yield from bench.timed(readings, pace, count)


@dataclass(slots=True)
class _Bench:
    """The window with one inspection, and the far end of its gauge's line."""

    app: QApplication
    window: MainWindow
    line: SimulatedLine
    nominal: dict[str, Decimal]
    sent: int = 0
    painted_s: dict[str, float] = field(default_factory=dict)

    def timed(self, readings: int, pace: int, count: int) -> Iterator[Row]:
        """Press so often, and say how long each took to be seen."""
        view = self.window.bench_view
        assert view is not None
        watch = _Watch(view.readings.value.figures, self)
        dog = _Watchdog()
        taken_ms, began_s = [], time.perf_counter()
        for number in range(count):
            self._work_until(began_s + number / pace)
            sent_s, text = self._press()
            deadline_s = sent_s + _PATIENCE_S
            while text not in self.painted_s:
                self.app.processEvents()
                if time.perf_counter() > deadline_s:
                    raise TimeoutError(f"the press {text} was never painted")
            taken_ms.append((self.painted_s[text] - sent_s) * 1000)
        watch.stop()
        longest_ms = dog.stop()
        slowest = percentile(taken_ms, 99)
        what = f"{readings} readings, {pace} presses a second"
        yield Row(
            what=f"a press painted and durable: {what}",
            goal=f"99 of 100 below {_GOAL_MS} ms",
            unit="ms",
            median=statistics.median(taken_ms),
            slowest_1_in_100=slowest,
            met=slowest < _GOAL_MS,
        )
        yield Row(
            what=f"longest time the window stood still: {what}",
            goal=f"below {_GOAL_MS} ms",
            unit="ms",
            median=longest_ms,
            met=longest_ms < _GOAL_MS,
        )

    def _press(self) -> tuple[float, str]:
        view = self.window.bench_view
        assert view is not None
        point = view.model.next_point
        assert point is not None, "the plan has too few points for so many presses"
        self.sent += 1
        value = self.nominal[point.seat_id] + Decimal(8 + self.sent % 5) / 1000
        text = f"{value + Decimal(self.sent % 7) / 10000:.4f}"
        self.line.send(f"{text}\r".encode())
        return time.perf_counter(), text

    def _work_until(self, moment_s: float) -> None:
        while time.perf_counter() < moment_s:
            self.app.processEvents()
            time.sleep(0.0005)
        self.painted_s.clear()


class _Watch(QObject):
    """Notes when the figures of a logged value were painted."""

    def __init__(self, figures: Any, bench: _Bench) -> None:
        super().__init__()
        self._figures = figures
        self._bench = bench
        figures.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802  # Qt's name
        if event.type() is QEvent.Type.Paint:
            # The filter comes before the painting; the rest of it is a millisecond.
            QTimer.singleShot(0, self, self._note)
        return False

    def _note(self) -> None:
        view = self._bench.window.bench_view
        if view is not None and view.model.last.kind is ValueKind.LOGGED:
            self._bench.painted_s.setdefault(self._figures.text, time.perf_counter())

    def stop(self) -> None:
        self._figures.removeEventFilter(self)


class _Watchdog(QObject):
    """Ticks in the window's thread; a late tick is a window that stood still."""

    def __init__(self) -> None:
        super().__init__()
        self._longest_ms = 0.0
        self._last_s = time.perf_counter()
        self._timer = QTimer(self)
        self._timer.timeout.connect(self._tick)
        self._timer.start(2)

    def _tick(self) -> None:
        now_s = time.perf_counter()
        self._longest_ms = max(self._longest_ms, (now_s - self._last_s) * 1000 - 2)
        self._last_s = now_s

    def stop(self) -> float:
        self._timer.stop()
        return self._longest_ms


@contextlib.contextmanager
def _bench(readings: int, per_seat: tuple[int, int]) -> Iterator[_Bench]:
    app = QApplication.instance()
    assert isinstance(app, QApplication)
    plan_toml = _plan(per_seat)
    with tempfile.TemporaryDirectory() as name, SimulatedLine() as line:
        folder = Path(name)
        frame_format = folder / "fast.toml"
        frame_format.write_text(_FORMAT)
        archive = Archive.open(folder / "speed.seatproof")
        wanted = sum(count for _, count in _PACES) + 4
        identifier, nominal = _measured(archive, plan_toml, line, frame_format, readings - wanted)
        window = MainWindow(Workplace(archive), LIGHT, SetupForm(inspector="timed"))
        try:
            window.resize(1280, 800)
            window.show()
            window.go_on(identifier, SetupForm(inspector="timed"))
            bench = _Bench(app, window, line, nominal)
            view = window.bench_view
            assert view is not None
            deadline_s = time.perf_counter() + _PATIENCE_S
            while not (view.model.line_is_up and view.readings.has_plots):
                app.processEvents()
                if time.perf_counter() > deadline_s:
                    raise TimeoutError("the line did not come up")
            yield bench
        finally:
            window.close()
            window.deleteLater()
            QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)


def _plan(per_seat: tuple[int, int]) -> str:
    stations, orientations = per_seat
    repeats = 4 if orientations < 10 else 1  # so that sixty points last for all the presses
    text = example("kiln_fan.toml").read_text(encoding="utf-8")
    text = text.replace(
        "stations = 5\norientations = 6\nrepeats = 1",
        f"stations = {stations}\norientations = {orientations}\nrepeats = {repeats}",
    )
    return text.replace(
        "stations = [827, 837, 847, 857, 867]\norientations = [0, 30, 60, 90, 120, 150]\n"
        "repeats = 1",
        f"stations = {stations}\norientations = {orientations}\nrepeats = {repeats}",
    )


class _Memory:
    """Keeps events until they are stored at once; so many one by one would take a minute."""

    def __init__(self) -> None:
        self.kept: list[Any] = []

    def append(self, event: Any) -> None:
        self.kept.append(event)

    def append_all(self, events: Iterable[Any]) -> None:
        self.kept.extend(events)

    def events(self, inspection: str) -> tuple[Any, ...]:
        del inspection
        return tuple(self.kept)


def _measured(
    archive: Archive, plan_toml: str, line: SimulatedLine, frame_format: Path, readings: int
) -> tuple[str, dict[str, Decimal]]:
    """Store an inspection with so many readings; return its identifier and the nominal sizes."""
    memory = _Memory()
    inspection = Inspection.create(
        memory,
        plan_toml=plan_toml,
        identification=Identification(sheet_number="timed"),
        actor="timed",
        clock=lambda: datetime.now(UTC),
    )
    inspection.acknowledge_cautions(("timed",))
    inspection.put_in_service(
        GaugeInService(
            inventory_number="M",
            unit="mm",
            resolution="0.0001",
            source=line.source,
            format=str(frame_format),
        )
    )
    nominal = {seat.id: seat.nominal_mm for seat in inspection.state.plan.seats}
    for number in range(max(readings, 0)):
        cursor = inspection.state.cursor
        assert cursor is not None
        value = nominal[cursor.seat_id] + Decimal(8 + number % 5) / 1000
        inspection.take(
            Press(value, None, f"{value}", f"{value}".encode() + b"%d" % number, "auto", number)
        )
    archive.append_all(memory.kept)
    return inspection.state.inspection, nominal

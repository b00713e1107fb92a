"""The inspector's job in the real window, over a real pseudo-terminal, into a real archive."""

import threading
from pathlib import Path

import pypdf
import pytest
from PySide6.QtCore import Qt, QTimer
from PySide6.QtWidgets import QApplication, QLabel

from seatproof.core.archive.file import Archive
from seatproof.core.evaluation.evaluate import evaluate
from seatproof.core.plan.points import PointKey
from seatproof.core.record.events import check_chain
from seatproof.core.record.state import fold
from seatproof.devices.gauge import LineKind
from seatproof.devices.simulated.line import SimulatedLine
from seatproof.gui.bench import line as bench_line
from seatproof.gui.bench.last_value import ValueKind
from seatproof.gui.setup.demonstration import demonstration_form
from seatproof.gui.shared.theme import LIGHT, apply_theme
from seatproof.gui.simulation import SteadyHand
from seatproof.gui.window import MainWindow
from seatproof.gui.workplace import Workplace

PATIENCE_MS = 10_000


@pytest.fixture(autouse=True)
def no_thread_left():
    before = set(threading.enumerate())
    yield
    left = [thread.name for thread in threading.enumerate() if thread not in before]
    assert not left, f"still running after the test: {left}"


@pytest.fixture
def open_window(qtbot, tmp_path):
    """Open the window on this test's archive, as often as asked."""
    apply_theme(QApplication.instance(), LIGHT)
    windows = []

    def open_it() -> MainWindow:
        archive = Archive.open(tmp_path / "archive.seatproof")
        window = MainWindow(Workplace(archive), LIGHT, demonstration_form())
        qtbot.addWidget(window)
        window.resize(1280, 800)
        window.show()
        windows.append(window)
        return window

    yield open_it
    for window in windows:
        window.close()


class Inspector:
    """Somebody at the window: presses the gauge, and waits until the window shows it."""

    def __init__(self, qtbot, window: MainWindow) -> None:
        self.qtbot = qtbot
        self.window = window

    def begin(self) -> None:
        self.window.setup_page.begin.click()
        self.wait_for_line()

    def wait_for_line(self) -> None:
        self.qtbot.waitUntil(lambda: self.bench.model.line_is_up, timeout=PATIENCE_MS)
        self.hand = SteadyHand(
            self.bench.simulated.gauge, sleep=lambda s: self.qtbot.wait(int(s * 1000) + 1)
        )

    @property
    def bench(self):
        return self.window.bench_view

    def press(self) -> None:
        """Press, and wait until it is logged or parked."""
        before = self.events()
        self.hand.press()
        self.qtbot.waitUntil(lambda: self.events() > before, timeout=PATIENCE_MS)

    def events(self) -> int:
        return self.bench.model.state.last.seq

    def key(self, key) -> None:
        self.qtbot.waitUntil(self.window.isActiveWindow, timeout=PATIENCE_MS)
        widget = QApplication.focusWidget() or self.bench
        self.qtbot.keyClick(widget, key)

    def done(self) -> int:
        return self.bench.model.progress[0]


def test_the_whole_job_in_the_window(qtbot, open_window, tmp_path, truth):
    window = open_window()
    someone = Inspector(qtbot, window)
    someone.begin()
    first = someone.bench.model.plan.points()
    assert someone.bench.instruction.text() == "Measure seat A, station 1 (158 mm), at 0°."
    for point in first[:20]:
        assert someone.bench.model.next_point == point
        someone.press()
        assert someone.bench.value.figures.text.startswith("110.0")
    assert someone.bench.progress.text() == "20 of 60 points"

    # One of them again, by keyboard alone: arrows, F6, the first reason.
    model = someone.bench.model
    model.select(PointKey("A", 2, 3))
    someone.bench.setFocus()
    someone.key(Qt.Key.Key_Right)
    assert model.selected_point.key == PointKey("A", 3, 3)
    someone.key(Qt.Key.Key_F6)
    assert someone.bench.reason.isVisible()
    someone.key(Qt.Key.Key_1)
    assert model.next_point.key == PointKey("A", 3, 3)
    assert "once more" in someone.bench.instruction.text()
    someone.press()
    assert model.next_point == first[20]
    assert len(model.state.readings) == 21

    # The cable is pulled and put back: nothing is lost, and it goes on by itself.
    someone.bench.simulated.plug.click()
    qtbot.waitUntil(lambda: model.line.kind is LineKind.LOST, timeout=PATIENCE_MS)
    assert someone.bench.banner.isVisible()
    assert someone.done() == 20
    someone.bench.simulated.plug.click()
    qtbot.waitUntil(lambda: model.line_is_up, timeout=PATIENCE_MS)
    assert not someone.bench.banner.isVisible()
    for point in first[20:33]:
        assert model.next_point == point
        someone.press()

    # The program is closed in the middle and opened again: on at the very next point.
    window.close()
    window = open_window()
    someone = Inspector(qtbot, window)
    (entry,) = go_on_buttons(window)
    entry.click()
    someone.wait_for_line()
    model = someone.bench.model
    assert model.next_point == first[33]
    for point in first[33:]:
        assert model.next_point == point
        someone.press()
    assert someone.bench.instruction.text() == "All points are done. Seal the inspection."
    someone.key(Qt.Key.Key_F9)
    assert not model.is_sealed  # the statement comes first
    someone.key(Qt.Key.Key_1)
    qtbot.waitUntil(lambda: model.sealing is not None, timeout=PATIENCE_MS)
    assert model.is_sealed
    assert "no shaft was measured" in model.state.sealed.statement
    qtbot.waitUntil(someone.bench.bar.open_sheet.isVisible, timeout=PATIENCE_MS)
    assert_sheet_and_record(model, tmp_path)
    identifier = model.state.inspection
    window.close()

    with Archive.open(tmp_path / "archive.seatproof") as archive:
        events = archive.events(identifier)
    check_chain(events)
    state = fold(events)
    assert state == model.state
    for result in evaluate(state).seats:
        for size in result.sizes:
            seat = truth.seats[result.seat.id]
            expected = seat.diameter_mm(size.point.z_mm, size.point.angle_deg)
            expected += truth.zero_error_um / 1000
            assert size.size_mm == pytest.approx(expected, abs=4.5 * truth.noise_um / 1000)


def go_on_buttons(window):
    kind = type(window.setup_page.begin)
    return [b for b in window.setup_page.findChildren(kind) if b.objectName().startswith("go_on_")]


def assert_sheet_and_record(model, folder: Path) -> None:
    number = model.state.identification.sheet_number
    assert (folder / "sheets" / f"{number}.json").exists()
    reader = pypdf.PdfReader(folder / "sheets" / f"{number}.pdf")
    text = "\n".join(page.extract_text() for page in reader.pages)
    assert number in text
    assert "not proven" in text


def test_a_bouncing_button_is_parked_and_decided_by_touch(qtbot, open_window):
    someone = Inspector(qtbot, open_window())
    someone.begin()
    gauge = someone.bench.simulated.gauge
    frame = gauge.measure()
    gauge.send(frame + frame)
    qtbot.waitUntil(lambda: bool(someone.bench.model.parked), timeout=PATIENCE_MS)
    model = someone.bench.model
    assert model.last.kind is ValueKind.PARKED
    assert someone.done() == 1
    assert len(model.state.readings) == 1
    (parked,) = model.parked
    assert "bouncing" in parked.finding
    qtbot.waitUntil(lambda: someone.bench.parked.isVisible())
    button = someone.bench.findChild(type(someone.bench.bar.seal), f"discard_parked_{parked.seq}")
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
    answer = someone.bench.findChild(type(someone.bench.bar.seal), "reason1")
    qtbot.mouseClick(answer, Qt.MouseButton.LeftButton)
    assert model.parked == ()
    assert not someone.bench.parked.isVisible()


@pytest.mark.parametrize("beside", ["away", "here", "bench"])
@pytest.mark.parametrize("key", [Qt.Key.Key_1, Qt.Key.Key_0, Qt.Key.Key_Escape])
def test_an_open_question_keeps_its_keys_whatever_is_clicked(qtbot, open_window, beside, key):
    someone = Inspector(qtbot, open_window())
    someone.begin()
    gauge, model = someone.bench.simulated.gauge, someone.bench.model
    for number in range(2):
        gauge.send(b"01A+00055.%03d\r" % number)
    qtbot.waitUntil(lambda: len(model.parked) == 2, timeout=PATIENCE_MS)
    someone.bench.refresh()
    first, second = model.parked
    kind = type(someone.bench.bar.seal)
    away = someone.bench.findChild(kind, f"discard_parked_{first.seq}")
    qtbot.mouseClick(away, Qt.MouseButton.LeftButton)
    assert someone.bench.reason.isVisible()
    clicked = {
        "away": away,
        "here": someone.bench.findChild(kind, f"use_parked_{second.seq}"),
        "bench": someone.bench,
    }[beside]
    clicked.setFocus(Qt.FocusReason.MouseFocusReason)
    if clicked is not someone.bench:
        qtbot.mouseClick(clicked, Qt.MouseButton.LeftButton)
    someone.key(key)
    assert not someone.bench.reason.isVisible()
    assert model.parked == ((first, second) if key == Qt.Key.Key_Escape else (second,))
    assert len(model.state.owed) == (1 if key == Qt.Key.Key_0 else 0)


def test_an_inch_value_is_parked_and_used_nowhere(qtbot, open_window):
    someone = Inspector(qtbot, open_window())
    someone.begin()
    someone.bench.simulated.gauge.send(b"01A+004.33110\r")
    qtbot.waitUntil(lambda: bool(someone.bench.model.parked), timeout=PATIENCE_MS)
    assert "inches" in someone.bench.model.parked[0].finding
    assert someone.done() == 0


def test_a_damaged_frame_asks_for_another_press(qtbot, open_window):
    someone = Inspector(qtbot, open_window())
    someone.begin()
    someone.bench.simulated.gauge.send(b"01A+00110.\r")
    qtbot.waitUntil(lambda: someone.bench.model.last.kind is ValueKind.REFUSED, timeout=PATIENCE_MS)
    assert "press again" in someone.bench.value.note.text()
    assert someone.done() == 0


def test_take_back_and_leave_out(qtbot, open_window):
    someone = Inspector(qtbot, open_window())
    someone.begin()
    someone.press()
    someone.key(Qt.Key.Key_F5)
    someone.key(Qt.Key.Key_Escape)
    assert someone.done() == 1  # given up: nothing was done
    someone.key(Qt.Key.Key_F5)
    someone.key(Qt.Key.Key_2)
    assert someone.done() == 0
    (reading,) = someone.bench.model.state.readings.values()
    assert reading.fate == "taken back: Dirt or a burr on the seat"
    someone.key(Qt.Key.Key_F7)
    qtbot.keyClicks(someone.bench.reason.findChild(type(someone.bench.reason._own)), "sealing lip")
    someone.bench.reason._use_own.click()
    assert someone.bench.model.state.skipped == {PointKey("A", 1, 1): "sealing lip"}
    assert someone.bench.model.next_point.key == PointKey("A", 1, 2)


def test_a_point_is_chosen_by_a_tap_and_gone_to_by_another(qtbot, open_window):
    someone = Inspector(qtbot, open_window())
    someone.begin()
    shaft = someone.bench.shaft
    key = PointKey("A", 4, 2)
    at = shaft.position_of(key).toPoint()
    qtbot.mouseClick(shaft, Qt.MouseButton.LeftButton, pos=at)
    assert someone.bench.model.selected_point.key == key
    qtbot.mouseClick(shaft, Qt.MouseButton.LeftButton, pos=at)
    assert someone.bench.model.next_point.key == key


class StuckLine:
    """A port whose driver does not come back until it is let go."""

    is_live = False
    keeps_time = True
    port_name = None
    description = "stuck"
    skipped_s = 0.0

    def __init__(self) -> None:
        self.entered = threading.Event()
        self.let_go = threading.Event()

    def read(self, timeout_s):
        self.entered.set()
        self.let_go.wait(30)
        return b""

    def write(self, data): ...

    def close(self): ...


def test_the_window_works_and_closes_while_a_port_is_stuck(qtbot, open_window, monkeypatch):
    stuck = StuckLine()
    reader = bench_line.GaugeReader
    monkeypatch.setattr(
        bench_line,
        "GaugeReader",
        lambda *args, **named: reader(*args, **named, open_line=lambda *_: stuck),
    )
    window = open_window()
    someone = Inspector(qtbot, window)
    window.setup_page.begin.click()
    qtbot.waitUntil(stuck.entered.is_set, timeout=PATIENCE_MS)
    someone.key(Qt.Key.Key_F8)
    assert someone.bench.model.seat.id == "B"
    someone.key(Qt.Key.Key_F7)
    someone.key(Qt.Key.Key_1)
    assert someone.done() == 1
    assert window.close()
    assert not window.isVisible()
    stuck.let_go.set()
    threads = [thread for thread in threading.enumerate() if thread.name.startswith("gauge")]
    for thread in threads:
        thread.join(5)


@pytest.mark.parametrize("moment", ["at once", "connected", "lost", "asking", "sealed"])
def test_closing_at_any_moment_ends_cleanly(qtbot, open_window, moment):
    window = open_window()
    someone = Inspector(qtbot, window)
    window.setup_page.begin.click()
    if moment != "at once":
        someone.wait_for_line()
    if moment == "lost":
        someone.bench.simulated.plug.click()
        qtbot.waitUntil(lambda: someone.bench.model.line.kind is LineKind.LOST, timeout=PATIENCE_MS)
    if moment == "asking":
        someone.press()
        someone.bench.take_back()
    if moment == "sealed":
        while someone.bench.model.can_skip:
            someone.bench.model.skip("closing early")
        someone.bench.seal()
        someone.key(Qt.Key.Key_1)
        qtbot.waitUntil(lambda: someone.bench.model.is_sealed, timeout=PATIENCE_MS)
    assert window.close()


def test_text_grows_to_twice_its_size_and_the_window_keeps_its_own(qtbot, open_window):
    window = open_window()
    someone = Inspector(qtbot, window)
    someone.begin()
    before = window.size()
    for _ in range(6):
        someone.key(Qt.Key.Key_Up)  # a point is selected while the text grows
        qtbot.keyClick(window, Qt.Key.Key_Plus, Qt.KeyboardModifier.ControlModifier)
    assert QApplication.font().pointSizeF() == pytest.approx(22)
    assert window.size() == before
    for _ in range(6):
        qtbot.keyClick(window, Qt.Key.Key_Minus, Qt.KeyboardModifier.ControlModifier)
    assert QApplication.font().pointSizeF() == pytest.approx(11)
    someone.press()
    assert someone.done() == 1


def test_a_gauge_that_came_back_under_another_name_is_chosen_before_going_on(
    qtbot, open_window, tmp_path
):
    window = open_window()
    someone = Inspector(qtbot, window)
    someone.begin()
    someone.press()
    someone.key(Qt.Key.Key_F12)
    page = window.setup_page
    with SimulatedLine() as line:
        page.source.setCurrentText(line.source)
        (entry,) = go_on_buttons(window)
        entry.click()
        assert window.bench_view is None  # a gauge without a number is not put in service
        assert page.findChild(QLabel, "problem_gauge_number").isVisible()
        page.edits["gauge_number"].setText("MIC-7")
        page.edits["resolution"].setText("0.001")
        entry.click()
        model = window.bench_view.model
        qtbot.waitUntil(lambda: model.line_is_up, timeout=PATIENCE_MS)
        line.send(b"01A+00110.014\r")
        qtbot.waitUntil(lambda: model.progress[0] == 2, timeout=PATIENCE_MS)
        assert model.last_reading.received.gauge == "MIC-7"
        assert not model.last_reading.gauge.simulated
        window.close()


def test_a_press_during_a_question_is_logged_and_not_what_the_answer_takes_back(qtbot, open_window):
    someone = Inspector(qtbot, open_window())
    someone.begin()
    someone.press()
    asked_about = someone.bench.model.last_reading
    someone.key(Qt.Key.Key_F5)
    someone.press()
    assert someone.done() == 2
    someone.key(Qt.Key.Key_1)
    assert not someone.bench.model.state.readings[asked_about.seq].counts
    assert someone.done() == 1
    assert someone.bench.model.next_point.key == asked_about.key


def test_many_parked_presses_leave_the_window_its_size(qtbot, open_window):
    window = open_window()
    someone = Inspector(qtbot, window)
    someone.begin()
    size = window.size()
    for number in range(12):
        someone.bench.simulated.gauge.send(b"01A+00055.%03d\r" % number)
    qtbot.waitUntil(lambda: len(someone.bench.model.parked) == 12, timeout=PATIENCE_MS)
    qtbot.wait(50)
    assert window.size() == size
    assert someone.bench.bar.take_back.isVisible()


def test_a_flood_leaves_the_window_answering(qtbot, open_window):
    """Rubbish without end, as from a wrong speed: the window deals with it in turns."""
    someone = Inspector(qtbot, open_window())
    someone.begin()
    gauge = someone.bench.simulated.gauge
    ticks = []
    timer = QTimer()
    timer.timeout.connect(lambda: ticks.append(None))
    timer.start(10)
    for _ in range(400):
        gauge.send(b"rubbish\r" * 40)
        qtbot.wait(1)
    assert len(ticks) > 40  # a window that had stopped answering would have had none
    someone.key(Qt.Key.Key_F8)
    qtbot.waitUntil(lambda: someone.bench.model.seat.id == "B", timeout=PATIENCE_MS)
    timer.stop()
    assert someone.window.close()


def test_what_the_record_cannot_hold_is_said_on_the_page(qtbot, open_window):
    window = open_window()
    page = window.setup_page
    page.plan.setCurrentText("plan\0.toml")
    page.begin.click()
    assert window.setup_page is page
    assert "no such file" in page.findChild(QLabel, "problem_plan_file").text()
    page.source.setCurrentText("file:/tmp/capture")
    page.begin.click()
    assert "capture file" in page.findChild(QLabel, "problem_source").text()
    assert page.edits["asset"].maxLength() <= 200


def test_a_missing_port_is_told_at_once(qtbot, open_window, tmp_path):
    window = open_window()
    page = window.setup_page
    page.source.setCurrentText(str(tmp_path / "no-port"))
    page.edits["gauge_number"].setText("M-1")
    page.edits["resolution"].setText("0.001")
    page.begin.click()
    qtbot.waitUntil(lambda: window.bench_view.banner.isVisible(), timeout=PATIENCE_MS)
    assert "There is no port" in window.bench_view.banner.text()


def test_a_gauge_with_a_declared_format_is_read_at_the_bench(qtbot, open_window):
    window = open_window()
    page = window.setup_page
    with SimulatedLine() as line:
        page.source.setCurrentText(line.source)
        page.edits["gauge_number"].setText("IND-2")
        page.edits["resolution"].setText("0.001")
        page.format.setCurrentText("no such format")
        page.begin.click()
        assert page.findChild(QLabel, "problem_format_name").isVisible()
        page.format.setCurrentText("decimal comma")
        page.begin.click()
        model = window.bench_view.model
        qtbot.waitUntil(lambda: model.line_is_up, timeout=PATIENCE_MS)
        line.send(b"110,013\r")
        qtbot.waitUntil(lambda: model.progress[0] == 1, timeout=PATIENCE_MS)
        assert model.last_reading.received.value == "110.013"
        assert model.last_reading.received.format == "decimal comma"
        window.close()

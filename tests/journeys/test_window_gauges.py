"""Gauges that are asked, that stream, that type, or that have no wire, in the real window."""

import threading

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from seatproof.core.archive.file import Archive
from seatproof.devices.simulated.line import SimulatedLine
from seatproof.devices.wire_log import is_wire_log
from seatproof.gui.bench.last_value import ValueKind
from seatproof.gui.bench.taking import WORDS
from seatproof.gui.preferences.page import PreferencesPage
from seatproof.gui.settings import Action, Settings, load_settings
from seatproof.gui.setup.demonstration import demonstration_form
from seatproof.gui.setup.model import KEYBOARD, NO_WIRE
from seatproof.gui.shared.action_button import ActionButton
from seatproof.gui.shared.theme import LIGHT, apply_theme
from seatproof.gui.window import MainWindow
from seatproof.gui.workplace import Workplace

PATIENCE_MS = 10_000
BY_HAND_MS = 60  # between two characters that a person types

ASKED = """
name = "asked"
[layout]
kind = "text"
[request]
octets = "?"
interval_s = 0.0
"""


@pytest.fixture(autouse=True)
def no_thread_left():
    before = set(threading.enumerate())
    yield
    left = [thread.name for thread in threading.enumerate() if thread not in before]
    assert not left, f"still running after the test: {left}"


@pytest.fixture
def open_bench(qtbot, tmp_path):
    """Open the bench with a gauge that the page before it is told of."""
    apply_theme(QApplication.instance(), LIGHT)
    windows = []

    def open_it(source: str, **fields: str) -> MainWindow:
        form = demonstration_form()
        form.source, form.gauge_number, form.resolution = source, "M-1", "0.001"
        for name, value in fields.items():
            setattr(form, name, value)
        archive = Archive.open(tmp_path / "archive.seatproof")
        window = MainWindow(
            Workplace(archive), LIGHT, form, settings_file=tmp_path / "settings.toml"
        )
        windows.append(window)
        qtbot.addWidget(window)
        window.resize(1280, 800)
        window.show()
        window.setup_page.begin.click()
        assert window.bench_view is not None, window.setup_page.trouble.text()
        return window

    yield open_it
    for window in windows:
        window.close()


def until(qtbot, holds) -> None:
    qtbot.waitUntil(holds, timeout=PATIENCE_MS)


def test_a_gauge_is_asked_by_a_key_and_its_answer_logged(qtbot, open_bench, tmp_path):
    (tmp_path / "asked.toml").write_text(ASKED)
    with SimulatedLine() as line:
        window = open_bench(line.source, format_name=str(tmp_path / "asked.toml"))
        model = window.bench_view.model
        until(qtbot, lambda: model.line_is_up)
        window.bench_view.refresh()
        assert window.bench_view.bar.ask.isVisible()
        qtbot.keyClick(window.bench_view, Qt.Key.Key_Insert)
        assert line.receive(2.0) == b"?"
        line.send(b"110.012\r")
        until(qtbot, lambda: model.progress[0] == 1)
        window.close()


def test_rocking_takes_the_largest_of_a_stream(qtbot, open_bench):
    from seatproof.devices.picking import Take

    with SimulatedLine() as line:
        window = open_bench(line.source, take=WORDS[Take.MAXIMUM], window_s="0.6")
        model = window.bench_view.model
        until(qtbot, lambda: model.line_is_up)
        assert model.state.gauge.taking == "maximum"
        line.send(b"110.020\r")  # before the window: no press
        until(qtbot, lambda: model.sample == ("110.020", ""))
        assert model.progress[0] == 0
        window.bench_view.bar.ask.click()
        qtbot.wait(150)
        for value in (b"110.008\r", b"110.013\r", b"110.009\r"):
            line.send(value)
            qtbot.wait(60)
        until(qtbot, lambda: model.progress[0] == 1)
        assert model.last_reading.received.value == "110.013"
        assert window.bench_view.value.figures.text == "110.013"
        window.close()


def type_like_a_machine(qtbot, window, text: str) -> None:
    """Send keys to whatever has the focus, with no time between them."""
    for character in text:
        widget = QApplication.focusWidget() or window
        if character == "\r":
            qtbot.keyClick(widget, Qt.Key.Key_Return)
        else:
            qtbot.keyClicks(widget, character)


def test_a_typed_value_never_lands_in_a_note_and_typing_by_hand_does(qtbot, open_bench):
    window = open_bench(KEYBOARD)
    bench, model = window.bench_view, window.bench_view.model
    until(qtbot, lambda: model.line_is_up)
    until(qtbot, window.isActiveWindow)
    bench.deeds.note()
    field = bench.reason._own
    field.setFocus()
    qtbot.keyClicks(field, "wet", delay=BY_HAND_MS)
    qtbot.wait(80)
    assert field.text() == "wet"
    type_like_a_machine(qtbot, window, "110.012\r")
    until(qtbot, lambda: model.progress[0] == 1)
    assert field.text() == "wet"
    assert bench.reason.isVisible()  # the Return of the gauge answered nothing
    qtbot.keyClicks(field, " shaft", delay=BY_HAND_MS)
    qtbot.wait(80)
    bench.reason._use_own.click()
    assert [entry.payload.text for entry in model.state.notes] == ["wet shaft"]
    type_like_a_machine(qtbot, window, "110.0.13\r")  # a key was lost or doubled
    until(qtbot, lambda: model.last.kind is ValueKind.REFUSED)
    assert model.progress[0] == 1


def test_a_gauge_without_a_wire_is_typed_and_marked_as_typed(qtbot, open_bench):
    window = open_bench(NO_WIRE)
    bench, model = window.bench_view, window.bench_view.model
    until(qtbot, window.isActiveWindow)
    qtbot.keyClick(bench, Qt.Key.Key_F3)
    assert bench.typing.isVisible()
    for digit in ("1", "1", "0", ".", "0", "1", "4"):
        bench.typing.findChild(ActionButton, f"digit_{digit}").click()
    assert "110.014 mm, typed by hand" in bench.typing.question.text()
    bench.typing.findChild(ActionButton, "log_typed").click()
    (reading,) = model.state.readings.values()
    assert reading.received.value == "110.014"
    assert reading.received.by_hand
    qtbot.keyClick(bench, Qt.Key.Key_F3)
    bench.typing.field.setText("110,014")
    assert not bench.typing.log.isEnabled()


def test_the_figure_fills_the_window_and_presses_go_on(qtbot, open_bench):
    with SimulatedLine() as line:
        window = open_bench(line.source)
        bench, model = window.bench_view, window.bench_view.model
        until(qtbot, lambda: model.line_is_up)
        qtbot.keyClick(bench, Qt.Key.Key_F11)
        assert bench.figure.isVisible()
        assert bench.figure.geometry() == bench.rect()
        line.send(b"01A+00110.014\r")
        until(qtbot, lambda: bench.figure.figures.text == "110.014 mm")
        assert bench.figure.mark.text == "inside the limits"
        qtbot.keyClick(bench, Qt.Key.Key_Escape)
        assert not bench.figure.isVisible()
        assert bench.value.figures.text == "110.014"
        assert model.progress[0] == 1
        window.close()


def test_the_gauges_bytes_are_saved_and_can_be_replayed(qtbot, open_bench):
    with SimulatedLine() as line:
        window = open_bench(line.source)
        bench, model = window.bench_view, window.bench_view.model
        until(qtbot, lambda: model.line_is_up)
        line.send(b"01A+00110.014\r")
        until(qtbot, lambda: model.progress[0] == 1)
        bench.wire_log_wanted.emit()
        (path,) = (window._workplace.archive.path.parent / "wire logs").iterdir()
        assert is_wire_log(path.read_bytes())
        assert b"31 31 30 2e 30 31 34" in path.read_bytes()
        assert str(path) in bench.bar._trouble.text()
        window.close()


def test_colours_and_keys_are_chosen_while_the_bench_goes_on(qtbot, open_bench, tmp_path):
    with SimulatedLine() as line:
        window = open_bench(line.source)
        model = window.bench_view.model
        until(qtbot, lambda: model.line_is_up)
        window.show_preferences()
        page = window.preferences_page
        assert isinstance(page, PreferencesPage)
        page.findChild(ActionButton, "theme_high_contrast").click()
        page.findChild(ActionButton, "text_more").click()
        page.keys[Action.TAKE_BACK].click()
        qtbot.keyClick(page.keys[Action.TAKE_BACK], Qt.Key.Key_B)
        line.send(b"01A+00110.014\r")  # nobody looks at the bench, and it is logged
        until(qtbot, lambda: model.progress[0] == 1)
        page.left.emit()
        bench = window.bench_view
        assert bench.model is model
        assert bench.value.figures.text == "110.014"
        assert "\nB" in bench.bar.take_back.text()
        qtbot.keyClick(bench, Qt.Key.Key_B)
        assert bench.reason.isVisible()
        kept, trouble = load_settings(tmp_path / "settings.toml")
        assert trouble == ""
        assert (kept.theme, kept.text_percent) == ("high contrast", 125)
        assert kept.key(Action.TAKE_BACK) == "B"
        window.use_settings(Settings())
        window.close()

"""The kiln fan's whole job in the window, with a simulated gauge, by taps and keys alone."""

import shutil
import threading
import time

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QLabel

from seatproof.core.archive.file import Archive
from seatproof.core.files import example
from seatproof.core.record.state import fold
from seatproof.core.verdict.rule import Verdict
from seatproof.devices.arrival import BURST_WINDOW_S
from seatproof.devices.line_state import LineKind, LineState, Symptom
from seatproof.gui.bench.ladder import Rung
from seatproof.gui.bench.last_value import ValueKind
from seatproof.gui.setup.demonstration import demonstration_form
from seatproof.gui.shared.action_button import ActionButton
from seatproof.gui.shared.theme import LIGHT, apply_theme
from seatproof.gui.simulation import MADE_UP
from seatproof.gui.window import MainWindow
from seatproof.gui.workplace import Workplace

PATIENCE_MS = 10_000


@pytest.fixture(autouse=True)
def no_thread_left():
    before = set(threading.enumerate())
    yield
    left = [thread.name for thread in threading.enumerate() if thread not in before]
    assert not left, f"still running after the test: {left}"


class Newcomer:
    """Somebody with nothing but the window: taps its buttons and presses its keys."""

    def __init__(self, qtbot, window) -> None:
        self.qtbot = qtbot
        self.window = window
        self._pressed_s = 0.0

    @property
    def bench(self):
        return self.window.bench_view

    @property
    def model(self):
        return self.bench.model

    def until(self, holds) -> None:
        self.qtbot.waitUntil(holds, timeout=PATIENCE_MS)

    def find(self, name: str) -> ActionButton:
        self.bench.refresh()
        QApplication.processEvents()
        found = [b for b in self.bench.findChildren(ActionButton, name) if b.isVisible()]
        assert found, f"there is no button {name} to tap"
        return found[0]

    def tap(self, name: str) -> None:
        button = self.find(name)
        assert button.isEnabled(), f"the button {name} cannot be tapped"
        self.qtbot.mouseClick(button, Qt.MouseButton.LeftButton)

    def key(self, key) -> None:
        self.until(self.window.isActiveWindow)
        self.qtbot.keyClick(QApplication.focusWidget() or self.bench, key)

    def press(self) -> None:
        """Press the simulated gauge with F4, no faster than a hand does, until it is dealt with."""
        rest_s = self._pressed_s + 1.5 * BURST_WINDOW_S - time.monotonic()
        if rest_s > 0:
            self.qtbot.wait(int(rest_s * 1000) + 1)
        before = (self.model.state.last.seq, len(self.model.steps.desk.received))
        self._pressed_s = time.monotonic()
        self.key(Qt.Key.Key_F4)
        self.until(
            lambda: (self.model.state.last.seq, len(self.model.steps.desk.received)) != before
        )

    def measure(self) -> None:
        """Press until nothing is open; two equal values within a moment are parked, and used."""
        while self.model.has_open:
            self.press()
            for notice in self.model.parked:
                self.tap(f"use_parked_{notice.seq}")
                self.tap("reason1")

    def check(self) -> None:
        """Press on the standard in hand, say how warm it is, and log it."""
        for _ in range(3):
            self.press()
        edit = self.bench.steps.currentWidget().fields.edits["standard"]
        if not edit.text():
            edit.setFocus()
            self.qtbot.keyClicks(edit, "21.0")
        self.tap("log_check")

    def said(self, name: str) -> str:
        label = self.bench.findChild(QLabel, name)
        assert label is not None
        return label.text() if label.isVisible() else ""


@pytest.fixture
def plan_file(tmp_path):
    """The whole job with fewer stations, and with odd lobes stated for both seats.

    The example states them for seat A alone, so that seat B's form stays not proven.
    """
    text = example("kiln_fan_whole_job.toml").read_text(encoding="utf-8")
    begin = text.index("[seat.odd_lobes]")
    odd_lobes = text[begin : text.index("[seat.fit]")]
    text = text.replace("stations = 5\n", "stations = 3\n")
    text = text.replace("[827, 837, 847, 857, 867]", "[827, 847, 867]")
    text = text.replace("[seat.cylindricity]", odd_lobes + "[seat.cylindricity]")
    path = tmp_path / "whole_job.toml"
    path.write_text(text, encoding="utf-8")
    shutil.copy(example("kiln_fan_whole_job_shaft.toml"), tmp_path / "whole_job_shaft.toml")
    return path


@pytest.fixture
def newcomer(qtbot, tmp_path, plan_file):
    apply_theme(QApplication.instance(), LIGHT)
    form = demonstration_form()
    form.plan_file = str(plan_file)
    window = MainWindow(Workplace(Archive.open(tmp_path / "archive.seatproof")), LIGHT, form)
    qtbot.addWidget(window)
    window.resize(1280, 800)
    window.show()
    window.begin(form)
    someone = Newcomer(qtbot, window)
    someone.until(lambda: someone.model.line_is_up)
    yield someone
    window.close()


def to_the_first_check(someone) -> None:
    someone.tap("rung_condition")
    for seat in "AB":
        someone.tap(f"condition_seat_{seat}")
        someone.tap("all_met")
    someone.tap("go_on")
    assert someone.model.steps.in_hand is Rung.EQUIPMENT
    someone.tap("simulated_standard_SIM-S-A")
    someone.tap("simulated_standard_SIM-S-B")
    someone.tap("go_on")
    assert someone.model.steps.in_hand is Rung.OPENING


def test_the_whole_job_ends_in_a_seal_that_conforms(newcomer, tmp_path):
    someone, model = newcomer, newcomer.model
    to_the_first_check(someone)
    someone.check()
    assert "standard SIM-S-B" in someone.bench.instruction.text()  # each seat has its own
    someone.check()
    assert {check.check.standard for check in model.state.checks} == {"SIM-S-A", "SIM-S-B"}
    assert all(check.good for check in model.state.checks)
    someone.tap("go_on")
    someone.measure()
    someone.tap("go_on_step")
    assert model.steps.in_hand is Rung.CLOSING
    someone.check()
    someone.check()
    someone.tap("go_on")
    someone.tap("go_on")
    assert model.gaps == ()
    someone.tap("seal_now")
    someone.tap("reason1")
    someone.qtbot.waitUntil(lambda: model.sealing is not None, timeout=60_000)  # Monte Carlo
    assert model.sealing.trouble == ""

    with Archive.read(tmp_path / "archive.seatproof") as archive:
        state = fold(archive.events(model.state.inspection))
    assert state.sealed.content["verdict"] == Verdict.CONFORMS
    assert state.sealed.gaps == ()
    assert all(gauge.simulated for gauge in state.gauges)
    assert state.gauge.certificate == MADE_UP
    assert [entry.payload.certificate for entry in state.standards] == [MADE_UP, MADE_UP]

    # What came of it is in view, and a long path does not hold the window wider than it was.
    strip = someone.bench.head.sealed
    assert strip.isVisible()
    assert strip.verdict.isVisible()
    assert strip.verdict.accessibleName() == "conforms"
    assert str(model.sealing.sheet) in strip.sheet.toolTip()
    assert str(model.sealing.sheet) not in someone.bench.instruction.text()
    least = someone.bench.minimumSizeHint().width()
    strip.sheet.setText("Sheet: /" + "a long way/" * 400)
    QApplication.processEvents()
    assert someone.bench.minimumSizeHint().width() == least


def test_the_panel_and_the_keys_belong_to_the_check_in_hand(newcomer):
    someone, model = newcomer, newcomer.model
    assert not someone.bench.simulated.button.isVisible()  # nothing to be pressed at a condition
    to_the_first_check(someone)
    someone.tap("gauge_button")
    someone.until(lambda: len(model.steps.desk.received) == 1)
    assert model.steps.desk.received[0].value.startswith("110.00")
    assert model.last.kind is ValueKind.HELD
    someone.tap("check_standard_SIM-S-B")
    someone.press()
    assert model.steps.desk.received[0].value.startswith("100.00")
    someone.key(Qt.Key.Key_F3)
    assert "check on the standard SIM-S-B" in someone.bench.typing.question.text()
    assert "A 1/1" not in someone.bench.typing.question.text()
    someone.qtbot.keyClicks(someone.bench.typing.field, "100.001")
    someone.key(Qt.Key.Key_F3)
    assert [one.value for one in model.steps.desk.received][-1] == "100.001"
    someone.tap("rung_readings")
    assert someone.bench.simulated.button.isVisible()
    someone.press()
    assert model.state.readings


def test_what_is_pressed_for_a_check_outlives_its_step_and_the_bench(newcomer, tmp_path):
    someone, model = newcomer, newcomer.model
    to_the_first_check(someone)
    someone.press()
    someone.press()
    shown = [one.value for one in model.steps.desk.received]
    someone.tap("rung_equipment")
    someone.tap("rung_opening")
    assert all(value in someone.said("received") for value in shown)
    assert "held here before" in someone.said("check_kept")
    someone.tap("check_standard_SIM-S-B")
    assert not model.steps.desk.received
    someone.press()
    someone.tap("check_standard_SIM-S-A")
    assert [one.value for one in model.steps.desk.received] == shown
    number = model.state.inspection
    someone.tap("leave")
    with Archive.read(tmp_path / "archive.seatproof") as archive:
        notes = [entry.payload.text for entry in fold(archive.events(number)).notes]
    assert len(notes) == 2
    assert all(value in notes[0] for value in shown)
    assert "SIM-S-A" in notes[0]


def test_temperatures_noted_at_the_beginning_are_there_at_the_first_check(newcomer):
    someone, model = newcomer, newcomer.model
    (_, noted) = model.state.temperatures[-1]
    to_the_first_check(someone)
    someone.bench.refresh()
    edits = someone.bench.steps.currentWidget().fields.edits
    assert (edits["shaft"].text(), edits["gauge"].text()) == (noted.shaft_c, noted.gauge_c)
    assert edits["standard"].text() == ""
    assert "as noted before" in someone.said("check_noted")
    edits["shaft"].setFocus()
    edits["shaft"].clear()
    someone.qtbot.keyClicks(edits["shaft"], "23")
    assert model.steps.desk.temperatures["shaft"] == "23"
    assert someone.said("check_noted") == ""


def test_silence_is_a_trouble_only_while_a_press_is_awaited(newcomer, monkeypatch):
    someone, model = newcomer, newcomer.model
    silent = LineState(
        LineKind.CONNECTED, "Nothing has come.", model.line.source, symptom=Symptom.SILENCE
    )
    model.take_line(silent)
    assert model.steps.in_hand is Rung.CONDITION
    assert not someone.bench.banner.isVisible()
    assert "silence" not in someone.bench.head.line_label.text()
    someone.tap("rung_readings")
    assert not someone.bench.banner.isVisible()  # nobody has been asked for long
    monkeypatch.setattr(type(model.steps), "awaited_s", 20.5)
    someone.bench._look_at_the_clock()
    assert "Nothing has come." in someone.bench.banner.text()
    assert someone.bench.banner.isVisible()
    assert "silence" in someone.bench.head.line_label.text()

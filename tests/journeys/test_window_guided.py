"""A guided inspection in the real window, step by step, over a real pseudo-terminal."""

import shutil
import threading

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QLabel

from seatproof.core.archive.file import Archive
from seatproof.core.files import example
from seatproof.core.plan.points import PointKey
from seatproof.core.record.kinds import StandardInService
from seatproof.core.record.state import fold
from seatproof.devices.gauge import LineKind
from seatproof.gui.bench.ladder import Rung
from seatproof.gui.bench.last_value import ValueKind
from seatproof.gui.bench.pages.check import CheckPage
from seatproof.gui.bench.pages.seal import SealPage
from seatproof.gui.setup.demonstration import demonstration_form
from seatproof.gui.shared.action_button import ActionButton
from seatproof.gui.shared.theme import LIGHT, apply_theme
from seatproof.gui.simulation import SteadyHand
from seatproof.gui.window import MainWindow
from seatproof.gui.workplace import Workplace

PATIENCE_MS = 10_000
CONDITIONS = '["clean and dry", "free of burrs"]'
CHECKS = """
[checks]
opening = true
closing = true
standard = true
temperatures = true
drift = 0.003
"""


@pytest.fixture(autouse=True)
def no_thread_left():
    before = set(threading.enumerate())
    yield
    left = [thread.name for thread in threading.enumerate() if thread not in before]
    assert not left, f"still running after the test: {left}"


@pytest.fixture
def plan_file(tmp_path):
    """The kiln fan with few points, and everything that a plan can ask of the steps."""
    text = example("kiln_fan.toml").read_text(encoding="utf-8")
    text = text.replace('walk = "station', f'conditions = {CONDITIONS}\nwalk = "station')
    text = text.replace("stations = 5\norientations = 6", "stations = 2\norientations = 3")
    text = text.replace("stations = [827, 837, 847, 857, 867]", "stations = [837]")
    path = tmp_path / "guided.toml"
    path.write_text(text + CHECKS, encoding="utf-8")
    shutil.copy(example("kiln_fan_shaft.toml"), tmp_path / "guided_shaft.toml")
    return path


class Inspector:
    """Somebody at the window, who presses the gauge and taps what is shown."""

    def __init__(self, qtbot, window) -> None:
        self.qtbot = qtbot
        self.window = window

    def begin(self) -> None:
        self.window.setup_page.begin.click()
        self.until(lambda: self.model.line_is_up)
        self.hand = SteadyHand(
            self.bench.simulated.gauge, sleep=lambda s: self.qtbot.wait(int(s * 1000) + 1)
        )

    @property
    def bench(self):
        return self.window.bench_view

    @property
    def model(self):
        return self.bench.model

    def until(self, holds) -> None:
        self.qtbot.waitUntil(holds, timeout=PATIENCE_MS)

    def go_to(self, rung: Rung) -> None:
        self.model.steps.go_to(rung)
        self.bench.refresh()

    def tap(self, name: str) -> None:
        """Tap the visible button of that name."""
        self.bench.refresh()
        QApplication.processEvents()
        found = [b for b in self.bench.findChildren(ActionButton, name) if b.isVisible()]
        assert found, f"there is no button {name} to tap"
        assert found[0].isEnabled(), f"the button {name} cannot be tapped"
        self.qtbot.mouseClick(found[0], Qt.MouseButton.LeftButton)

    def press(self) -> None:
        before = self.model.state.last.seq
        self.hand.press()
        self.until(lambda: self.model.state.last.seq > before)

    def press_for_check(self, times: int = 3) -> None:
        for _ in range(times):
            held = len(self.model.steps.desk.received)
            self.hand.press()
            self.until(lambda held=held: len(self.model.steps.desk.received) > held)

    def note_temperatures(self) -> None:
        page = self.bench.steps.currentWidget()
        assert isinstance(page, CheckPage)
        for thing, text in (("shaft", "22.0"), ("gauge", "21.0"), ("standard", "21.0")):
            edit = page.fields.edits[thing]
            edit.setFocus()
            edit.clear()
            self.qtbot.keyClicks(edit, text)

    def put_standards_in_service(self) -> None:
        for number, size, seat in (("ST-110", "110.0002", "A"), ("ST-100", "99.9998", "B")):
            standard = StandardInService(
                inventory_number=number, size_mm=size, expanded_mm="0.0008", seats=(seat,)
            )
            self.model.put_in_service(standard)


@pytest.fixture
def someone(qtbot, tmp_path, plan_file):
    apply_theme(QApplication.instance(), LIGHT)
    form = demonstration_form()
    form.plan_file = str(plan_file)
    form.shaft_c = form.gauge_c = ""
    window = MainWindow(Workplace(Archive.open(tmp_path / "archive.seatproof")), LIGHT, form)
    qtbot.addWidget(window)
    window.resize(1280, 800)
    window.show()
    inspector = Inspector(qtbot, window)
    inspector.begin()
    yield inspector
    window.close()


def go_to_readings(someone) -> None:
    """Do every step before the readings as the plan asks for it, by model where it is long."""
    for seat in "AB":
        for check in someone.model.plan.conditions:
            someone.model.steps.answer(seat, check, "met")
    someone.put_standards_in_service()
    someone.go_to(Rung.OPENING)
    someone.note_temperatures()
    someone.press_for_check()
    someone.tap("log_check")
    someone.tap("go_on")
    assert someone.model.steps.in_hand is Rung.READINGS


def test_a_guided_inspection_by_touch_alone(someone, tmp_path):
    model = someone.model
    assert model.steps.in_hand is Rung.CONDITION  # the first step that is not done
    someone.tap("rung_cautions")
    someone.tap("acknowledge")
    someone.tap("go_on")
    someone.tap("condition_0_met")
    someone.tap("condition_1_not_met")
    someone.tap("reason4")
    assert model.state.conditions["A", "free of burrs"].payload.note == "A dent or a burr"
    someone.tap("condition_seat_B")
    someone.tap("all_met")
    assert all(view.answer == "met" for view in model.steps.conditions("B"))
    someone.tap("go_on")
    assert model.steps.in_hand is Rung.EQUIPMENT
    someone.put_standards_in_service()
    someone.tap("go_on")
    assert "presses now belong to the check" in someone.bench.instruction.text()
    someone.press_for_check()
    assert model.last.kind is ValueKind.HELD
    assert not model.state.readings
    page = someone.bench.steps.currentWidget()
    assert not page.log.isEnabled()  # the plan asks for the temperatures
    someone.note_temperatures()
    someone.tap("log_check")
    (check,) = model.state.checks
    assert check.good
    assert len(check.check.received) == 3
    someone.tap("go_on")
    while model.has_open:
        someone.press()
    assert len(model.state.readings) == 12
    someone.tap("go_on_step")
    assert model.steps.in_hand is Rung.CLOSING
    someone.press_for_check()
    someone.tap("log_check")
    someone.tap("go_on")
    assert model.steps.in_hand is Rung.VERDICT
    someone.tap("go_on")
    assert model.gaps == ()
    someone.tap("seal_now")
    someone.tap("reason1")
    someone.until(lambda: model.is_sealed)
    someone.until(lambda: model.sealing is not None)
    assert model.sealing.trouble == ""
    with Archive.read(tmp_path / "archive.seatproof") as archive:
        state = fold(archive.events(model.state.inspection))
    assert [c.check.phase for c in state.checks] == ["opening", "closing"]


def test_a_press_at_another_step_is_parked_not_laid_on_a_point(someone):
    model = someone.model
    assert model.steps.in_hand is Rung.CONDITION
    someone.press()
    (parked,) = model.parked
    assert "condition" in parked.finding
    assert not model.state.readings


def test_a_knock_asks_for_a_check_and_the_walk_goes_on_at_the_same_point(someone):
    model = someone.model
    go_to_readings(someone)
    someone.press()
    following = model.next_point
    someone.tap("more")
    someone.tap("knock")
    someone.tap("reason1")
    assert someone.bench.due.isVisible()
    assert "knocked" in someone.bench.due.text.text()
    someone.tap("check_now")
    someone.press_for_check()
    someone.tap("log_check")
    assert not model.steps.is_checking
    assert not someone.bench.due.isVisible()
    assert model.next_point == following
    someone.press()
    assert model.last.kind is ValueKind.LOGGED


def test_drift_beyond_the_limit_marks_readings_until_a_deviation_is_recorded(someone):
    model = someone.model
    go_to_readings(someone)
    while model.has_open:
        someone.press()
    gauge = someone.bench.simulated.gauge
    someone.tap("go_on_step")
    gauge._micrometer.shift_zero(8.0)
    someone.press_for_check()
    someone.tap("log_check")
    assert "in doubt" in model.steps.said
    someone.tap("rung_seal")
    page = someone.bench.steps.currentWidget()
    assert isinstance(page, SealPage)
    assert not page.seal.isEnabled()
    (drift,) = [gap for gap in model.gaps if model.seal_desk.is_drift(gap)]
    assert len(drift.points) == 12
    someone.tap(f"deviation_{model.gaps.index(drift)}")
    someone.tap("reason1")
    assert [entry.payload.what for entry in model.state.deviations] == [drift.what]
    for number, gap in enumerate(model.gaps):
        if gap.reason_may_close and not model.seal_desk.reasons.get(gap.what):
            someone.tap(f"gap_{number}")
            someone.tap("reason3")
    assert page.seal.isEnabled()


def test_the_cable_is_pulled_and_put_back_at_each_step(someone):
    model = someone.model
    go_to_readings(someone)
    someone.press()
    plug = someone.bench.simulated.plug
    for rung in Rung:
        if rung is Rung.SEAL:
            break
        someone.go_to(rung)
        before = model.state
        someone.bench.simulated.gauge.unplug()
        someone.until(lambda: model.line.kind is LineKind.LOST)
        someone.until(someone.bench.banner.isVisible)
        assert model.state is before
        someone.bench.simulated.gauge.replug()
        someone.until(lambda: model.line_is_up)
        assert model.steps.in_hand is rung
    assert plug is not None
    someone.go_to(Rung.READINGS)
    someone.press()
    assert model.progress[0] == 2


def test_a_reason_is_owed_by_pressing_the_pedal_twice_and_given_before_the_seal(someone):
    model = someone.model
    go_to_readings(someone)
    someone.press()
    for _ in range(2):
        someone.qtbot.keyClick(QApplication.focusWidget() or someone.bench, Qt.Key.Key_F5)
    assert model.progress[0] == 0
    assert len(model.state.owed) == 1
    while model.has_open:
        someone.press()
    someone.go_to(Rung.SEAL)
    owed_behind = model.seal_desk.owed_behind
    number = next(i for i, gap in enumerate(model.gaps) if owed_behind(gap) is not None)
    someone.tap(f"owed_{number}")
    someone.tap("reason2")
    assert not model.state.owed


def test_another_person_goes_on(someone):
    model = someone.model
    go_to_readings(someone)
    someone.press()
    someone.tap("more")
    someone.tap("person")
    field = someone.bench.reason._own
    someone.qtbot.keyClicks(field, "Second")
    someone.bench.reason._use_own.click()
    assert model.inspector == "Second"
    someone.press()
    assert model.last_reading.actor == "Second"
    assert someone.bench.due.isVisible()  # with checks in the plan another person checks first


def test_a_redo_needs_its_reason_and_keeps_the_old_reading(someone):
    model = someone.model
    go_to_readings(someone)
    someone.press()
    someone.qtbot.keyClick(someone.bench, Qt.Key.Key_PageUp)  # repeat
    someone.tap("reason4")
    assert "once more" in someone.bench.instruction.text()
    someone.press()
    first, second = model.state.readings.values()
    assert first.replaced_by == second.seq
    assert second.key == PointKey("A", 1, 1)


def test_an_expired_standard_is_used_only_with_a_reason(someone):
    model = someone.model
    someone.go_to(Rung.EQUIPMENT)
    page = someone.bench.steps.currentWidget()
    fields = page.standard.edits
    for name, text in (
        ("inventory_number", "ST-1"),
        ("size", "110"),
        ("expanded", "0.0008"),
        ("calibration_due", "2020-01"),
    ):
        fields[name].setText(text)
    someone.bench.findChild(ActionButton, "use_standard").click()
    assert someone.bench.reason.isVisible()
    assert model.state.standards == ()
    someone.tap("reason2")
    (entry,) = model.state.standards
    assert "No other is at hand" in entry.payload.override_reason


def test_what_comes_of_a_typed_standard_is_said_at_its_form(someone):
    model = someone.model
    someone.go_to(Rung.EQUIPMENT)
    page = someone.bench.steps.currentWidget()
    someone.tap("equipment_seat_B")  # for seat A alone
    fields = page.standard.edits
    typed = {
        "inventory_number": "ST-9",
        "size": "110",
        "expanded": "0.0008",
        "calibration_due": "soon",
    }
    for name, text in typed.items():
        fields[name].setText(text)
    problem = page.findChild(QLabel, "standard_problem")
    done = page.findChild(QLabel, "standard_done")
    use = page.findChild(ActionButton, "use_standard")
    use.click()
    assert problem.isVisible()
    assert problem.text().startswith("Write the date as")
    QApplication.processEvents()  # the layout makes room for it
    assert problem.parent() is use.parent()
    assert problem.geometry().bottom() < use.geometry().top()
    assert not page.findChild(QLabel, "gauge_problem").isVisible()
    assert fields["size"].text() == "110"  # what is to be mended stays
    assert model.state.standards == ()

    fields["calibration_due"].setText("2099-01")
    use.click()
    assert not problem.isVisible()
    assert done.isVisible()
    assert done.text() == "✓ ST-9 is in service for seat A."
    assert not any(edit.text() for edit in fields.values())
    (entry,) = model.state.standards
    assert entry.payload.inventory_number == "ST-9"


def test_a_standard_with_a_fault_is_said_to_serve_only_when_the_reason_is_given(someone):
    someone.go_to(Rung.EQUIPMENT)
    page = someone.bench.steps.currentWidget()
    someone.tap("equipment_seat_B")  # for seat A alone
    for name, text in (
        ("inventory_number", "ST-1"),
        ("size", "110"),
        ("expanded", "0.0008"),
        ("calibration_due", "2020-01"),
    ):
        page.standard.edits[name].setText(text)
    done = page.findChild(QLabel, "standard_done")
    page.findChild(ActionButton, "use_standard").click()
    assert not done.isVisible()
    assert page.standard.text("inventory_number") == "ST-1"
    someone.tap("reason2")
    assert done.text() == "✓ ST-1 is in service for seat A."
    assert page.standard.text("inventory_number") == ""


def test_a_standard_far_from_the_size_of_its_seat_serves_only_with_a_reason(someone):
    model = someone.model
    someone.go_to(Rung.EQUIPMENT)
    page = someone.bench.steps.currentWidget()
    someone.tap("equipment_seat_B")  # for seat A alone, 110 mm
    for name, text in (("inventory_number", "ST-100"), ("size", "100"), ("expanded", "0.0008")):
        page.standard.edits[name].setText(text)
    page.findChild(ActionButton, "use_standard").click()
    asked = " ".join(label.text() for label in someone.bench.reason.findChildren(QLabel))
    assert "Setting standard ST-100 is 100 mm" in asked
    assert "seat A has a nominal size of 110 mm" in asked
    assert model.state.standards == ()
    someone.tap("reason2")
    (entry,) = model.state.standards
    assert "No other is at hand" in entry.payload.override_reason
    page.standard.edits["inventory_number"].setText("ST-110")
    page.standard.edits["size"].setText("110.9")
    page.standard.edits["expanded"].setText("0.0008")
    page.findChild(ActionButton, "use_standard").click()
    assert not someone.bench.reason.isVisible()
    assert model.state.standards[-1].payload.override_reason == ""

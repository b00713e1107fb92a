"""What comes between in an inspection: cables, pauses, other people, second thoughts, drift."""

import threading

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from seatproof.core.plan.points import PointKey
from seatproof.core.record.gaps import GapKind
from seatproof.devices import gauge
from seatproof.gui.bench.ladder import Rung
from seatproof.gui.setup.model import KEYBOARD
from tests.journeys.bench_person import (
    CHECKS,
    CONDITIONS,
    FIRST_SEAT,
    GAUGE,
    Person,
    plan_text,
)

GUIDED = plan_text(FIRST_SEAT, conditions=CONDITIONS, more=CHECKS)
CHECKED_AT_ZERO = CHECKS.replace("standard = true\n", "")
HAND_MS = 45  # between two characters that a person types


@pytest.fixture(autouse=True)
def no_thread_left():
    before = set(threading.enumerate())
    yield
    left = [thread.name for thread in threading.enumerate() if thread not in before]
    assert not left, f"still running after the test: {left}"


@pytest.fixture
def someone(qtbot, tmp_path):
    with Person(qtbot, tmp_path) as person:
        yield person


def check_at_zero(someone, *values):
    """Do the check in hand, and go on where that is offered."""
    someone.press_for_check(*(values or ("0.000", "0.001", "0.000")))
    someone.tap("log_check")


def type_by_hand(someone, text):
    someone.qtbot.keyClicks(QApplication.focusWidget(), text, delay=HAND_MS)
    someone.qtbot.wait(2 * HAND_MS)


def type_like_a_machine(someone, text):
    """Send keys to whatever has the focus, with no time between them."""
    for character in text:
        widget = QApplication.focusWidget() or someone.window
        if character in "\r\t":
            key = Qt.Key.Key_Return if character == "\r" else Qt.Key.Key_Tab
            someone.qtbot.keyClick(widget, key)
        else:
            someone.qtbot.keyClicks(widget, character)


# --- the cable ------------------------------------------------------------------------------------


def test_the_cable_is_pulled_at_every_step_and_each_goes_on_where_it_was(someone, monkeypatch):
    # Pulled so often in a few seconds, a line would be taken for a flapping one and waited for.
    monkeypatch.setattr(gauge, "_HELD_S", 0.0)
    someone.begin(GUIDED)
    model = someone.model

    def pull_and_put_back(step):
        assert model.steps.in_hand is step
        before, said = model.state, someone.instruction
        someone.pull_the_cable()
        banner = someone.text_of("banner")
        assert banner.startswith(f"{GAUGE}: ")
        assert banner.endswith("Everything logged is kept.")
        assert someone.text_of("line").startswith(f"▲ {GAUGE}: ")
        someone.put_the_cable_back()
        assert not someone.bench.banner.isVisible()
        assert someone.text_of("line") == f"● {GAUGE}: connected"
        assert (model.steps.in_hand, model.state, someone.instruction) == (step, before, said)

    someone.tap("rung_identify")
    someone.write("identify_customer", "Tile works")
    pull_and_put_back(Rung.IDENTIFY)
    assert someone.text_of("identify_customer") == "Tile works"
    someone.tap("correct")
    someone.tap("reason2")
    someone.tap("go_on")
    pull_and_put_back(Rung.CAUTIONS)
    someone.tap("acknowledge")
    someone.tap("go_on")
    someone.tap("condition_0_met")
    someone.tap("condition_1_not_met")
    pull_and_put_back(Rung.CONDITION)
    assert someone.seen("is not met on seat A?")  # the question is still open
    someone.tap("reason4")
    someone.tap("go_on")
    someone.write("standard_inventory_number", "ST-110")
    pull_and_put_back(Rung.EQUIPMENT)
    assert someone.text_of("standard_inventory_number") == "ST-110"
    someone.write("standard_size", "110")
    someone.write("standard_expanded", "0.0008")
    someone.tap("use_standard")
    someone.tap("go_on")
    someone.press_for_check("110.001", "110.000")
    pull_and_put_back(Rung.OPENING)
    assert someone.text_of("received").startswith("It shows 110.001, 110.000")
    someone.press_for_check("110.001")
    someone.tap("log_check")
    someone.tap("go_on")
    someone.press("110.012")
    pull_and_put_back(Rung.READINGS)
    someone.press("110.013", "110.014")
    someone.tap("go_on_step")
    someone.press_for_check("110.001")
    pull_and_put_back(Rung.CLOSING)
    someone.press_for_check("110.000")
    someone.tap("log_check")
    someone.tap("go_on")
    pull_and_put_back(Rung.VERDICT)
    someone.tap("go_on")
    pull_and_put_back(Rung.SEAL)
    someone.pull_the_cable()  # sealed without it
    someone.tap("seal_now")
    someone.tap("reason1")
    someone.until(lambda: model.sealing is not None)
    stored = someone.stored()
    assert stored.sealed.gaps == ()
    assert stored.identification.customer == "Tile works"
    assert stored.conditions["A", "free of burrs"].payload.note == "A dent or a burr"
    assert [len(check.check.received) for check in stored.checks] == [3, 2]
    values = [reading.received.value for reading in stored.readings.values()]
    assert values == ["110.012", "110.013", "110.014"]
    assert not stored.parked
    assert "110.013" in someone.sheet()


def test_what_is_pressed_while_the_cable_is_out_is_lost_and_is_not_shown_as_logged(someone):
    someone.begin(plan_text(FIRST_SEAT))
    someone.press("110.012")
    someone.pull_the_cable()
    someone.gauge.press("110.013")
    someone.put_the_cable_back()
    assert someone.bench.progress.text() == "1 of 3 points"
    assert someone.bench.value.figures.text == "110.012"
    someone.press("110.014")
    values = [reading.received.value for reading in someone.stored().readings.values()]
    assert values == ["110.012", "110.014"]


# --- stopping and going on ------------------------------------------------------------------------


def go_on_after_reopening(someone):
    """Close the window, open it anew, and go on with the gauge that was."""
    someone.close_window()
    someone.open_window()
    (entry,) = [
        button
        for button in someone.window.findChildren(type(someone.window.setup_page.begin))
        if button.objectName().startswith("go_on_")
    ]
    someone.tap(entry.objectName())
    someone.until(lambda: someone.model.line_is_up)
    someone.settle()


def test_stopped_among_readings_it_goes_on_at_the_same_press(someone):
    someone.begin(plan_text(FIRST_SEAT, more=CHECKED_AT_ZERO))
    someone.tap("rung_opening")
    check_at_zero(someone)
    someone.tap("go_on")
    someone.press("110.012", "55.000", "110.013")
    someone.key(Qt.Key.Key_F5)
    someone.key(Qt.Key.Key_0)  # taken back now, the reason owed
    someone.press("110.014")
    someone.key(Qt.Key.Key_PageUp)
    someone.key(Qt.Key.Key_4)  # that one once more: it is doubted
    said = someone.instruction
    assert said == "Measure once more seat A, station 1 (130 mm), at 60°."
    before = someone.model.state
    go_on_after_reopening(someone)
    model = someone.model
    assert model.steps.in_hand is Rung.READINGS
    assert someone.instruction == said
    assert someone.bench.progress.text() == "2 of 3 points"
    assert someone.bench.value.figures.text == "110.014"
    assert not someone.bench.due.isVisible()  # the same gauge and person: no other check
    after = model.state
    for what in ("readings", "parked", "owed", "cursor", "redo_reason", "counting", "checks"):
        assert getattr(after, what) == getattr(before, what), what
    assert someone.seen("Parked: 55.000 mm")
    someone.press("110.015")
    new = model.last_reading
    assert (new.received.value, new.reason) == ("110.015", "Value is doubted")
    old = next(one for one in model.state.readings.values() if one.received.value == "110.014")
    assert someone.stored().readings[old.seq].replaced_by == new.seq
    assert someone.instruction == "Measure seat A, station 1 (130 mm), at 120°."


@pytest.mark.parametrize("stopped", ["condition", "first check", "last check", "seal"])
def test_stopped_at_another_step_it_goes_on_at_that_step(someone, stopped):
    someone.begin(plan_text(FIRST_SEAT, conditions=CONDITIONS, more=CHECKED_AT_ZERO))
    someone.tap("condition_0_met")
    if stopped != "condition":
        someone.tap("condition_1_met")
        someone.tap("go_on")
        someone.tap("go_on")
        someone.press_for_check("0.000")  # held, not logged
    if stopped in ("last check", "seal"):
        someone.tap("log_check")
        someone.tap("go_on")
        someone.press("110.012", "110.013", "110.014")
        someone.tap("go_on_step")
    if stopped == "seal":
        someone.press_for_check("0.000")
        someone.tap("log_check")
        someone.tap("go_on")
        someone.tap("go_on")
    said, before = someone.instruction, someone.model.state
    go_on_after_reopening(someone)
    model = someone.model
    if stopped == "seal":
        assert model.steps.in_hand is Rung.VERDICT  # to be seen before what follows on it
        someone.tap("go_on")
    assert model.steps.in_hand.value == stopped
    assert someone.instruction == said
    after = model.state
    for what in ("conditions", "checks", "readings", "cursor", "identification"):
        assert getattr(after, what) == getattr(before, what), what
    if stopped == "condition":
        assert someone.text_of("condition_0_met").startswith("✓")
        assert not someone.text_of("condition_1_met").startswith("✓")
    if stopped == "first check":
        assert someone.text_of("received") == ""  # what was only held was never logged
    assert someone.stored() == after


# --- people ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("checked", [True, False])
def test_another_person_goes_on_and_checks_where_the_plan_checks(someone, checked):
    someone.begin(plan_text(FIRST_SEAT, more=CHECKED_AT_ZERO if checked else ""))
    model = someone.model
    if checked:
        someone.tap("rung_opening")
        check_at_zero(someone)
        someone.tap("go_on")
    someone.press("110.012")
    following = someone.instruction
    someone.tap("more")
    someone.tap("person")
    assert someone.seen("Who measures from here on? (now Ann)")
    someone.answer_field()
    someone.type("Bo")
    someone.use_own_words()
    assert model.inspector == "Bo"
    assert someone.bench.due.isVisible() is checked
    if checked:
        assert someone.text_of("due_text") == f"▲ Bo measures now; check gauge {GAUGE} again."
        someone.tap("check_now")
        check_at_zero(someone)
        assert not someone.bench.due.isVisible()
    assert someone.instruction == following
    someone.press("110.013", "110.014")
    if checked:
        someone.tap("go_on_step")
        check_at_zero(someone)
    someone.key(Qt.Key.Key_F9)
    if checked:  # the first time it goes to the step of the seal
        someone.key(Qt.Key.Key_F9)
    someone.key(Qt.Key.Key_1)
    someone.until(lambda: model.sealing is not None)
    stored = someone.stored()
    (change,) = stored.changes
    assert (change.payload.from_person, change.payload.to_person) == ("Ann", "Bo")
    assert [reading.actor for reading in stored.readings.values()] == ["Ann", "Bo", "Bo"]
    assert stored.sealed_by.actor == "Bo"
    assert stored.sealed.gaps == ()
    if checked:
        occasions = [(check.check.occasion, check.actor) for check in stored.checks]
        assert occasions == [("start", "Ann"), ("person", "Bo"), ("end", "Bo")]
    sheet = someone.sheet()
    assert "Ann" in sheet
    assert "Bo" in sheet


# --- second thoughts ------------------------------------------------------------------------------


def test_a_redo_keeps_the_old_value_and_its_reason(someone):
    someone.begin(plan_text(FIRST_SEAT))
    someone.press("110.012", "110.013")
    someone.bench.setFocus(Qt.FocusReason.OtherFocusReason)
    someone.key(Qt.Key.Key_1)  # the first point of the walk
    someone.key(Qt.Key.Key_F6)
    someone.key(Qt.Key.Key_2)
    assert someone.instruction == "Measure once more seat A, station 1 (130 mm), at 0°."
    someone.press("110.011")
    assert someone.instruction == "Measure seat A, station 1 (130 mm), at 120°."
    stored = someone.stored()
    first, _, redone = stored.readings.values()
    assert (first.replaced_by, first.counts) == (redone.seq, False)
    assert first.fate.endswith("Dirt or a burr on the seat")
    assert (redone.key, redone.reason) == (first.key, "Dirt or a burr on the seat")


def test_a_redo_may_owe_its_reason_until_the_seal(someone):
    someone.begin(plan_text(FIRST_SEAT, conditions=CONDITIONS))
    model = someone.model
    someone.tap("all_met")
    someone.tap("rung_readings")
    someone.bench.setFocus(Qt.FocusReason.OtherFocusReason)
    someone.press("110.012")
    for _ in range(2):  # a pedal has one key: pressed twice, the reason is owed
        someone.key(Qt.Key.Key_PageUp)
    assert "once more" in someone.instruction
    someone.press("110.011", "110.013", "110.014")
    stored = someone.stored()
    first, second = tuple(stored.readings.values())[:2]
    assert (first.counts, first.replaced_by, second.reason) == (False, second.seq, "reason owed")
    (owed,) = stored.owed.values()
    someone.key(Qt.Key.Key_F2)
    someone.key(Qt.Key.Key_F2)
    assert someone.seen(f"A reason is owed for event {owed.seq}")
    assert not someone.bench.steps.currentWidget().seal.isEnabled()
    someone.tap("owed_0")
    someone.tap("reason1")
    assert someone.stored().owed == {}
    assert not someone.seen("A reason is owed")
    someone.tap("seal_now")
    someone.tap("reason1")
    someone.until(lambda: model.sealing is not None)
    stored = someone.stored()
    assert stored.sealed.gaps == ()
    assert stored.readings[second.seq].reason == "Gauge was not held square"
    assert "Gauge was not held square" in someone.sheet()


def test_a_point_is_skipped_with_a_reason_in_words_of_ones_own(someone):
    someone.begin(plan_text(FIRST_SEAT))
    someone.press("110.012")
    someone.key(Qt.Key.Key_F7)
    assert someone.seen("Why is this point skipped? (A 1/2)")
    someone.answer_field()
    someone.type("7 mm hole for the sensor")  # its digit answers nothing
    someone.key(Qt.Key.Key_Return)  # nor does a Return, which a gauge may type
    assert someone.bench.reason.isVisible()
    someone.use_own_words()
    assert someone.bench.progress.text() == "1 of 3 points, 1 left out"
    someone.press("110.014")
    someone.key(Qt.Key.Key_F9)
    someone.key(Qt.Key.Key_1)
    someone.until(lambda: someone.model.sealing is not None)
    stored = someone.stored()
    assert stored.skipped == {PointKey("A", 1, 2): "7 mm hole for the sensor"}
    assert stored.sealed.gaps == ()
    assert "7 mm hole for the sensor" in someone.sheet()


# --- a gauge that types ---------------------------------------------------------------------------


def test_a_typed_value_belongs_to_the_step_in_hand_and_never_to_a_field(someone):
    someone.begin(plan_text(FIRST_SEAT, more=CHECKED_AT_ZERO), source=KEYBOARD, gauge_number=GAUGE)
    model = someone.model
    someone.tap("rung_opening")
    shaft = someone.bench.steps.currentWidget().fields.edits["shaft"]
    shaft.setFocus()
    type_by_hand(someone, "21.5")
    for number, end in enumerate("\r\t\r", start=1):  # some end with Return, some with Tab
        type_like_a_machine(someone, f"0.00{number % 2}{end}")
        someone.until(lambda number=number: len(model.steps.desk.received) == number)
        someone.qtbot.wait(100)
        assert shaft.text() == "21.5"
        assert shaft.hasFocus()
    someone.tap("log_check")
    assert [one.value for one in someone.stored().checks[0].check.received] == [
        "0.001",
        "0.000",
        "0.001",
    ]
    assert someone.stored().checks[0].check.shaft_c == "21.5"
    someone.tap("go_on")
    someone.tap("more")
    someone.tap("note")
    note = someone.answer_field()
    type_by_hand(someone, "oil at ")
    type_like_a_machine(someone, "110.012\r")
    someone.until(lambda: model.progress[0] == 1)
    type_by_hand(someone, "130 mm")
    assert note.text() == "oil at 130 mm"
    assert someone.bench.reason.isVisible()
    assert someone.bench.value.figures.text == "110.012"
    someone.use_own_words()
    stored = someone.stored()
    (entry,) = stored.notes
    assert entry.payload.text == "oil at 130 mm"
    (reading,) = stored.readings.values()
    assert (reading.received.value, reading.key) == ("110.012", PointKey("A", 1, 1))
    assert not reading.received.by_hand


# --- drift ----------------------------------------------------------------------------------------


def measured_with_drift(someone):
    """Measure everything, and find the gauge off by 8 µm at the last check; 3 µm are allowed."""
    someone.begin(plan_text(FIRST_SEAT, more=CHECKED_AT_ZERO))
    someone.tap("rung_opening")
    check_at_zero(someone)
    someone.tap("go_on")
    someone.press("110.012", "110.013", "110.014")
    someone.tap("go_on_step")
    check_at_zero(someone, "0.008", "0.008", "0.009")
    assert "beyond the plan's limit" in someone.text_of("check_outcome")
    stored = someone.stored()
    assert [check.good for check in stored.checks] == [True, False]


def drift_gaps(someone):
    return [gap for gap in someone.model.gaps if gap.kind is GapKind.DRIFT]


def test_readings_in_doubt_are_measured_again_and_the_seal_is_clean(someone):
    measured_with_drift(someone)
    model = someone.model
    (gap,) = drift_gaps(someone)
    assert len(gap.points) == 3
    someone.tap("rung_readings")
    assert "The last check of gauge M-4 was beyond the limit" in someone.text_of("due_text")
    someone.tap("rung_verdict")
    someone.until(lambda: someone.marks() == {"not proven"})
    assert gap.what in someone.text_of("stands_open")
    someone.key(Qt.Key.Key_F2)
    assert someone.seen(gap.what)
    assert not someone.bench.steps.currentWidget().seal.isEnabled()
    someone.tap("rung_closing")
    check_at_zero(someone, "0.001", "0.000", "0.000")  # set anew
    assert someone.stored().checks[-1].good
    someone.tap("rung_readings")
    assert not someone.bench.due.isVisible()
    someone.bench.setFocus(Qt.FocusReason.OtherFocusReason)
    for number, value in enumerate(("110.011", "110.012", "110.013")):
        someone.key(Qt.Key.Key_Right)  # where nothing is next, the first point is selected
        for _ in range(number):
            someone.key(Qt.Key.Key_Up)
        someone.key(Qt.Key.Key_F6)
        someone.key(Qt.Key.Key_4)
        assert "once more" in someone.instruction
        someone.press(value)
    assert drift_gaps(someone) == []
    someone.tap("go_on_step")
    check_at_zero(someone, "0.000", "0.001", "0.000")
    someone.tap("go_on")
    someone.until(lambda: someone.marks() == {"conforms"})
    assert someone.text_of("stands_open") == "Nothing is open."
    someone.tap("go_on")
    someone.tap("seal_now")
    someone.tap("reason1")
    someone.until(lambda: model.sealing is not None)
    stored = someone.stored()
    assert stored.sealed.gaps == ()
    counting = [one.received.value for one in stored.readings.values() if one.counts]
    assert counting == ["110.011", "110.012", "110.013"]
    assert [check.good for check in stored.checks] == [True, False, True, True]
    assert len(stored.readings) == 6  # the doubtful ones are kept


@pytest.mark.parametrize("accepted", [True, False])
def test_readings_in_doubt_are_sealed_only_with_what_is_said_of_them(someone, accepted):
    measured_with_drift(someone)
    model = someone.model
    (gap,) = drift_gaps(someone)
    someone.tap("go_on")
    someone.until(lambda: someone.marks() == {"not proven"})
    someone.tap("go_on")
    words = "Accepted: the readings lie far from the limits"
    assert not someone.bench.steps.currentWidget().seal.isEnabled()
    someone.tap("gap_0")
    assert someone.seen(f"Why is it sealed all the same? {gap.what}")
    someone.tap("reason1")
    if accepted:
        someone.tap("deviation_0")
        assert someone.seen("Why are these readings accepted?")
        someone.tap("reason1")
    someone.tap("seal_now")
    someone.tap("reason2")
    someone.until(lambda: model.sealing is not None)
    stored = someone.stored()
    noted = [(entry.payload.what, entry.payload.reason) for entry in stored.deviations]
    assert noted == ([(gap.what, words)] if accepted else [])
    (closed,) = stored.sealed.gaps
    assert closed.what == gap.what
    assert closed.reason == "It cannot be done here; agreed with the customer"
    assert {place.key for place in closed.points} == set(gap.points)
    sheet = someone.sheet()
    assert closed.reason in sheet
    assert (words in sheet) is accepted
    assert ("All requirements conform" in sheet or "The one requirement conforms." in sheet) is (
        accepted
    )


def test_a_reason_owed_is_asked_for_where_the_plan_has_no_steps(someone):
    someone.begin(plan_text(FIRST_SEAT))
    someone.press("110.012")
    for _ in range(2):  # the pedal once more: done now, the reason owed
        someone.key(Qt.Key.Key_PageUp)
    someone.press("110.011", "110.013", "110.014")
    someone.key(Qt.Key.Key_F9)
    assert someone.bench.reason.isVisible()
    assert someone.seen("Why: ")
    someone.key(Qt.Key.Key_1)
    assert someone.stored().owed == {}
    assert someone.bench.reason.isVisible()  # and now for the statement
    someone.key(Qt.Key.Key_1)
    someone.until(lambda: someone.model.sealing is not None)
    assert someone.stored().sealed.gaps == ()


def test_a_deviation_once_recorded_is_shown_and_answers_for_its_gap(someone):
    measured_with_drift(someone)
    (gap,) = drift_gaps(someone)
    someone.tap("go_on")
    someone.tap("go_on")
    someone.tap("deviation_0")
    someone.tap("reason1")  # a short question
    assert someone.seen("✓ Accepted: the readings lie far from the limits")
    assert someone.text_of("deviation_0") == ""
    someone.tap("gap_0")
    someone.tap("reason1")  # of a longer question: its answers do not lie over each other
    someone.tap("seal_now")
    someone.tap("reason2")
    someone.until(lambda: someone.model.sealing is not None)
    (closed,) = someone.stored().sealed.gaps
    assert closed.what == gap.what
    assert closed.reason == "It cannot be done here; agreed with the customer"


def test_a_deviation_alone_answers_for_its_gap(someone):
    measured_with_drift(someone)
    someone.tap("go_on")
    someone.tap("go_on")
    someone.tap("deviation_0")
    someone.tap("reason1")
    someone.tap("seal_now")
    someone.tap("reason2")
    someone.until(lambda: someone.model.sealing is not None)
    (closed,) = someone.stored().sealed.gaps
    assert closed.reason == "Accepted: the readings lie far from the limits"

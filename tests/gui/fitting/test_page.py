"""The fitting page: what shows at which moment, keys, taps, and nothing chosen by accident."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QLineEdit, QPushButton

from seatproof.gui.fitting.joint_view import JointView
from seatproof.gui.fitting.page import FittingPage
from seatproof.gui.settings import Action, Settings
from seatproof.gui.shared.theme import CONTRAST, DARK, LIGHT


@pytest.fixture
def page_of(qtbot, dress):
    """Show the page of a fitting."""

    def make(model, theme=LIGHT, scale=1.0, size=(1280, 800)):
        dress(theme, scale)
        page = FittingPage(model, theme, Settings(), lambda: None)
        qtbot.addWidget(page)
        page.resize(*size)
        page.show()
        qtbot.waitExposed(page)
        return page

    return make


def click(page, name):
    found = page.findChild(QPushButton, name)
    assert found.isVisible(), name
    assert found.isEnabled(), name
    found.click()


def at_joint(model):
    kinds = [step.kind for step in model.state.plan.fitting]
    model.go_to(kinds.index("torque"))
    model.bolting.note_threads(model.step, "clean and dry")
    model.bolting.put_in_service(model.step, model.tools()[0])
    return model.step


def test_page_begins_with_the_gate_then_the_isolation_then_the_steps(page_of, sealed):
    model = sealed()
    page = page_of(model)
    assert "Released for fitting" in page.opening.release.text()
    assert not page.list.isEnabled()
    click(page, "begin_fitting")
    page.opening.fields.edits["permit"].setText("P-7")
    click(page, "confirm_isolation")
    assert page.list.isEnabled()
    assert model.state.fitting.isolations[0].payload.permit == "P-7"
    click(page, "answer_met")
    assert model.state.fitting.answer("locked").answer == "met"


def test_not_released_stands_on_every_screen(page_of, sealed):
    model = sealed(verdict="not proven")
    page = page_of(model)
    assert not page.opening.begin.isVisible()
    click(page, "begin_unreleased")
    page.reason.give("trial fit")
    model.confirm_isolation()
    for number in range(len(model.steps) + 1):
        page._go_to(number)
        assert page.banner.isVisible()
        assert page.banner.text().startswith("⚠ NOT RELEASED FOR FITTING: Seat A")


def test_cautions_are_whole_until_the_step_is_begun(page_of, ready):
    model = ready()
    page = page_of(model)
    card = page._card()
    assert all(label.isVisible() for label in card._others)
    click(page, "answer_met")
    assert not any(label.isVisible() for label in card._others)
    click(page, "all_cautions")
    assert all(label.isVisible() for label in card._others)


def test_not_met_asks_what_was_found(page_of, ready):
    model = ready()
    page = page_of(model)
    click(page, "answer_not_met")
    assert page.reason.isVisible()
    page.reason.give_up()
    assert model.state.fitting.answer("locked") is None
    click(page, "answer_not_met")
    page.reason.give("the lock is missing")
    assert model.state.fitting.answer("locked").note == "the lock is missing"


def test_enter_and_the_pedal_confirm_a_bolt_but_not_while_something_is_typed(qtbot, page_of, ready):
    model = ready()
    step = at_joint(model)
    page = page_of(model)
    qtbot.waitUntil(page.isActiveWindow)
    page.setFocus()
    qtbot.keyClick(page, Qt.Key.Key_Return)
    assert len(model.state.fitting.work[step.id]) == 1
    pedal = Settings().key(Action.NEXT)
    assert pedal == "PgDown"
    qtbot.keyClick(page, Qt.Key.Key_PageDown)
    assert len(model.state.fitting.work[step.id]) == 2
    typed = page.findChild(QLineEdit, "typed_torque")
    typed.setFocus()
    qtbot.keyClick(typed, Qt.Key.Key_Return)
    assert len(model.state.fitting.work[step.id]) == 2
    assert "is no torque" in page.problem.text()
    click(page, "loosen")
    qtbot.keyClick(page, Qt.Key.Key_Return)  # a question is open
    assert len(model.state.fitting.work[step.id]) == 2


def test_bolt_is_chosen_by_a_tap_and_said_when_out_of_order(qtbot, page_of, ready):
    model = ready()
    step = at_joint(model)
    page = page_of(model)
    joint = page.findChild(JointView, "joint")
    at = joint.position_of("5").toPoint()
    qtbot.mouseClick(joint, Qt.MouseButton.LeftButton, pos=at)
    assert model.bolting.turn(step).bolt == "5"
    click(page, "confirm_bolt")
    assert "taken out of order" in page.said.text()
    assert page.said.isVisible()
    assert "bolt 5: done, departs" in joint.accessibleName()


def test_threads_and_tool_come_first_and_then_make_room(page_of, ready, tool):
    model = ready(tools=(tool(due="2026-01-31"),))
    kinds = [step.kind for step in model.state.plan.fitting]
    model.go_to(kinds.index("torque"))
    page = page_of(model)
    card = page._card()
    assert not card.confirm.isEnabled()
    assert "state the threads are" in card.why_not.text()
    click(page, "note_threads")
    assert "in which state" in page.problem.text()
    card.lubricant.setCurrentText("lightly oiled, threads and faces")
    click(page, "note_threads")
    assert card.confirm.isEnabled()
    click(page, "put_tool")
    assert page.reason.isVisible()  # its calibration has run out
    page.reason.give("no other is here")
    assert model.state.fitting.tool("TT-7").override_reason == "no other is here"
    assert not any(frame.isVisible() for frame in card._before)
    assert "used all the same: no other is here" in card.with_what.text()


def test_another_order_and_loosening_ask_for_a_reason(page_of, ready):
    model = ready()
    step = at_joint(model)
    page = page_of(model)
    card = page._card()
    card.new_order.setText("6, 5, 4, 3, 2")
    click(page, "take_order")
    page.reason.give("cannot be reached")
    assert "Bolt 1 is missing" in page.problem.text()
    card.new_order.setText("6, 5, 4, 3, 2, 1")
    click(page, "take_order")
    page.reason.give("cannot be reached")
    assert model.bolting.turn(step).bolt == "6"
    click(page, "confirm_bolt")
    click(page, "loosen")
    page.reason.give("cover askew")
    assert model.bolting.progress(step).restarts == 1


def test_check_pass_asks_whether_a_bolt_turned(qtbot, page_of, ready):
    model = ready()
    step = at_joint(model)
    for _ in range(18):
        model.bolting.confirm(step)
    page = page_of(model)
    qtbot.waitUntil(page.isActiveWindow)
    card = page._card()
    assert card.turned.isVisible()
    page.setFocus()
    qtbot.keyClick(page, Qt.Key.Key_F3)
    assert model.state.fitting.work[step.id][-1].payload.turned


def test_another_person_confirms_the_isolation_anew(page_of, ready):
    model = ready()
    page = page_of(model)
    click(page, "change_person")
    page.reason.give("Bea")
    assert model.person == "Bea"
    assert page.opening.confirm.isVisible()
    assert page.opening.confirm.text() == "Bea: all of this is so"


def test_seal_names_what_is_open_and_takes_reasons(qtbot, page_of, ready):
    model = ready()
    page = page_of(model)
    page._go_to(99)
    assert not page.seal.seal.isEnabled()
    for number in range(len(model.gaps)):
        qtbot.wait(20)  # rows are made anew
        click(page, f"fit_gap_{number}")
        page.reason.give("trial")
    assert page.seal.seal.isEnabled()
    click(page, "seal_fitting")
    page.reason.give("Fitted in part.")
    assert model.is_sealed
    assert page.seal.words.text().startswith("✓ The fitting is sealed")
    page.seal.reviewer.edits["name"].setText("Ann")
    click(page, "review_accepted")
    assert "another person's review" in page.problem.text()
    page.seal.reviewer.edits["name"].setText("Cid")
    click(page, "review_accepted")
    assert page.seal.reviewed.text() == "accepted, by Cid"


@pytest.mark.parametrize("theme", [LIGHT, DARK, CONTRAST], ids=lambda theme: theme.name)
@pytest.mark.parametrize("plan", ["kiln fan", "screw pump"])
def test_next_bolt_is_told_without_colour(page_of, ready, theme, plan):
    """In grey as in colour: its head is filled, larger than any other, and it has a word."""
    model = ready(plan)
    step = at_joint(model)
    page = page_of(model, theme)
    joint = page.findChild(JointView, "joint")
    grey = joint.grab().toImage().convertToFormat(QImage.Format.Format_Grayscale8)

    def shade(bolt, radii):
        """The grey to the right of a bolt's middle, so many radii of an ordinary head away."""
        at, scale = joint.position_of(bolt), grey.width() / joint.width()
        x = round((at.x() + radii * joint._radius()) * scale)
        return grey.pixelColor(x, round(at.y() * scale)).red()

    following = model.bolting.turn(step).bolt
    others = [name for name in step.bolt_names if name != following]
    filled = shade(following, 0.9)
    assert abs(shade(following, 1.3) - filled) < 8
    assert all(abs(shade(other, 0.85) - filled) > 50 for other in others)
    assert f"bolt {following}: next" in joint.accessibleName()


def test_large_text_leaves_the_joint_and_the_instruction_on_the_screen(page_of, ready):
    model = ready()
    step = at_joint(model)
    model.bolting.confirm(step)
    page = page_of(model, LIGHT, 2.0)
    assert page.size().width() == 1280
    joint, area = page.findChild(JointView, "joint"), page.cards.currentWidget()
    for bolt in step.bolt_names:
        at = joint.mapTo(area, joint.position_of(bolt).toPoint())
        assert area.rect().contains(at), bolt
    assert not page._list_area.isVisible()
    click(page, "show_steps")
    assert page._list_area.isVisible()
    click(page, "step_0")
    assert model.number == 0
    assert not page._list_area.isVisible()

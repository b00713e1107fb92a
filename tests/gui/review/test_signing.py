"""Signing on: who is offered, wrong passphrases, and entering people with an administrator."""

import pytest
from PySide6.QtCore import Qt

from seatproof.core.people.key import Cost
from seatproof.core.people.register import PeopleRegister
from seatproof.gui.shared.signing import SigningPanel
from tests.gui.review.conftest import PASSPHRASE, ticking

CHEAP = Cost(iterations=1, lanes=1, memory_kib=64)


@pytest.fixture
def panel(qtbot, archive):
    clock = ticking()
    made = SigningPanel(lambda: PeopleRegister.open(archive, clock, CHEAP))
    qtbot.addWidget(made)
    made.signers = []
    made.signed_on.connect(made.signers.append)
    return made


def click(qtbot, button):
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)


def assert_problem_after(form, field, words):
    """Assert that what was wrong stands in the row under that field."""
    layout = form.layout()
    row, _ = layout.getWidgetPosition(form._problem)
    assert words in form._problem.text()
    assert not form._problem.isHidden()
    assert layout.getWidgetPosition(field)[0] == row - 1
    assert form.focusWidget() in (field, None)


def offered(panel):
    return [panel.who.itemText(number) for number in range(panel.who.count())]


def test_only_those_with_the_role_are_offered(panel, register):
    panel.ask("Sign the seal", "inspector")
    assert offered(panel) == ["Ann Miller"]
    panel.ask("Sign the review", "quality lead")
    assert offered(panel) == ["Ann Miller", "Bo"]


def test_the_right_passphrase_opens_the_key_and_is_forgotten(qtbot, panel, register):
    panel.ask("Sign the seal", "inspector")
    panel.passphrase.setText("guess")
    click(qtbot, panel.sign)
    assert "Ann Miller" in panel.trouble.text()
    assert panel.signers == []
    panel.passphrase.setText(PASSPHRASE)
    click(qtbot, panel.sign)
    (signer,) = panel.signers
    assert signer.name == "Ann Miller"
    assert panel.passphrase.text() == ""


def test_the_first_person_is_an_administrator(qtbot, panel, archive):
    panel.ask("Sign the seal", "inspector")
    assert not panel.sign.isEnabled()
    form = panel.form
    form.name.setText("Dee")
    form.first.setText(PASSPHRASE)
    form.again.setText("something else")
    click(qtbot, form.enter)
    assert_problem_after(form, form.again, "differ")
    assert panel.trouble.text() == ""  # that one belongs to who signs
    form.first.setText("short")
    form.again.setText("short")
    click(qtbot, form.enter)
    assert_problem_after(form, form.first, "too short")
    form.first.setText(PASSPHRASE)
    form.again.setText(PASSPHRASE)
    click(qtbot, form.enter)
    (dee,) = PeopleRegister.open(archive, ticking()).active()
    assert set(dee.roles) == {"inspector", "administrator"}
    assert offered(panel) == ["Dee"]


def test_others_are_entered_with_an_administrators_passphrase(qtbot, panel, register, archive):
    panel.ask("Sign the seal", "inspector")
    form = panel.form
    for passphrase, said in (("guess", "Bo"), (PASSPHRASE, "")):
        form.name.setText("Eve")
        form.first.setText(PASSPHRASE)
        form.again.setText(PASSPHRASE)
        form.voucher_passphrase.setText(passphrase)
        click(qtbot, form.enter)
        if said:
            assert_problem_after(form, form.voucher_passphrase, said)
            assert panel.trouble.text() == ""
    assert panel.who.currentText() == "Eve"
    names = [person.name for person in PeopleRegister.open(archive, ticking()).active()]
    assert names == ["Ann Miller", "Bo", "Cy", "Eve"]


def test_not_now_hides_the_panel(qtbot, panel, register):
    panel.ask("Sign the seal", "inspector")
    with qtbot.waitSignal(panel.given_up):
        click(qtbot, panel.give_up)
    assert panel.isHidden()

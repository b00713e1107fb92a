"""Forms made from lists of fields: the keyboard's way through them, and what stands beside them."""

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QLabel

from seatproof.gui.shared.entry_form import EntryForm
from seatproof.gui.shared.entry_rows import EntryRows
from seatproof.gui.shared.entry_spec import Entry, EntryKind, Remark, Tone, choice, yes

FIELDS = (
    Entry("first", "First, {unit}"),
    Entry("second", "Second"),
    choice("third", "Third", ("a", "b")),
    yes("fourth", "Fourth"),
    Entry("fifth", "Fifth", kind=EntryKind.LINES),
)


@pytest.fixture
def form(qtbot):
    form = EntryForm("x")
    qtbot.addWidget(form)
    form.show_form(FIELDS, {"first": "1", "third": "b", "fourth": True}, {}, "mm")
    form.show()
    return form


def test_return_goes_to_the_next_field(qtbot, form):
    qtbot.waitUntil(form.isActiveWindow)
    form.go_to("first")
    qtbot.keyClick(form.fields["first"], Qt.Key.Key_Return)
    assert form.fields["second"].hasFocus()


def test_every_change_is_told_by_its_key(qtbot, form):
    told = []
    form.edited.connect(lambda key, value: told.append((key, value)))
    qtbot.keyClicks(form.fields["second"], "7")
    form.fields["fourth"].click()
    qtbot.keyClicks(form.fields["fifth"], "z")
    qtbot.keyClick(form.fields["third"], Qt.Key.Key_Up)
    assert told == [("second", "7"), ("fourth", False), ("fifth", "z"), ("third", "a")]


def test_what_is_shown_tells_nothing(form):
    told = []
    form.edited.connect(lambda *change: told.append(change))
    form.show_form(FIELDS, {"first": "2", "third": "a", "fifth": "lines"}, {}, "mm")
    assert form.fields["first"].text() == "2"
    assert form.fields["third"].currentText() == "a"
    assert told == []


def test_a_form_may_change_its_fields_while_one_of_them_is_being_changed(qtbot, form):
    form.edited.connect(lambda key, _: form.show_form(FIELDS[1:3], {"third": "a"}, {}, "mm"))
    qtbot.keyClick(form.fields["third"], Qt.Key.Key_Up)
    assert set(form.fields) == {"second", "third"}


def test_the_wheel_scrolls_past_a_choice(form):
    box = form.fields["third"]
    wheel = QWheelEvent(
        QPointF(5, 5), QPointF(5, 5), QPoint(0, 0), QPoint(0, 120), Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier, Qt.ScrollPhase.NoScrollPhase, False,
    )  # fmt: skip
    box.wheelEvent(wheel)
    assert not wheel.isAccepted()
    assert box.currentText() == "b"


@pytest.mark.parametrize(("tone", "mark"), [(Tone.WRONG, "✗"), (Tone.MISSING, "○")])
def test_a_remark_has_a_mark_and_stands_beside_its_field(form, tone, mark):
    form.show_form(FIELDS, {}, {"second": Remark("So.", tone)}, "mm")
    label = form.findChild(QLabel, "remark_x_second")
    assert label.isVisible()
    assert label.text() == f"{mark} So."
    form.show_form(FIELDS, {}, {}, "mm")
    assert not label.isVisible()


def test_rows_tell_which_one_is_meant(qtbot):
    rows = EntryRows("y", FIELDS[:2], "Add", own_button="use")
    qtbot.addWidget(rows)
    told = []
    rows.edited.connect(lambda *change: told.append(change))
    rows.removed.connect(lambda row: told.append(("removed", row)))
    rows.moved.connect(lambda row: told.append(("moved", row)))
    rows.tapped.connect(lambda row: told.append(("tapped", row)))
    rows.show_rows([{"first": "1"}, {"first": "2"}], {1: Remark("No.")}, "in")
    rows.show()
    qtbot.keyClicks(rows.fields[1, "second"], "9")
    for name in ("less", "up", "own"):
        rows.findChild(object, f"y_2_{name}").click()
    assert told == [(1, "second", "9"), ("removed", 1), ("moved", 1), ("tapped", 1)]
    assert rows.findChild(QLabel, "remark_y_2").text() == "✗ No."
    assert not rows.findChild(object, "y_1_up").isEnabled()

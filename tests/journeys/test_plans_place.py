"""Plans made, changed and printed in the window, by somebody who follows the screen."""

from pathlib import Path

import pypdf
import pytest
from PySide6.QtCore import QEvent, Qt
from PySide6.QtWidgets import QApplication, QLineEdit

from seatproof.core.archive.file import Archive
from seatproof.core.files import example
from seatproof.core.plan.file import load_plan
from seatproof.core.registers.plans import PlanBook
from seatproof.gui.plans import place as plans_place
from seatproof.gui.setup.demonstration import demonstration_form
from seatproof.gui.setup.model import NO_WIRE
from seatproof.gui.shared.theme import LIGHT, apply_theme
from seatproof.gui.window import MainWindow
from seatproof.gui.workplace import Workplace, local_now

PATIENCE_MS = 10_000


@pytest.fixture
def archive(tmp_path):
    return Archive.open(tmp_path / "archive.seatproof")


@pytest.fixture
def window(qapp, archive):
    apply_theme(qapp, LIGHT)
    window = MainWindow(Workplace(archive), LIGHT, demonstration_form())
    window.resize(1280, 800)
    window.show()
    yield window
    window.close()
    # Gone at once: a window that lingers is styled again with every one that follows.
    window.deleteLater()
    QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)


@pytest.fixture
def place(window):
    window.go_to_place("plans")
    return window._made["plans"]


def keep(archive, text):
    book = PlanBook.open(archive, local_now, archive.plan_is_used)
    return book.keep("A. Weber", text)


def opened_with(archive, text):
    """Open an inspection from a plan, so that its version counts as used."""
    from seatproof.core.record.inspection import Inspection
    from seatproof.core.record.kinds import Identification

    Inspection.create(
        archive,
        plan_toml=text,
        identification=Identification(sheet_number="T-1", shaft_serial="1"),
        actor="A. Weber",
        clock=local_now,
    )


def test_a_first_plan_by_keyboard_alone_following_the_button_that_says_what_is_next(
    qtbot, window, place, archive
):
    qtbot.waitUntil(window.isActiveWindow, timeout=PATIENCE_MS)
    place.list.new.setFocus()
    qtbot.keyClick(place.list.new, Qt.Key.Key_Space)
    answers = {
        "plan_title": "Kiln fan, trial",
        "section_1_length": "60",
        "section_1_diameter": "110",
        "seat_tolerance_class": "k6",
        "seat_asked_tolerance_class": "k6",
        "uncertainty_expanded": "0.003",
        "uncertainty_repeatability": "0.0005",
        "uncertainty_basis": "test of this morning",
    }
    view = place.editor
    for _ in range(20):
        if not view.next.isVisible():
            break
        focused = QApplication.focusWidget()
        if isinstance(focused, QLineEdit):
            qtbot.keyClicks(focused, answers[focused.objectName()])
        else:  # there is no seat yet: its button has the keyboard
            assert focused.objectName() == "seat_add"
            view.show_part("Shaft")
            view.parts["Shaft"].findChild(object, "section_1_own").click()
            continue
        qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_F8)
    assert view.whole.text() == "✓ The plan is whole: 12 points."
    view.person.setFocus()
    qtbot.keyClicks(view.person, "A. Weber")
    qtbot.keyClick(view.person, Qt.Key.Key_S, Qt.KeyboardModifier.ControlModifier)
    assert place.editor is None
    (kept,) = PlanBook.open(archive, local_now, archive.plan_is_used).offered()
    assert (kept.title, kept.version, kept.kept_by) == ("Kiln fan, trial", "1", "A. Weber")
    assert "Kept: Kiln fan, trial, version 1." in place.list.done.text()


def test_errors_stand_beside_their_field_and_go_when_mended(qtbot, place):
    place.list.new.click()
    view = place.editor
    view.show_part("Shaft")
    field = view.findChild(QLineEdit, "section_1_diameter")
    qtbot.keyClicks(field, "11o")
    remark = view.findChild(object, "remark_section_1")
    assert remark.isVisible()
    assert remark.text().startswith('✗ Diameter: "11o" cannot be read')
    field.clear()
    qtbot.keyClicks(field, "110")
    assert "○" in remark.text()  # the length is still to come
    qtbot.keyClicks(view.findChild(QLineEdit, "section_1_length"), "60")
    assert not remark.isVisible()
    assert view.drawing.accessibleDescription() == "1 section; seats: none yet"


def test_a_used_version_is_followed_by_a_new_one(qtbot, place, archive):
    text = example("kiln_fan.toml").read_text()
    keep(archive, text)
    opened_with(archive, text)
    place.activate()
    assert "used, stays" in place.list.list.item(0).text()
    assert place.list.change.text() == "Make the next version"
    place.list.change.click()
    view = place.editor
    assert view.editor.value(("plan", "version")) == "2"
    # Writing the old number back is refused beside the field.
    view.editor.put(("plan", "version"), "1")
    view.editor.put(("seat", 0, "repeats"), "2")
    assert not view.keep.isEnabled()
    assert "it stays as it is" in view.findChild(object, "remark_plan_version").text()
    view.editor.put(("plan", "version"), "2")
    view.person.setText("A. Weber")
    view.keep.click()
    book = PlanBook.open(archive, local_now, archive.plan_is_used)
    assert book.plans["Drying-kiln fan, main shaft", "1"].text == text
    assert "repeats = 2" in book.plans["Drying-kiln fan, main shaft", "2"].text


def test_a_version_that_was_used_from_a_file_is_not_kept_with_another_text(
    place, archive, tmp_path, monkeypatch
):
    text = example("kiln_fan.toml").read_text()
    opened_with(archive, text)  # never kept in the register
    same, other = tmp_path / "same.toml", tmp_path / "other.toml"
    same.write_text(text)
    other.write_text(text.replace("repeats = 1", "repeats = 3"))
    for path, may_be_kept in ((same, True), (other, False)):
        monkeypatch.setattr(plans_place, "file_to_read", lambda *_, path=path: path)
        place.list.read.click()
        assert place.editor.keep.isEnabled() is may_be_kept
        place.editor.back.click()


def test_leaving_a_changed_plan_is_asked_twice(qtbot, place):
    place.list.new.click()
    view = place.editor
    qtbot.keyClicks(view.findChild(QLineEdit, "plan_title"), "x")
    view.back.click()
    assert view.back.text() == "Leave without keeping?"
    assert place.editor is view
    view.back.click()
    assert place.editor is None


def test_files_in_and_out(qtbot, place, archive, tmp_path, monkeypatch):
    monkeypatch.setattr(plans_place, "file_to_read", lambda *_: example("screw_pump.toml"))
    monkeypatch.setattr(plans_place.QDesktopServices, "openUrl", lambda _: True)
    place.list.read.click()
    place.editor.person.setText("A. Weber")
    place.editor.keep.click()
    for name, button in (("out.toml", "export_plan"), ("s.pdf", "strips"), ("b.pdf", "blank")):
        monkeypatch.setattr(plans_place, "file_to_write", lambda *_, name=name: tmp_path / name)
        place.list.findChild(object, button).click()
        assert place.list.done.text() == f"✓ Written: {tmp_path / name}"
    assert (tmp_path / "out.toml").read_text() == example("screw_pump.toml").read_text()
    strips = pypdf.PdfReader(tmp_path / "s.pdf").pages[0].extract_text()
    assert "Seat L, round the shaft" in strips
    assert "readings by hand" in pypdf.PdfReader(tmp_path / "b.pdf").pages[0].extract_text()


def test_a_file_that_is_no_plan_is_refused_with_its_problems(place, tmp_path, monkeypatch):
    bad = tmp_path / "bad.toml"
    bad.write_text("format = 1\n")
    monkeypatch.setattr(plans_place, "file_to_read", lambda *_: bad)
    place.list.read.click()
    assert place.editor is None
    assert "plan: is missing; add it" in place.list.trouble.text()


def test_the_bench_gets_a_file_of_the_version(qtbot, place, archive):
    keep(archive, example("kiln_fan.toml").read_text())
    place.activate()
    with qtbot.waitSignal(place.measure_wanted) as caught:
        place.list.measure.click()
    assert load_plan(caught.args[0]).heading.title == "Drying-kiln fan, main shaft"


def test_a_kept_plan_is_measured_with_and_then_stays_as_it_is(qtbot, window, place, archive):
    keep(archive, example("screw_pump.toml").read_text())
    place.activate()
    place.list.measure.click()
    page = window.setup_page
    assert page.isVisible()
    assert load_plan(Path(page.form().plan_file)).heading.title == "Screw pump, lower bearing"
    for name, text in (
        ("inspector", "A. Weber"),
        ("shaft_serial", "SP-2"),
        ("gauge_number", "M-07"),
        ("resolution", "0.00005"),
    ):
        page.edits[name].setText(text)
    page.source.setCurrentText(NO_WIRE)
    page.begin.click()
    assert window.bench_view is not None
    window.go_to_place("plans")
    assert "used, stays" in place.list.list.item(0).text()
    assert place.list.change.text() == "Make the next version"


def test_put_away_with_a_reason(qtbot, place, archive):
    keep(archive, example("kiln_fan.toml").read_text())
    place.activate()
    away = place.list.findChild(object, "put_away")
    away.click()
    assert "name and a reason" in place.list.trouble.text()
    place.list.person.setText("A. Weber")
    place.list.reason.setText("drawing superseded")
    away.click()
    assert place.list.list.count() == 0
    assert place.list.empty.isVisible()


def test_text_fields_hold_the_keys(place):
    place.list.new.click()
    place.editor.findChild(QLineEdit, "plan_title").setFocus()
    assert place.holds_keys()
    place.editor.back.setFocus()
    assert not place.holds_keys()

"""The register of equipment in the window, with a simulated gauge on a real pseudo-terminal."""

import threading
from datetime import timedelta

import pytest
from PySide6.QtCore import QEvent, Qt
from PySide6.QtWidgets import QApplication, QLineEdit

from seatproof.core.archive.file import Archive
from seatproof.core.equipment.book import EquipmentBook
from seatproof.core.equipment.item import Certificate, Item, ItemKind, LineOfGauge
from seatproof.core.files import example
from seatproof.core.plan.file import load_plan
from seatproof.core.record.inspection import Inspection
from seatproof.core.record.kinds import Identification
from seatproof.devices.declared.known import find_format
from seatproof.devices.simulated.line import SimulatedLine
from seatproof.gui.gauges import papers_page
from seatproof.gui.setup.demonstration import demonstration_form
from seatproof.gui.shared.theme import LIGHT, apply_theme
from seatproof.gui.simulation import SimulatedGauge, SteadyHand
from seatproof.gui.window import MainWindow
from seatproof.gui.workplace import Workplace, local_now

PATIENCE_MS = 10_000


@pytest.fixture(autouse=True)
def no_thread_left():
    before = set(threading.enumerate())
    yield
    left = [thread.name for thread in threading.enumerate() if thread not in before]
    assert not left, f"still running after the test: {left}"


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
    window.go_to_place("gauges")
    return window._made["gauges"]


@pytest.fixture
def simulated():
    gauge = SimulatedGauge.for_plan(example("kiln_fan.toml"))
    gauge.aim(load_plan(example("kiln_fan.toml")).points()[0])
    yield gauge
    gauge.close()


def micrometer(**more):
    return Item(
        kind=ItemKind.MICROMETER,
        inventory_number="M-07",
        resolution="0.001",
        permissible_error_mm="0.004",
        **more,
    )


def book(archive):
    return EquipmentBook.open(archive, local_now)


def day(days):
    return (local_now().date() + timedelta(days=days)).isoformat()


def test_a_gauge_is_entered_by_keyboard(qtbot, window, place, archive):
    qtbot.waitUntil(window.isActiveWindow, timeout=PATIENCE_MS)
    qtbot.keyClick(place.new, Qt.Key.Key_N, Qt.KeyboardModifier.ControlModifier)
    papers = place.view.papers
    assert QApplication.focusWidget().objectName() == "item_inventory_number"
    qtbot.keyClicks(QApplication.focusWidget(), "M-07")
    assert not papers.save.isEnabled()
    qtbot.keyClicks(papers.findChild(QLineEdit, "item_resolution"), "0.001")
    qtbot.keyClicks(papers.findChild(QLineEdit, "item_certificate_due"), day(10))
    assert papers.save.isEnabled()
    qtbot.keyClick(papers.person, Qt.Key.Key_S, Qt.KeyboardModifier.ControlModifier)
    assert "your name first" in place.trouble.text()
    qtbot.keyClicks(papers.person, "A. Weber")
    qtbot.keyClick(papers.person, Qt.Key.Key_S, Qt.KeyboardModifier.ControlModifier)
    entry = book(archive).entries["M-07"]
    assert entry.item.resolution == "0.001"
    assert entry.history[0].actor == "A. Weber"
    assert "due soon" in place.list.item(0).text()
    assert place.warnings.text() == f"The calibration of M-07 is due in 10 days, on {day(10)}."


def test_what_is_due_comes_first_and_a_change_needs_its_reason(qtbot, place, archive):
    register = book(archive)
    register.enter("A. Weber", micrometer(certificate=Certificate(due=day(400))))
    old = Item(
        kind=ItemKind.STANDARD,
        inventory_number="S-1",
        actual_mm="100.0008",
        expanded_mm="0.0006",
        certificate=Certificate(due=day(-3)),
    )
    register.enter("A. Weber", old)
    place.activate()
    assert [place.list.item(at).text().split()[0] for at in (0, 1)] == ["S-1", "M-07"]
    assert "expired" in place.list.item(0).text()
    papers = place.view.papers
    papers.form.put("certificate.due", day(300))
    papers.person.setText("A. Weber")
    papers.save.click()
    assert "reason" in place.trouble.text()
    papers.reason.setText("new certificate")
    papers.save.click()
    assert book(archive).entries["S-1"].item.certificate.due == day(300)
    assert place.view.history.item(0).text().endswith("item changed (new certificate)")


def test_what_was_typed_is_there_when_one_comes_back(place, archive):
    register = book(archive)
    register.enter("A. Weber", micrometer())
    register.enter("A. Weber", micrometer().model_copy(update={"inventory_number": "M-08"}))
    place.activate()
    place.view.papers.form.put("note", "half written")
    place.list.setCurrentRow(1)
    assert place.view.papers.form.values()["note"] == ""
    place.list.setCurrentRow(0)
    assert place.view.papers.form.values()["note"] == "half written"


def test_the_certificate_s_file_is_kept_and_comes_out_again(
    qtbot, place, archive, tmp_path, monkeypatch
):
    from seatproof.gui.gauges import place as gauges_place

    book(archive).enter("A. Weber", micrometer())
    place.activate()
    scan = tmp_path / "scan.pdf"
    scan.write_bytes(b"%PDF-1.7 a certificate")
    monkeypatch.setattr(papers_page, "file_to_read", lambda *_: scan)
    papers = place.view.papers
    papers.attach.click()
    papers.person.setText("A. Weber")
    papers.reason.setText("scanned")
    papers.save.click()
    assert papers.file.text() == "Its file is kept in the archive."
    out = tmp_path / "out"
    out.mkdir()
    monkeypatch.setattr(gauges_place.QFileDialog, "getExistingDirectory", lambda *_: str(out))
    papers.write.click()
    assert (out / "certificate M-07.pdf").read_bytes() == scan.read_bytes()


def test_out_of_use_with_a_reason(place, archive):
    book(archive).enter("A. Weber", micrometer())
    place.activate()
    papers = place.view.papers
    papers.person.setText("A. Weber")
    papers.retire.click()
    assert "reason" in place.trouble.text()
    papers.reason.setText("fell from the bench")
    papers.retire.click()
    assert book(archive).entries["M-07"].retired_because == "fell from the bench"
    assert "out of use" in place.list.item(0).text()


def test_the_line_is_seen_raw_and_as_it_is_read(qtbot, place, archive, simulated):
    book(archive).enter("A. Weber", micrometer(line=LineOfGauge(source=simulated.source)))
    place.activate()
    place.view.show_page("Line")
    line = place.view.line
    line.open.click()
    qtbot.waitUntil(lambda: line.state.text().startswith("Connected"), timeout=PATIENCE_MS)
    simulated.press()
    qtbot.waitUntil(lambda: "→" in line.raw.toPlainText(), timeout=PATIENCE_MS)
    raw, read = line.raw.toPlainText().splitlines()[:2]
    assert "30 31 41 2b" in raw  # "01A+" as bytes
    assert "01A+00110.0" in read
    assert line.newest.text().startswith("110.0")
    # Whoever goes to another place leaves the line to the bench.
    place.hide()
    assert not line.watch.is_open


def test_ten_presses_tell_the_repeatability(qtbot, place, archive, simulated):
    book(archive).enter("A. Weber", micrometer(line=LineOfGauge(source=simulated.source)))
    place.activate()
    place.view.show_page("Repeatability")
    test = place.view.test
    test.open.click()
    qtbot.waitUntil(lambda: test.state.text().startswith("Connected"), timeout=PATIENCE_MS)
    hand = SteadyHand(simulated, sleep=lambda s: qtbot.wait(int(s * 1000) + 1))
    for count in range(1, 11):
        hand.press()
        qtbot.waitUntil(lambda count=count: len(test.values_mm) == count, timeout=PATIENCE_MS)
    assert "standard deviation of one reading" in test.result.text()
    assert "with this test" in test.effect.text()
    place.view.papers.person.setText("A. Weber")
    test.keep.click()
    item = book(archive).entries["M-07"].item
    assert item.repeats == 10
    assert 0 < float(item.repeatability_mm) < 0.003
    assert any("10 presses" in place.view.history.item(at).text() for at in range(3))


def test_a_gauge_that_types_is_seen_and_tested(qtbot, place, archive):
    book(archive).enter("A. Weber", micrometer(line=LineOfGauge(source="keyboard")))
    place.activate()
    place.view.show_page("Line")
    line = place.view.line
    assert not line.typed.isVisible()
    line.open.click()
    qtbot.waitUntil(line.typed.isVisible, timeout=PATIENCE_MS)
    qtbot.keyClicks(line.typed, "110.016")
    qtbot.keyClick(line.typed, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: line.newest.text().startswith("110.016"), timeout=PATIENCE_MS)
    place.view.show_page("Repeatability")
    test = place.view.test
    test.open.click()
    for value in ("110.016", "110.018"):
        qtbot.wait(350)  # nobody presses faster, and a faster one would rightly be in doubt
        before = len(test.values_mm)
        qtbot.keyClicks(test.typed, value)
        qtbot.keyClick(test.typed, Qt.Key.Key_Return)
        qtbot.waitUntil(lambda before=before: len(test.values_mm) > before, timeout=PATIENCE_MS)
    assert "standard deviation of one reading 1.4 µm" in test.result.text()
    assert not test.keep.isEnabled()  # ten are asked for


def test_a_format_is_worked_out_and_the_bench_can_use_it(qtbot, place, archive):
    wire = SimulatedLine()
    try:
        book(archive).enter("A. Weber", micrometer(line=LineOfGauge(source=wire.source)))
        place.activate()
        place.view.show_page("Line")
        page = place.view.line
        page.begin.click()
        for sent, shown in (
            (b"D 110.016;\r\n", "110.016 mm"),
            (b"D  -0.012;\r\n", "-0.012 mm"),
            (b"D   3.500;\r\n", "3.500 mm"),
            (b"D 250.125;\r\n", "250.125 mm"),
        ):
            if page.work is None or page.work.step.name == "DONE":
                break
            qtbot.wait(700)  # the line settles after opening, and presses are made by hand
            wire.send(sent)
            qtbot.waitUntil(page.shown.isVisible, timeout=PATIENCE_MS)
            qtbot.keyClicks(page.shown, shown)
            qtbot.keyClick(page.shown, Qt.Key.Key_Return)
        assert "presses are read as their displays showed" in page.wish.text()
        assert page.explained.isVisible()
        page.use.click()
        assert page.fields.fields["format_name"].currentText().startswith("worked out")
        place.view.papers.person.setText("A. Weber")
        page.save.click()
    finally:
        wire.close()
    kept = book(archive).entries["M-07"].item
    assert "[layout]" in kept.line.format_toml
    form = find_format(kept.in_service().format)
    frame = form.framer(trust_first=True).feed(b"D  42.000;\r\n")[0]
    assert str(form.read(frame).value) == "42.000"


def test_which_records_used_it(place, archive):
    item = micrometer(line=LineOfGauge(source="COM3"))
    book(archive).enter("A. Weber", item)
    inspection = Inspection.create(
        archive,
        plan_toml=example("kiln_fan.toml").read_text(),
        identification=Identification(sheet_number="T-1", shaft_serial="KF-3"),
        actor="A. Weber",
        clock=local_now,
    )
    inspection.put_in_service(item.in_service())
    place.activate()
    place.view.show_page("Used in")
    assert place.view.uses.list.item(0).text().startswith("T-1  Drying-kiln fan, main shaft")


def test_a_wrong_field_is_told_beside_it(qtbot, place, archive):
    book(archive).enter("A. Weber", micrometer())
    place.activate()
    field = place.view.papers.findChild(QLineEdit, "item_range_to_mm")
    qtbot.keyClicks(field, "125 mm")
    remark = place.view.papers.findChild(object, "remark_item_range_to_mm")
    assert remark.text() == "✗ Write a number in mm with a decimal point, such as 110.5."
    assert not place.view.papers.save.isEnabled()

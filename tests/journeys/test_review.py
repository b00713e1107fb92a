"""The quality lead's and the auditor's jobs in the real window, among 2,000 inspections."""

import shutil
import threading
from datetime import timedelta

import pypdf
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtWidgets import QApplication, QPlainTextEdit

from seatproof.core.archive.file import Archive
from seatproof.core.archive.query import Query
from seatproof.core.record.events import check_chain
from seatproof.core.record.signing import signature_holds
from seatproof.core.record.state import fold
from seatproof.gui.records.place import RecordsPlace
from seatproof.gui.review.deciding import Choice
from seatproof.gui.review.place import ReviewPlace
from seatproof.gui.settings import Settings
from seatproof.gui.setup.demonstration import demonstration_form
from seatproof.gui.shared.theme import CONTRAST, DARK, LIGHT, apply_theme
from seatproof.gui.window import MainWindow
from seatproof.gui.workplace import Workplace
from tests.gui.review.conftest import START, seal_one
from tests.speed.archive import build

INSPECTIONS = 2000
PATIENCE_MS = 15_000
PASSPHRASE = "eleven kilns"


@pytest.fixture(scope="module")
def large(tmp_path_factory):
    """An archive of 2,000 made-up inspections, and two real ones of one shaft, the later spoilt."""
    path = tmp_path_factory.mktemp("large") / "archive.seatproof"
    build(path, INSPECTIONS)
    with Archive.open(path) as archive:
        seal_one(archive, "REAL-1", start=START)
        seal_one(archive, "REAL-2", start=START + timedelta(days=365), spoilt=True)
    return path


@pytest.fixture(autouse=True)
def no_thread_left():
    before = set(threading.enumerate())
    yield
    left = [thread.name for thread in threading.enumerate() if thread not in before]
    assert not left, f"still running after the test: {left}"


@pytest.fixture
def window(qtbot, tmp_path, large):
    apply_theme(QApplication.instance(), LIGHT)
    path = shutil.copy(large, tmp_path / "archive.seatproof")
    made = MainWindow(Workplace(Archive.open(tmp_path / path)), LIGHT, demonstration_form())
    qtbot.addWidget(made)
    made.resize(1280, 800)
    made.show()
    yield made
    made.close()


@pytest.fixture
def archive(window, tmp_path):
    """The archive as another program reads it."""
    with Archive.read(tmp_path / "archive.seatproof") as opened:
        yield opened


def place_of(window, qtbot, word):
    """Go to a place by the rail, and wait until its list is there."""
    kind = {"review": ReviewPlace, "records": RecordsPlace}[word]
    qtbot.mouseClick(window.rail.buttons[word], Qt.MouseButton.LeftButton)
    place = window.findChild(kind)
    qtbot.waitUntil(lambda: place.model.rowCount() > 0, timeout=PATIENCE_MS)
    return place


def open_sheet(place, sheet):
    (entry,) = (entry for entry in place.model.entries if entry.sheet_number == sheet)
    place.open_entry(entry)
    return entry


def write(field, text):
    field.setPlainText(text) if isinstance(field, QPlainTextEdit) else field.setText(text)


def sign_on(qtbot, panel, name):
    """Sign; the first time, be entered as the first person of the register."""
    if panel.who.count() == 0:
        panel.form.name.setText(name)
        panel.form.first.setText(PASSPHRASE)
        panel.form.again.setText(PASSPHRASE)
        qtbot.mouseClick(panel.form.enter, Qt.MouseButton.LeftButton)
    assert panel.who.currentText() == name, panel.trouble.text()
    qtbot.keyClicks(panel.passphrase, PASSPHRASE)
    qtbot.keyClick(panel.passphrase, Qt.Key.Key_Return)


# --- the quality lead -----------------------------------------------------------------------------


def test_the_lead_finds_looks_and_rejects(window, qtbot, archive):
    place = place_of(window, qtbot, "review")
    entries = place.model.entries
    assert len(entries) == INSPECTIONS * 9 // 10 + 2
    assert [entry.number for entry in entries] == sorted(entry.number for entry in entries)
    # What is wrong stands on the card, before anything is opened.
    bad = next(entry for entry in entries if entry.sheet_number == "REAL-2")
    assert any("Seat A, size: does not conform" in text for text, _ in place.model.lines(bad))

    qtbot.keyClick(place.list, Qt.Key.Key_Return)
    assert place.page.opened.entry == entries[0]
    qtbot.keyClick(place.page, Qt.Key.Key_Escape)
    assert not place.page.isVisible()

    open_sheet(place, "REAL-2")
    page = place.page
    assert page.verdict.text() == "does not conform"
    for tab in (page.form, page.undulations, page.taper, page.map, page.earlier):
        page.tabs.setCurrentWidget(tab)
        qtbot.waitUntil(lambda tab=tab: tab.frames[0].view.figure is not None)
        tab.frames[0].view.read_next(1)
        assert tab.frames[0].view.story
    assert "Against REAL-1 of 2026-03-02" in page.earlier.words.text()

    page.tabs.setCurrentWidget(page.sheet)
    qtbot.waitUntil(lambda: page.sheet.page == 1, timeout=PATIENCE_MS)

    qtbot.mouseClick(page.decide, Qt.MouseButton.LeftButton)
    panel = page.decision
    qtbot.mouseClick(panel.choices[Choice.ACCEPT], Qt.MouseButton.LeftButton)
    assert "does not conform is not accepted" in panel.trouble.text()
    assert not panel.record.isEnabled()
    qtbot.mouseClick(panel.choices[Choice.REJECT], Qt.MouseButton.LeftButton)
    qtbot.mouseClick(panel.record, Qt.MouseButton.LeftButton)
    assert "reason" in panel.trouble.text()
    write(panel.reason, "Twice too large at 60 degrees.")
    qtbot.mouseClick(panel.record, Qt.MouseButton.LeftButton)
    sign_on(qtbot, panel.signing, "Bo Lindahl")

    events = archive.events(bad.inspection)
    check_chain(events)
    state = fold(events)
    assert state.disposition.payload.decision == "reject"
    signatures = [entry.payload for entry in state.signatures]
    assert [one.of_seq for one in signatures] == [state.review.seq, state.disposition.seq]
    assert all(signature_holds(bad.inspection, one) for one in signatures)
    assert "Decided: reject by Bo Lindahl, signed" in panel.done.text()
    qtbot.waitUntil(
        lambda: all(entry.sheet_number != "REAL-2" for entry in place.model.entries),
        timeout=PATIENCE_MS,
    )


def test_the_lead_asks_first_and_concedes_then(window, qtbot, archive):
    place = place_of(window, qtbot, "review")
    entry = open_sheet(place, "REAL-2")
    panel = place.page.decision
    qtbot.mouseClick(place.page.decide, Qt.MouseButton.LeftButton)
    write(panel.question, "Was a burr taken off?")
    qtbot.mouseClick(panel.ask, Qt.MouseButton.LeftButton)
    sign_on(qtbot, panel.signing, "Bo Lindahl")
    assert "Bo Lindahl asked: Was a burr taken off? – not answered yet" in panel.done.text()

    # The inspector answers in the same place, signing on as one.
    write(panel.answer, "Yes, at 60 degrees.")
    qtbot.mouseClick(panel.give, Qt.MouseButton.LeftButton)
    form = panel.signing.form
    form.name.setText("Ann Miller")
    form.first.setText(PASSPHRASE)
    form.again.setText(PASSPHRASE)
    form.voucher_passphrase.setText(PASSPHRASE)
    qtbot.mouseClick(form.enter, Qt.MouseButton.LeftButton)
    sign_on(qtbot, panel.signing, "Ann Miller")
    assert "Ann Miller: Yes, at 60 degrees." in panel.done.text()
    assert not panel.give.isVisible()

    qtbot.mouseClick(panel.choices[Choice.CONCESSION], Qt.MouseButton.LeftButton)
    write(panel.reason, "Spare fan, spring only.")
    qtbot.mouseClick(panel.record, Qt.MouseButton.LeftButton)
    assert "authority" in panel.trouble.text()
    write(panel.authority, "Chief engineer")
    write(panel.limits, "Until 30 June, half speed.")
    qtbot.mouseClick(panel.record, Qt.MouseButton.LeftButton)
    # A wrong passphrase is said and changes nothing.
    qtbot.keyClicks(panel.signing.passphrase, "guess")
    qtbot.keyClick(panel.signing.passphrase, Qt.Key.Key_Return)
    assert panel.signing.trouble.text()
    assert fold(archive.events(entry.inspection)).disposition is None
    sign_on(qtbot, panel.signing, "Bo Lindahl")
    said = fold(archive.events(entry.inspection)).disposition.payload
    assert (said.decision, said.authority) == ("concession", "Chief engineer")
    assert "Until 30 June" in said.reason


def test_a_reading_left_out_is_only_a_question(window, qtbot, archive):
    place = place_of(window, qtbot, "review")
    entry = open_sheet(place, "REAL-1")
    before = archive.events(entry.inspection)
    readings = place.page.readings
    place.page.tabs.setCurrentWidget(readings)
    table = readings.table
    table.setFocus()
    table.setCurrentIndex(readings.model.index(0, 0))
    qtbot.keyClick(table, Qt.Key.Key_Space)  # taken back: it does not count anyway
    assert "Mark a reading" in readings.answer.text()
    table.setCurrentIndex(readings.model.index(1, 0))
    qtbot.keyClick(table, Qt.Key.Key_Space)
    assert "Only a question, not stored. Without one reading" in readings.answer.text()
    assert "not proven instead of conforms" in readings.answer.text()
    qtbot.mouseClick(readings.forget, Qt.MouseButton.LeftButton)
    assert "Mark a reading" in readings.answer.text()
    assert archive.events(entry.inspection) == before


def test_plots_zoom_enlarge_copy_and_are_saved(window, qtbot, tmp_path):
    place = place_of(window, qtbot, "review")
    open_sheet(place, "REAL-1")
    page = place.page
    page.tabs.setCurrentWidget(page.form)
    page.form.beside.setCurrentIndex(2)
    left, right = page.form.frames
    assert left.isVisible()
    assert right.isVisible()
    assert "Seat B" in right.view.figure.title
    page.form.beside.setCurrentIndex(0)
    view = left.view
    view.setFocus()
    qtbot.keyClick(view, Qt.Key.Key_Plus)
    closer = view.shown
    assert closer.width < view.figure.extent().width * 2
    qtbot.keyClick(view, Qt.Key.Key_Right, Qt.KeyboardModifier.ShiftModifier)
    assert view.shown.left > closer.left
    qtbot.keyClick(view, Qt.Key.Key_Home)
    assert view.shown is None
    qtbot.mouseMove(view, QPoint(5, 5))
    qtbot.keyClick(view, Qt.Key.Key_Right)
    assert "station 1" in view.accessibleDescription()

    qtbot.mouseClick(left.enlarge, Qt.MouseButton.LeftButton)
    assert not page.tabs.tabBar().isVisible()
    qtbot.keyClick(view, Qt.Key.Key_Escape)
    assert page.tabs.tabBar().isVisible()
    assert page.isVisible()

    qtbot.mouseClick(left.copy, Qt.MouseButton.LeftButton)
    data = QApplication.clipboard().mimeData()
    assert data.hasImage()
    qtbot.mouseClick(left.save, Qt.MouseButton.LeftButton)
    qtbot.mouseClick(left.save, Qt.MouseButton.LeftButton)
    saved = sorted(path.suffix for path in (tmp_path / "pictures").iterdir())
    assert saved == [".png", ".png", ".svg", ".svg"]


@pytest.mark.parametrize("theme", [DARK, CONTRAST])
def test_colours_follow_while_an_inspection_is_open(window, qtbot, theme):
    place = place_of(window, qtbot, "review")
    open_sheet(place, "REAL-1")
    window.use_settings(Settings(theme=theme.name))
    view = place.page.form.frames[0].view
    image = view.grab().toImage()
    assert image.pixelColor(image.width() - 8, image.height() - 8) == theme.paper


# --- the auditor ----------------------------------------------------------------------------------


def test_the_auditor_finds_looks_verifies_and_changes_nothing(window, qtbot, archive, tmp_path):
    heads = archive.heads()
    place = place_of(window, qtbot, "records")
    place.search.text.setText("drying kiln 4 kf-4 ann")
    qtbot.waitUntil(
        lambda: [one.sheet_number for one in place.model.entries] == ["REAL-2", "REAL-1"],
        timeout=PATIENCE_MS,
    )
    verdicts = place.search.boxes["verdict"]
    verdicts.setCurrentIndex(verdicts.findData("not proven"))  # by diameters, form never is
    qtbot.waitUntil(lambda: place.model.rowCount() == 1, timeout=PATIENCE_MS)
    assert place.search.toggle.text() == "Filters (1)"
    qtbot.waitUntil(lambda: place.pages.page == 1, timeout=PATIENCE_MS)
    qtbot.mouseClick(place.pages.after, Qt.MouseButton.LeftButton)
    assert place.pages.page == 2

    qtbot.mouseClick(place.verify.verify, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: bool(place.verify.sentence.text()), timeout=PATIENCE_MS)
    assert place.verify.sentence.text() == "Nothing was altered since it was stored."

    place.tabs.setCurrentWidget(place.trend)
    view = place.trend.frames[0].view
    view.read_next(1)
    assert "REAL-1 · conforms" in view.story  # as far as this seat goes

    place.search.edits["opened_to"].setText("soon")
    qtbot.waitUntil(lambda: place.trouble.isVisible(), timeout=PATIENCE_MS)
    assert "2026-03-31" in place.trouble.text()
    qtbot.mouseClick(place.search.clear, Qt.MouseButton.LeftButton)
    assert place.model.rowCount() == 50
    place.look_further()
    assert place.model.rowCount() == 100
    assert archive.heads() == heads


def test_the_auditor_hands_out_and_stops(window, qtbot, archive, tmp_path):
    place = place_of(window, qtbot, "records")
    place.search.text.setText("kf-4 ann")
    qtbot.waitUntil(lambda: place.model.rowCount() == 2, timeout=PATIENCE_MS)
    place.tabs.setCurrentWidget(place.export)
    place.list.selectAll()
    assert "(2)" in place.export.which[next(iter(place.export.which))].text()
    for box in place.export.kinds.values():
        box.setChecked(True)
    folder = tmp_path / "out"
    place.export.folder.setText(str(folder))
    qtbot.mouseClick(place.export.start, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(place.export.start.isEnabled, timeout=PATIENCE_MS)
    names = sorted(path.name for path in folder.iterdir())
    assert names == [f"REAL-{n}.{kind}" for n in (1, 2) for kind in ("csv", "json", "pdf")]
    assert "6 files of 2 inspections" in place.export.said.text()
    assert "REAL-1" in pypdf.PdfReader(folder / "REAL-1.pdf").pages[0].extract_text()

    # All that is found, thousands: it can be stopped, and what is written is whole.
    qtbot.mouseClick(place.search.clear, Qt.MouseButton.LeftButton)
    found = list(place.export.which.values())[1]
    found.setChecked(True)
    place.export.folder.setText(str(tmp_path / "all"))
    qtbot.mouseClick(place.export.start, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: place.export.bar.value() >= 2, timeout=PATIENCE_MS)
    assert place.export.bar.maximum() == len(all_sealed(archive))
    qtbot.mouseClick(place.export.stop, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(place.export.start.isEnabled, timeout=PATIENCE_MS)
    assert place.export.said.text().startswith("Stopped.")
    assert not list((tmp_path / "all").glob("*.part"))
    assert len(list((tmp_path / "all").iterdir())) < 100


def all_sealed(archive):
    return archive.find(Query(sealed=True), size=10_000).entries

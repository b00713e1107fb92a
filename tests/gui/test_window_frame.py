"""The frame of the program: first start, help, languages, archives, copies, what is remembered."""

import time
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QLabel, QPushButton

from seatproof.core.archive.backup import COPIES_KEPT
from seatproof.core.archive.file import Archive
from seatproof.core.archive.health import check
from seatproof.gui import app as program
from seatproof.gui.archives import Archives
from seatproof.gui.bench_place import BenchPlace
from seatproof.gui.help.texts import TOPICS, help_text
from seatproof.gui.preferences.languages import LANGUAGE_NAMES
from seatproof.gui.remembered import Rect, Remembered, load_remembered
from seatproof.gui.settings import Settings, load_settings
from seatproof.gui.setup.demonstration import demonstration_form
from seatproof.gui.setup.model import SIMULATED, SetupForm
from seatproof.gui.shared.saying import language, say, use_language
from seatproof.gui.shared.theme import CONTRAST, LIGHT, apply_theme
from seatproof.gui.window import MainWindow
from seatproof.gui.workplace import Workplace

PATIENCE_MS = 10_000


@pytest.fixture(autouse=True)
def english():
    yield
    use_language("en")
    apply_theme(QApplication.instance(), LIGHT)


@pytest.fixture
def open_window(qtbot, tmp_path):
    """Open the window on this test's archive."""
    windows = []

    def open_it(form=None, theme=LIGHT, scale=1.0, size=(1280, 800), name="own", **named):
        apply_theme(QApplication.instance(), theme, scale)
        archive = Archive.open(tmp_path / f"{name}.seatproof")
        named.setdefault("settings_file", tmp_path / "settings.toml")
        window = MainWindow(Workplace(archive), theme, form or SetupForm(), scale, **named)
        qtbot.addWidget(window)
        window.resize(*size)
        window.show()
        windows.append(window)
        return window

    yield open_it
    for window in windows:
        window.close()


def click(window, name):
    button = window.findChild(QPushButton, name)
    assert button is not None, name
    button.click()


def wait_for_line(qtbot, window):
    qtbot.waitUntil(lambda: window.bench_view.model.line_is_up, timeout=PATIENCE_MS)


def seal(qtbot, window):
    wait_for_line(qtbot, window)
    model = window.bench_view.model
    while model.can_skip:
        model.skip("left out here")
    window.bench_view.seal()
    window.bench_view.reason.give("No shaft was measured.")
    qtbot.waitUntil(lambda: model.sealing is not None, timeout=PATIENCE_MS)
    return model.state.inspection


# --- first start ---------------------------------------------------------------------------------


def test_two_clicks_lead_from_the_first_start_into_the_demonstration(qtbot, open_window, tmp_path):
    window = open_window(first_start=True)
    assert "conforms" in "".join(label.text() for label in window.findChildren(QLabel))
    assert "Before hands go near the shaft" in [one.text() for one in window.findChildren(QLabel)]
    click(window, "first_demonstration")
    words = window.setup_page.findChild(QLabel, "demonstration_words").text()
    assert str(tmp_path / "demonstration.seatproof") in words.replace("\u200b", "")
    click(window.setup_page, "begin")
    wait_for_line(qtbot, window)
    assert window.bench_view.simulated is not None
    identifier = window.bench_view.model.state.inspection
    window.close()
    with Archive.read(tmp_path / "demonstration.seatproof") as archive:
        assert archive.events(identifier)
    with Archive.read(tmp_path / "own.seatproof") as archive:
        assert archive.entries() == ()


def test_the_demonstration_is_left_for_ones_own_archive(open_window, tmp_path):
    window = open_window(first_start=True)
    click(window, "first_demonstration")
    click(window.setup_page, "own_work")
    assert window._workplace.archive.path == tmp_path / "own.seatproof"
    assert window.setup_page.form().source == ""
    assert window.setup_page.findChild(QLabel, "demonstration_words") is None


def test_ones_own_work_begins_with_an_empty_form(open_window):
    window = open_window(first_start=True)
    click(window, "first_own_work")
    assert window.setup_page.form() == SetupForm()


def test_the_first_page_speaks_another_language_at_once(open_window):
    window = open_window(first_start=True)
    click(window, "first_language_es")
    assert language() == "es"
    assert window._bench.first_page is not None
    assert window._bench.first_page.languages["es"].isChecked()


# --- help ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("spoken", LANGUAGE_NAMES)
@pytest.mark.parametrize("topic", TOPICS)
def test_every_topic_has_a_text_in_every_language(topic, spoken):
    text = help_text(topic, spoken)
    assert text.startswith("# ")
    assert len(text.split()) > 90
    assert "http" not in text
    assert text.count("\n## ") == help_text(topic, "en").count("\n## ")
    if spoken != "en":
        assert text.rstrip().splitlines()[-1].startswith("*")  # not read by a native speaker


@pytest.mark.parametrize("word", ["bench", "review", "records", "plans", "gauges"])
def test_help_is_about_the_place_in_front_and_closes_to_exactly_there(qtbot, open_window, word):
    window = open_window()
    window.go_to_place(word)
    front = window._stack.currentWidget()
    qtbot.waitUntil(window.isActiveWindow, timeout=PATIENCE_MS)
    focused = QApplication.focusWidget()
    qtbot.keyClick(window, Qt.Key.Key_F1)
    assert window.help_page.topic == ("setup" if word == "bench" else word)
    heading = help_text(window.help_page.topic, "en").splitlines()[0].removeprefix("# ")
    assert window.help_page.text.toPlainText().startswith(heading)
    qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Escape)
    assert window.help_page is None
    assert window._stack.currentWidget() is front
    assert QApplication.focusWidget() is focused
    assert not window.rail.help.isChecked()


def test_help_at_the_bench_lets_presses_arrive_and_keys_do_nothing_there(qtbot, open_window):
    window = open_window(demonstration_form())
    click(window.setup_page, "begin")
    wait_for_line(qtbot, window)
    view = window.bench_view
    window.rail.help.click()
    assert window.help_page.topic == "bench"
    view.simulated.gauge.press()
    qtbot.waitUntil(lambda: view.model.progress[0] == 1, timeout=PATIENCE_MS)
    qtbot.keyClick(window.help_page.text, Qt.Key.Key_F5)
    assert not view.reason.isVisibleTo(view)
    window.rail.help.click()
    assert window.bench_view is view
    assert view.isVisible()


def test_help_on_settings_closes_to_the_settings(qtbot, open_window):
    window = open_window()
    qtbot.waitUntil(window.isActiveWindow, timeout=PATIENCE_MS)
    window.rail.settings.click()
    page = window.preferences_page
    qtbot.keyClick(window, Qt.Key.Key_F1)
    assert window.help_page.topic == "preferences"
    window.help_page.back.click()
    assert window.preferences_page is page
    assert window.rail.settings.isChecked()


def test_a_link_in_help_leads_to_another_text_and_never_out(open_window):
    window = open_window()
    window.show_help()
    page = window.help_page
    for link, topic in (("bench.md", "bench"), ("https://example.org/plans.md", "bench")):
        page.text.anchorClicked.emit(link)
        assert page.topic == topic
    for topic in TOPICS:
        text = help_text(topic, "en")
        for target in [part.split(")")[0] for part in text.split("](")[1:]]:
            assert target.removesuffix(".md") in TOPICS


# --- languages -----------------------------------------------------------------------------------


def test_a_language_holds_at_once_and_is_kept(open_window, tmp_path):
    window = open_window()
    window.go_to_place("plans")
    window.go_to_place("records")
    plans, records = window._made["plans"], window._made["records"]
    window.rail.settings.click()
    click(window, "language_de")
    assert window.preferences_page is not None
    assert window.preferences_page._languages["de"].isChecked()
    assert window.rail.buttons["bench"].text() == say("bench")
    assert window.rail.buttons["bench"].text() != "bench"
    window.preferences_page.left.emit()
    assert window._stack.currentWidget() is window._made["records"]
    assert window._made["records"] is not records
    window.go_to_place("plans")
    assert window._made["plans"] is not plans
    assert load_settings(tmp_path / "settings.toml")[0].language == "de"


def test_a_place_with_unsaved_typing_keeps_it_until_it_is_saved(open_window):
    window = open_window()
    window.go_to_place("plans")
    plans = window._made["plans"]
    plans.list.new.click()
    assert plans.editor is not None
    window.use_settings(window._settings.model_copy(update={"language": "de"}))
    window.go_to_place("records")
    window.go_to_place("plans")
    assert window._made["plans"] is plans  # nothing typed is lost
    plans._show_list()
    window.go_to_place("plans")
    assert window._made["plans"] is not plans


def test_the_bench_goes_on_in_another_language_with_the_same_record(qtbot, open_window):
    window = open_window(demonstration_form())
    click(window.setup_page, "begin")
    wait_for_line(qtbot, window)
    view, model = window.bench_view, window.bench_view.model
    window.show_preferences()
    click(window, "language_es")
    window.preferences_page.left.emit()
    assert window.bench_view is not view
    assert window.bench_view.model is model


def test_what_is_typed_before_the_bench_survives_a_change_of_language(open_window):
    window = open_window()
    window.setup_page.edits["asset"].setText("Fan 7")
    window.rail.settings.click()
    click(window, "language_de")
    window.preferences_page.left.emit()
    assert window.setup_page.form().asset == "Fan 7"


# --- archives and copies -------------------------------------------------------------------------


def test_another_archive_is_chosen_kept_and_changed_back(open_window, tmp_path):
    window = open_window()
    other = tmp_path / "other.seatproof"
    window.rail.settings.click()
    page = window.preferences_page
    page.archive_chosen.emit(other)
    assert window._workplace.archive.path == other
    assert load_settings(tmp_path / "settings.toml")[0].archive_file == str(other)
    assert str(other) == page.findChild(QLabel, "archive_file").text().replace("\u200b", "")
    click(page, "archive_back")
    assert window._workplace.archive.path == tmp_path / "own.seatproof"
    page.left.emit()
    assert window.setup_page is not None


def test_a_file_that_is_no_archive_leaves_the_one_that_is_open(open_window, tmp_path):
    window = open_window()
    letter = tmp_path / "letter.seatproof"
    letter.write_text("Dear all,\n" * 900)
    window.rail.settings.click()
    page = window.preferences_page
    page.archive_chosen.emit(letter)
    assert str(letter) in page.trouble.text()
    assert window._workplace.archive.path == tmp_path / "own.seatproof"
    assert window._workplace.archive.entries() == ()
    assert letter.read_text().startswith("Dear all")


def test_an_open_inspection_keeps_its_archive(qtbot, open_window, tmp_path):
    window = open_window(demonstration_form())
    click(window.setup_page, "begin")
    wait_for_line(qtbot, window)
    window.show_preferences()
    window.preferences_page.archive_chosen.emit(tmp_path / "other.seatproof")
    assert "leave the bench" in window.preferences_page.trouble.text()
    assert not (tmp_path / "other.seatproof").exists()
    window.preferences_page.left.emit()
    view = window.bench_view
    view.simulated.gauge.press()
    qtbot.waitUntil(lambda: view.model.progress[0] == 1, timeout=PATIENCE_MS)


def test_unsaved_typing_keeps_the_archive_open(open_window, tmp_path):
    window = open_window()
    window.go_to_place("plans")
    window._made["plans"].list.new.click()
    sentence = window.use_archive(tmp_path / "other.seatproof")
    assert "plans" in sentence
    assert window._workplace.archive.path == tmp_path / "own.seatproof"


def test_a_seal_is_copied_into_the_chosen_folder(qtbot, open_window, tmp_path):
    folder = tmp_path / "copies"
    folder.mkdir()
    window = open_window(
        demonstration_form(),
        settings=Settings(backup_folder=str(folder)),
        archives=Archives(tmp_path / "own.seatproof", tmp_path / "demonstration.seatproof"),
    )
    click(window.setup_page, "begin")
    identifier = seal(qtbot, window)
    qtbot.waitUntil(lambda: bool(window._copier.said), timeout=PATIENCE_MS)
    (copy,) = folder.glob("own-copy-*.seatproof")
    assert check(copy).holds
    with Archive.read(copy) as archive:
        assert archive.events(identifier)[-1].kind == "sealed"
    assert len(list(folder.glob(f"own-{identifier}*"))) == 1
    assert not window.notice.isVisible()
    window.show_preferences()
    said = window.preferences_page.findChild(QLabel, "backup_said")
    assert str(folder) in said.text()
    assert COPIES_KEPT > 1


def test_a_copy_that_fails_is_told_and_the_seal_holds(qtbot, open_window, tmp_path):
    window = open_window(
        demonstration_form(), settings=Settings(backup_folder=str(tmp_path / "gone"))
    )
    click(window.setup_page, "begin")
    identifier = seal(qtbot, window)
    qtbot.waitUntil(window.notice.isVisible, timeout=PATIENCE_MS)
    assert "The seal holds" in window.notice.words.text()
    assert "does not exist" in window.notice.words.text()
    assert window.bench_view.model.is_sealed
    assert window._workplace.archive.events(identifier)[-1].kind == "sealed"
    window.notice.read.click()
    assert not window.notice.isVisible()


def test_the_window_works_while_a_copy_is_made(qtbot, open_window, tmp_path, monkeypatch):
    from seatproof.core.archive import backup

    def slow(*_):
        time.sleep(0.6)
        raise OSError("the disk was pulled out")

    monkeypatch.setattr(backup, "back_up_after_seal", slow)
    window = open_window(demonstration_form(), settings=Settings(backup_folder=str(tmp_path)))
    began = time.monotonic()
    window._copy_sealed("any")
    assert time.monotonic() - began < 0.3
    qtbot.waitUntil(window.notice.isVisible, timeout=PATIENCE_MS)
    assert "the disk was pulled out" in window.notice.words.text()


# --- what is remembered --------------------------------------------------------------------------


def test_inspector_and_gauge_are_remembered_and_the_shaft_never(open_window, tmp_path):
    form = SetupForm(
        inspector="Ann", asset="Fan 3", shaft_serial="S-1", source="socket://gauge:1",
        gauge_number="MIC-7", resolution="0.001", shaft_c="21.5",
    )  # fmt: skip
    kept = tmp_path / "window.toml"
    window = open_window(form, remembered_file=kept)
    window.go_to_place("records")
    window.setGeometry(40, 50, 1100, 700)
    window.close()
    remembered = load_remembered(kept)
    assert remembered.place == "records"
    assert remembered.rect == Rect(40, 50, 1100, 700)
    window = open_window(remembered=remembered)
    shown = window.setup_page.form()
    assert (shown.inspector, shown.gauge_number, shown.source) == (
        "Ann", "MIC-7", "socket://gauge:1",
    )  # fmt: skip
    assert (shown.asset, shown.shaft_serial, shown.shaft_c) == ("", "", "")


def test_a_simulated_gauge_is_not_chosen_again_by_itself():
    assert Remembered().with_form(SetupForm(source=SIMULATED, inspector="Ann")) == Remembered(
        inspector="Ann"
    )


def test_the_program_begins_where_it_was_left(qtbot, tmp_path, monkeypatch):
    monkeypatch.setattr(program, "settings_file", lambda: tmp_path / "settings.toml")
    (tmp_path / "window.toml").write_text(
        'x = 9000\ny = 9000\nwidth = 600\nheight = 500\nplace = "gauges"\n'
    )
    own = tmp_path / "own.seatproof"
    archives = Archives.beside(own)
    monkeypatch.setattr(program, "is_empty", lambda workplace: False)
    window = program.make_window(
        QApplication.instance(), Workplace(Archive.open(own)), SetupForm(), archives
    )
    qtbot.addWidget(window)
    assert window._front == "gauges"
    assert QApplication.primaryScreen().availableGeometry().contains(window.geometry().topLeft())
    window.close()


def test_an_archive_without_inspections_begins_with_the_first_page(qtbot, tmp_path, monkeypatch):
    monkeypatch.setattr(program, "settings_file", lambda: tmp_path / "settings.toml")
    own = tmp_path / "own.seatproof"
    window = program.make_window(
        QApplication.instance(), Workplace(Archive.open(own)), SetupForm(), Archives.beside(own)
    )
    qtbot.addWidget(window)
    assert window._bench.first_page is not None
    window.close()


# --- the form ------------------------------------------------------------------------------------


def test_clearing_the_form_can_be_undone_until_something_is_typed(qtbot, open_window):
    window = open_window(demonstration_form())
    page, before = window.setup_page, window.setup_page.form()
    page.clear.click()
    assert page.form() == SetupForm()
    page.clear.click()
    assert page.form() == before
    page.clear.click()
    qtbot.keyClicks(page.edits["asset"], "F")
    page.clear.click()  # clears again: what was typed is not written over
    assert page.form() == SetupForm()
    page.clear.click()
    assert page.form() == SetupForm(asset="F")


def test_no_label_before_the_bench_is_cut_at_twice_the_size(qtbot, open_window):
    window = open_window(demonstration_form(), CONTRAST, 2.0, (1366, 768))
    qtbot.wait(50)
    page = window.setup_page
    for label in page.findChildren(QLabel):
        if label.isVisible() and label.text() and label.buddy() is not None:
            wanted = label.fontMetrics().horizontalAdvance(label.text())
            assert label.width() >= wanted, label.text()
            assert label.height() >= label.fontMetrics().height(), label.text()
            right = label.mapTo(page, label.rect().topRight()).x()
            assert 0 <= right <= page.width(), label.text()


def test_the_bench_is_a_place_of_its_own(open_window):
    assert isinstance(open_window()._made["bench"], BenchPlace)


def test_files_of_help_are_shipped():
    home = Path(help_text.__code__.co_filename).resolve().parents[2] / "resources" / "help"
    assert {one.name for one in home.iterdir()} == set(LANGUAGE_NAMES)

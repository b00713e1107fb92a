"""The Qt application: language, lettering, colours and the window."""

import gc
import sys

from PySide6.QtCore import QLocale
from PySide6.QtWidgets import QApplication

from seatproof.core.archive.errors import ArchiveError
from seatproof.core.archive.query import Query
from seatproof.gui.archives import Archives
from seatproof.gui.garbage import GarbageCollector
from seatproof.gui.remembered import (
    FILE_NAME,
    FIRST_SIZE,
    Rect,
    Remembered,
    load_remembered,
    within_reach,
)
from seatproof.gui.settings import language_of_locale, load_settings, settings_file
from seatproof.gui.setup.model import SetupForm
from seatproof.gui.shared.saying import use_language
from seatproof.gui.shared.theme import apply_theme, theme_called
from seatproof.gui.window import MainWindow
from seatproof.gui.workplace import Workplace


def run_window(workplace: Workplace, form: SetupForm, archives: Archives, trouble: str = "") -> int:
    """Show the window until it is closed; return the exit status.

    `trouble` is said in the window.
    """
    app = QApplication(sys.argv[:1])
    app.setApplicationName("Seatproof")
    window = make_window(app, workplace, form, archives)
    if trouble:
        window.notice.tell(trouble)
    gc.freeze()
    collector = GarbageCollector()
    try:
        return app.exec()
    finally:
        collector.stop()


def make_window(
    app: QApplication, workplace: Workplace, form: SetupForm, archives: Archives
) -> MainWindow:
    """Make the window as this person left it, and show it."""
    kept_in = settings_file()
    settings, _ = load_settings(kept_in, language_of_locale(QLocale.system().name()))
    use_language(settings.language)
    theme = theme_called(settings.theme)
    apply_theme(app, theme, settings.text_scale)
    remembered_file = kept_in.with_name(FILE_NAME)
    remembered = load_remembered(remembered_file)
    first_start = workplace.archive.path == archives.own and is_empty(workplace)
    window = MainWindow(
        workplace,
        theme,
        form,
        settings.text_scale,
        settings=settings,
        settings_file=kept_in,
        archives=archives,
        remembered=remembered,
        remembered_file=remembered_file,
        first_start=first_start,
    )
    screens = tuple(
        Rect(room.x(), room.y(), room.width(), room.height())
        for room in (one.availableGeometry() for one in app.screens())
    )
    lay_window(window, remembered, screens)
    if remembered.place in window.rail.buttons and not first_start and not form.plan_file:
        window.go_to_place(remembered.place)
    return window


def lay_window(window: MainWindow, remembered: Remembered, screens: tuple[Rect, ...]) -> None:
    """Show a window where it lay when it was closed, as far as there is a screen."""
    if remembered.rect is None:
        window.resize(*FIRST_SIZE)
    else:
        window.setGeometry(*within_reach(remembered.rect, screens))
    if remembered.maximized:
        window.showMaximized()
    else:
        window.show()


def is_empty(workplace: Workplace) -> bool:
    """Tell whether nothing was ever measured into the archive."""
    try:
        return not workplace.archive.find(Query(), size=1).entries
    except ArchiveError:
        return False

"""The Qt application: lettering, colours and the window."""

import gc
import sys

from PySide6.QtWidgets import QApplication

from seatproof.gui.settings import load_settings, settings_file
from seatproof.gui.setup.model import SetupForm
from seatproof.gui.shared.theme import apply_theme, theme_called
from seatproof.gui.window import MainWindow
from seatproof.gui.workplace import Workplace

_FIRST_SIZE = (1280, 800)


def run_window(workplace: Workplace, form: SetupForm) -> int:
    """Show the window until it is closed; return the exit status."""
    app = QApplication(sys.argv[:1])
    app.setApplicationName("Seatproof")
    kept_in = settings_file()
    settings, trouble = load_settings(kept_in)
    theme = theme_called(settings.theme)
    apply_theme(app, theme, settings.text_scale)
    window = MainWindow(
        workplace, theme, form, settings.text_scale, settings=settings, settings_file=kept_in
    )
    if trouble and window.setup_page is not None:
        window.setup_page.show_trouble(trouble)
    window.resize(*_FIRST_SIZE)
    window.show()
    gc.freeze()
    gc.enable()
    return app.exec()

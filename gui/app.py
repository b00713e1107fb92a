"""The Qt application: lettering, colours and the window."""

import sys

from PySide6.QtWidgets import QApplication

from seatproof.gui.setup.model import SetupForm
from seatproof.gui.shared.theme import LIGHT, apply_theme
from seatproof.gui.window import MainWindow
from seatproof.gui.workplace import Workplace

_FIRST_SIZE = (1280, 800)


def run_window(workplace: Workplace, form: SetupForm) -> int:
    """Show the window until it is closed; return the exit status."""
    app = QApplication(sys.argv[:1])
    app.setApplicationName("Seatproof")
    apply_theme(app, LIGHT)
    window = MainWindow(workplace, LIGHT, form)
    window.resize(*_FIRST_SIZE)
    window.show()
    return app.exec()

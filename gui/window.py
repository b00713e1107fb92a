"""The window: the page before the bench, and the bench; it owns the line and the archive."""

import logging
from pathlib import Path

from PySide6.QtCore import QUrl
from PySide6.QtGui import QCloseEvent, QDesktopServices, QKeySequence, QShortcut
from PySide6.QtWidgets import QApplication, QMainWindow, QStackedWidget, QWidget

from seatproof.core.archive.errors import ArchiveError
from seatproof.core.archive.file import Entry
from seatproof.core.plan.errors import PlanError
from seatproof.core.record.errors import RecordError
from seatproof.devices.discovery import find_ports
from seatproof.devices.errors import DeviceError
from seatproof.gui.bench.line import GaugeLine
from seatproof.gui.bench.view import BenchView
from seatproof.gui.setup.model import SetupForm
from seatproof.gui.setup.page import SetupPage
from seatproof.gui.shared.theme import Theme, apply_theme
from seatproof.gui.simulation import example_plans
from seatproof.gui.workplace import Bench, Workplace

_SCALE_STEP = 0.25
_logger = logging.getLogger(__name__)
_WORLD = (ArchiveError, DeviceError, PlanError, RecordError)


class MainWindow(QMainWindow):
    """The one window of the program."""

    def __init__(
        self, workplace: Workplace, theme: Theme, form: SetupForm, text_scale: float = 1.0
    ) -> None:
        super().__init__()
        self._workplace = workplace
        self._theme = theme
        self._form = form
        self._bench: Bench | None = None
        self._line: GaugeLine | None = None
        self._pages = QStackedWidget()
        self.setCentralWidget(self._pages)
        self.setWindowTitle("Seatproof")
        self._text_scale = text_scale
        for keys, by in (
            ("Ctrl++", _SCALE_STEP),
            ("Ctrl+=", _SCALE_STEP),
            ("Ctrl+-", -_SCALE_STEP),
        ):
            QShortcut(QKeySequence(keys), self).activated.connect(
                lambda by=by: self.set_text_scale(self._text_scale + by)
            )
        self.show_setup()

    @property
    def setup_page(self) -> SetupPage | None:
        page = self._pages.currentWidget()
        return page if isinstance(page, SetupPage) else None

    @property
    def bench_view(self) -> BenchView | None:
        page = self._pages.currentWidget()
        return page if isinstance(page, BenchView) else None

    def show_setup(self) -> None:
        """Show the page before the bench, with what was typed last."""
        self._close_bench()
        unfinished: tuple[Entry, ...] = ()
        trouble = ""
        try:
            unfinished = self._workplace.unfinished()
        except ArchiveError as error:
            trouble = str(error)
        page = SetupPage(self._form, example_plans(), find_ports, unfinished, self)
        page.show_trouble(trouble)
        page.begun.connect(self._begin)
        page.resumed.connect(self._go_on)
        self._show(page)

    def set_text_scale(self, scale: float) -> None:
        """Make the text of the whole program larger or smaller, between the ordinary and twice."""
        self._text_scale = min(max(round(scale, 2), 1.0), 2.0)
        app = QApplication.instance()
        assert isinstance(app, QApplication)
        apply_theme(app, self._theme, self._text_scale)

    def begin(self, form: SetupForm) -> None:
        """Begin an inspection; raises what `Workplace.begin` raises."""
        self._form = form
        self._open_bench(self._workplace.begin(form.setup()))

    def go_on(self, inspection_id: str, form: SetupForm) -> None:
        """Go on with an inspection; raises what `Workplace.go_on` raises.

        A port chosen in the form puts its gauge in service; otherwise it is the one that was.
        """
        self._form = form
        new_gauge = bool(form.source.strip()) and not form.is_simulated
        self._open_bench(
            self._workplace.go_on(
                inspection_id,
                form.inspector,
                form.gauge if new_gauge else None,
                form.temperatures_c(),
            )
        )

    def closeEvent(self, event: QCloseEvent) -> None:
        self._close_bench()
        self._workplace.close()
        event.accept()

    def _begin(self, form: SetupForm) -> None:
        try:
            self.begin(form)
        except _WORLD as error:
            self._say_on_setup(str(error))

    def _go_on(self, inspection_id: str, form: SetupForm) -> None:
        try:
            self.go_on(inspection_id, form)
        except _WORLD as error:
            self._say_on_setup(str(error))

    def _say_on_setup(self, sentence: str) -> None:
        if self.setup_page is not None:
            self.setup_page.show_trouble(sentence)

    def _open_bench(self, bench: Bench) -> None:
        self._bench = bench
        view = BenchView(bench.model, self._theme, bench.simulated, self)
        view.left.connect(self.show_setup)
        view.sheet_wanted.connect(self._open_sheet)
        self._line = GaugeLine(bench.source, bench.format_name, self)
        self._line.arrived.connect(bench.model.take)
        self._line.changed.connect(bench.model.take_line)
        self._show(view)
        view.setFocus()
        self._line.start()

    def _open_sheet(self, path: Path) -> None:
        opened = QDesktopServices.openUrl(QUrl.fromLocalFile(str(path)))
        if not opened and self.bench_view is not None:
            self.bench_view.bar.show_trouble(
                f"No program on this computer opened the sheet; it lies at {path}."
            )

    def _close_bench(self) -> None:
        if self._line is not None:
            if not self._line.stop():
                _logger.warning("the gauge's line is still closing; the window does not wait")
            self._line.deleteLater()
            self._line = None
        if self._bench is not None and self._bench.simulated is not None:
            self._bench.simulated.close()
        self._bench = None

    def _show(self, page: QWidget) -> None:
        before = self._pages.currentWidget()
        self._pages.addWidget(page)
        self._pages.setCurrentWidget(page)
        if before is not None:
            self._pages.removeWidget(before)
            before.deleteLater()

"""The place of plans: the versions that are kept, and the editor."""

from collections.abc import Callable
from pathlib import Path
from typing import Final

from PySide6.QtCore import QUrl, Signal
from PySide6.QtGui import QDesktopServices, QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QApplication,
    QComboBox,
    QLineEdit,
    QPlainTextEdit,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from seatproof.core.archive.errors import ArchiveError
from seatproof.core.placing import NotPlacedError
from seatproof.core.plan.errors import PlanError
from seatproof.core.record.errors import RecordError
from seatproof.gui.plans.editor import PlanEditor
from seatproof.gui.plans.editor_view import EditorView
from seatproof.gui.plans.findings import problem_words
from seatproof.gui.plans.list_view import ListView
from seatproof.gui.plans.shelf import (
    Row,
    Shelf,
    export_file,
    file_stem,
    print_blank,
    print_strips,
)
from seatproof.gui.settings import Settings
from seatproof.gui.shared.file_choice import file_to_read, file_to_write
from seatproof.gui.shared.saying import say, wording
from seatproof.gui.shared.theme import Theme
from seatproof.gui.workplace import Workplace, local_now

_WORLD = (ArchiveError, PlanError, RecordError, NotPlacedError, OSError)
_PLANS: Final = wording("Plans (*.toml);;All files (*)")
_PDF: Final = "PDF (*.pdf)"


class PlansPlace(QWidget):
    """Shows the kept plans, or the editor over them.

    Signals
    -------
    measure_wanted : Path
        The bench shall begin with the plan of that file.
    """

    measure_wanted = Signal(object)

    def __init__(self, workplace: Workplace, theme: Theme, settings: Settings) -> None:
        super().__init__()
        self._theme = theme
        self._shelf = Shelf(workplace.archive, local_now)
        self._person = ""
        self._folder = Path.home()
        self.list = ListView(theme)
        self.editor: EditorView | None = None
        self._stack = QStackedWidget()
        self._stack.addWidget(self.list)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self._stack)
        self.list.new_wanted.connect(
            lambda: self._edit(lambda: self._shelf.new(settings.plan_unit))
        )
        self.list.file_wanted.connect(self._read_file)
        self.list.change_wanted.connect(lambda row: self._edit(lambda: self._shelf.change(row)))
        self.list.copy_wanted.connect(lambda row: self._edit(lambda: self._shelf.copy(row)))
        self.list.export_wanted.connect(
            lambda row: self._write(
                row, wording("Write the plan to a file"), ".toml", _PLANS, export_file
            )
        )
        self.list.strips_wanted.connect(
            lambda row: self._write(
                row, wording("Write marking strips"), " strips.pdf", _PDF, print_strips
            )
        )
        self.list.blank_wanted.connect(
            lambda row: self._write(
                row, wording("Write the sheet to fill in"), " by hand.pdf", _PDF, print_blank
            )
        )
        self.list.put_away_wanted.connect(self._put_away)
        self.list.measure_wanted.connect(self._measure)
        for keys, do in (("Ctrl+N", self.list.new.click), ("Ctrl+O", self.list.read.click)):
            QShortcut(QKeySequence(keys), self.list).activated.connect(do)

    def activate(self) -> None:
        """Read the register again, unless somebody is writing a plan."""
        if self.editor is None:
            self._show_list()
            (self.list.list if self.list.list.count() else self.list.new).setFocus()

    def restyle(self, theme: Theme, scale: float) -> None:
        """Take on other colours."""
        del scale
        self._theme = theme
        self.list.restyle(theme)
        if self.editor is not None:
            self.editor.restyle(theme)

    def shut(self) -> None:
        """End what goes on; here nothing does."""

    def has_unsaved(self) -> bool:
        """Tell whether somebody is writing a plan."""
        return self.editor is not None

    def holds_keys(self) -> bool:
        """Tell whether somebody is typing here."""
        focused = QApplication.focusWidget()
        return (
            focused is not None
            and self.isAncestorOf(focused)
            and isinstance(focused, QLineEdit | QPlainTextEdit | QComboBox)
        )

    def _show_list(self, title: str = "", version: str = "") -> None:
        self._close_editor()
        try:
            self._shelf.read()
            rows = self._shelf.rows()
        except (ArchiveError, RecordError, PlanError) as error:
            self.list.show_rows((), str(error))
            return
        self.list.show_rows(rows, self._shelf.read_only)
        self.list.select(title, version)

    def _edit(self, make: Callable[[], PlanEditor]) -> None:
        try:
            editor = make()
        except _WORLD as error:
            self.list.say(_all_of(error))
            return
        self._close_editor()
        view = EditorView(editor, self._person, self._shelf.read_only, self._theme)
        view.kept.connect(self._keep)
        view.left.connect(self._show_list)
        self.editor = view
        self._stack.addWidget(view)
        self._stack.setCurrentWidget(view)
        view.go_to_next()

    def _close_editor(self) -> None:
        view, self.editor = self.editor, None
        if view is not None:
            view.editor.on_change = lambda: None
            self._stack.setCurrentWidget(self.list)
            self._stack.removeWidget(view)
            view.deleteLater()

    def _keep(self, person: str) -> None:
        view = self.editor
        if view is None:
            return
        self._person = person
        try:
            kept = self._shelf.keep(view.editor, person)
        except _WORLD as error:
            view.say(str(error))
            return
        self._show_list(kept.title, kept.version)
        self.list.say_done(
            say("Kept: {plan}.", plan=f"{kept.title}, {say('version')} {kept.version}")
        )

    def _read_file(self) -> None:
        path = file_to_read(self, say("Read a plan"), say(_PLANS))
        if path is not None:
            self._edit(lambda: self._shelf.open_file(path))

    def _write(
        self,
        row: Row,
        title: str,
        ending: str,
        kinds: str,
        write: Callable[[Row, Path], Path],
    ) -> None:
        path = file_to_write(
            self, say(title), self._folder / f"{file_stem(row.kept)}{ending}", say(kinds)
        )
        if path is None:
            return
        try:
            written = write(row, path)
        except _WORLD as error:
            self.list.say(str(error))
            return
        self._folder = written.parent
        self.list.say_done(say("Written: {path}", path=str(written)))
        if written.suffix == ".pdf":
            QDesktopServices.openUrl(QUrl.fromLocalFile(str(written)))

    def _put_away(self, row: Row, person: str, reason: str) -> None:
        try:
            self._shelf.put_away(row, person, reason)
        except _WORLD as error:
            self.list.say(str(error))
            return
        self._show_list()

    def _measure(self, row: Row) -> None:
        try:
            path = self._shelf.file_for_bench(row)
        except _WORLD as error:
            self.list.say(str(error))
            return
        self.measure_wanted.emit(path)


def _all_of(error: Exception) -> str:
    if isinstance(error, PlanError):
        head = say("{file} cannot be used:", file=error.source)
        return "\n".join((head, *(problem_words(problem) for problem in error.problems[:6])))
    return str(error)

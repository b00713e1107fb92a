"""The records: everything sealed, found, looked at, verified and handed out; nothing is changed.

The place has an archive of its own, opened for reading alone: whoever is here cannot alter a thing.
"""

import threading
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Final

from PySide6.QtCore import QItemSelectionModel, QObject, Qt, Signal
from PySide6.QtGui import QImage, QKeySequence, QResizeEvent, QShortcut
from PySide6.QtWidgets import (
    QApplication,
    QComboBox,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QListView,
    QSplitter,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)

from seatproof.core.archive.errors import ArchiveError
from seatproof.core.archive.file import Archive
from seatproof.core.archive.query import Entry, Query
from seatproof.core.comparison.trend import trend_of
from seatproof.core.people.errors import PeopleError
from seatproof.core.plan.errors import PlanError
from seatproof.core.record.errors import RecordError
from seatproof.core.record.events import check_chain
from seatproof.core.record.state import fold
from seatproof.core.sheet.document import build_sheet
from seatproof.core.wording.errors import SheetError
from seatproof.gui.bench.background import Background
from seatproof.gui.records.asking import AskingError
from seatproof.gui.records.export_panel import ExportPanel, Which
from seatproof.gui.records.exporting import Exported, export
from seatproof.gui.records.search_panel import SearchPanel
from seatproof.gui.records.verify_panel import VerifyPanel
from seatproof.gui.records.verifying import Answer, verify_inspection
from seatproof.gui.review.plot_tab import PlotTab
from seatproof.gui.settings import Settings
from seatproof.gui.shared.action_button import ActionButton
from seatproof.gui.shared.elided_label import ElidedLabel
from seatproof.gui.shared.entry_cards import ENTRY, CardList, EntryModel, heading
from seatproof.gui.shared.figure import Figure
from seatproof.gui.shared.page_view import PageView
from seatproof.gui.shared.pages import PagesError, pages_of
from seatproof.gui.shared.saying import again, say
from seatproof.gui.shared.theme import Theme
from seatproof.gui.shared.trend_figure import TrendFigure
from seatproof.gui.workplace import Workplace, local_now

_WORLD = (ArchiveError, RecordError, PlanError, PeopleError, SheetError)
_PAGE: Final = 50
_ROOMY_EM: Final = 58.0


class _Progress(QObject):
    """Carries progress from the thread that exports into the window's."""

    told = Signal(int, int)


class RecordsPlace(QWidget):
    """The auditor's place; see `seatproof.gui.places.Place`."""

    def __init__(self, workplace: Workplace, theme: Theme, settings: Settings) -> None:
        super().__init__()
        del settings
        self._path = workplace.archive.path
        self._archive: Archive | None = None
        self._background = Background(self)
        self._exporting = Background(self)
        self._stop = threading.Event()
        self._progress = _Progress()
        self._query = Query(sealed=True)
        self._next_page: int | None = None
        self._shown: Entry | None = None
        self.search = SearchPanel()
        self.model = EntryModel(parent=self)
        self.list = CardList(theme, self.model, lines=0)
        self.list.setSelectionMode(QListView.SelectionMode.ExtendedSelection)
        self.list.setAccessibleName(say("Sealed inspections, newest first"))
        self.count, self.trouble, self.title = QLabel(), QLabel(), ElidedLabel()
        self.title.setProperty("role", "heading")
        self.title.setTextFormat(Qt.TextFormat.PlainText)
        self.trouble.setProperty("role", "problem")
        self.trouble.setWordWrap(True)
        self.trouble.hide()
        self.more = ActionButton(say("Show more"))
        self.more.setObjectName("records_more")
        self.pages = PageView()
        self.verify = VerifyPanel(theme)
        self.trend = PlotTab(theme, self._trend_figure, self._place_of)
        self.export = ExportPanel(self._path.parent / "handed out")
        self._lay_out()
        self.search.changed.connect(self.look)
        self.more.clicked.connect(self.look_further)
        self.list.selectionModel().currentChanged.connect(lambda *_: self._show_current())
        self.list.selectionModel().selectionChanged.connect(lambda *_: self._show_counts())
        self.list.verticalScrollBar().valueChanged.connect(self._scrolled)
        self.verify.verify.clicked.connect(self.verify_now)
        self.export.wanted.connect(self.export_now)
        self.export.stopped.connect(self._stop.set)
        self._progress.told.connect(self.export.show_progress)

    # --- what the window asks --------------------------------------------------------------------

    def activate(self) -> None:
        """Look again for what is looked for: more may have been sealed."""
        if self._archive is None:
            try:
                self._archive = Archive.read(self._path)
            except ArchiveError as error:
                self._say(str(error))
                return
        self.look()
        self.search.text.setFocus(Qt.FocusReason.OtherFocusReason)

    def restyle(self, theme: Theme, scale: float) -> None:
        del scale
        for widget in self.findChildren(QWidget):
            restyled = getattr(widget, "set_theme", None)
            if restyled is not None:
                restyled(theme)

    def shut(self) -> None:
        self._stop.set()
        self._background.stop()
        self._exporting.stop()
        if self._archive is not None:
            self._archive.close()
            self._archive = None

    def holds_keys(self) -> bool:
        focused = QApplication.focusWidget()
        return isinstance(focused, (QLineEdit, QComboBox)) and self.isAncestorOf(focused)

    # --- finding ---------------------------------------------------------------------------------

    def look(self) -> None:
        """Find what is typed, and show the first of it."""
        if self._archive is None:
            return
        self.search.show_filters_in_use()
        try:
            self._query = self.search.typed().query()
            page = self._archive.find(self._query, None, _PAGE)
            for name, offer in self.search.offers.items():
                beginning = self.search.edits[name].text().strip()
                values = self._archive.assets if name == "asset" else self._archive.shafts
                offer.setStringList(list(values(beginning)))
        except (AskingError, ArchiveError) as error:
            self._say(str(error))
            return
        self._say("")
        self._next_page = page.next_page
        chosen = None if self._shown is None else self._shown.inspection
        self.model.show_entries(page.entries)
        rows = {entry.inspection: row for row, entry in enumerate(page.entries)}
        if page.entries:
            index = self.model.index(rows.get(chosen or "", 0))
            self.list.selectionModel().setCurrentIndex(
                index, QItemSelectionModel.SelectionFlag.ClearAndSelect
            )
        else:
            self._show_entry(None)
        self._show_counts()

    def look_further(self) -> None:
        """Show the following page below."""
        if self._archive is None or self._next_page is None:
            return
        try:
            page = self._archive.find(self._query, self._next_page, _PAGE)
        except ArchiveError as error:
            self._say(str(error))
            return
        self._next_page = page.next_page
        self.model.add_entries(page.entries)
        self._show_counts()

    def chosen(self) -> tuple[Entry, ...]:
        """Return the inspections that are chosen in the list."""
        rows = self.list.selectionModel().selectedIndexes()
        return tuple(index.data(ENTRY) for index in sorted(rows, key=lambda index: index.row()))

    # --- looking ---------------------------------------------------------------------------------

    def verify_now(self) -> None:
        """Verify the inspection that is shown; the answer comes when it is there."""
        entry, path = self._shown, self._path
        if entry is None:
            return
        self.tabs.setCurrentWidget(self.verify)
        self.verify.show_answer(None, say("Verifying …"))
        self.verify.verify.setEnabled(False)

        def job() -> Answer | str:
            try:
                with Archive.read(path) as archive:
                    return verify_inspection(
                        archive, entry.inspection, entry.sheet_number, local_now
                    )
            except (*_WORLD, OSError) as error:
                return str(error)

        def then(answer: Answer | str) -> None:
            self.verify.verify.setEnabled(True)
            if self._shown is not entry:
                return
            if isinstance(answer, str):
                self.verify.show_answer(None, answer)
            else:
                self.verify.show_answer(answer)

        self._background(job, then)

    def _show_current(self) -> None:
        self._show_entry(self.list.current_entry())

    def _show_entry(self, entry: Entry | None) -> None:
        """Show an inspection: its sheet's pages follow as soon as they are drawn."""
        before = self._shown
        if entry is not None and before is not None and _same(entry, before):
            return
        self._shown = entry
        self.title.setText("" if entry is None else heading(entry))
        self.verify.show_answer(None)
        self.verify.verify.setEnabled(entry is not None)
        self.trend.show_seats(self._seats(entry))
        if entry is None:
            self.pages.show_pages((), say("Nothing is chosen."))
            return
        self.pages.show_pages((), say("Drawing the sheet {sheet} …", sheet=entry.sheet_number))
        self._background(lambda: self._drawn(entry), lambda found: self._show_pages(entry, *found))

    def _drawn(self, entry: Entry) -> tuple[tuple[QImage, ...], str]:
        """Draw a sheet in the thread beside the window; skip one that is not looked at any more."""
        if self._shown is not entry:
            return (), ""
        try:
            with Archive.read(self._path) as archive:
                events = archive.events(entry.inspection)
            check_chain(events)
            return pages_of(build_sheet(fold(events))).pictures, ""
        except (*_WORLD, PagesError) as error:
            return (), str(error)

    def _show_pages(self, entry: Entry, pictures: tuple[QImage, ...], trouble: str) -> None:
        if self._shown is entry:
            self.pages.show_pages(pictures, trouble)

    def _seats(self, entry: Entry | None) -> tuple[tuple[str, str], ...]:
        if entry is None or self._archive is None or not (entry.asset or entry.shaft):
            return ()
        try:
            plan = fold(self._archive.events(entry.inspection)).plan
        except _WORLD:
            return ()  # what is wrong with it is said where its pages would be
        return tuple(
            (seat.id, say("seat {seat}", seat=seat.id)) for seat in plan.seats if seat.has_size
        )

    def _trend_figure(self, seat_id: str) -> Figure | None:
        entry = self._shown
        if entry is None or self._archive is None:
            return None
        try:
            found = self._archive.seat_trend(seat_id, asset=entry.asset, shaft=entry.shaft)
        except ArchiveError as error:
            self._say(str(error))
            return None
        trend = trend_of(seat_id, found, entry.inspection)
        if trend is None:
            return None
        what = " · ".join(part for part in (entry.asset, entry.shaft) if part)
        title = say("Seat {seat} over the years · {what}", seat=seat_id, what=what)
        return TrendFigure(trend, title)

    def _place_of(self, figure: Figure) -> tuple[Path, str]:
        del figure
        sheet = "" if self._shown is None else self._shown.sheet_number
        return self._path.parent / "pictures", f"{sheet} over the years".strip()

    # --- handing out -----------------------------------------------------------------------------

    def export_now(self) -> None:
        """Write the files that are wanted, in a thread of their own."""
        folder = Path(self.export.folder.text().strip()).expanduser()
        kinds, query, path = self.export.chosen_kinds(), self._query, self._path
        ids: tuple[str, ...] | None = None
        if self.export.chosen_which() is Which.CHOSEN:
            ids = tuple(entry.inspection for entry in self.chosen())
        self._stop.clear()
        self.export.show_progress(0, 0 if ids is None else len(ids))
        self.export.show_working(working=True)

        def job() -> Exported | str:
            try:
                with Archive.read(path) as archive:
                    wanted = all_found(archive, query) if ids is None else ids
                    return export(
                        archive, wanted, folder, kinds, self._progress.told.emit, self._stop.is_set
                    )
            except ArchiveError as error:
                return str(error)
            except OSError as error:
                return say(
                    "The files cannot be written to {folder} ({why}).",
                    folder=str(folder),
                    why=error.strerror or str(error),
                )

        def then(done: Exported | str) -> None:
            said = done if isinstance(done, str) else done.sentence(folder)
            self.export.show_working(working=False, said=said)

        self._exporting(job, then)

    # --- inside ----------------------------------------------------------------------------------

    def _lay_out(self) -> None:
        side = QWidget()
        column = QVBoxLayout(side)
        column.setContentsMargins(0, 0, 6, 0)
        column.addWidget(self.search)
        column.addWidget(self.count)
        column.addWidget(self.list, 1)
        column.addWidget(self.more)
        self._side = side
        self.tabs = QTabWidget()
        self.tabs.setDocumentMode(True)
        for number, (word, page) in enumerate(
            (
                (say("Sheet"), self.pages),
                (say("Verification"), self.verify),
                (say("Over the years"), self.trend),
                (say("Hand out"), self.export),
            )
        ):
            self.tabs.addTab(page, word)
            self.tabs.setTabToolTip(number, f"Ctrl+{number + 1}")
        head = QHBoxLayout()
        head.addWidget(self.title, 1)
        head.addWidget(self.verify.verify)
        right = QWidget()
        beside = QVBoxLayout(right)
        beside.setContentsMargins(0, 0, 0, 0)
        beside.addLayout(head)
        beside.addWidget(self.tabs, 1)
        self._split = QSplitter(Qt.Orientation.Horizontal)
        self._split.setChildrenCollapsible(False)
        self._split.addWidget(side)
        self._split.addWidget(right)
        self._split.setStretchFactor(1, 1)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(6, 6, 6, 6)
        layout.addWidget(self.trouble)
        layout.addWidget(self._split, 1)
        self._is_roomy: bool | None = None
        self._add_key("Ctrl+F", lambda: self.search.text.setFocus())
        for number in range(5):
            self._add_key(f"Ctrl+{number + 1}", partial(self.tabs.setCurrentIndex, number))

    def _add_key(self, keys: str, do: Callable[[], object]) -> None:
        within = Qt.ShortcutContext.WidgetWithChildrenShortcut
        QShortcut(QKeySequence(keys), self, context=within).activated.connect(lambda: do())

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        roomy = self.width() >= _ROOMY_EM * self.fontMetrics().height()
        if roomy is self._is_roomy:
            return
        self._is_roomy = roomy
        if roomy:
            index = self.tabs.indexOf(self._side)
            if index >= 0:
                self.tabs.removeTab(index)
            self._split.insertWidget(0, self._side)
            self._split.setSizes([self.width() * 2 // 5, self.width() * 3 // 5])
            self._side.show()
        else:
            self.tabs.insertTab(0, self._side, say("Search"))
            self.tabs.setCurrentIndex(0)

    def _scrolled(self, value: int) -> None:
        bar = self.list.verticalScrollBar()
        if bar.maximum() > 0 and value >= bar.maximum() - bar.pageStep() // 2:
            self.look_further()

    def _show_counts(self) -> None:
        shown = len(self.model.entries)
        more = self._next_page is not None
        found = f"> {shown}" if more else str(shown)
        chosen = len(self.list.selectionModel().selectedIndexes())
        self.count.setText(
            say("1 sealed inspection; {chosen} chosen", chosen=str(chosen))
            if shown == 1 and not more
            else say("{found} sealed inspections; {chosen} chosen", found=found, chosen=str(chosen))
        )
        self.more.setVisible(self._next_page is not None)
        self.export.show_counts(chosen, found)

    def _say(self, sentence: str) -> None:
        self.trouble.setText(again(sentence))
        self.trouble.setVisible(bool(sentence))


def _same(entry: Entry, other: Entry) -> bool:
    return (entry.inspection, entry.events) == (other.inspection, other.events)


def all_found(archive: Archive, query: Query) -> tuple[str, ...]:
    """Return the ids of everything that a query finds, page by page."""
    ids: list[str] = []
    page: int | None = None
    while True:
        answer = archive.find(query, page, 500)
        ids += [entry.inspection for entry in answer.entries]
        page = answer.next_page
        if page is None:
            return tuple(ids)

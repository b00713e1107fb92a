"""An inspection opened for review: verdicts and decision at one side, plots and readings beside.

Where the window is small for its text, the side becomes the first of the tabs.
"""

import re
from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtGui import QKeySequence, QResizeEvent, QShortcut
from PySide6.QtWidgets import (
    QHBoxLayout,
    QLabel,
    QSplitter,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)

from seatproof.core.comparison.trend import Trend
from seatproof.core.verdict.rule import Verdict
from seatproof.gui.review.decision_panel import DecisionPanel
from seatproof.gui.review.earlier_tab import EarlierTab
from seatproof.gui.review.opened import Opened
from seatproof.gui.review.plots import FormTab, MapTab, TaperTab, UndulationTab
from seatproof.gui.review.readings_tab import ReadingsTab
from seatproof.gui.shared.action_button import ActionButton
from seatproof.gui.shared.elided_label import ElidedLabel
from seatproof.gui.shared.entry_cards import heading, second_line
from seatproof.gui.shared.figure import Figure
from seatproof.gui.shared.page_view import PageView
from seatproof.gui.shared.saying import again, say
from seatproof.gui.shared.scrolling import scrolling
from seatproof.gui.shared.signing import OpenRegister
from seatproof.gui.shared.theme import Theme
from seatproof.gui.shared.verdict_cards import VerdictCards, VerdictMark

_ROOMY_EM = 58.0
_SIDE_EM = 23.0


class OpenedPage(QWidget):
    """Shows an `Opened` inspection.

    Parameters
    ----------
    theme : Theme
    open_register : callable
        Reads the register of people.
    trend : callable
        Returns what the archive holds of a seat.
    pictures : Path
        Folder for saved plots.

    Signals
    -------
    left
        Back to those that wait.
    next_wanted
        The one that waits next is to be opened.
    sheet_wanted : Opened
        Its sheet's pages are to be shown.
    """

    left = Signal()
    next_wanted = Signal()
    sheet_wanted = Signal(object)

    def __init__(
        self,
        theme: Theme,
        open_register: OpenRegister,
        trend: Callable[[Opened, str], Trend | None],
        pictures: Path,
    ) -> None:
        super().__init__()
        self._theme = theme
        self._pictures = pictures
        self._opened: Opened | None = None
        self._is_drawn = False
        self.back = ActionButton(say("Back (Esc)"))
        self.back.setObjectName("review_back")
        self.following = ActionButton(say("Next one (F6)"), "F6")
        self.following.setObjectName("review_next")
        self.decide = ActionButton(say("Decide (F8)"), "F8")
        self.decide.setObjectName("review_decide")
        self.decide.setProperty("emphasis", "strong")
        self.title, self.second, self.faults = ElidedLabel(), ElidedLabel(), QLabel()
        self.verdict = QLabel()
        self.verdict.setProperty("role", "heading")
        self.title.setProperty("role", "heading")
        self.second.setProperty("role", "small")
        self.faults.setWordWrap(True)
        for label in (self.title, self.second, self.faults):
            label.setTextFormat(Qt.TextFormat.PlainText)
        self._mark_place = QHBoxLayout()
        self.verdicts = VerdictCards(theme)
        self.decision = DecisionPanel(open_register)
        self.form = FormTab(theme, self._place_of)
        self.undulations = UndulationTab(theme, self._place_of)
        self.taper = TaperTab(theme, self._place_of)
        self.map = MapTab(theme, self._place_of)
        self.earlier = EarlierTab(theme, self._place_of, trend)
        self.readings = ReadingsTab()
        self.sheet = PageView()
        self._lay_out()
        self.back.clicked.connect(self._leave)
        self.tabs.currentChanged.connect(lambda _: self._draw_sheet())
        # What has just been shown has its place only after the layout was done.
        self._reveal = QTimer(self)
        self._reveal.setSingleShot(True)
        self._reveal.timeout.connect(
            lambda: self._decision_page.ensureWidgetVisible(self.decision.signing, 0, 0)
        )
        self.decision.signing_shown.connect(lambda: self._reveal.start(0))
        self.decide.clicked.connect(self._show_decision)
        self.following.clicked.connect(lambda: self.next_wanted.emit())
        QShortcut(
            QKeySequence("Esc"), self, context=Qt.ShortcutContext.WidgetWithChildrenShortcut
        ).activated.connect(self._leave)
        for number in range(9):
            QShortcut(
                QKeySequence(f"Ctrl+{number + 1}"),
                self,
                context=Qt.ShortcutContext.WidgetWithChildrenShortcut,
            ).activated.connect(lambda number=number: self.tabs.setCurrentIndex(number))

    @property
    def opened(self) -> Opened | None:
        return self._opened

    def show_opened(self, opened: Opened) -> None:
        """Show an inspection from its beginning."""
        self._opened = opened
        state, plan = opened.state, opened.state.plan
        self.second.setText(second_line(opened.entry))
        # Those that are verdicts stand on the cards below.
        others = [fault.sentence for fault in opened.faults if fault.verdict is None]
        self.faults.setText("\n".join(f"– {sentence}" for sentence in others))
        self.faults.setVisible(bool(others))
        while (item := self._mark_place.takeAt(0)) is not None:
            widget = item.widget()
            if widget is not None:
                widget.hide()
                widget.deleteLater()
        verdict = state.sealed.content.get("verdict") if state.sealed is not None else None
        worst = opened.evaluation.verdict if verdict is None else Verdict(verdict)
        self.verdict.setText(again(worst.value))
        self._mark_place.addWidget(VerdictMark(self._theme, worst))
        self._show_title()
        seats = []
        for seat in plan.seats:
            lines = [line for line in opened.sealed_lines if line.seat == seat.id]
            if lines:
                seats.append((opened.heading(seat.id), lines))
        self.verdicts.show_seats(seats)
        for tab in (self.form, self.undulations, self.taper, self.map, self.earlier):
            tab.end_enlarged()
            tab.show_opened(opened)
        self.readings.show_opened(opened)
        self.sheet.show_pages(())
        self._is_drawn = False
        self._draw_sheet()

    def set_theme(self, theme: Theme) -> None:
        self._theme = theme

    def focus_first(self) -> None:
        """Put the keyboard where a review begins."""
        self.tabs.setFocus(Qt.FocusReason.OtherFocusReason)

    # --- inside ----------------------------------------------------------------------------------

    def _lay_out(self) -> None:
        side = QWidget()
        column = QVBoxLayout(side)
        column.setContentsMargins(0, 0, 6, 0)
        column.addWidget(self.faults)
        column.addWidget(self.verdicts)
        column.addStretch(1)
        self._side = scrolling(side)
        self._side.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._decision_page = scrolling(self.decision)
        self.tabs = QTabWidget()
        self.tabs.setDocumentMode(True)
        self.tabs.setUsesScrollButtons(True)
        for number, (word, tab) in enumerate(
            (
                (say("Form"), self.form),
                (say("Undulations"), self.undulations),
                (say("Along"), self.taper),
                (say("Unrolled"), self.map),
                (say("Earlier"), self.earlier),
                (say("Readings"), self.readings),
                (say("Sheet"), self.sheet),
                (say("Decision"), self._decision_page),
            )
        ):
            self.tabs.addTab(tab, word)
            self.tabs.setTabToolTip(number, f"Ctrl+{number + 1}")
        for tab in (self.form, self.undulations, self.taper, self.map, self.earlier):
            tab.enlarged.connect(self._enlarge)
        words = QVBoxLayout()
        words.setSpacing(0)
        words.addWidget(self.title)
        words.addWidget(self.second)
        self._head = QWidget()
        row = QHBoxLayout(self._head)
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(self.back)
        row.addLayout(self._mark_place)
        row.addWidget(self.verdict)
        row.addLayout(words, 1)
        row.addWidget(self.decide)
        row.addWidget(self.following)
        self._split = QSplitter(Qt.Orientation.Horizontal)
        self._split.setChildrenCollapsible(False)
        self._split.addWidget(self.tabs)
        layout = QVBoxLayout(self)
        layout.addWidget(self._head)
        layout.addWidget(self._split, 1)
        self._is_roomy: bool | None = None
        self._fold(roomy=False)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fold(roomy=self.width() >= _ROOMY_EM * self.fontMetrics().height())

    def _fold(self, *, roomy: bool) -> None:
        """Put the side beside the tabs, or among them."""
        if roomy is self._is_roomy:
            return
        self._is_roomy = roomy
        self.second.setVisible(roomy)
        self.verdict.setVisible(roomy)
        self._show_title()
        if roomy:
            index = self.tabs.indexOf(self._side)
            if index >= 0:
                self.tabs.removeTab(index)
            self._split.insertWidget(0, self._side)
            self._side.show()
            em = self.fontMetrics().height()
            self._split.setSizes(
                [round(_SIDE_EM * em), max(self.width() - round(_SIDE_EM * em), 1)]
            )
            self._split.setStretchFactor(0, 0)
            self._split.setStretchFactor(1, 1)
        else:
            self.tabs.insertTab(0, self._side, say("Verdicts"))
            self.tabs.setCurrentIndex(0)

    def _show_title(self) -> None:
        """Name what is open; where there is no room beside it, the verdict comes first."""
        if self._opened is not None:
            name = heading(self._opened.entry)
            self.title.setText(name if self._is_roomy else f"{self.verdict.text()} · {name}")

    def _draw_sheet(self) -> None:
        """Ask for the sheet's pages once somebody looks for them."""
        is_looked_at = self.tabs.currentWidget() is self.sheet
        if self._opened is not None and is_looked_at and not self._is_drawn:
            self._is_drawn = True
            self.sheet.show_pages((), say("Drawing the sheet …"))
            self.sheet_wanted.emit(self._opened)

    def _enlarge(self, on: bool) -> None:
        self._head.setVisible(not on)
        self.tabs.tabBar().setVisible(not on)
        if self._is_roomy:
            self._side.setVisible(not on)

    def _show_decision(self) -> None:
        self.tabs.setCurrentWidget(self._decision_page)
        first = next(iter(self.decision.choices.values()))
        first.setFocus(Qt.FocusReason.OtherFocusReason)

    def _leave(self) -> None:
        tab = self.tabs.currentWidget()
        ends = getattr(tab, "end_enlarged", None)
        if ends is None or not ends():
            self.left.emit()

    def _place_of(self, figure: Figure) -> tuple[Path, str]:
        sheet = "" if self._opened is None else self._opened.state.identification.sheet_number
        name = re.sub(r"[^\w.-]+", " ", f"{sheet} {figure.file_name}").strip()
        return self._pictures, name[:100].strip()

"""One piece of equipment: its papers, its line, its tests, where it was used, its history."""

from collections.abc import Callable
from typing import Final

from PySide6.QtWidgets import (
    QHBoxLayout,
    QListWidget,
    QPushButton,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from seatproof.core.units import Unit
from seatproof.devices.discovery import PortFound
from seatproof.gui.bench.pages.base import button, plain_label
from seatproof.gui.gauges.item_form import ItemForm
from seatproof.gui.gauges.line_page import LinePage
from seatproof.gui.gauges.papers_page import PapersPage
from seatproof.gui.gauges.register import Row, history_lines
from seatproof.gui.gauges.repeatability_page import RepeatabilityPage
from seatproof.gui.gauges.use_page import UsePageView, Uses
from seatproof.gui.shared.action_button import ActionButton
from seatproof.gui.shared.saying import again, say, wording

_PAPERS: Final = wording("Papers")
_LINE: Final = wording("Line")
_REPEATABILITY: Final = wording("Repeatability")
_ONLY_GAUGES: Final = (_LINE, _REPEATABILITY)


class ItemView(QWidget):
    """Shows one piece, page by page."""

    def __init__(
        self, uses: Uses, find_ports: Callable[[], tuple[PortFound, ...]], read_only: str
    ) -> None:
        super().__init__()
        self.papers = PapersPage(read_only)
        self.line = LinePage(find_ports)
        self.test = RepeatabilityPage()
        self.uses = UsePageView(uses)
        self.history = QListWidget()
        self.history.setObjectName("history")
        self.history.setAccessibleName(say("History"))
        self.history.setWordWrap(True)
        self.history.setResizeMode(QListWidget.ResizeMode.Adjust)
        self.title = plain_label("item_title", "heading")
        self.due = plain_label("item_due")
        self.pages: dict[str, QWidget] = {
            _PAPERS: self.papers,
            _LINE: self.line,
            _REPEATABILITY: self.test,
            wording("Used in"): self.uses,
            wording("History"): self.history,
        }
        self.tabs: dict[str, ActionButton] = {}
        self._stack = QStackedWidget()
        tabs = QHBoxLayout()
        for word, page in self.pages.items():
            self._stack.addWidget(page)
            tab = button(
                say(word),
                f"page_{word.replace(' ', '_').lower()}",
                lambda word=word: self.show_page(word),  # type: ignore[misc]  # bound per turn
                checkable=True,
            )
            tabs.addWidget(tab)
            self.tabs[word] = tab
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        self.back = QPushButton(say("Back to the list"))
        self.back.setObjectName("back_to_equipment")
        self.back.hide()
        head = QHBoxLayout()
        head.addWidget(self.title, 1)
        head.addWidget(self.back)
        layout.addLayout(head)
        layout.addWidget(self.due)
        layout.addLayout(tabs)
        layout.addWidget(self._stack, 1)
        self.show_page(_PAPERS)

    def show_new(self, form: ItemForm) -> None:
        """Show the form of a piece that is not in the register yet."""
        self.shut_lines()
        self.title.setText(say("A new piece of equipment"))
        self.due.setText(say("Fill in what its papers say."))
        for word, tab in self.tabs.items():
            tab.setVisible(word == _PAPERS)
        self.show_page(_PAPERS)
        self.papers.show_form(form, is_retired=False)
        self.papers.fields.go_to("inventory_number")

    def show_row(self, row: Row, form: ItemForm | None = None) -> None:
        """Show a piece of the register, with a form that was begun; raises `ArchiveError`."""
        item = row.entry.item
        self.title.setText(row.title)
        retired = row.entry.retired_because
        self.due.setText(
            say("Out of use: {reason}", reason=retired) if retired else again(row.due.sentence)
        )
        for word, tab in self.tabs.items():
            tab.setVisible(word not in _ONLY_GAUGES or item.kind.sends_lengths)
        if self._shown in _ONLY_GAUGES and not item.kind.sends_lengths:
            self.show_page(_PAPERS)
        self.papers.show_form(form or ItemForm(item), is_retired=row.entry.is_retired)
        if item.kind.sends_lengths:
            self.line.show_item(item)
            self.test.show_item(item)
        self.uses.show_item(item.inventory_number)
        self.history.clear()
        self.history.addItems(history_lines(row.entry, Unit(item.unit)))

    def show_page(self, word: str) -> None:
        """Bring a page to the front; a line that is open on another page is closed."""
        self._shown = word
        self.shut_lines()
        self._stack.setCurrentWidget(self.pages[word])
        for other, tab in self.tabs.items():
            tab.setChecked(other == word)

    def shut_lines(self) -> None:
        """Close whatever line is open here."""
        self.line.close_line()
        self.test.close_line()

"""In which records a piece of equipment was used: the question after a failed calibration."""

from collections.abc import Callable

from PySide6.QtWidgets import QListWidget, QVBoxLayout, QWidget

from seatproof.core.archive.query import GaugeUse, UsePage
from seatproof.gui.bench.pages.base import button, plain_label
from seatproof.gui.shared.saying import again, say

Uses = Callable[[str, int | None], UsePage]


class UsePageView(QWidget):
    """Shows uses, newest first, page by page."""

    def __init__(self, uses: Uses) -> None:
        super().__init__()
        self._uses = uses
        self._number = ""
        self._next: int | None = None
        self.none = plain_label("no_uses")
        self.none.setText(say("No record names it yet."))
        self.list = QListWidget()
        self.list.setObjectName("uses")
        self.list.setAccessibleName(say("Records that used it"))
        self.list.setWordWrap(True)
        self.list.setResizeMode(QListWidget.ResizeMode.Adjust)
        self.more = button(say("Show earlier ones"), "more_uses", self._add_page)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self.none)
        layout.addWidget(self.list, 1)
        layout.addWidget(self.more)

    def show_item(self, number: str) -> None:
        """Show the newest uses of a piece; raises `ArchiveError`."""
        self._number, self._next = number, None
        self.list.clear()
        self._add_page()

    def _add_page(self) -> None:
        page = self._uses(self._number, self._next)
        for use in page.uses:
            self.list.addItem(use_words(use))
        self._next = page.next_page
        self.more.setVisible(self._next is not None)
        self.none.setVisible(not self.list.count())
        self.list.setVisible(bool(self.list.count()))


def use_words(use: GaugeUse) -> str:
    """Say which record it is, when the piece served in it, and what came of the record."""
    entry = use.entry
    days = str(use.first_day)
    if use.first_day != use.last_day:
        days = say("{low} to {high}", low=days, high=str(use.last_day))
    verdict = f", {again(entry.verdict)}" if entry.verdict else ""
    readings = (
        say("1 reading")
        if use.readings == 1
        else say("{readings} readings", readings=str(use.readings))
    )
    what = f"{entry.sheet_number}  {entry.title}, {entry.thing}"
    return f"{what}\n{days}: {readings}; {again(entry.state)}{verdict}"

"""A table of texts as the sheet prints it, on a card of the screen, in the window's language."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QGridLayout, QLabel, QVBoxLayout, QWidget

from seatproof.core.wording.content import Grid, Section
from seatproof.gui.shared.saying import again


class GridCard(QFrame):
    """Shows the tables of one section; made anew only when the section says something else."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("role", "card")
        self._layout = QVBoxLayout(self)
        self._shown: Section | None = None
        self.hide()

    def show_section(self, section: Section) -> None:
        """Show a section; without tables the card is hidden."""
        self.setVisible(bool(section.grids))
        if section == self._shown:
            return
        self._shown = section
        while (item := self._layout.takeAt(0)) is not None:
            widget = item.widget()
            if widget is not None:
                widget.deleteLater()
        title = QLabel(again(section.heading))
        title.setProperty("role", "heading")
        title.setWordWrap(True)
        self._layout.addWidget(title)
        for grid in section.grids:
            self._layout.addWidget(_table(grid))

    @property
    def texts(self) -> tuple[str, ...]:
        """Everything that stands on the card, row by row."""
        return tuple(label.text() for label in self.findChildren(QLabel))


def _table(grid: Grid) -> QWidget:
    table = QWidget()
    layout = QGridLayout(table)
    layout.setContentsMargins(0, 0, 0, 0)
    last = len(grid.heads) - 1
    if grid.caption:
        layout.addWidget(_cell(grid.caption, bold=True), 0, 0, 1, last + 1)
    for column, (head, share) in enumerate(zip(grid.heads, grid.shares, strict=True)):
        layout.setColumnStretch(column, max(round(share * 100), 1))
        layout.addWidget(_cell(head, bold=True, right=column in grid.figures), 1, column)
    for row, cells in enumerate(grid.rows, start=2):
        for column, text in enumerate(cells):
            layout.addWidget(_cell(text, right=column in grid.figures), row, column)
    if grid.note:
        layout.addWidget(_cell(grid.note), len(grid.rows) + 2, 0, 1, last + 1)
    return table


def _cell(text: str, *, bold: bool = False, right: bool = False) -> QLabel:
    label = QLabel(again(text))
    label.setTextFormat(Qt.TextFormat.PlainText)
    label.setWordWrap(True)
    label.setProperty("role", "" if bold else "small")
    if bold:
        font = label.font()
        font.setBold(True)
        label.setFont(font)
    side = Qt.AlignmentFlag.AlignRight if right else Qt.AlignmentFlag.AlignLeft
    label.setAlignment(side | Qt.AlignmentFlag.AlignTop)
    return label

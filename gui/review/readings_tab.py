"""The table of readings, and what the verdict would be without some of them."""

from collections.abc import Callable
from typing import Any

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, Qt
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHBoxLayout,
    QHeaderView,
    QLabel,
    QTableView,
    QVBoxLayout,
    QWidget,
)

from seatproof.gui.review.opened import Opened, WhatIf, what_if
from seatproof.gui.review.readings import HEADS, ReadingRow, equipment_lines, reading_rows
from seatproof.gui.shared.action_button import ActionButton
from seatproof.gui.shared.saying import again, say, wording

Index = QModelIndex | QPersistentModelIndex
_AS_RECORDED = wording(
    "Mark a reading that counts (Space) to see what the verdicts would be without it. "
    "Nothing of that is stored."
)


class ReadingsModel(QAbstractTableModel):
    """The rows of readings; those marked are left out of a question, never of the record."""

    def __init__(self, on_marked: Callable[[], None], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._rows: tuple[ReadingRow, ...] = ()
        self._on_marked = on_marked
        self.left_out: set[int] = set()

    def show_rows(self, rows: tuple[ReadingRow, ...]) -> None:
        self.beginResetModel()
        self._rows = rows
        self.left_out = set()
        self.endResetModel()

    def forget_marks(self) -> None:
        """Count all readings again."""
        self.beginResetModel()
        self.left_out = set()
        self.endResetModel()
        self._on_marked()

    def rowCount(self, parent: Index | None = None) -> int:
        return 0 if parent is not None and parent.isValid() else len(self._rows)

    def columnCount(self, parent: Index | None = None) -> int:
        return 0 if parent is not None and parent.isValid() else len(HEADS)

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> Any:
        if role == Qt.ItemDataRole.DisplayRole and orientation is Qt.Orientation.Horizontal:
            return say(HEADS[section])
        return None

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        row = self._rows[index.row()]
        if role == Qt.ItemDataRole.DisplayRole:
            text = row.texts[index.column()]
            if index.column() == 5 and row.seq in self.left_out:
                return say("left out of the question; {state}", state=text)
            return text
        if role == Qt.ItemDataRole.ToolTipRole:
            return row.texts[index.column()]
        if role == Qt.ItemDataRole.CheckStateRole and index.column() == 0 and row.counts:
            marked = row.seq in self.left_out
            return Qt.CheckState.Unchecked if marked else Qt.CheckState.Checked
        return None

    def flags(self, index: Index) -> Qt.ItemFlag:
        flags = super().flags(index)
        if index.column() == 0 and self._rows[index.row()].counts:
            flags |= Qt.ItemFlag.ItemIsUserCheckable
        return flags

    def setData(self, index: Index, value: Any, role: int = Qt.ItemDataRole.EditRole) -> bool:
        del value
        if role != Qt.ItemDataRole.CheckStateRole:
            return False
        return self.toggle(index.row())

    def toggle(self, row: int) -> bool:
        """Leave a reading out, or count it again; return whether it is one that counts."""
        reading = self._rows[row]
        if not reading.counts:
            return False
        self.left_out ^= {reading.seq}
        self.dataChanged.emit(self.index(row, 0), self.index(row, len(HEADS) - 1))
        self._on_marked()
        return True


class _Table(QTableView):
    """A table in which Space marks the row that the keyboard is on."""

    def keyPressEvent(self, event: Any) -> None:
        model = self.model()
        if event.key() == Qt.Key.Key_Space and isinstance(model, ReadingsModel):
            if self.currentIndex().isValid():
                model.toggle(self.currentIndex().row())
            return
        super().keyPressEvent(event)


class ReadingsTab(QWidget):
    """Shows the readings of an opened inspection."""

    def __init__(self) -> None:
        super().__init__()
        self._opened: Opened | None = None
        self.equipment = _label("small")
        self.model = ReadingsModel(self._ask, self)
        self.table = _Table()
        self.table.setModel(self.model)
        self.table.setAccessibleName(say("Readings"))
        self.table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.table.verticalHeader().hide()
        self.table.setWordWrap(False)
        self.table.setTabKeyNavigation(False)
        header = self.table.horizontalHeader()
        header.setSectionResizeMode(QHeaderView.ResizeMode.Interactive)
        header.setStretchLastSection(True)
        self.answer = _label()
        self.forget = ActionButton(say("Count all again"))
        self.forget.clicked.connect(self.model.forget_marks)
        row = QHBoxLayout()
        row.addWidget(self.answer, 1)
        row.addWidget(self.forget)
        layout = QVBoxLayout(self)
        layout.addWidget(self.equipment)
        layout.addWidget(self.table, 1)
        layout.addLayout(row)
        self._ask()

    def show_opened(self, opened: Opened) -> None:
        self._opened = opened
        self.equipment.setText("\n".join(equipment_lines(opened.state)))
        self.model.show_rows(reading_rows(opened.state))
        metrics = self.table.fontMetrics()
        for column, sample in enumerate(
            (
                "☐ 0000 00",
                "00:00:00 0",
                "A 00/00 0",
                f"{say('deviation')} +0.0",
                "0" * 16,
                "0" * 14,
                "0" * 22,
            )
        ):
            self.table.setColumnWidth(column, metrics.horizontalAdvance(sample) + 14)
        self._ask()

    def _ask(self) -> None:
        """Say what would follow from what is marked."""
        left_out = frozenset(self.model.left_out)
        self.forget.setVisible(bool(left_out))
        if not left_out or self._opened is None:
            self.answer.setText(say(_AS_RECORDED))
            return
        changed = [one for one in what_if(self._opened, left_out) if one.is_changed]
        lines = [
            say("Only a question, not stored. Without one reading:")
            if len(left_out) == 1
            else say(
                "Only a question, not stored. Without {count} readings:", count=str(len(left_out))
            )
        ]
        lines += [_said(one) for one in changed] or [say("nothing would change.")]
        self.answer.setText("\n".join(lines))


def _said(one: WhatIf) -> str:
    before, after = one.before, one.after
    gaps = {
        "seat": one.seat,
        "characteristic": again(one.characteristic),
        "verdict": again(after.verdict.value),
        "value": again(after.value),
        "before": again(before.value),
    }
    if before.verdict is after.verdict:
        return say(
            "Seat {seat}, {characteristic}: {verdict} as before; found {value} instead of {before}",
            **gaps,
        )
    return say(
        "Seat {seat}, {characteristic}: {verdict} instead of {once}; found {value} instead of "
        "{before}",
        once=again(before.verdict.value),
        **gaps,
    )


def _label(role: str = "") -> QLabel:
    label = QLabel()
    label.setWordWrap(True)
    label.setTextFormat(Qt.TextFormat.PlainText)
    if role:
        label.setProperty("role", role)
    return label

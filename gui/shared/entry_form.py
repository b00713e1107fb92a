"""A form made from a list of fields: captions, hints, and what is wrong beside each field."""

from collections.abc import Mapping, Sequence
from typing import Final

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtGui import QResizeEvent, QWheelEvent
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QFormLayout,
    QLabel,
    QLineEdit,
    QPlainTextEdit,
    QVBoxLayout,
    QWidget,
)

from seatproof.gui.shared.entry_spec import Entry, EntryKind, Remark, Tone
from seatproof.gui.shared.saying import again, say

_LONGEST: Final = 10_000
_LINES_SHOWN: Final = 4
_NARROW_EM: Final = 30


class EntryForm(QWidget):
    """Shows fields by their specification.

    Signals
    -------
    edited : str, object
        A person changed the field of that key to that text, or ticked it (bool).
    """

    edited = Signal(str, object)

    def __init__(self, prefix: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._prefix = prefix
        self._entries: tuple[Entry, ...] = ()
        self._unit = ""
        self.fields: dict[str, QWidget] = {}
        self._remarks: dict[str, QLabel] = {}
        self._layout = QFormLayout(self)
        self._layout.setContentsMargins(0, 0, 0, 0)
        self._layout.setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.AllNonFixedFieldsGrow)
        self._layout.setLabelAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop)

    def show_form(
        self,
        entries: Sequence[Entry],
        values: Mapping[str, object],
        remarks: Mapping[str, Remark] | None = None,
        unit: str = "",
    ) -> None:
        """Show these fields with these values; a field that is being typed in keeps its text."""
        wanted = tuple(entries)
        if wanted != self._entries or unit != self._unit:
            self._rebuild(wanted, unit)
        for entry in wanted:
            self._fill(entry, values.get(entry.key, ""))
            self._remark(entry.key, (remarks or {}).get(entry.key))

    def go_to(self, key: str) -> bool:
        """Put the keyboard into a field; return whether there is such a field."""
        field = self.fields.get(key)
        if field is None:
            return False
        field.setFocus(Qt.FocusReason.OtherFocusReason)
        return True

    def resizeEvent(self, event: QResizeEvent) -> None:
        narrow = event.size().width() < _NARROW_EM * self.fontMetrics().height()
        policy = (
            QFormLayout.RowWrapPolicy.WrapAllRows
            if narrow
            else QFormLayout.RowWrapPolicy.DontWrapRows
        )
        if policy != self._layout.rowWrapPolicy():
            self._layout.setRowWrapPolicy(policy)
        super().resizeEvent(event)

    def _rebuild(self, entries: tuple[Entry, ...], unit: str) -> None:
        focused = next((key for key, field in self.fields.items() if field.hasFocus()), None)
        while self._layout.rowCount():
            row = self._layout.takeRow(0)
            for item in (row.labelItem, row.fieldItem):
                widget = item.widget() if item is not None else None
                if widget is not None:  # it may be the very one whose change is being dealt with
                    widget.hide()
                    widget.deleteLater()
        self._entries, self._unit = entries, unit
        self.fields, self._remarks = {}, {}
        for entry in entries:
            self._add(entry)
        if focused is not None:
            self.go_to(focused)

    def _add(self, entry: Entry) -> None:
        caption = say(entry.caption, unit=self._unit)
        field = self._field(entry)
        field.setObjectName(f"{self._prefix}_{entry.key.replace('.', '_')}")
        field.setAccessibleName(caption)
        self.fields[entry.key] = field
        holder = QWidget()
        column = QVBoxLayout(holder)
        column.setContentsMargins(0, 0, 0, 4)
        column.setSpacing(2)
        column.addWidget(field)
        remark = QLabel()
        remark.setObjectName(f"remark_{self._prefix}_{entry.key.replace('.', '_')}")
        remark.setWordWrap(True)
        remark.setTextFormat(Qt.TextFormat.PlainText)
        remark.hide()
        column.addWidget(remark)
        self._remarks[entry.key] = remark
        if entry.hint:
            hint = QLabel(say(entry.hint, unit=self._unit))
            hint.setProperty("role", "small")
            hint.setWordWrap(True)
            column.addWidget(hint)
        if entry.kind is EntryKind.YES:
            self._layout.addRow(holder)
            return
        label = QLabel(caption)
        label.setWordWrap(True)
        label.setMinimumWidth(9 * self.fontMetrics().height())
        label.setContentsMargins(0, self.fontMetrics().height() // 3, 0, 0)
        label.setBuddy(field)
        self._layout.addRow(label, holder)

    def _field(self, entry: Entry) -> QWidget:
        match entry.kind:
            case EntryKind.LINE:
                line = QLineEdit()
                line.setMaxLength(_LONGEST)
                line.setPlaceholderText(again(entry.example))
                line.textEdited.connect(lambda text: self.edited.emit(entry.key, text))
                line.returnPressed.connect(self.focusNextChild)
                return line
            case EntryKind.LINES:
                lines = QPlainTextEdit()
                lines.setPlaceholderText(again(entry.example))
                lines.setTabChangesFocus(True)
                lines.setFixedHeight(_LINES_SHOWN * self.fontMetrics().lineSpacing() + 18)
                lines.textChanged.connect(
                    lambda: self.edited.emit(entry.key, lines.toPlainText()[:_LONGEST])
                )
                return lines
            case EntryKind.CHOICE:
                box = Choice(is_open=entry.is_open)
                box.offer(entry.choices)
                box.chosen.connect(lambda value: self.edited.emit(entry.key, value))
                return box
            case EntryKind.YES:
                tick = QCheckBox(say(entry.caption, unit=self._unit))
                tick.setMinimumHeight(round(1.8 * self.fontMetrics().height()))
                tick.clicked.connect(lambda ticked: self.edited.emit(entry.key, ticked))
                return tick

    def _fill(self, entry: Entry, value: object) -> None:
        field = self.fields[entry.key]
        if isinstance(field, QCheckBox):
            field.setChecked(value is True)
        elif isinstance(field, Choice):
            field.show_value(str(value))
        elif isinstance(field, QLineEdit):
            # Somebody types there: what the field shows is where the value came from.
            if field.text() != value and not (field.hasFocus() and field.text().strip() == value):
                field.setText(str(value))
        elif isinstance(field, QPlainTextEdit) and field.toPlainText() != value:
            with QSignalBlocker(field):
                field.setPlainText(str(value))

    def _remark(self, key: str, remark: Remark | None) -> None:
        show_remark(self._remarks[key], remark)


class Choice(QComboBox):
    """One of several; the wheel passes over it, so that scrolling a form changes nothing.

    Signals
    -------
    chosen : str
        The value that a person chose, or typed where that is allowed.
    """

    chosen = Signal(str)

    def __init__(self, *, is_open: bool = False, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setEditable(is_open)
        self.setInsertPolicy(QComboBox.InsertPolicy.NoInsert)
        self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.setMinimumContentsLength(8)
        self.activated.connect(lambda index: self.chosen.emit(str(self.itemData(index))))
        edit = self.lineEdit()
        if edit is not None:
            edit.textEdited.connect(self._typed)

    def offer(self, choices: Sequence[tuple[str, str]]) -> None:
        """Offer values, each in its words; a word that is its own value may be a person's."""
        for value, words in choices:
            self.addItem(again(words), value)

    def show_value(self, value: str) -> None:
        """Show a value that was chosen; nothing is told."""
        index = self.findData(value)
        edit = self.lineEdit()
        with QSignalBlocker(self):
            if edit is None:
                self.setCurrentIndex(index)
            elif edit.text() != value and self._value_of(edit.text()) != value:
                self.setEditText(self.itemText(index) if index >= 0 else value)

    def wheelEvent(self, event: QWheelEvent) -> None:
        event.ignore()

    def _typed(self, text: str) -> None:
        self.chosen.emit(self._value_of(text))

    def _value_of(self, text: str) -> str:
        """Return the value whose words these are; the text itself where it is nobody's words."""
        index = self.findText(text, Qt.MatchFlag.MatchExactly | Qt.MatchFlag.MatchCaseSensitive)
        return text if index < 0 else str(self.itemData(index))


def show_remark(label: QLabel, remark: Remark | None) -> None:
    """Say something beside a field: wrong with a mark and its colour, missing quietly."""
    label.setVisible(remark is not None)
    if remark is None:
        label.setText("")
        return
    label.setText(f"{remark.tone.value} {again(remark.sentence)}")
    role = {Tone.WRONG: "problem", Tone.MISSING: "small", Tone.NOTE: "note"}[remark.tone]
    if label.property("role") != role:
        label.setProperty("role", role)
        label.style().unpolish(label)
        label.style().polish(label)

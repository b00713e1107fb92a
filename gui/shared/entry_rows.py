"""A short list of alike entries, one row each, that can be added to, moved and shortened."""

from collections.abc import Mapping, Sequence
from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QLineEdit, QPushButton, QVBoxLayout, QWidget

from seatproof.gui.shared.entry_form import Choice, show_remark
from seatproof.gui.shared.entry_spec import Entry, EntryKind, Remark
from seatproof.gui.shared.saying import again, say


class EntryRows(QWidget):
    """Shows rows of lines and choices.

    Signals
    -------
    edited : int, str, str
        The field of that row and key was changed to that text.
    added
        A further row is wanted.
    removed : int
        That row shall go.
    moved : int
        That row shall change places with the one before it.
    tapped : int
        The row's own button was tapped.
    """

    edited = Signal(int, str, str)
    added = Signal()
    removed = Signal(int)
    moved = Signal(int)
    tapped = Signal(int)

    def __init__(
        self,
        prefix: str,
        columns: Sequence[Entry],
        add: str,
        *,
        own_button: str = "",
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._prefix = prefix
        self._columns = tuple(columns)
        self._own = own_button
        self._unit = ""
        self._count = -1
        self.fields: dict[tuple[int, str], QWidget] = {}
        self._remarks: list[QLabel] = []
        self._rows = QWidget()
        self._column = QVBoxLayout(self._rows)
        more = QPushButton(say(add))
        more.setObjectName(f"{prefix}_add")
        more.setAutoDefault(False)
        more.clicked.connect(lambda: self.added.emit())
        self._layout = QVBoxLayout(self)
        self._layout.setContentsMargins(0, 0, 0, 0)
        self._layout.addWidget(self._rows)
        self._layout.addWidget(more)

    def show_rows(
        self,
        rows: Sequence[Mapping[str, object]],
        remarks: Mapping[int, Remark] | None = None,
        unit: str = "",
    ) -> None:
        """Show rows with what is to be said of each."""
        if len(rows) != self._count or unit != self._unit:
            self._rebuild(len(rows), unit)
        for index, row in enumerate(rows):
            for column in self._columns:
                field, value = self.fields[index, column.key], str(row.get(column.key, ""))
                if isinstance(field, Choice):
                    field.show_value(value)
                elif isinstance(field, QLineEdit) and field.text().strip() != value.strip():
                    field.setText(value)
            show_remark(self._remarks[index], (remarks or {}).get(index))

    def go_to(self, index: int, key: str = "") -> bool:
        """Put the keyboard into a row; return whether there is one."""
        field = self.fields.get((index, key or self._columns[0].key))
        if field is None:
            return False
        field.setFocus(Qt.FocusReason.OtherFocusReason)
        return True

    def _rebuild(self, count: int, unit: str) -> None:
        focused = next((at for at, field in self.fields.items() if field.hasFocus()), None)
        old = self._rows
        self._rows = QWidget()
        self._column = QVBoxLayout(self._rows)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._layout.replaceWidget(old, self._rows)
        old.hide()
        old.deleteLater()  # the button that asked for this may be in it
        self._count, self._unit = count, unit
        self.fields, self._remarks = {}, []
        if count:
            self._column.addLayout(self._head())
        for index in range(count):
            self._add(index)
        if focused is not None:
            self.go_to(*focused)

    def _head(self) -> QHBoxLayout:
        """Return the captions, each above its column: laid out as the rows are."""
        head = QHBoxLayout()
        head.addWidget(self._number(""))
        for column in self._columns:
            caption = QLabel(say(column.caption, unit=self._unit))
            caption.setWordWrap(True)
            caption.setMinimumWidth(self._least_width())
            head.addWidget(caption, 1)
        for button in self._buttons(0):
            policy = button.sizePolicy()
            policy.setRetainSizeWhenHidden(True)
            button.setSizePolicy(policy)
            button.setFixedHeight(1)
            button.setObjectName("")
            head.addWidget(button)
            button.hide()
        return head

    def _add(self, index: int) -> None:
        row = QHBoxLayout()
        row.addWidget(self._number(f"{index + 1}"))
        for column in self._columns:
            field = self._field(index, column)
            field.setObjectName(f"{self._prefix}_{index + 1}_{column.key}")
            caption = say(column.caption, unit=self._unit)
            field.setAccessibleName(f"{caption}, {index + 1}")
            field.setMinimumWidth(self._least_width())
            row.addWidget(field, 1)
            self.fields[index, column.key] = field
        for button in self._buttons(index):
            row.addWidget(button)
        remark = QLabel()
        remark.setObjectName(f"remark_{self._prefix}_{index + 1}")
        remark.setWordWrap(True)
        remark.setTextFormat(Qt.TextFormat.PlainText)
        remark.setIndent(self._number("").minimumWidth() + 6)
        remark.hide()
        self._column.addLayout(row)
        self._column.addWidget(remark)
        self._remarks.append(remark)

    def _buttons(self, index: int) -> list[QPushButton]:
        wanted = [
            ("up", "↑", say("move up"), self.moved),
            ("less", "✕", say("remove"), self.removed),
        ]
        if self._own:
            own = say(self._own)
            wanted.insert(0, ("own", own, own, self.tapped))
        buttons = []
        for name, text, words, signal in wanted:
            made = QPushButton(text)
            made.setObjectName(f"{self._prefix}_{index + 1}_{name}")
            made.setAccessibleName(f"{words}, {index + 1}")
            made.setToolTip(words)
            made.setAutoDefault(False)
            made.setEnabled(name != "up" or index > 0)
            made.clicked.connect(partial(signal.emit, index))
            buttons.append(made)
        return buttons

    def _number(self, text: str) -> QLabel:
        label = QLabel(text)
        label.setFixedWidth(round(1.3 * self.fontMetrics().height()))
        return label

    def _least_width(self) -> int:
        return 3 * self.fontMetrics().height()

    def _field(self, index: int, column: Entry) -> QWidget:
        if column.kind is EntryKind.CHOICE:
            box = Choice()
            box.offer(column.choices)
            box.chosen.connect(lambda value: self.edited.emit(index, column.key, value))
            return box
        line = QLineEdit()
        line.setMaxLength(200)
        line.setPlaceholderText(again(column.example))
        line.textEdited.connect(lambda text: self.edited.emit(index, column.key, text))
        line.returnPressed.connect(self.focusNextChild)
        return line

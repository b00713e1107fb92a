"""What to look for: words, and filters that all must hold."""

from dataclasses import replace
from typing import Final

from PySide6.QtCore import QStringListModel, Qt, QTimer, Signal
from PySide6.QtWidgets import (
    QComboBox,
    QCompleter,
    QGridLayout,
    QHBoxLayout,
    QLineEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from seatproof.core.archive.index import OPEN, STATES
from seatproof.core.verdict.rule import Verdict
from seatproof.gui.records.asking import Typed
from seatproof.gui.shared.saying import again, say, wording

_PAUSE_MS: Final = 180
_COLUMNS: Final = 3
_FIELDS: Final = (  # name, caption, what stands in the empty field
    ("asset", wording("Machine"), wording("machine")),
    ("shaft", wording("Shaft"), wording("shaft")),
    ("work_order", wording("Work order"), wording("work order")),
    ("sheet_number", wording("Sheet number"), wording("sheet number")),
    ("seat", wording("Seat"), wording("seat")),
    ("inspector", wording("Inspector"), wording("inspector")),
    ("gauge", wording("Gauge"), wording("gauge")),
    ("opened_from", wording("First day"), wording("first day, 2026-03-31")),
    ("opened_to", wording("Last day"), wording("last day, 2026-03-31")),
)
_CHOICES: Final = (
    (
        "verdict",
        wording("Verdict"),
        wording("any verdict"),
        tuple(verdict.value for verdict in Verdict),
    ),
    (
        "state",
        wording("State"),
        wording("any state"),
        tuple(state for state in STATES if state != OPEN),
    ),
)


class SearchPanel(QWidget):
    """Fields for a search; what is typed is asked for after a short pause.

    Signals
    -------
    changed
        Something else is looked for.
    """

    changed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.text = QLineEdit()
        self.text.setObjectName("records_text")
        self.text.setAccessibleName(say("Words to look for"))
        self.text.setPlaceholderText(say("words: machine, shaft, order, sheet, person, note …"))
        self.text.setClearButtonEnabled(True)
        self.toggle = QPushButton(say("Filters"))
        self.toggle.setObjectName("records_filters")
        self.toggle.setCheckable(True)
        self.clear = QPushButton(say("Clear"))
        self.clear.setObjectName("records_clear")
        self.edits = {name: QLineEdit() for name, _, _ in _FIELDS}
        self.boxes = {name: QComboBox() for name, _, _, _ in _CHOICES}
        self.offers = {name: QStringListModel() for name in ("asset", "shaft")}
        self._filters = QWidget()
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.setInterval(_PAUSE_MS)
        self._pause.timeout.connect(self.changed)
        self._lay_out()
        self.text.textChanged.connect(lambda _: self._pause.start())
        self.toggle.toggled.connect(self._filters.setVisible)
        self.clear.clicked.connect(self.empty)
        self._filters.hide()

    def typed(self) -> Typed:
        """Return the fields as they are now."""
        given = {name: edit.text() for name, edit in self.edits.items()}
        given |= {name: box.currentData() or "" for name, box in self.boxes.items()}
        return replace(Typed(text=self.text.text()), **given)

    def empty(self) -> None:
        """Look for everything again."""
        for edit in (self.text, *self.edits.values()):
            edit.clear()
        for box in self.boxes.values():
            box.setCurrentIndex(0)
        self._pause.stop()
        self.changed.emit()

    def show_filters_in_use(self) -> None:
        """Say on the button how many filters are in use."""
        count = self.typed().filters
        self.toggle.setText(say("Filters ({count})", count=str(count)) if count else say("Filters"))

    def _lay_out(self) -> None:
        grid = QGridLayout(self._filters)
        grid.setContentsMargins(0, 0, 0, 0)
        places: list[QWidget] = []
        for name, word, empty in _FIELDS:
            edit = self.edits[name]
            edit.setObjectName(f"filter_{name}")
            edit.setAccessibleName(say(word))
            edit.textChanged.connect(lambda _: self._pause.start())
            edit.setPlaceholderText(say(empty))
            edit.setToolTip(say(word))
            edit.setMinimumWidth(60)
            if name in self.offers:
                completer = QCompleter(self.offers[name], self)
                completer.setCaseSensitivity(Qt.CaseSensitivity.CaseInsensitive)
                edit.setCompleter(completer)
            places.append(edit)
        for name, word, any_of_them, values in _CHOICES:
            box = self.boxes[name]
            box.setObjectName(f"filter_{name}")
            box.setAccessibleName(say(word))
            box.setToolTip(say(word))
            box.setMinimumContentsLength(8)
            box.setSizeAdjustPolicy(
                QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon
            )
            box.addItem(say(any_of_them), "")
            for value in values:
                box.addItem(again(value), value)
            box.currentIndexChanged.connect(lambda _: self._pause.start())
            places.append(box)
        for number, widget in enumerate(places):
            grid.addWidget(widget, number // _COLUMNS, number % _COLUMNS)
        row = QHBoxLayout()
        row.addWidget(self.text, 1)
        row.addWidget(self.toggle)
        row.addWidget(self.clear)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addLayout(row)
        layout.addWidget(self._filters)

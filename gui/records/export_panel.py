"""Handing out: which inspections, as what, into which folder; with progress, and to be stopped."""

from enum import Enum
from pathlib import Path

from PySide6.QtCore import Signal
from PySide6.QtWidgets import (
    QCheckBox,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QProgressBar,
    QRadioButton,
    QVBoxLayout,
    QWidget,
)

from seatproof.gui.records.exporting import Kind
from seatproof.gui.shared.action_button import ActionButton
from seatproof.gui.shared.saying import again, say, wording


class Which(Enum):
    """Which inspections are handed out."""

    CHOSEN = wording("those chosen in the list")
    FOUND = wording("all that were found")


class ExportPanel(QWidget):
    """Says what is to be written; the work is that of who listens.

    Signals
    -------
    wanted
        It is to be written now.
    stopped
        It is to be stopped.
    """

    wanted = Signal()
    stopped = Signal()

    def __init__(self, folder: Path, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.which = {which: QRadioButton(say(which.value)) for which in Which}
        self.which[Which.CHOSEN].setChecked(True)
        self.kinds = {kind: QCheckBox(again(kind.value)) for kind in Kind}
        for kind, box in self.kinds.items():
            box.setObjectName(f"export_{kind.ending}")
            box.setChecked(kind is Kind.PDF)
        self.folder = QLineEdit(str(folder))
        self.folder.setObjectName("export_folder")
        self.start = ActionButton(say("Write the files (F9)"), "F9")
        self.start.setObjectName("export_start")
        self.start.setProperty("emphasis", "strong")
        self.stop = ActionButton(say("Stop"))
        self.stop.setObjectName("export_stop")
        self.bar = QProgressBar()
        self.said = QLabel()
        self.said.setWordWrap(True)
        self._lay_out()
        self.start.clicked.connect(self._start)
        self.stop.clicked.connect(lambda: self.stopped.emit())
        self.show_working(working=False)

    def chosen_kinds(self) -> tuple[Kind, ...]:
        return tuple(kind for kind, box in self.kinds.items() if box.isChecked())

    def chosen_which(self) -> Which:
        return next(which for which, button in self.which.items() if button.isChecked())

    def show_counts(self, chosen: int, found: str) -> None:
        """Say how many each choice means."""
        self.which[Which.CHOSEN].setText(f"{say(Which.CHOSEN.value)} ({chosen})")
        self.which[Which.FOUND].setText(f"{say(Which.FOUND.value)} ({found})")

    def show_working(self, *, working: bool, said: str = "") -> None:
        """Show whether files are being written."""
        self.start.setEnabled(not working)
        self.stop.setVisible(working)
        self.bar.setVisible(working)
        self.said.setText(again(said))

    def show_progress(self, done: int, total: int) -> None:
        self.bar.setRange(0, max(total, 1))
        self.bar.setValue(done)
        self.bar.setFormat(f"{done} / {total}")

    def _start(self) -> None:
        if not self.chosen_kinds():
            self.said.setText(say("Choose what is to be written: sheet, readings or results."))
        elif not self.folder.text().strip():
            self.said.setText(say("Name the folder to write to."))
        else:
            self.wanted.emit()

    def _lay_out(self) -> None:
        which, kinds = QVBoxLayout(), QVBoxLayout()
        for button in self.which.values():
            which.addWidget(button)
        for box in self.kinds.values():
            kinds.addWidget(box)
        form = QFormLayout()
        form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapLongRows)
        form.addRow(say("Which"), which)
        form.addRow(say("What"), kinds)
        form.addRow(say("Into the folder"), self.folder)
        buttons = QHBoxLayout()
        buttons.addWidget(self.start)
        buttons.addWidget(self.stop)
        layout = QVBoxLayout(self)
        layout.addLayout(form)
        layout.addLayout(buttons)
        layout.addWidget(self.bar)
        layout.addWidget(self.said)
        layout.addStretch(1)

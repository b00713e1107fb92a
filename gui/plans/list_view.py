"""The list of kept plans: each version, its drawing, and what can be done with it."""

from typing import Final

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QGridLayout,
    QHBoxLayout,
    QLineEdit,
    QListWidget,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from seatproof.gui.bench.pages.base import button, card, plain_label
from seatproof.gui.plans.description import description
from seatproof.gui.plans.drawing import PlanDrawing
from seatproof.gui.plans.shelf import Row
from seatproof.gui.shared.saying import again, say, wording
from seatproof.gui.shared.scrolling import scrolling
from seatproof.gui.shared.theme import Theme

_EMPTY: Final = wording(
    "No plan is kept here yet.\n\nA plan says where the seats lie on a shaft, what their sizes may "
    "be, and at which points they are measured. Tap “New plan”: the screen leads through it, and "
    "draws the shaft while you type. A plan file of another computer can be read in."
)


class ListView(QWidget):
    """Shows kept plans.

    Signals
    -------
    new_wanted, file_wanted
        A plan from nothing, or from a file.
    change_wanted, copy_wanted, export_wanted, strips_wanted, blank_wanted, measure_wanted : Row
        What the button says, with the chosen version.
    put_away_wanted : Row, str, str
        The version shall be offered no longer; by whom and why.
    """

    new_wanted = Signal()
    file_wanted = Signal()
    change_wanted = Signal(object)
    copy_wanted = Signal(object)
    export_wanted = Signal(object)
    strips_wanted = Signal(object)
    blank_wanted = Signal(object)
    measure_wanted = Signal(object)
    put_away_wanted = Signal(object, str, str)

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._rows: tuple[Row, ...] = ()
        self.list = QListWidget()
        self.list.setObjectName("kept_plans")
        self.list.setAccessibleName(say("Kept plans"))
        self.list.setWordWrap(True)
        self.list.setResizeMode(QListWidget.ResizeMode.Adjust)
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.list.setSpacing(3)
        self.list.currentRowChanged.connect(lambda _: self._show_chosen())
        self.list.itemActivated.connect(lambda _: self._emit(self.change_wanted))
        self.new = button(say("New plan (Ctrl+N)"), "new_plan", self.new_wanted.emit)
        self.new.setProperty("emphasis", "strong")
        self.read = button(say("Read a plan file (Ctrl+O)"), "read_plan", self.file_wanted.emit)
        self.empty = plain_label("no_plans")
        self.empty.setText(say(_EMPTY))
        title = plain_label("", "instruction")
        title.setText(say("Plans"))
        self.trouble = plain_label("plans_trouble", "banner")
        self.trouble.hide()
        self.done = plain_label("plans_done", "question")
        left = QVBoxLayout()
        left.addWidget(title)
        left.addWidget(self.new)
        left.addWidget(self.read)
        left.addWidget(self.empty)
        left.addWidget(self.list, 1)
        self._below = QWidget()  # keeps the buttons together while there is no list
        left.addWidget(self._below, 1)
        self.drawing = PlanDrawing(theme)
        self.text = plain_label("plan_description")
        self.text.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.chosen = QWidget()
        right = QVBoxLayout(self.chosen)
        right.setContentsMargins(0, 0, 0, 0)
        right.addWidget(self.drawing, 3)
        right.addWidget(scrolling(self.text), 2)
        right.addLayout(self._actions())
        self.away_card = self._put_away_card()
        self.away_card.hide()
        right.addWidget(self.away_card)
        body = QHBoxLayout()
        body.addLayout(left, 2)
        body.addWidget(self.chosen, 3)
        self._spare = QWidget()
        body.addWidget(self._spare, 3)
        layout = QVBoxLayout(self)
        layout.addLayout(body, 1)
        layout.addWidget(self.done)
        layout.addWidget(self.trouble)

    def show_rows(self, rows: tuple[Row, ...], trouble: str = "") -> None:
        """Show these versions."""
        before = self._current()
        self._rows = rows
        self.list.clear()
        for row in rows:
            self.list.addItem(row.words)
        self.list.setVisible(bool(rows))
        self.empty.setVisible(not rows)
        self._below.setVisible(not rows)
        self.done.setText("")
        self.say(trouble)
        if before is not None:
            self.select(before.kept.title, before.kept.version)
        elif rows:
            self.list.setCurrentRow(0)
        self._show_chosen()

    def select(self, title: str, version: str) -> None:
        """Choose a version, where it is there."""
        for index, row in enumerate(self._rows):
            if (row.kept.title, row.kept.version) == (title, version):
                self.list.setCurrentRow(index)
                return
        if self._rows and self.list.currentRow() < 0:
            self.list.setCurrentRow(0)

    def say(self, sentence: str) -> None:
        """Say what went wrong, in the window's words or in those of another part."""
        self.trouble.setText(again(sentence))
        self.trouble.setVisible(bool(sentence))

    def say_done(self, sentence: str) -> None:
        """Say what was done."""
        self.say("")
        self.done.setText(f"✓ {sentence}")

    def restyle(self, theme: Theme) -> None:
        self.drawing.restyle(theme)

    def _actions(self) -> QGridLayout:
        self.measure = button(
            say("Measure with this plan"), "measure", lambda: self._emit(self.measure_wanted)
        )
        self.measure.setProperty("emphasis", "strong")
        self.change = button(
            say("Change it"), "change_plan", lambda: self._emit(self.change_wanted)
        )
        others = (
            self.measure,
            self.change,
            button(
                say("New plan from this one"), "copy_plan", lambda: self._emit(self.copy_wanted)
            ),
            button(say("Marking strips (PDF)"), "strips", lambda: self._emit(self.strips_wanted)),
            button(say("Sheet to fill in (PDF)"), "blank", lambda: self._emit(self.blank_wanted)),
            button(say("Write as a file"), "export_plan", lambda: self._emit(self.export_wanted)),
        )
        ask = QPushButton(say("Offer it no longer …"))
        ask.setObjectName("put_away_ask")
        ask.clicked.connect(lambda: self.away_card.setVisible(self.away_card.isHidden()))
        grid = QGridLayout()
        for index, made in enumerate(others):
            grid.addWidget(made, index // 3, index % 3)
        grid.addWidget(ask, 2, 2)
        for column in range(3):
            grid.setColumnStretch(column, 1)
        return grid

    def _put_away_card(self) -> QWidget:
        frame, column = card(say("Offer this version no longer; it stays in the register"))
        self.person = QLineEdit()
        self.person.setObjectName("put_away_by")
        self.person.setPlaceholderText(say("your name"))
        self.reason = QLineEdit()
        self.reason.setObjectName("put_away_reason")
        self.reason.setPlaceholderText(say("reason"))
        for edit, name in ((self.person, say("Your name")), (self.reason, say("Reason"))):
            edit.setAccessibleName(name)
            edit.setMaxLength(200)
        row = QHBoxLayout()
        row.addWidget(self.person, 1)
        row.addWidget(self.reason, 2)
        row.addWidget(button(say("Offer it no longer"), "put_away", self._put_away))
        column.addLayout(row)
        return frame

    def _put_away(self) -> None:
        row = self._current()
        person, reason = self.person.text().strip(), self.reason.text().strip()
        if row is None:
            return
        if not person or not reason:
            self.say(say("Write your name and a reason first; both stay in the register."))
            return
        self.away_card.hide()
        self.reason.clear()
        self.put_away_wanted.emit(row, person, reason)

    def _current(self) -> Row | None:
        index = self.list.currentRow()
        return self._rows[index] if 0 <= index < len(self._rows) else None

    def _emit(self, signal: object) -> None:
        row = self._current()
        if row is not None:
            signal.emit(row)  # type: ignore[attr-defined]  # stubs do not know a bound signal's emit

    def _show_chosen(self) -> None:
        row = self._current()
        self.chosen.setVisible(row is not None)
        self._spare.setVisible(row is None)
        if row is None:
            return
        self.drawing.show_plan(row.plan)
        self.text.setText(description(row.plan))
        self.change.setText(say("Make the next version") if row.is_used else say("Change it"))

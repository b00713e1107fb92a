"""What the pages of all steps have in common: cards in a scrolled column, and the way on."""

from collections.abc import Callable
from functools import partial
from typing import Protocol

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QFormLayout,
    QFrame,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QVBoxLayout,
    QWidget,
)

from seatproof.gui.bench.model import BenchModel
from seatproof.gui.shared.action_button import ActionButton
from seatproof.gui.shared.saying import say
from seatproof.gui.shared.scrolling import scrolling


class Asker(Protocol):
    """Asks for a reason over the foot of the bench; presses go on arriving meanwhile."""

    def __call__(
        self, question: str, answers: tuple[str, ...], then: Callable[[str], object]
    ) -> None: ...


class StepPage(QWidget):
    """A page of one step; it shows the model and passes on what a person does.

    Signals
    -------
    wanted : callable
        Something is to be done that may be refused.
    """

    wanted = Signal(object)

    def __init__(self, model: BenchModel, ask: Asker, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.model = model
        self.ask = ask
        self._column = QVBoxLayout()
        content = QWidget()
        content.setLayout(self._column)
        self.go_on = ActionButton("", "F2")
        self.go_on.setObjectName("go_on")
        self.go_on.setProperty("emphasis", "strong")
        self.go_on.clicked.connect(lambda: self.wanted.emit(self.model.steps.go_on))
        self._foot = QHBoxLayout()
        self._foot.addWidget(self.go_on, 1)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(scrolling(content), 1)
        layout.addLayout(self._foot)

    def show_now(self) -> None:
        """Show the model as it is now."""
        following = self.model.steps.following
        self.go_on.setVisible(following is not None)
        self.go_on.setText(say("Go on: {step} (F2)", step=say(following or "")))

    def add(self, widget: QWidget, stretch: int = 0) -> None:
        """Add a card to the column."""
        self._column.addWidget(widget, stretch)

    def add_beside_way_on(self, widget: QWidget) -> None:
        """Add what stays in view however far the column is scrolled."""
        self._foot.insertWidget(0, widget, 1)

    def end_column(self) -> None:
        """Keep the cards together at the top."""
        self._column.addStretch(1)


def card(heading: str) -> tuple[QFrame, QVBoxLayout]:
    """Return a card with its heading."""
    frame = QFrame()
    frame.setProperty("role", "card")
    layout = QVBoxLayout(frame)
    if heading:
        title = QLabel(heading)
        title.setProperty("role", "heading")
        title.setWordWrap(True)
        layout.addWidget(title)
    return frame, layout


def plain_label(name: str = "", role: str = "") -> QLabel:
    """Return a label that wraps and never takes its text for markup."""
    label = QLabel()
    label.setWordWrap(True)
    label.setTextFormat(Qt.TextFormat.PlainText)
    label.setObjectName(name)
    if role:
        label.setProperty("role", role)
    return label


def button(
    text: str, name: str, do: Callable[[], object], *, checkable: bool = False
) -> ActionButton:
    """Return a large button."""
    made = ActionButton(text)
    made.setObjectName(name)
    made.setCheckable(checkable)
    made.clicked.connect(lambda: do())
    return made


class Fields(QWidget):
    """Labelled fields below each other; Return goes to the next, as a scanner wants it.

    Labels are wordings, said when they are shown.
    """

    def __init__(self, fields: tuple[tuple[str, str], ...], prefix: str) -> None:
        super().__init__()
        layout = QFormLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapLongRows)
        layout.setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.AllNonFixedFieldsGrow)
        self.edits: dict[str, QLineEdit] = {}
        names = [name for name, _ in fields]
        for index, (name, label) in enumerate(fields):
            edit = QLineEdit()
            edit.setObjectName(f"{prefix}_{name}")
            edit.setAccessibleName(say(label))
            edit.setMaxLength(80)
            if index + 1 < len(names):
                edit.returnPressed.connect(
                    lambda following=names[index + 1]: self.edits[following].setFocus(
                        Qt.FocusReason.OtherFocusReason
                    )
                )
            caption = QLabel(say(label))
            caption.setBuddy(edit)
            layout.addRow(caption, edit)
            self.edits[name] = edit

    def text(self, name: str) -> str:
        return self.edits[name].text().strip()

    def values(self) -> dict[str, str]:
        """Return what is typed, without blanks around it."""
        return {name: self.text(name) for name in self.edits}

    def clear(self) -> None:
        """Empty every field."""
        for edit in self.edits.values():
            edit.clear()

    def fill(self, values: dict[str, str]) -> None:
        """Show values in fields that nobody is typing in."""
        for name, value in values.items():
            edit = self.edits.get(name)
            if edit is not None and not edit.hasFocus() and edit.text() != value:
                edit.setText(value)


class Choices(QWidget):
    """Large buttons of which one, or several, are chosen.

    Signals
    -------
    chosen : str
        The button of that word was tapped.
    """

    chosen = Signal(str)

    def __init__(self, prefix: str, columns: int = 4) -> None:
        super().__init__()
        self._prefix = prefix
        self._columns = columns
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self.buttons: dict[str, ActionButton] = {}

    def show_choices(self, words: dict[str, str], chosen: set[str]) -> None:
        """Show choices by their key and words; mark the chosen ones."""
        if list(words) != list(self.buttons):
            for old in self.buttons.values():
                self._grid.removeWidget(old)
                old.deleteLater()
            self.buttons = {}
            for index, key in enumerate(words):
                made = button(
                    words[key],
                    f"{self._prefix}_{key}",
                    partial(self.chosen.emit, key),
                    checkable=True,
                )
                self._grid.addWidget(made, index // self._columns, index % self._columns)
                self.buttons[key] = made
        for key, made in self.buttons.items():
            made.setText(words[key])
            made.setChecked(key in chosen)


def row(*widgets: QWidget) -> QHBoxLayout:
    """Return widgets side by side, the first with the room."""
    layout = QHBoxLayout()
    for index, widget in enumerate(widgets):
        layout.addWidget(widget, 0 if index else 1)
    return layout

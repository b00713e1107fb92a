"""What cards of the settings are made of."""

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QGridLayout, QHBoxLayout, QLabel, QVBoxLayout

from seatproof.gui.shared.action_button import ActionButton


def card(heading: str) -> tuple[QFrame, QGridLayout]:
    """Return a card of three equal columns, and its grid."""
    frame = QFrame()
    frame.setProperty("role", "card")
    title = QLabel(heading)
    title.setProperty("role", "heading")
    title.setWordWrap(True)
    layout = QVBoxLayout(frame)
    layout.addWidget(title)
    grid = QGridLayout()
    for column in range(3):
        grid.setColumnStretch(column, 1)
    layout.addLayout(grid)
    return frame, grid


def plain_button(text: str, name: str) -> ActionButton:
    """Return a large button."""
    button = ActionButton(text)
    button.setObjectName(name)
    return button


def choice(text: str, name: str) -> ActionButton:
    """Return a button that shows whether it is chosen."""
    button = plain_button(text, name)
    button.setCheckable(True)
    return button


def stepper(
    label: QLabel, less: Callable[[], None], more: Callable[[], None], name: str, spoken: str
) -> QHBoxLayout:
    """Return a value between a button for less and one for more; `spoken` says of what."""
    row = QHBoxLayout()
    for text, do, which in (("−", less, "less"), ("+", more, "more")):
        button = plain_button(text, f"{name}_{which}")
        button.setAccessibleName(f"{text} {spoken}")
        button.clicked.connect(do)
        row.addWidget(button, 1)
    row.insertWidget(1, label)
    return row


def value_label() -> QLabel:
    """Return the label of a value between two buttons."""
    label = QLabel("100 %")
    label.setProperty("role", "heading")
    label.setAlignment(Qt.AlignmentFlag.AlignCenter)
    label.setMinimumWidth(90)
    return label

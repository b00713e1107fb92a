"""The list of fitting steps: number, mark and word of each; a tap takes one in hand."""

from collections.abc import Callable
from functools import partial
from typing import Final

from PySide6.QtWidgets import QVBoxLayout, QWidget

from seatproof.gui.fitting.model import StepView
from seatproof.gui.shared.action_button import ActionButton

_MARKS: Final = {None: "○", True: "✓", False: "✗"}


class StepList(QWidget):
    """Shows the steps; `on_step` is called with the number of one that was tapped."""

    def __init__(self, on_step: Callable[[int], object], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._on_step = on_step
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self.buttons: list[ActionButton] = []

    def show_steps(self, views: tuple[StepView, ...], end: str, *, at_end: bool) -> None:
        """Show the steps, and the end as the last of them."""
        if len(self.buttons) != len(views) + 1:
            for number in range(len(views) + 1):
                made = ActionButton("")
                made.setObjectName(f"step_{number}")
                made.setCheckable(True)
                made.clicked.connect(partial(self._tapped, number))
                self._column.addWidget(made)
                self.buttons.append(made)
            self._column.addStretch(1)
        for view, made in zip(views, self.buttons, strict=False):
            made.setText(f"{_MARKS[view.met]} {view.number + 1}. {view.step.text} ({view.word})")
            made.setChecked(view.is_in_hand and not at_end)
        self.buttons[-1].setText(end)
        self.buttons[-1].setChecked(at_end)

    def _tapped(self, number: int) -> None:
        self._on_step(number)

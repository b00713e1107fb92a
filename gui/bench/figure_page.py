"""The whole window as one figure, to be read from across the shop while hands are busy."""

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QVBoxLayout, QWidget

from seatproof.gui.bench.last_value import LastValue
from seatproof.gui.bench.model import BenchModel
from seatproof.gui.bench.value_colour import value_colour
from seatproof.gui.shared.figure_label import FigureLabel
from seatproof.gui.shared.marks import BigMark
from seatproof.gui.shared.saying import again, say
from seatproof.gui.shared.theme import Theme

_HUGE_PX = 2000


class FigurePage(QWidget):
    """Shows the last value, its mark and word, and where the next one belongs.

    Signals
    -------
    left
        It was tapped: back to the bench.
    """

    left = Signal()

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self.setObjectName("figure_page")
        self.setAutoFillBackground(True)
        self.figures = FigureLabel(theme.figure_family, largest_px=_HUGE_PX)
        self.place = _line("place")
        self.note = _line("note")
        self.next = _line("next")
        self.trouble = QLabel()
        self.trouble.setProperty("role", "banner")
        self.trouble.setWordWrap(True)
        self.mark = BigMark(theme)
        words = QVBoxLayout()
        words.addWidget(self.mark, 2)
        words.addWidget(self.note)
        row = QHBoxLayout()
        row.addLayout(words, 1)
        layout = QVBoxLayout(self)
        layout.addWidget(self.place)
        layout.addWidget(self.figures, 6)
        layout.addLayout(row, 2)
        layout.addWidget(self.next)
        layout.addWidget(self.trouble)
        self.setToolTip(say("Tap, or press Escape, to go back to the bench."))

    def show_model(self, model: BenchModel) -> None:
        """Show what there is now."""
        value = model.last
        self.place.setText(_heading(value))
        self.figures.show_figures(
            f"{value.figures} {value.unit}".strip(), value_colour(value, self._theme)
        )
        self.mark.show_mark(value.mark, "" if value.mark is not None else str(value.kind))
        self.note.setText(again(value.note))
        done, total = model.progress
        count = say("{done} of {wanted}", done=str(done), wanted=str(total))
        self.next.setText(f"{model.instruction}  {count}")
        self.trouble.setText(model.line_trouble)
        self.trouble.setVisible(bool(model.line_trouble))

    def mousePressEvent(self, event: QMouseEvent) -> None:
        del event
        self.left.emit()


def _heading(value: LastValue) -> str:
    return f"{value.place} · {again(value.kind)}" if value.place else again(value.kind)


def _line(name: str) -> QLabel:
    label = QLabel()
    label.setObjectName(f"figure_{name}")
    label.setProperty("role", "far")
    label.setWordWrap(True)
    label.setAlignment(Qt.AlignmentFlag.AlignCenter)
    return label

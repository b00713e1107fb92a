"""The last press in figures that can be read from two metres, and where it lies."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QVBoxLayout, QWidget

from seatproof.gui.bench.model import LastValue, ValueKind
from seatproof.gui.shared.figure_label import FigureLabel
from seatproof.gui.shared.marks import PointMarkLabel
from seatproof.gui.shared.theme import Theme


class ValueCard(QFrame):
    """Shows a `LastValue`."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self.setProperty("role", "card")
        self.figures = FigureLabel(theme.figure_family)
        self._heading = QLabel()
        self._unit = QLabel()
        self._unit.setAlignment(Qt.AlignmentFlag.AlignRight)
        self._mark = PointMarkLabel(theme)
        self.note = QLabel()
        self.note.setWordWrap(True)
        top = QHBoxLayout()
        top.addWidget(self._heading, 1)
        top.addWidget(self._unit)
        layout = QVBoxLayout(self)
        layout.addLayout(top)
        layout.addWidget(self.figures, 1)
        layout.addWidget(self._mark)
        layout.addWidget(self.note)

    def show_value(self, value: LastValue) -> None:
        place = f"{value.place} · " if value.place else ""
        self._heading.setText(f"{place}{value.kind}")
        self._heading.setProperty("alarm", value.kind is ValueKind.NOT_STORED)
        self._unit.setText(value.unit)
        self.figures.show_figures(value.figures, self._colour(value))
        self._mark.show_mark(value.mark)
        self._mark.setVisible(value.mark is not None)
        self.note.setText(value.note)
        self.note.setVisible(bool(value.note))

    def _colour(self, value: LastValue) -> QColor | None:
        if value.kind in (ValueKind.REFUSED, ValueKind.PARKED, ValueKind.NOT_STORED):
            return self._theme.outside
        if value.mark is not None and value.mark.is_outside:
            return self._theme.outside
        return None

"""The last press in figures that can be read from two metres, and where it lies."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QVBoxLayout, QWidget

from seatproof.gui.bench.last_value import LastValue, ValueKind
from seatproof.gui.bench.value_colour import value_colour
from seatproof.gui.shared.figure_label import FigureLabel
from seatproof.gui.shared.marks import PointMarkLabel
from seatproof.gui.shared.saying import again, say
from seatproof.gui.shared.theme import Theme

_ROOM_FOR_NOTE_EM = 9.5


class ValueCard(QFrame):
    """Shows a `LastValue`."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._has_note = False
        self.setProperty("role", "card")
        self.figures = FigureLabel(theme.figure_family)
        self._heading = QLabel()
        self._heading.setWordWrap(True)
        self._unit = QLabel()
        self._unit.setAlignment(Qt.AlignmentFlag.AlignRight)
        self._mark = PointMarkLabel(theme)
        self.sample = QLabel()
        self.sample.setObjectName("sample")
        self.sample.setProperty("role", "heading")
        self.note = QLabel()
        self.note.setWordWrap(True)
        top = QHBoxLayout()
        top.addWidget(self._heading, 1)
        top.addWidget(self._unit)
        layout = QVBoxLayout(self)
        layout.addLayout(top)
        layout.addWidget(self.figures, 1)
        layout.addWidget(self.sample)
        layout.addWidget(self._mark)
        layout.addWidget(self.note)

    def show_value(self, value: LastValue, sample: tuple[str, str] | None = None) -> None:
        """Show the last press, and beside it what a streaming gauge shows now."""
        self.sample.setVisible(sample is not None)
        if sample is not None:
            self.sample.setText(say("now {value}", value=" ".join(sample).rstrip()))
        place = f"{value.place} · " if value.place else ""
        self._heading.setText(f"{place}{again(value.kind)}")
        self._heading.setProperty("alarm", value.kind is ValueKind.NOT_STORED)
        self._unit.setText(value.unit)
        self.figures.show_figures(value.figures, value_colour(value, self._theme))
        self._mark.show_mark(value.mark)
        self._mark.setVisible(value.mark is not None)
        self.note.setText(again(value.note))
        # Why it is parked stands on its own card, with the ways out.
        self._has_note = bool(value.note) and value.kind is not ValueKind.PARKED
        self._fit()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        """Keep the figures whole: where there is no room for the note, it goes into the tip."""
        room = self.height() >= _ROOM_FOR_NOTE_EM * self.fontMetrics().height()
        self.note.setVisible(self._has_note and room)
        self.setToolTip("" if room else self.note.text())
